"""Where in a region, and at which turn, a board of a stock keeps the most area.

In: a region and the stock. Out: the box that the board is cut from, in a frame that is turned with it. A search from
many beginnings: the area that exact cuts leave (see `cuts`) is smooth but for kinks, has few maxima and no derivative.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

import numpy as np
from shapely.geometry.base import BaseGeometry

from boardmaker.case.convex import area_of, hull_and_obstacles, part_for, ways_past
from boardmaker.case.cuts import MOST_CUTS, Box, Floats, kept_area
from boardmaker.case.simplex import maximum
from boardmaker.fixed_order import along, direction
from boardmaker.geometry import Point

_SQUARE = 0.995  # of the best area is enough where the board then lies square to the walls
_TURNS = tuple(float(turn) for turn in range(0, 180, 6))  # degrees, looked at before the search
_SHARES = (1.0, 0.92, 0.82)  # of the largest box, looked at before the search
_SEARCHED = 4  # turned beginnings that are searched from, beside the two square ones
_PARTS = 8  # ways past obstacles that are searched square to the walls, the most promising first
_TURNED_PARTS = 2  # of these are searched at other turns too
_SNAP = 0.02  # mm from the region's bounds: a board is meant to lie against the wall
_WHOLE = 1e-9  # of the stock's area: nothing is lost


@dataclass(frozen=True, eq=False)
class StockPlace:
    """A box in a convex part of the region, both turned back by `turn_deg` about the origin; `area` is kept, mm²."""

    turn_deg: float
    box: Box
    ring: Floats
    area: float


def best_spots(region: BaseGeometry, stock: Point, most_cuts: int = MOST_CUTS) -> tuple[StockPlace, ...]:
    """Return the places for a board of at most this stock, the best first; boards square to the walls are preferred.

    Before legs are rounded, the first loses hardly more area than can be (see the tests' brute force).
    """
    parts = sorted(_parts(region, stock), key=lambda one: -one.rough)
    found: list[tuple[StockPlace, _ConvexPart]] = []
    for part in islice(parts, _PARTS):
        if min(area_of(part.ring), stock[0] * stock[1]) > _most(found):
            found += [(spot, part) for turn in (0.0, 90.0) for spot in _square(part.ring, turn, stock, most_cuts)]
    found.sort(key=lambda one: -one[0].area)
    whole = stock[0] * stock[1] * (1 - _WHOLE)
    if found and _most(found) < whole:
        first = list(dict.fromkeys(part for _, part in found))[:_TURNED_PARTS]
        found += [(spot, part) for part in first for spot in _turned(part.ring, stock, most_cuts)]
        found.sort(key=lambda one: -one[0].area)
        found[:1] = [(_refined(found[0][1], found[0][0], stock, most_cuts), found[0][1])]
    return _preferred([spot for spot, _ in found if spot.area > 0.0])


def _most(found: Sequence[tuple[StockPlace, _ConvexPart]]) -> float:
    return max((spot.area for spot, _ in found), default=0.0)


@dataclass(frozen=True, eq=False)
class _ConvexPart:
    """A convex part of the region, the choice that made it, and a first look at what it holds, mm²."""

    hull: Floats
    obstacles: tuple[Floats, ...]
    angles: tuple[float, ...]
    ring: Floats
    rough: float


def _parts(region: BaseGeometry, stock: Point) -> Iterator[_ConvexPart]:
    for hull, obstacles in hull_and_obstacles(region):
        for angles in ways_past(hull, obstacles):
            ring = part_for(hull, obstacles, angles)
            rough = max(kept_area(turned, box) for turned, box in _square_looks(ring, stock))
            yield _ConvexPart(hull, obstacles, angles, ring, rough)


def _square_looks(ring: Floats, stock: Point) -> Iterator[tuple[Floats, Box]]:
    for turn in (0.0, 90.0):
        turned = turned_back(ring, turn)
        yield from ((turned, box) for box in _boxes(turned, stock))


def turned_back(ring: Floats, turn_deg: float) -> Floats:
    """Return the ring turned by -`turn_deg` about the origin: the region as a board at that turn sees it."""
    cosine, sine = direction(math.radians(turn_deg))  # exact where nothing is askew
    return along(ring, np.array([[cosine, sine], [-sine, cosine]]))


def _boxes(ring: Floats, stock: Point) -> Iterator[Box]:
    """Boxes to begin from: the largest and smaller ones, in the middle and towards the sides."""
    low, high = ring.min(axis=0), ring.max(axis=0)
    largest = np.minimum(stock, high - low)
    for share in _SHARES:
        size = largest * share
        for x_share, y_share in ((0.5, 0.5), (0.0, 0.5), (1.0, 0.5), (0.5, 0.0), (0.5, 1.0)):
            corner = low + (high - low - size) * (x_share, y_share)
            yield float(corner[0]), float(corner[1]), float(corner[0] + size[0]), float(corner[1] + size[1])


def _square(ring: Floats, turn: float, stock: Point, most_cuts: int) -> Iterator[StockPlace]:
    """The largest box, which lies against the walls or is the whole stock, and the best one."""
    turned = turned_back(ring, turn)
    box = next(_boxes(turned, stock))
    yield StockPlace(turn, box, turned, kept_area(turned, box, most_cuts))
    yield _climbed(ring, turn, stock, most_cuts)


def _turned(ring: Floats, stock: Point, most_cuts: int) -> Iterator[StockPlace]:
    """The best places at the most promising of other turns."""
    looks = sorted(_TURNS, key=lambda turn: (-_look(turned_back(ring, turn), stock, most_cuts), turn))
    for turn in looks[:_SEARCHED]:
        yield _turned_climb(ring, turn, stock, most_cuts)


def _look(ring: Floats, stock: Point, most_cuts: int) -> float:
    return max(kept_area(ring, box, most_cuts) for box in _boxes(ring, stock))


def _climbed(ring: Floats, turn: float, stock: Point, most_cuts: int) -> StockPlace:
    """The best box at one turn, from the best of the beginnings."""
    turned = turned_back(ring, turn)
    begin = max(_boxes(turned, stock), key=lambda box: kept_area(turned, box, most_cuts))
    if kept_area(turned, begin, most_cuts) >= stock[0] * stock[1] * (1 - _WHOLE):
        return StockPlace(turn, begin, turned, stock[0] * stock[1])  # nothing is lost, and it lies in the middle

    def kept(values: Floats) -> float:
        return kept_area(turned, _box_from(values, turned, stock), most_cuts)

    values = maximum(kept, [*begin], [6.0, 6.0, -6.0, -6.0])
    box = _box_from(values, turned, stock)
    return StockPlace(turn, box, turned, kept_area(turned, box, most_cuts))


def _turned_climb(ring: Floats, turn: float, stock: Point, most_cuts: int) -> StockPlace:
    """The best box at any turn near this one; the turn then rounded to what can be set by hand."""
    turned = turned_back(ring, turn)
    begin = max(_boxes(turned, stock), key=lambda box: kept_area(turned, box, most_cuts))

    def kept(values: Floats) -> float:
        here = turned_back(turned, values[4])
        return kept_area(here, _box_from(values, here, stock), most_cuts)

    values = maximum(kept, [*begin, 0.0], [6.0, 6.0, -6.0, -6.0, 2.0])
    fine = round(turn + float(values[4]), 1) % 180.0
    here = turned_back(ring, fine)
    rounded = maximum(lambda v: kept_area(here, _box_from(v, here, stock), most_cuts), [*values[:4]], [1.0] * 4)
    box = _box_from(rounded, here, stock)
    return StockPlace(fine, box, here, kept_area(here, box, most_cuts))


def _refined(part: _ConvexPart, spot: StockPlace, stock: Point, most_cuts: int) -> StockPlace:
    """The lines past the obstacles turned a little, together with the box, where that keeps more."""
    if not part.angles or spot.area >= stock[0] * stock[1] * (1 - _WHOLE):
        return spot

    def ring_of(values: Floats) -> Floats:
        return turned_back(part_for(part.hull, part.obstacles, tuple(values[4:])), spot.turn_deg)

    def kept(values: Floats) -> float:
        ring = ring_of(values)
        return kept_area(ring, _box_from(values, ring, stock), most_cuts) if len(ring) else -1.0

    values = maximum(kept, [*spot.box, *part.angles], [3.0, 3.0, -3.0, -3.0, *[4.0] * len(part.angles)])
    ring = ring_of(values)
    found = StockPlace(spot.turn_deg, _box_from(values, ring, stock), ring, kept(values))
    return found if found.area > spot.area else spot


def _box_from(values: Sequence[float] | Floats, ring: Floats, stock: Point) -> Box:
    """The box of these values, brought within the ring's bounds and the stock's size."""
    low, high = np.minimum.reduce(ring), np.maximum.reduce(ring)
    x0, x1 = _side(values[0], values[2], low[0], high[0], stock[0])
    y0, y1 = _side(values[1], values[3], low[1], high[1], stock[1])
    return x0, y0, x1, y1


def _side(start: float, end: float, low: float, high: float, longest: float) -> tuple[float, float]:
    start, end = max(float(low), float(start)), min(float(high), float(end))
    over = max(0.0, end - start - longest)
    start += over / 2
    start = float(low) if start - low < _SNAP else start
    end = float(high) if high - end < _SNAP else end
    return start, min(end, start + longest)


def _preferred(spots: Sequence[StockPlace]) -> tuple[StockPlace, ...]:
    """By area; a board square to the walls comes first where it is as good as any: it does not rattle."""
    most = max((spot.area for spot in spots), default=0.0)

    def rank(spot: StockPlace) -> tuple[bool, bool, float]:
        near = spot.area >= _SQUARE * most and spot.turn_deg in (0.0, 90.0)
        return not near, not (near and spot.turn_deg == 0.0 and spot.area >= most * (1 - 1e-6)), -spot.area

    return tuple(sorted(spots, key=rank))
