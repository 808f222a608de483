"""The gauge of the screw key: a rule to lay a screw on, in mm along its upper edge and in inches along its lower one.

In: the fasteners of the key, how wide the gauge may be. Out: a cell, true to size. A screw lies along an edge with its
head at the stop line: its underside there, a countersunk one with its top, as two small pictures show. Above the mm
stand the key letters, each on a line from its length; one in the frame of shoulder screws is where its shoulder ends.
Lengths of ticks: common practice, no source (on a steel rule whole centimetres and inches are longest, their parts
shorter).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import lru_cache

from boardmaker.display_list import Path
from boardmaker.figures.gauge_letters import SHOULDER_ROOM, TYPE, Flag, set_letters
from boardmaker.figures.key_frames import family_frame
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
MM_BASE, INCH_BASE = -4.2, 1.9 - RULE  # mm from the upper edge to the baselines of the numbers
LINES = 3.0  # mm from the upper edge to the letters
AIR = 0.5  # mm between two rows of letters
FOOT_AIR = 1.1  # mm of the same where the frame of a shoulder hangs below its letter
BOXED, BOXED_OFF = "boxed: shoulder", 1.2  # mm off letters and lines
HEADS = 8.5  # mm left of the stop line, for the two pictures
END = 4.4  # mm of the edges beyond the last mm, for its number
LEAST = 20  # mm
STEEL = 0.82  # grey of the heads in the pictures


def draw_gauge(fasteners: tuple[Fastener, ...], width: float) -> Cell | None:
    """Return the gauge for these fasteners, at most `width` mm wide; None where nothing has a length, or no room."""
    known = [one.length for one in fasteners if _has_length(one)]
    most = math.floor((width - HEADS - END) / 10 + 1e-6) * 10
    length = min(most, max(LEAST, math.ceil(max(known, default=0.0) / 10 - 1e-6) * 10))
    gauge = _gauge(fasteners, length) if known and length >= LEAST else None
    return gauge if gauge and gauge.width <= width + 1e-6 else None


@lru_cache(maxsize=64)  # the forms of a key ask for the same few, in every size of its type
def _gauge(fasteners: tuple[Fastener, ...], length: int) -> Cell:
    """The gauge, so many mm long."""
    flags = _flags(fasteners, length)
    pitch = _pitch(flags)
    note = _boxed_note(flags, pitch, length + END)
    above = max([LINES + pitch, *(LINES + pitch * flag.row for flag in flags), *(label.box[3] for label in note)])
    marks = (*_edges(length, above), *_ticks(length), *_pictures(above), *_lines(flags, pitch))
    labels = (*_numbers(length), *_letters(flags, pitch), *note)
    right = max([length + END, *(label.box[2] for label in note)])  # a short rule is narrower than its note
    return Cell(HEADS + right, above + RULE + EDGE / 2, labels, marks).at((HEADS, -above))


def _has_length(fastener: Fastener) -> bool:
    """A nut has none; one that nobody measured is not marked."""
    return fastener.kind != "nut" and not fastener.length_assumed


def _flags(fasteners: Sequence[Fastener], length: int) -> tuple[Flag, ...]:
    """One for each length of screw and of shoulder, as far as the rule goes."""
    keys: dict[tuple[float, bool], list[str]] = {}
    for one in fasteners:
        if _has_length(one):
            keys.setdefault((one.length, False), []).append(printable(one.key, "?"))
        if _has_length(one) and one.shoulder:
            keys.setdefault((one.shoulder.length, True), []).append(printable(one.key, "?"))
    flags = [Flag(at, ",".join(keys[at, plain]), plain, at) for at, plain in sorted(keys) if at <= length + 1e-6]
    return set_letters(flags, length + END)


def _pitch(flags: Sequence[Flag]) -> float:
    """From one row of letters to the next, mm."""
    air = FOOT_AIR if any(flag.shoulder for flag in flags) else AIR
    return air + max((lines_size([Words(flag.text, TYPE, bold=True)])[1] for flag in flags), default=TYPE)


def _boxed_note(flags: Sequence[Flag], pitch: float, high: float) -> tuple[Label, ...]:
    """What a frame means, at the end of the lowest row that has room; else above all rows."""
    if not any(flag.shoulder for flag in flags):
        return ()
    words = Words(BOXED, TYPE)
    width, height = lines_size([words])
    rows = range(1, max(flag.row for flag in flags) + 1)
    starts = [
        (max([flag.right if flag.row == row else flag.line for flag in flags if flag.row >= row]) + BOXED_OFF, row)
        for row in rows
    ]
    x, row = next((one for one in starts if one[0] + width <= high), (BOXED_OFF, len(rows) + 1))
    low = LINES + pitch * (row - 1)
    return (Label((words,), (x, low, x + width, low + height)),)


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


def _lines(flags: Sequence[Flag], pitch: float) -> Iterator[Path]:
    """From each length up to its letters; those of a shoulder stand in the frame of shoulder screws."""
    for flag in flags:
        low = LINES + pitch * (flag.row - 1)
        yield Path(((flag.at, 0.0), (flag.at, 0.4), (flag.line, LINES), (flag.line, low)), line_width=TICK)
        if flag.shoulder:
            yield family_frame("shoulder screw", (flag.left, low, flag.right, low + pitch - FOOT_AIR), TICK)


def _letters(flags: Sequence[Flag], pitch: float) -> Iterator[Label]:
    for flag in flags:
        words = Words(flag.text, TYPE, bold=True)
        low, inset = LINES + pitch * (flag.row - 1), SHOULDER_ROOM / 2 if flag.shoulder else 0.0
        yield Label((words,), (flag.left + inset, low, flag.right - inset, low + lines_size([words])[1]))


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
