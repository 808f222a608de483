"""Display lists into files: one module a format, each a thin loop over `display_list`.

In come pages (PDF, PNG) or drawings (SVG, DXF), in mm; out come bytes, the same for the same input. Nothing is placed,
measured or decided here. Each outside library has its one door in the module of its format.
"""
