"""The one shipped family of type: DejaVu Sans Condensed, regular and bold.

In comes text and the height of its capitals in mm; out come widths, boxes and outlines in mm. Apart from the stages
because figures need widths before anything is placed and every renderer must agree with them. There is no kerning: a
width is the sum of the advances. The font files are read on the first call, not at import.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib import resources
from pathlib import Path
from typing import Any

from boardmaker.plain_text import HIDDEN

REPLACEMENT = "\N{REPLACEMENT CHARACTER}"

_FILES = {False: "DejaVuSansCondensed.ttf", True: "DejaVuSansCondensed-Bold.ttf"}


@dataclass(frozen=True)
class Glyph:
    """One letter in font units, y up: its advance, how low and high its ink reaches, its outline.

    The outline is SVG path data that begins at `start`; everything after that point is relative.
    """

    advance: int
    low: int
    high: int
    start: tuple[int, int]
    outline: str


def font_path(bold: bool = False) -> Path:
    """Return the place of the font file."""
    return Path(str(resources.files(__name__))) / _FILES[bold]


def shown_text(text: str) -> str:
    """Return `text` as it is set: composed (Unicode NFC), U+FFFD for whatever has no glyph to be seen."""
    composed = unicodedata.normalize("NFC", text)
    covered = _code_points(bold=False)
    if covered.issuperset(map(ord, composed)):
        return composed
    return "".join(letter if ord(letter) in covered else REPLACEMENT for letter in composed)


def missing_glyphs(text: str) -> str:
    """Return the characters of `text` that the fonts lack, each once, in the order of their first use."""
    covered = _code_points(bold=False)
    composed = unicodedata.normalize("NFC", text)
    if covered.issuperset(map(ord, composed)):
        return ""
    return "".join(dict.fromkeys(letter for letter in composed if ord(letter) not in covered))


def text_width(text: str, height: float, bold: bool = False) -> float:
    """Return the width in mm of one line of type whose capitals are `height` mm high."""
    return _advance(text, bold) * unit_size(height, bold)


def text_box(text: str, height: float, bold: bool = False) -> tuple[float, float, float]:
    """Return (width, above, below) in mm: how far the ink reaches above and below the baseline, neither negative."""
    letters = [glyph(letter, bold) for letter in shown_text(text)]
    size = unit_size(height, bold)
    above = max([0, *(letter.high for letter in letters)])
    below = -min([0, *(letter.low for letter in letters)])
    return text_width(text, height, bold), above * size, below * size


def em_size(height: float, bold: bool = False) -> float:
    """Return the em ("font size") in mm at which capitals are `height` mm high."""
    return unit_size(height, bold) * units_per_em(bold)


def x_height(height: float, bold: bool = False) -> float:
    """Return the height in mm of a small x where capitals are `height` mm high."""
    return glyph("x", bold).high * unit_size(height, bold)


def ascent(height: float, bold: bool = False) -> float:
    """Return how far the font's highest usual letters (accented capitals) reach above the baseline, mm."""
    return int(_font(bold)["hhea"].ascent) * unit_size(height, bold)


def descent(height: float, bold: bool = False) -> float:
    """Return how far the font's deepest usual letters reach below the baseline, mm, as a positive number."""
    return -int(_font(bold)["hhea"].descent) * unit_size(height, bold)


@lru_cache(maxsize=1024)
def unit_size(height: float, bold: bool = False) -> float:
    """Return the size in mm of one font unit at which capitals (a flat one, H) are `height` mm high."""
    return height / glyph("H", bold).high


@cache
def units_per_em(bold: bool = False) -> int:
    """Return the number of font units in one em."""
    return int(_font(bold)["head"].unitsPerEm)


def outline_data(text: str, bold: bool = False) -> str:
    """Return `text` as SVG path data in font units, y up, the first letter's origin at (0, 0)."""
    parts = []
    pen = 0
    for letter in shown_text(text):
        shape = glyph(letter, bold)
        if shape.outline:
            parts.append(f"M{pen + shape.start[0]} {shape.start[1]}{shape.outline}")
        pen += shape.advance
    return "".join(parts)


@cache
def glyph(letter: str, bold: bool = False) -> Glyph:
    """Return one covered letter; a `KeyError` for one that is not (see `shown_text`)."""
    from boardmaker.fonts.outlines import draw_outline  # noqa: PLC0415

    font = _font(bold)
    name = font.getBestCmap()[ord(letter)]
    shape = font["glyf"][name]
    low, high = (int(shape.yMin), int(shape.yMax)) if shape.numberOfContours else (0, 0)
    return Glyph(int(font["hmtx"][name][0]), low, high, *draw_outline(font, name))


@lru_cache(maxsize=20_000)
def _advance(text: str, bold: bool) -> int:
    return sum(map(_advances(bold).__getitem__, shown_text(text)))


@cache
def _advances(bold: bool) -> dict[str, int]:
    """Of every letter that the fonts have: far fewer than outlines to draw, which `glyph` does."""
    widths = _font(bold)["hmtx"]
    return {chr(number): int(widths[name][0]) for number, name in _font(bold).getBestCmap().items()}


@cache
def _code_points(bold: bool) -> frozenset[int]:
    return frozenset(number for number in _font(bold).getBestCmap() if not HIDDEN.match(chr(number)))


# fontTools is imported late here and in `glyph`: whoever imports this module for its names pays nothing.
@cache
def _font(bold: bool) -> Any:
    from fontTools.ttLib import TTFont  # noqa: PLC0415

    return TTFont(font_path(bold))
