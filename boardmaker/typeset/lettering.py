"""The room that lines of type take: sizes from the shipped font, words that it can show, names broken in lines."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import pairwise

from boardmaker.display_list import Path, Text
from boardmaker.fonts import missing_glyphs, text_box, text_width
from boardmaker.geometry import Point, box_ring
from boardmaker.model import Bike
from boardmaker.typeset.label import Box, Label, Words
from boardmaker.wording.steps import Named, given_name

PAD = 0.4  # mm of air around the ink, inside a label's box
TALL_AND_DEEP = "dp"  # letters that are as tall and as deep as any without an accent
LEAD = 0.9  # mm between the ink of two lines of names,
LEAD_SHARE = 0.25  # as a share of the higher one's type at most, which is what can be read (see the tests),
LARGE_SHARE = 0.18  # and at least, of names and of all that is larger
TICK, TICK_GAP = 0.8, 0.3  # side of a box to tick, and the gap before it, as shares of the type's height
TICK_LINE = 0.18

_NO_BREAK = "\N{NO-BREAK SPACE}"
# A number and its unit, both sides of a ×, a tool and its size; a dot or dash between two remarks stays at the first.
_BELONG = re.compile(
    r"\S*\d (?:mm|cm|m|in|km|L|ml|g|kg|N·m|lbf·\w+|kgf·\w+|deg|°|x|×|%)|[x×] \S+|(?:hex|hexagon|socket|hole) \d\S*"
    rf"|for ⌀\S+|[\S{_NO_BREAK}]+ [·-]"
    r"|\d+ of|of them|\(\d\S* mm\),?|\d+ \d+/\d+|\S*\d (?:N·m|lbf·\w+|kgf·\w+),"
)

_LOOSE = re.compile(rf"{_NO_BREAK}(?!N|lbf|kgf|in-|ft-)")  # where a torque may break that is wider than its line
_TIMES = re.compile(r" (?=[x×] )")
_WORD = re.compile(rf"[\S{_NO_BREAK}]+")

SMALL = 2.0  # mm, height of capitals: the smallest that is printed (its x-height is 1.5 mm)
TEXT = 2.5  # ISO 3098 series from here on
NAME = 3.5
HEADING = 5.0


def lines_size(lines: Sequence[Words]) -> Point:
    """Return width and height in mm of a box that holds the lines, air included."""
    inks = [_ink(words.text, words.height, words.bold) for words in lines]
    down = math.fsum(pitch_between(*pair) for pair in pairwise(lines))
    return max(width for width, _, _ in inks) + 2 * PAD, inks[0][1] + down + inks[-1][2] + 2 * PAD


def pitch_between(upper: Words, lower: Words) -> float:
    """Return how far the baseline of a line lies below that of the one above it, mm.

    Lines of one type stand as far apart as if they had all the tall and deep letters that they may have: their pitch
    is even. Lines that differ stand as close as their ink allows.
    """
    below, above = _ink(upper.text, upper.height, upper.bold)[2], _ink(lower.text, lower.height, lower.bold)[1]
    if (upper.height, upper.bold) == (lower.height, lower.bold):
        tall, deep = _tallest_and_deepest(upper.height, upper.bold)
        below, above = max(below, deep), max(above, tall)
    return below + lead_between(upper, lower) + above


def lead_between(upper: Words, lower: Words) -> float:
    """Return the room in mm between the ink of two lines."""
    height = max(upper.height, lower.height)
    return min(max(LEAD, LARGE_SHARE * height), LEAD_SHARE * height)


def ticked_size(lines: Sequence[Words]) -> Point:
    """Return the same with room for a box to tick behind the first line."""
    (width, height), (first, _) = lines_size(lines), lines_size(lines[:1])
    return max(width, first + _tick_room(lines[0])), height


def _tick_room(first: Words) -> float:
    """What a box to tick takes behind the first line, with the gap before it, mm."""
    return (TICK_GAP + TICK) * first.height


def baselines(lines: Sequence[Words]) -> tuple[float, ...]:
    """Return how far each line's baseline lies below the top of the lines' box, mm."""
    first = lines[0]
    depths = [PAD + _ink(first.text, first.height, first.bold)[1]]
    for upper, lower in pairwise(lines):
        depths.append(depths[-1] + pitch_between(upper, lower))
    return tuple(depths)


_ink = lru_cache(maxsize=4096)(text_box)


@lru_cache(maxsize=256)
def _tallest_and_deepest(height: float, bold: bool) -> tuple[float, float]:
    """How far the ink of a line of this type may reach above and below its baseline, mm."""
    _, tall, deep = text_box(TALL_AND_DEEP, height, bold)
    return tall, deep


def box_at(centre: Point, size: Point) -> Box:
    """Return the box of this size around a centre."""
    (x, y), (width, height) = centre, size
    return x - width / 2, y - height / 2, x + width / 2, y + height / 2


def printable(text: str, *instead: str) -> str:
    """Return the first of the texts that the shipped font can show; of the last its plain characters where none is."""
    for candidate in (text, *instead):
        if candidate and not missing_glyphs(candidate):
            return candidate
    missing = missing_glyphs(text)
    return "".join("?" if letter in missing else letter for letter in text)


def shown_name(thing: Named) -> str:
    """Return a thing's name, its key (a bike's file name) where the font lacks the name's script."""
    return printable(given_name(thing), thing.file if isinstance(thing, Bike) else thing.key)


@lru_cache(maxsize=4096)  # a search sets the same words at every scale
def broken(text: str, height: float, width: float, bold: bool = False) -> tuple[str, ...]:
    """Break a text into lines of at most `width` mm, between words where that can be; numbers stay with their units."""
    return tuple(_lines(text, height, width, bold))


@lru_cache(maxsize=4096)
def first_line(text: str, height: float, width: float, bold: bool = False) -> str:
    """Return the first line of a text that is not blank, if all lines were of at most `width` mm."""
    return next(_lines(text, height, width, bold))


def _lines(text: str, height: float, width: float, bold: bool) -> Iterator[str]:
    line = ""
    for word in (part for one in _words(text) for part in _parted(one, height, width, bold)):
        joined = f"{line} {word}"
        if line and text_width(joined, height, bold) <= width:
            line = joined
            continue
        if line:
            yield line
        *lines, line = _lines_of_one(word, height, width, bold)
        yield from lines
    if line:
        yield line


def _lines_of_one(word: str, height: float, width: float, bold: bool) -> Sequence[str]:
    """A word that begins a line: as it is, or looser, or in pieces."""
    if text_width(word, height, bold) > width and (looser := _LOOSE.sub(" ", word)) != word:
        return broken(looser, height, width, bold)
    return _pieces(word, height, width, bold)


@lru_cache(maxsize=4096)  # a text is tried in many widths
def _words(text: str) -> tuple[str, ...]:
    """What a line may break between: words, with what belongs together in one."""
    words: list[str] = []
    for word in _WORD.findall(text):
        if words and _BELONG.fullmatch(f"{words[-1].rpartition(' ')[2]} {word}"):
            words[-1] = f"{words[-1]} {word}"
        else:
            words.append(word)
    return tuple(words)


def _parted(word: str, height: float, width: float, bold: bool) -> Iterator[str]:
    """What belongs together but is wider than a line, apart: before a × where there is one, else at every space."""
    parts = _TIMES.split(word)
    if " " not in word or text_width(word, height, bold) <= width:
        yield word
    elif len(parts) > 1:
        yield from (piece for part in parts for piece in _parted(part, height, width, bold))
    else:
        yield from word.split(" ")


def _pieces(word: str, height: float, width: float, bold: bool) -> list[str]:
    """A word in pieces that fit: whole, unless it is wider than a line."""
    pieces = [""]
    for letter in word:
        if pieces[-1] and text_width(pieces[-1] + letter, height, bold) > width:
            pieces.append("")
        pieces[-1] += letter
    return pieces


def balanced(text: str, count: int) -> tuple[str, ...]:
    """Break a text between words into at most `count` lines of about equal length."""
    words = text.split()
    if count >= len(words):
        return tuple(words)
    share = len(text) / count
    lines = [""]
    for word in words:
        full = len(lines[-1]) + len(word) / 2 > share
        if lines[-1] and full and len(lines) < count:
            lines.append("")
        lines[-1] = f"{lines[-1]} {word}".strip()
    return tuple(lines)


def tick_marks(label: Label, reading_deg: int) -> Iterator[Path]:
    """Yield the box to tick of a label that has one, on the line of its first words."""
    if not label.ticked:
        return
    first = label.lines[0]
    side, depth = TICK * first.height, baselines(label.lines)[0]
    x0, y0, x1, y1 = label.box
    if label.align == "end":
        along = (x1 - x0 if reading_deg == 0 else y1 - y0) - PAD - side
    else:
        along = lines_size(label.lines[:1])[0] - PAD + TICK_GAP * first.height
    corner = (x0 + along, y1 - depth) if reading_deg == 0 else (x0 + depth - side, y0 + along)
    yield Path(box_ring(*corner, corner[0] + side, corner[1] + side), closed=True, line_width=TICK_LINE)


def label_items(label: Label, reading_deg: int) -> Iterator[Text]:
    """Yield the lines of a label, set in its box to read at 0 or 90 degrees."""
    x0, y0, x1, y1 = label.box
    for number, (words, depth) in enumerate(zip(label.lines, baselines(label.lines), strict=True)):
        end = PAD + (_tick_room(words) if label.ticked and number == 0 else 0.0)
        if reading_deg == 0:
            at = {"start": x0 + PAD, "middle": (x0 + x1) / 2, "end": x1 - end}[label.align], y1 - depth
        else:
            at = x0 + depth, {"start": y0 + PAD, "middle": (y0 + y1) / 2, "end": y1 - end}[label.align]
        yield Text(at, words.text, words.height, label.align, reading_deg, words.bold, words.ink)
