"""The lines of a technical drawing: arrows, sizes between two lines, rulers, the origin, the mark of what is odd.

In: places in mm of the picture. Out: marks and labels. Apart from the panel because these know no motorcycle.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from boardmaker.display_list import Circle, Ink, Path
from boardmaker.geometry import Point, bounds, distance
from boardmaker.picture.look import FINE, MEDIUM, SMALL, TEXT, THIN
from boardmaker.typeset.label import Box, Label, Words
from boardmaker.typeset.lettering import lines_size
from boardmaker.typeset.table import Mark

TIP_LENGTH, TIP_WIDTH = 2.4, 0.8  # mm of an arrow's tip, 3 to 1 as in ISO 129-1
BEYOND = 1.2  # mm by which an extension line goes past its size
FROM_LINE = 0.5  # mm between a line and the words on it
TICK, LONG_TICK = 1.0, 1.8  # mm
Strokes = tuple[tuple[Mark, ...], tuple[Label, ...]]
STEPS = (10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0)


def arrow_tip(at: Point, way: Point, ink: Ink) -> Path:
    """Return a filled tip whose point is `at` and which points along `way`, a vector of length 1."""
    (x, y), (dx, dy) = at, way
    back = x - dx * TIP_LENGTH, y - dy * TIP_LENGTH
    half = TIP_WIDTH / 2
    ring = (at, (back[0] - dy * half, back[1] + dx * half), (back[0] + dy * half, back[1] - dx * half))
    return Path(ring, closed=True, line_width=0.0, fill=ink)


def arrow(start: Point, end: Point, ink: Ink, width: float = MEDIUM) -> tuple[Path, ...]:
    """Return a line with a tip at its end."""
    long = distance(start, end)
    way = (end[0] - start[0]) / long, (end[1] - start[1]) / long
    neck = end[0] - way[0] * TIP_LENGTH, end[1] - way[1] * TIP_LENGTH
    return Path((start, neck), line_width=width, ink=ink), arrow_tip(end, way, ink)


def width_size(x0: float, x1: float, y: float, words: str, ink: Ink) -> tuple[tuple[Mark, ...], Label]:
    """Return a size between two upright lines: arrows at both ends, words over the middle."""
    lines = (Words(words, TEXT, ink=ink),)
    width, height = lines_size(lines)
    middle = (x0 + x1) / 2
    label = Label(lines, (middle - width / 2, y + FROM_LINE, middle + width / 2, y + FROM_LINE + height))
    return tuple(_between((x0, y), (x1, y), ink)), label


def height_size(y0: float, y1: float, x: float, words: str, ink: Ink) -> tuple[tuple[Mark, ...], Label]:
    """Return a size between two level lines: arrows at both ends, words right of the middle."""
    lines = (Words(words, TEXT, ink=ink),)
    width, height = lines_size(lines)
    middle = (y0 + y1) / 2
    label = Label(lines, (x + FROM_LINE, middle - height / 2, x + FROM_LINE + width, middle + height / 2), "start")
    return tuple(_between((x, y0), (x, y1), ink)), label


def _between(start: Point, end: Point, ink: Ink) -> Iterator[Mark]:
    """A line with tips at both ends; where there is no room for them, they stand outside and point inwards."""
    long = distance(start, end)
    way = ((end[0] - start[0]) / long, (end[1] - start[1]) / long) if long else (1.0, 0.0)
    inside = long > 3 * TIP_LENGTH
    out = 1.0 if inside else -1.0
    yield Path((start, end), line_width=THIN, ink=ink)
    yield arrow_tip(start, (-way[0] * out, -way[1] * out), ink)
    yield arrow_tip(end, (way[0] * out, way[1] * out), ink)


def ruler_step(scale: float, apart: float = 9.0) -> float:
    """Return the step in mm of the panel between the numbers of a ruler: the finest with `apart` mm between two."""
    return next((step for step in STEPS if step * scale >= apart), STEPS[-1])


def lying_ruler(ends: Point, scale: float, y: float, step: float, ink: Ink, times: int = 1) -> Strokes:
    """Return a ruler under the drawing from one x to another (mm of the panel): ticks below its line, numbers.

    The numbers are `times` (1 or -1) those of the places.
    """
    marks: list[Mark] = [Path(((ends[0] * scale, y), (ends[1] * scale, y)), line_width=THIN, ink=ink)]
    labels = []
    for value, is_numbered in _ticks(ends, step):
        x = value * scale
        low = y - (LONG_TICK if is_numbered else TICK)
        marks.append(Path(((x, y), (x, low)), line_width=THIN if is_numbered else FINE, ink=ink))
        if is_numbered:
            lines = (Words(_whole(times * value), SMALL, ink=ink),)
            width, height = lines_size(lines)
            labels.append(Label(lines, (x - width / 2, low - height, x + width / 2, low)))
    return tuple(marks), tuple(labels)


def standing_ruler(ends: Point, scale: float, x: float, step: float, ink: Ink) -> Strokes:
    """Return a ruler beside the drawing from one y to another (mm of the panel): ticks left of its line, numbers."""
    marks: list[Mark] = [Path(((x, ends[0] * scale), (x, ends[1] * scale)), line_width=THIN, ink=ink)]
    labels = []
    for value, is_numbered in _ticks(ends, step):
        y = value * scale
        left = x - (LONG_TICK if is_numbered else TICK)
        marks.append(Path(((x, y), (left, y)), line_width=THIN if is_numbered else FINE, ink=ink))
        if is_numbered:
            lines = (Words(_whole(value), SMALL, ink=ink),)
            width, height = lines_size(lines)
            labels.append(Label(lines, (left - width, y - height / 2, left, y + height / 2), "end"))
    return tuple(marks), tuple(labels)


def _ticks(ends: Point, step: float) -> Iterator[tuple[float, bool]]:
    """Every place of a tick in mm, and whether it has a number: each fifth has."""
    fine = step / 5
    for count in range(math.ceil(ends[0] / fine - 1e-9), math.floor(ends[1] / fine + 1e-9) + 1):
        yield count * fine, count % 5 == 0


def _whole(value: float) -> str:
    """A number of mm with a true minus sign."""
    return f"{value:.0f}".replace("-0", "0") if abs(value) < 0.5 else f"{value:.0f}".replace("-", "−")


def odd_marks(at: Point, radius: float, ground: Ink) -> tuple[Mark, ...]:
    """Return the mark of what is odd: a square on its corner around a hole, its ground yellow."""
    x, y = at
    reach = radius * math.sqrt(2.0)
    ring = ((x - reach, y), (x, y - reach), (x + reach, y), (x, y + reach))
    return (Path(ring, closed=True, line_width=MEDIUM, fill=ground),)


def origin_marks(at: Point, reach: float, ink: Ink) -> tuple[Mark, ...]:
    """Return the origin of a panel's frame: a small ring, an arrow to the right and one up."""
    x, y = at
    return (
        *arrow((x, y), (x + reach, y), ink, MEDIUM),
        *arrow((x, y), (x, y + reach), ink, MEDIUM),
        Circle(at, 1.8, MEDIUM, ink=ink, fill=1.0),
    )


def box_around(labels: Sequence[Label], marks: Sequence[Mark]) -> Box:
    """Return the box around labels and marks, mm."""
    corners = [corner for label in labels for corner in (label.box[:2], label.box[2:])]
    for mark in marks:
        if isinstance(mark, Circle):
            (x, y), radius = mark.centre, mark.diameter / 2
            corners += [(x - radius, y - radius), (x + radius, y + radius)]
        else:
            corners += mark.points
    return bounds(corners)
