"""What needs no page: plan and owner's note as Markdown for a phone, plan, tally and lists as tables for a spreadsheet.

In: what `service` found. Out: bytes of a UTF-8 file. Beside the renderers, which see only display lists: nothing is
drawn here, and names need no font. The words are those of the sheets.
"""

from boardmaker.text.plan_markdown import write_markdown
from boardmaker.text.plan_rows import write_rows

__all__ = ["write_markdown", "write_rows"]
