"""The printer's scale in a PDF: how much a page is shrunk or stretched, and the note of it inside the file.

Apart from the PDF renderer because whoever checks a finished PDF reads the note and applies the same rule.
"""

from __future__ import annotations

import re

from boardmaker.display_list import Point

_NOTE = re.compile(r"boardmaker printer-scale (\d+\.\d+) (\d+\.\d+)")


def write_note(printer_scale: Point) -> str:
    """Return the words for the keywords of a PDF: printed length by true length, across and along the page."""
    return f"boardmaker printer-scale {printer_scale[0]:.6f} {printer_scale[1]:.6f}"


def read_note(keywords: str) -> Point | None:
    """Return the scale that `write_note` wrote among `keywords`, None where there is no such note."""
    found = _NOTE.search(keywords)
    return (float(found[1]), float(found[2])) if found else None
