"""A fastener in the words of lists, plans and boards."""

from __future__ import annotations

from dataclasses import replace

from boardmaker.model import Fastener, Head
from boardmaker.standards import parse_thread
from boardmaker.wording.fasteners import fastener_words, short_words, size_text

SCREW = Fastener("A", "screw", 20.0, Head("button", 14.0, 3.3), parse_thread("M6"), drive="T30")


def test_a_length_that_the_program_assumed_is_not_printed():
    """20 mm is what a screw without a length is drawn with: nobody may measure by it, or buy it."""
    assert size_text(SCREW) == "M6 × 20"
    assumed = replace(SCREW, length_assumed=True)
    assert short_words(assumed) == "M6, length not known, T30"
    assert "20" not in f"{size_text(assumed)} {fastener_words(assumed)}"


def test_a_nut_goes_by_its_height():
    """It has no length to be unknown."""
    nut = replace(SCREW, kind="nut", length_assumed=True, drive="hexagon 10")
    assert short_words(nut) == "M6, 3.3 high, hex head 10"
