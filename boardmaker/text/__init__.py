"""The plan without a page: Markdown for a phone, a table for a spreadsheet.

In: `Plan`. Out: bytes of a UTF-8 file. Beside the renderers, which see only display lists: here there is nothing drawn,
and names need no font. The words are those of the sheets.
"""

from boardmaker.text.markdown import write_markdown
from boardmaker.text.rows import write_rows

__all__ = ["write_markdown", "write_rows"]
