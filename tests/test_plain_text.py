"""Strangers' texts made harmless: nothing hidden, nothing that acts, the rest as it was."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boardmaker.plain_text import as_meant, defused, shown, spaced

ANY = st.text(st.characters())  # surrogates too
NEVER = {"Cc", "Cf", "Cs", "Zl", "Zp"}  # of Unicode's categories
BIDI = "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"  # UAX #9, 2


@given(ANY)
def test_nothing_that_acts_is_left(text):
    """By Unicode's own categories, but for marks that are seen; and UTF-8 can hold it."""
    for made in (shown(text), spaced(text)):
        made.encode("utf-8")
        assert not [letter for letter in made if unicodedata.category(letter) in NEVER and not _seen(letter)]


def _seen(letter):
    """Signs that stand before or around numbers, and controls of notations that no screen and no sheet knows."""
    prepended = 0x600 <= ord(letter) <= 0x8E2 or ord(letter) in (0x110BD, 0x110CD)
    notation = 0x13430 <= ord(letter) <= 0x1345F or 0x1BCA0 <= ord(letter) <= 0x1D17A
    return prepended or notation


@pytest.mark.parametrize("number", [*range(0x20), *range(0x7F, 0xA0), *map(ord, BIDI), 0x2028, 0xFEFF, 0xD800, 0xFFFF])
def test_each_such_character_is_written_out(number):
    """Two strange texts stay two different texts."""
    made = shown(f"a{chr(number)}b")
    assert made.isprintable()
    assert made.startswith("a\\")
    assert len(made) >= 4


@pytest.mark.parametrize(
    "text", ["Ölwanne ½ × 6 N·m ▲ “so”", "覆い", "كشف", "\N{NO-BREAK SPACE}", "C:\\bikes\\one", "✓\ufe0f", ""]
)
def test_plain_words_stay_as_they_are(text):
    """In every script."""
    assert shown(text) == spaced(text) == text


def test_escapes_are_those_that_people_know():
    """As programmers and bike files write them."""
    assert shown("\x1b[31m \u202e \t\r\n \U000e0041") == r"\x1b[31m \u202e \t\r\n \U000e0041"
    assert spaced("a\tb\r\nc\u2028d\x07") == r"a b c d\x07"


CELLS = st.text(st.sampled_from("=+-@\uff1d\uff0b;'\" \u3000x1"), max_size=12)


@given(CELLS | ANY)
def test_a_cell_made_harmless_is_read_back_as_it_was(cell):
    """Whatever apostrophes it had of its own."""
    assert as_meant(defused(cell)) == cell


@given(CELLS)
def test_no_piece_of_a_harmless_cell_begins_with_a_sign(cell):
    """Behind blanks and quotes neither."""
    pieces = [piece.strip('\u3000 "') for piece in defused(cell).split(";")]
    assert not [piece for piece in pieces if piece.startswith(tuple("=+-@\uff1d\uff0b"))]
