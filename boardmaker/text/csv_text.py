"""Rows as the text of a CSV file (RFC 4180: commas, CRLF, quotes doubled), safe to open in a spreadsheet.

A spreadsheet takes a cell that begins with = + - @ for a formula, and would run what a stranger wrote into a bike file:
such a cell gets an apostrophe in front, which spreadsheets take for "this is text" (OWASP, "CSV Injection"). Where
lists are cut at semicolons, each piece of a cell is one of its own, so that the same holds behind each semicolon. UTF-8
without a byte order mark; what nobody could see is written out (`plain_text`).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from boardmaker.plain_text import defused, spaced

_QUOTED = re.compile('[,;"]|^\\s|\\s$')


def write_csv(columns: Sequence[str], rows: Iterable[Sequence[str | int]]) -> bytes:
    """Return the file's content, its header first."""
    lines = [columns, *([defused(spaced(str(cell))) for cell in row] for row in rows)]
    return "".join(",".join(map(_quoted, line)) + "\r\n" for line in lines).encode("utf-8")


def _quoted(cell: str) -> str:
    doubled = cell.replace('"', '""')
    return f'"{doubled}"' if _QUOTED.search(cell) else cell
