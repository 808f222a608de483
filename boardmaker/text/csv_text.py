"""Rows as the text of a CSV file (RFC 4180: commas, CRLF, quotes doubled), safe to open in a spreadsheet.

A spreadsheet takes a cell that begins with = + - @ for a formula, and would run what a stranger wrote into a bike file:
such a cell gets an apostrophe in front, which spreadsheets take for "this is text" (OWASP, "CSV Injection"). UTF-8
without a byte order mark.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def write_csv(columns: Sequence[str], rows: Iterable[Sequence[str | int]]) -> bytes:
    """Return the file's content, its header first."""
    text = io.StringIO(newline="")
    writer = csv.writer(text)  # its usual dialect is that of RFC 4180
    writer.writerow(columns)
    writer.writerows([_safe(cell) for cell in row] for row in rows)
    return text.getvalue().encode("utf-8")


def _safe(cell: str | int) -> str:
    text = " ".join(str(cell).split("\n"))
    return f"'{text}" if text.startswith(FORMULA_STARTS) else text
