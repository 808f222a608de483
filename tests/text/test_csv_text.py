"""CSV files: RFC 4180, and nothing that a spreadsheet takes for a formula."""

from __future__ import annotations

import csv
import io
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boardmaker.plain_text import shown
from boardmaker.text.csv_text import write_csv


def test_the_dialect_is_that_of_rfc_4180():
    """Lines end with CRLF (2.1); commas and quotes put a cell in quotes (2.6), quotes are doubled (2.7)."""
    assert write_csv(["a", "b"], [['say "hi", twice', 3]]) == b'a,b\r\n"say ""hi"", twice",3\r\n'


# OWASP, "CSV Injection": a cell must not begin with = + - @, tab or carriage return.
@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\uff1d", "\uff0b", "\uff0d", "\uff20"])
@pytest.mark.parametrize("before", ["", " ", '"', "\t", "\r", "\n", "\u3000"])
def test_no_cell_is_a_formula(start, before):
    """An apostrophe stands in front, and the rest survives."""
    cell = read_back(f'{before}{start}HYPERLINK("x")')
    assert cell.startswith("'")
    assert cell.endswith(f'{start}HYPERLINK("x")')


def test_no_piece_of_a_cell_is_a_formula():
    """Where a list is cut at semicolons, whatever the quotes."""
    content = write_csv(["a", "b"], [["one", "x;=1+1; -2"]]).decode()
    assert content == "a,b\r\none,\"x;'=1+1;' -2\"\r\n"
    pieces = [piece for row in csv.reader(io.StringIO(content, newline=""), delimiter=";") for piece in row]
    assert not [piece for piece in pieces if piece.strip().startswith(("=", "-"))]


@given(st.text(st.characters()))
def test_a_cell_is_one_line_without_anything_hidden(text):
    """Whatever stands in the bike file; the quotes hold for a strict reader."""
    cell = read_back(text)
    assert cell == shown(cell)
    assert not re.match('[\\s"]*[=+@\uff1d\uff0b\uff0d\uff20-]', cell)


def read_back(text):
    content = write_csv(["first", "name", "last"], [["1", text, "2"]]).decode()
    (_, (first, cell, last)) = csv.reader(io.StringIO(content, newline=""), strict=True)
    assert (first, last) == ("1", "2")
    return cell
