"""Type: how much room words take, where lines break, cells of tables, columns, and how they flow onto pages.

In: words from whoever has something to say. Out: labels and cells of known size. Apart from `wording`, which says what
is said, and from `figures` and `sheets`, which say where it stands.
"""
