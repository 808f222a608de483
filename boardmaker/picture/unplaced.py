"""Holes whose distances do not meet: an arc for each distance, around the hole that it is measured from.

In: what the file says of them, mm of the panel; the part that is drawn. Out: marks in mm of the picture. Apart from
`panel_things` because what is there has a place. No sine: a bow is turned by one small, fixed step after the other, so
that it comes out alike on every machine.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby, pairwise

from boardmaker.display_list import Path
from boardmaker.geometry import Point, distance
from boardmaker.model import UnplacedHole
from boardmaker.picture.look import FINE, THIN
from boardmaker.typeset.label import Box

COS, SIN = 0.9986295347545738, 0.052335956242943835  # of 3 degrees
STEPS = 10  # of these on both sides of the way to the hole
DASH = (1.2, 0.8)


def unplaced_lines(unplaced: Sequence[UnplacedHole], reach: Box, scale: float) -> Iterator[tuple[Point, Point]]:
    """Yield every piece of what `unplaced_marks` draws, for labels to keep clear of."""
    for mark in unplaced_marks(unplaced, reach, scale):
        yield from pairwise(mark.points)


def unplaced_marks(unplaced: Sequence[UnplacedHole], reach: Box, scale: float) -> Iterator[Path]:
    """Yield for each distance its arc, as far as that lies in what is drawn, and a line from where it is measured."""
    for one in unplaced:
        for middle, far in one.circles if one.near else ():
            bow = _bow(middle, far, one.near or middle)
            yield from (Path(run, line_width=THIN, dash=DASH) for run in _runs(bow, reach, scale))
            if _is_within(bow[STEPS], reach):
                yield Path((_times(middle, scale), _times(bow[STEPS], scale)), line_width=FINE, dash=DASH)


def _bow(middle: Point, far: float, near: Point) -> tuple[Point, ...]:
    """Points of the circle, on both sides of the way to `near`."""
    apart = distance(middle, near)
    way = ((near[0] - middle[0]) / apart, (near[1] - middle[1]) / apart) if apart > 0.0 else (1.0, 0.0)
    ways = [*reversed([*_turned(way, -SIN)]), way, *_turned(way, SIN)]
    return tuple((middle[0] + x * far, middle[1] + y * far) for x, y in ways)


def _turned(way: Point, sine: float) -> Iterator[Point]:
    for _ in range(STEPS):
        way = way[0] * COS - way[1] * sine, way[0] * sine + way[1] * COS
        yield way


def _runs(bow: Sequence[Point], reach: Box, scale: float) -> Iterator[tuple[Point, ...]]:
    """The parts of a bow that are drawn."""
    for is_drawn, run in groupby(bow, key=lambda at: _is_within(at, reach)):
        points = tuple(_times(at, scale) for at in run)
        if is_drawn and len(points) > 1:
            yield points


def _is_within(at: Point, reach: Box) -> bool:
    return reach[0] <= at[0] <= reach[2] and reach[1] <= at[1] <= reach[3]


def _times(at: Point, scale: float) -> Point:
    return at[0] * scale, at[1] * scale
