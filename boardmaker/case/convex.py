"""The convex parts of a region: every way past what stands in it.

A board with straight corner cuts is convex, so a straight line separates it from each lock or hinge. Each choice of
lines, one for each obstacle, leaves a convex part of the region; the best of them is looked for here.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from boardmaker.case.cuts import Box, Floats
from boardmaker.fixed_order import along, direction, total

LEAST_AREA = 60.0 * 60.0 - 1.0  # mm², but for rounding; a smaller part holds no board
_ANGLES = tuple(float(angle) for angle in range(0, 360, 15))  # degrees, of the lines past an obstacle
_NORMALS = np.array([direction(math.radians(angle)) for angle in _ANGLES])
_MOST_WAYS = (24, 24, 8, 5, 3)  # past each obstacle, by their number: more would take for ever and win nothing
_ALL_WAYS = 5  # obstacles; past more, only the roomiest parts are cut further
_MOST_CUTS = 2400
_LANES = 40  # upright rectangles that are looked at, the largest first
_LEAST_KEPT = 8
_CRUMB = 1.0  # mm²; a smaller bay is none


def hull_and_obstacles(region: BaseGeometry) -> Iterator[tuple[Floats, tuple[Floats, ...]]]:
    """Each piece of the region as its convex hull, and what is missing from it as convex rings."""
    for piece in getattr(region, "geoms", [region]):
        if isinstance(piece, Polygon) and piece.area > LEAST_AREA:
            missing = piece.convex_hull.difference(piece)
            bays = [bay for bay in getattr(missing, "geoms", [missing]) if bay.area > _CRUMB]
            bays.sort(key=lambda bay: (-bay.area, bay.bounds))
            yield _ring(piece.convex_hull), tuple(_ring(bay.convex_hull) for bay in bays)


def _ring(polygon: Polygon) -> Floats:
    points = shapely.get_coordinates(shapely.orient_polygons(polygon).exterior)[:-1]
    return np.asarray(points, dtype=np.float64)


def ways_past(hull: Floats, obstacles: Sequence[Floats]) -> tuple[tuple[float, ...], ...]:
    """Choices of line directions, one for each obstacle, largest parts first; of many obstacles not all choices.

    The first part is never smaller than the largest upright rectangle between the obstacles.
    """
    if not obstacles:
        return ((),)
    ways = _roomiest(hull, obstacles)
    if len(obstacles) > _ALL_WAYS:
        lanes = sorted(_lanes(hull, obstacles), key=lambda lane: (-_area_between(lane), lane))[:_LANES]
        ways += [_beside(lane, obstacles) for lane in lanes]
    areas = {way: area_of(part_for(hull, obstacles, way)) for way in ways}
    return tuple(sorted((way for way in areas if areas[way] > LEAST_AREA), key=lambda way: (-areas[way], way)))


def _roomiest(hull: Floats, obstacles: Sequence[Floats]) -> list[tuple[float, ...]]:
    """Choices made for one obstacle after the other, those in the middle first; the roomiest go on."""
    most = _MOST_WAYS[min(len(obstacles), len(_MOST_WAYS)) - 1]
    kept = max(_LEAST_KEPT, _MOST_CUTS // len(obstacles))
    order = sorted(range(len(obstacles)), key=lambda number: _most_left(hull, obstacles[number]))
    ways: list[tuple[float, tuple[float, ...], Floats]] = [(area_of(hull), (), hull)]
    for number in order:
        ways = [
            (area_of(part), (*way, angle), part)
            for _, way, before in ways
            for angle in _best_angles(before, obstacles[number], most)
            for part in [part_for(before, (obstacles[number],), (angle,))]
        ]
        ways.sort(key=lambda one: (-one[0], one[1]))
        ways = [one for one in ways[:kept] if one[0] > LEAST_AREA]
    places = sorted(range(len(order)), key=order.__getitem__)
    return [tuple(way[place] for place in places) for _, way, _ in ways]


def _lanes(hull: Floats, obstacles: Sequence[Floats]) -> Iterator[Box]:
    """The upright rectangles that obstacles, or the hull's outermost points, bound on all four sides."""
    boxes = sorted((*ring.min(axis=0).tolist(), *ring.max(axis=0).tolist()) for ring in obstacles)
    (x_low, y_low), (x_high, y_high) = hull.min(axis=0).tolist(), hull.max(axis=0).tolist()
    for low in {y_low, *(box[3] for box in boxes)}:
        for high in {y_high, *(box[1] for box in boxes if box[1] > low)}:
            left = x_low
            for box in boxes:
                if box[3] > low and box[1] < high:
                    yield left, low, max(left, box[0]), high
                    left = max(left, box[2])
            yield left, low, max(left, x_high), max(low, high)


def _area_between(lane: Box) -> float:
    return (lane[2] - lane[0]) * (lane[3] - lane[1])


def _beside(lane: Box, obstacles: Sequence[Floats]) -> tuple[float, ...]:
    """The directions, square to the walls, in which obstacles lie from a rectangle."""
    x0, y0, x1, _ = lane
    return tuple(
        0.0
        if ring[:, 0].min() >= x1
        else 180.0
        if ring[:, 0].max() <= x0
        else 270.0
        if ring[:, 1].max() <= y0
        else 90.0
        for ring in obstacles
    )


def _most_left(part: Floats, obstacle: Floats) -> float:
    """What the best line past an obstacle leaves of a part, mm²: little for one in the middle."""
    return max(area_of(part_for(part, (obstacle,), (angle,))) for angle in _ANGLES)


def _best_angles(part: Floats, obstacle: Floats, most: int) -> tuple[float, ...]:
    """The angles past an obstacle that leave most of this part: which they are depends on what is cut off before.

    Where a line takes nothing away, no other one is worth a look.
    """
    free = np.flatnonzero(along(part, _NORMALS).max(axis=0) <= along(obstacle, _NORMALS).min(axis=0))
    if len(free):
        return (_ANGLES[free[0]],)
    areas = [(area_of(part_for(part, (obstacle,), (angle,))), angle) for angle in _ANGLES]
    areas.sort(key=lambda one: (-one[0], one[1]))
    return tuple(angle for _, angle in areas[:most])


def part_for(hull: Floats, obstacles: Sequence[Floats], angles: Sequence[float]) -> Floats:
    """Return the part of the hull on this side of a line past each obstacle; `angles` in degrees point at them."""
    part = hull
    for obstacle, angle in zip(obstacles, angles, strict=True):
        normal = np.array([direction(math.radians(angle))])
        part = _cut_off(part, normal, float(along(obstacle, normal).min()))
    return part


def _cut_off(ring: Floats, normal: Floats, offset: float) -> Floats:
    """The part of a convex ring that lies no farther than `offset` along a normal, (1, 2)."""
    beyond = along(ring, normal)[:, 0] - offset if len(ring) else np.zeros(0)
    if not len(ring) or beyond.max() <= 0.0:
        return ring
    kept = beyond <= 0.0
    crossed = np.flatnonzero(kept != np.roll(kept, -1))
    following = (crossed + 1) % len(ring)
    share = beyond[crossed] / (beyond[crossed] - beyond[following])
    met = ring[crossed] + share[:, None] * (ring[following] - ring[crossed])
    return np.insert(ring[kept], np.cumsum(kept)[crossed], met, axis=0)


def area_of(ring: Floats) -> float:
    """Return the area of a ring, mm²; 0 for less than three points."""
    if len(ring) < 3:
        return 0.0
    x, y = ring[:, 0], ring[:, 1]
    return abs(total(x * np.roll(y, -1)) - total(y * np.roll(x, -1))) / 2
