"""The printer's scale in a PDF: how much a page is shrunk or stretched, and the note of it inside the file.

Apart from the PDF renderer because whoever checks a finished PDF reads the note and applies the same rule.
"""

from __future__ import annotations

import re

from boardmaker.display_list import Point

NOTHING_MEASURED = "boardmaker nothing-measured"
_NOTE = re.compile(r"boardmaker printer-scale (\d+\.\d+) (\d+\.\d+)")


def write_note(printer_scale: Point | None) -> str:
    """Return the words for the keywords of a PDF: printed length by true length, across and along the page.

    None: pages of words, of which nothing is measured.
    """
    if printer_scale is None:
        return NOTHING_MEASURED
    return f"boardmaker printer-scale {printer_scale[0]:.6f} {printer_scale[1]:.6f}"


def read_note(keywords: str) -> Point | None:
    """Return the scale that `write_note` wrote among `keywords`, None where there is no such note."""
    found = _NOTE.search(keywords)
    return (float(found[1]), float(found[2])) if found else None


def nothing_measured(keywords: str) -> bool:
    """Whether `write_note` noted among `keywords` that nothing is measured; a scale beside that note contradicts it."""
    return NOTHING_MEASURED in keywords and read_note(keywords) is None
