"""The gauge of the screw key: a rule to lay a screw on, in mm along its upper edge and in inches along its lower one.

In: the fasteners of the key, how wide the gauge may be. Out: a cell, true to size. A screw lies along an edge with its
head at the stop line: its underside there, a countersunk one with its top, as two small pictures show. Above the mm
stand the key letters, each tied to its length; one in the frame of shoulder screws is where its shoulder ends. Lengths
of ticks: common practice, no source (on a steel rule whole centimetres and inches are longest, their parts shorter).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from boardmaker.display_list import Path
from boardmaker.figures.key_frames import STUB, family_frame
from boardmaker.fonts import text_width
from boardmaker.geometry import box_ring
from boardmaker.model import Fastener
from boardmaker.typeset.label import Label, Words
from boardmaker.typeset.lettering import PAD, lines_size, printable
from boardmaker.typeset.table import Cell
from boardmaker.units import MM_PER_INCH

STOP, EDGE, LONG_TICK, TICK = 0.5, 0.35, 0.25, 0.18  # mm, line widths of ISO 128
MM_TICKS = {10: 4.2, 5: 2.2, 1: 1.3}  # mm long, by what divides the length in mm
INCH_TICKS = {16: 3.9, 8: 3.0, 4: 2.2, 2: 1.7, 1: 1.2}  # by what divides the length in sixteenths
RULE = 9.7  # mm from edge to edge
TYPE = 2.5  # mm, height of numbers and letters (ISO 3098)
MM_BASE, INCH_BASE = -4.2, 1.9 - RULE  # mm from the upper edge to the baselines of the numbers
TIES = 2.6  # mm from the upper edge to the letters
AIR = 0.9  # mm between two rows of letters: the frame of a shoulder hangs below its letter
APART = 1.3  # mm between the letters of two lengths
TIE_OFF = 0.6  # mm between a tie and the letters that it passes; a J reaches beyond its box
FURTHEST = 4.5  # mm from its length to a letter; where one row would bring one further, there are two
SHOULDER_ROOM = 0.8  # mm more for the frame around the letter of a shoulder
SLACK = 0.2  # mm that letters may lack of that after all sweeps
SWEEPS = 200  # over all letters until none is in another's way
HEADS = 8.5  # mm left of the stop line, for the two pictures
END = 4.4  # mm of the edges beyond the last mm, for its number
LEAST = 20  # mm
STEEL = 0.82  # grey of the heads in the pictures


@dataclass(frozen=True)
class Flag:
    """What stands for one length: the keys, whether it is their shoulders that end there, and where they stand, mm."""

    at: float
    text: str
    shoulder: bool
    middle: float
    row: int = 1

    @property
    def width(self) -> float:
        """Of the letters and what is around them, mm."""
        return text_width(self.text, TYPE, bold=True) + (SHOULDER_ROOM if self.shoulder else 0.0)


@lru_cache(maxsize=64)  # the forms of a key ask for the same few
def draw_gauge(fasteners: tuple[Fastener, ...], width: float) -> Cell | None:
    """Return the gauge for these fasteners, at most `width` mm wide; None where nothing has a length, or no room."""
    known = [one.length for one in fasteners if _has_length(one)]
    most = math.floor((width - HEADS - END) / 10 + 1e-6) * 10
    length = min(most, max(LEAST, math.ceil(max(known, default=0.0) / 10 - 1e-6) * 10))
    flags = _flags(fasteners, length)
    if length < LEAST or not known:
        return None
    pitch = AIR + max((lines_size([Words(flag.text, TYPE, bold=True)])[1] for flag in flags), default=TYPE)
    above = TIES + pitch * max((flag.row for flag in flags), default=1)
    marks = (*_edges(length, above), *_ticks(length), *_pictures(above), *_ties(flags, pitch))
    labels = (*_numbers(length), *_letters(flags, pitch))
    return Cell(HEADS + length + END, above + RULE + EDGE / 2, labels, marks).at((HEADS, -above))


def _has_length(fastener: Fastener) -> bool:
    """A nut has none; one that nobody measured is not marked."""
    return fastener.kind != "nut" and not fastener.length_assumed


def _flags(fasteners: Sequence[Fastener], length: int) -> tuple[Flag, ...]:
    """One for each length of screw and of shoulder, as far as the rule goes, in one row or two."""
    keys: dict[tuple[float, bool], list[str]] = {}
    for one in fasteners:
        if _has_length(one):
            keys.setdefault((one.length, False), []).append(printable(one.key, "?"))
        if _has_length(one) and one.shoulder:
            keys.setdefault((one.shoulder.length, True), []).append(printable(one.key, "?"))
    flags = [Flag(at, ",".join(keys[at, plain]), plain, at) for at, plain in sorted(keys) if at <= length + 1e-6]
    high = length + END
    one_row = _spread(flags, high)
    if len(one_row) == len(flags) and all(abs(flag.middle - flag.at) <= FURTHEST for flag in one_row):
        return one_row
    two_rows = _spread([replace(flag, row=1 + place % 2) for place, flag in enumerate(flags)], high)
    return max(two_rows, _kept(flags, high), key=len)  # pushing leads nowhere where all together have no room


def _spread(flags: Sequence[Flag], high: float) -> tuple[Flag, ...]:
    """Letters pushed apart until none is in another's way, nor in that of a tie to the row above."""
    middles, halves = [flag.at for flag in flags], [flag.width / 2 for flag in flags]
    near = [(i, j) for i in range(len(flags)) for j in range(i + 1, min(i + 3, len(flags)))]
    apart = [(i, j, _clear(flags[i], flags[j])) for i, j in near]
    for _ in range(SWEEPS):
        middles = [max(half + APART, min(at, high - half)) for at, half in zip(middles, halves, strict=True)]
        for i, j, least in apart:
            push = max(0.0, least - (middles[j] - middles[i])) / 2
            middles[i], middles[j] = middles[i] - push, middles[j] + push
    return _kept([replace(flag, middle=at) for flag, at in zip(flags, middles, strict=True)], high)


def _kept(flags: Sequence[Flag], high: float) -> tuple[Flag, ...]:
    """Those that keep clear of each other and of the ends: of more kinds than there is room for, some are left out."""
    kept: list[Flag] = []
    for flag in flags:
        inside = flag.width / 2 <= flag.middle <= high - flag.width / 2 + SLACK
        if inside and all(flag.middle - one.middle >= _clear(one, flag) - SLACK for one in kept):
            kept.append(flag)
    return tuple(kept)


def _clear(one: Flag, other: Flag) -> float:
    """How far apart the middles of two letters have to be: of two rows, the upper one's tie passes the lower one.

    So does the foot of the upper one's frame.
    """
    if one.row == other.row:
        return (one.width + other.width) / 2 + APART
    lower, upper = sorted((one, other), key=lambda flag: flag.row)
    foot = STUB[0] * upper.width / 2 if upper.shoulder else 0.0
    return lower.width / 2 + foot + TIE_OFF


def _edges(length: float, above: float) -> Iterator[Path]:
    for y in (0.0, -RULE):
        yield Path(((0.0, y), (length + END, y)), line_width=EDGE)
    yield Path(((0.0, above), (0.0, -RULE)), line_width=STOP)


def _ticks(length: int) -> Iterator[Path]:
    for mm in range(1, length + 1):
        step = next(step for step in MM_TICKS if mm % step == 0)
        yield Path(((mm, 0.0), (mm, -MM_TICKS[step])), line_width=TICK if step == 1 else LONG_TICK)
    for part in range(1, math.floor(length / MM_PER_INCH * 16) + 1):
        step = next(step for step in INCH_TICKS if part % step == 0)
        x = float(part * MM_PER_INCH / 16)
        yield Path(((x, -RULE), (x, INCH_TICKS[step] - RULE)), line_width=TICK if step < 4 else LONG_TICK)


def _numbers(length: int) -> Iterator[Label]:
    """Each right of its tick; the units at the stop line."""
    yield _right_of(0.0, MM_BASE, "mm")
    yield _right_of(0.0, INCH_BASE, "in")
    yield from (_right_of(mm, MM_BASE, f"{mm}") for mm in range(10, length + 1, 10))
    for inch in range(1, math.floor(length / MM_PER_INCH) + 1):
        yield _right_of(float(inch * MM_PER_INCH), INCH_BASE, f"{inch}")


def _right_of(x: float, base: float, text: str) -> Label:
    width, height = lines_size([Words(text, TYPE)])
    return Label((Words(text, TYPE),), (x + LONG_TICK / 2, base - PAD, x + LONG_TICK / 2 + width, base - PAD + height))


def _ties(flags: Sequence[Flag], pitch: float) -> Iterator[Path]:
    """From each length up to its letters; those of a shoulder stand in the frame of shoulder screws."""
    for flag in flags:
        low = TIES + pitch * (flag.row - 1)
        way = ((flag.at, 0.0), (flag.at, 0.4), (flag.middle, TIES), (flag.middle, low))
        yield Path(way[: 3 if flag.row == 1 else 4], line_width=TICK)
        if flag.shoulder:
            half = flag.width / 2
            yield family_frame("shoulder screw", (flag.middle - half, low, flag.middle + half, low + pitch), TICK)


def _letters(flags: Sequence[Flag], pitch: float) -> Iterator[Label]:
    for flag in flags:
        words = Words(flag.text, TYPE, bold=True)
        width, height = lines_size([words])
        low = TIES + pitch * (flag.row - 1)
        yield Label((words,), (flag.middle - width / 2, low, flag.middle + width / 2, low + height))


def _pictures(above: float) -> Iterator[Path]:
    """How a screw lies: the underside of its head at the stop line, the top of a countersunk one."""
    for y, countersunk in ((above - 3.4, False), (-RULE + 3.4, True)):
        x = -HEADS + (0.5 if countersunk else 2.6)
        shank = box_ring(x, y - 0.8, x + 4.6, y + 0.8)
        flat = ((x, y + 2.2), (x, y - 2.2), (x + 1.5, y - 0.8), (x + 1.5, y + 0.8))
        dome = (
            (x, y + 2.2),
            (x - 1.2, y + 1.8),
            (x - 1.8, y + 0.9),
            (x - 1.8, y - 0.9),
            (x - 1.2, y - 1.8),
            (x, y - 2.2),
        )
        yield Path(shank, closed=True, line_width=TICK, fill=1.0)
        yield Path(flat if countersunk else dome, closed=True, line_width=LONG_TICK, fill=STEEL)
        yield Path(((x, y - 2.9), (x, y + 2.9)), line_width=STOP)
