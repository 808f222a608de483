"""CSV files: RFC 4180, and nothing that a spreadsheet takes for a formula."""

from __future__ import annotations

import csv
import io

import pytest

from boardmaker.text.csv_text import write_csv


def test_the_dialect_is_that_of_rfc_4180():
    """Lines end with CRLF (2.1); commas and quotes put a cell in quotes (2.6), quotes are doubled (2.7)."""
    assert write_csv(["a", "b"], [['say "hi", twice', 3]]) == b'a,b\r\n"say ""hi"", twice",3\r\n'


# OWASP, "CSV Injection": a cell must not begin with = + - @, tab or carriage return.
@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_no_cell_is_a_formula(start):
    """An apostrophe stands in front, and the rest survives."""
    content = write_csv(["name"], [[f'{start}HYPERLINK("x")']]).decode()
    (_, (cell,)) = csv.reader(io.StringIO(content, newline=""))
    assert cell == f'\'{start}HYPERLINK("x")'
