"""Straight cuts at the corners of a board, at most two a corner, and what they lose.

In: a convex region and a box in it. Out: cuts. Apart because it is exact geometry, while where the box should lie is a
search. All rings are convex, counter-clockwise, shape (points, 2), mm.

In a convex region the cuts that lose the least start and end where the box's edges enter the region: the area that two
cuts take, (leg_x * v + leg_y * u) / 2 for a knee at (u, v) from the corner, grows with both legs. The best knee is then
the region's point farthest beyond the chord between the entries. For an arc of radius r against both walls: legs r for
one cut, r * r / 2 lost; a knee at r(1 - 1/sqrt 2) from both walls for two. (Plane geometry.)
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from boardmaker.geometry import Point, Ring

Floats = NDArray[np.float64]
Box = tuple[float, float, float, float]  # x0, y0, x1, y1

CORNERS = ("lower left", "lower right", "upper right", "upper left")
MOST_CUTS = 2  # at a corner
WORTH_A_CUT = 300.0  # mm² of board that a second cut at a corner must save …
WORTH_A_SHARE = 0.0012  # … or this share of the board, on a small one
TOUCH = 1e-6  # mm by which a board may lie on the region's edge
SAFE = 1e-4  # mm: a leg that is longer than a whole step by less than this is rounding


@dataclass(frozen=True)
class CornerCut:
    """A straight cut at a corner: its legs along the two edges, mm."""

    corner: str
    along_x: float
    along_y: float


@dataclass(frozen=True)
class Entry:
    """How far from a corner the region begins along both edges, mm; and the knee of the two cuts that lose least."""

    leg_x: float
    leg_y: float
    knee: Point  # from the corner, along both edges inwards

    @property
    def lost_by_one(self) -> float:
        """What a single cut takes away, mm²."""
        return self.leg_x * self.leg_y / 2

    @property
    def lost_by_two(self) -> float:
        """What two cuts take away, mm²."""
        return (self.leg_x * self.knee[1] + self.leg_y * self.knee[0]) / 2


def corner_of(stock: Point, corner: str) -> tuple[Point, Point]:
    """Return a corner's place and the directions that lead from it along the edges."""
    right, upper = corner.endswith("right"), corner.startswith("upper")
    return (stock[0] * right, stock[1] * upper), (-1.0 if right else 1.0, -1.0 if upper else 1.0)


def entries(ring: Floats, box: Box) -> tuple[Entry, ...] | None:
    """Return the entry at each corner of the box, in the order of `CORNERS`; None where an edge misses the region."""
    x0, y0, x1, y1 = box
    x, y = ring[:, 0], ring[:, 1]
    width, height = _reach(x), _reach(y)
    low, high = _crossing(y, x, height, y0), _crossing(y, x, height, y1)
    left, right = _crossing(x, y, width, x0), _crossing(x, y, width, x1)
    if low is None or high is None or left is None or right is None:
        return None
    gaps = (
        (x0, y0, 1.0, 1.0, low[0] - x0, left[0] - y0),
        (x1, y0, -1.0, 1.0, x1 - low[1], right[0] - y0),
        (x1, y1, -1.0, -1.0, x1 - high[1], y1 - right[1]),
        (x0, y1, 1.0, -1.0, high[0] - x0, y1 - left[1]),
    )
    if any(gap[4] > x1 - x0 or gap[5] > y1 - y0 for gap in gaps):
        return None
    return tuple(_entry(ring, *gap) for gap in gaps)


def _reach(values: Floats) -> Point:
    return float(np.minimum.reduce(values)), float(np.maximum.reduce(values))


def _crossing(column: Floats, other: Floats, reach: Point, value: float) -> Point | None:
    """Where the line on which a coordinate is `value` enters and leaves the ring, by the other one; None: nowhere."""
    low, high = reach
    if not low - TOUCH <= value <= high + TOUCH:
        return None
    # A line along an outermost side is looked at from just inside, where it has two ends.
    off = column - min(max(value, low + TOUCH / 2), high - TOUCH / 2)
    before = off <= 0.0
    crossed = (before[1:] != before[:-1]).nonzero()[0].tolist()
    if before[-1] != before[0]:
        crossed.append(-1)
    met = [_met(off.item(at), off.item(at + 1), other.item(at), other.item(at + 1)) for at in crossed]
    return (min(met), max(met)) if met else None


def _met(off: float, next_off: float, start: float, end: float) -> float:
    """The coordinate along a line where a side meets it, which lies at distances on either side of it."""
    return start + off / (off - next_off) * (end - start)


def _entry(ring: Floats, x: float, y: float, x_sign: float, y_sign: float, leg_x: float, leg_y: float) -> Entry:
    if leg_x <= TOUCH or leg_y <= TOUCH:
        return Entry(max(0.0, leg_x), max(0.0, leg_y), (0.0, 0.0))
    along, across = x_sign * (ring[:, 0] - x), y_sign * (ring[:, 1] - y)
    takes = np.where((along >= 0.0) & (across >= 0.0), leg_x * across + leg_y * along, np.inf)
    best = int(takes.argmin())
    if takes[best] >= leg_x * leg_y:
        return Entry(leg_x, leg_y, (leg_x / 2, leg_y / 2))  # nothing lies beyond the chord
    return Entry(leg_x, leg_y, (float(along[best]), float(across[best])))


def kept_area(ring: Floats, box: Box, most_cuts: int = MOST_CUTS) -> float:
    """Return the area of the best board in this box, mm²; below 0, by what is cut off, where no cuts help."""
    found = entries(ring, box)
    width, height = box[2] - box[0], box[3] - box[1]
    if found is None or width <= 0.0 or height <= 0.0:
        return -1.0
    if most_cuts == 0:
        outside = math.fsum(one.leg_x + one.leg_y for one in found)
        return width * height if outside <= TOUCH else -outside
    return width * height - math.fsum(one.lost_by_two if most_cuts > 1 else one.lost_by_one for one in found)


def least_cuts(ring: Floats, box: Box, step: float, most_cuts: int = MOST_CUTS) -> tuple[CornerCut, ...] | None:
    """Return the cuts that bring the box inside, legs rounded up to whole steps; None where none do.

    Longer legs take away more, so rounding up is the safe side. `step` 0 leaves the legs as they are.
    """
    found = entries(ring, box)
    if found is None:
        return None
    worth = min(WORTH_A_CUT, WORTH_A_SHARE * (box[2] - box[0]) * (box[3] - box[1]))
    return tuple(
        CornerCut(corner, rounded_up(along_x, step), rounded_up(along_y, step))
        for corner, entry in zip(CORNERS, found, strict=True)
        for along_x, along_y in _legs(entry, worth if most_cuts > 1 else math.inf)
    )


def _legs(entry: Entry, worth: float) -> Iterator[tuple[float, float]]:
    if entry.leg_x <= TOUCH or entry.leg_y <= TOUCH:
        return
    if entry.lost_by_one - entry.lost_by_two < worth:
        yield entry.leg_x, entry.leg_y
        return
    knee_x, knee_y = entry.knee
    yield entry.leg_x, _intercept(entry.leg_x, knee_x, knee_y)
    yield _intercept(entry.leg_y, knee_y, knee_x), entry.leg_y


def _intercept(leg: float, along: float, across: float) -> float:
    """Where the line from (leg, 0) through (along, across) meets the other edge."""
    return across * leg / (leg - along)


def rounded_up(length: float, step: float) -> float:
    """Return the next whole number of steps."""
    return length if step <= 0.0 else math.ceil((length - SAFE) / step) * step


def rounded_down(length: float, step: float) -> float:
    """Return the whole number of steps that is no longer."""
    return length if step <= 0.0 else math.floor((length + SAFE) / step) * step


def apply_cuts(stock: Point, cuts: Sequence[CornerCut]) -> Polygon | None:
    """Return the stock without its cut corners; None where the cuts leave no single board."""
    board = shapely.box(0.0, 0.0, *stock)
    for cut in cuts:
        board = board.difference(Polygon(cut_triangle(stock, cut)))
    return board.simplify(0.0) if isinstance(board, Polygon) and board.area > 0.0 else None


def cut_triangle(stock: Point, cut: CornerCut) -> Ring:
    """Return the corner that a cut takes away."""
    (x, y), (x_sign, y_sign) = corner_of(stock, cut.corner)
    return (x, y), (x + x_sign * cut.along_x, y), (x, y + y_sign * cut.along_y)
