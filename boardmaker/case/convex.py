"""The convex parts of a region: every way past what stands in it.

A board with straight corner cuts is convex, so a straight line separates it from each lock or hinge. Each choice of
lines, one for each obstacle, leaves a convex part of the region; the best of them is looked for here.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from boardmaker.case.cuts import Floats

LEAST_AREA = 60.0 * 60.0  # mm²; a smaller part holds no board
_ANGLES = tuple(float(angle) for angle in range(0, 360, 15))  # degrees, of the lines past an obstacle
_MOST_WAYS = (24, 24, 8, 5)  # past each obstacle, by their number: more would take for ever and win nothing
_MOST_CUTS = 3200  # all ways past up to five obstacles; past more, only the roomiest parts are cut further
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
    """Choices of line directions, one for each obstacle, largest parts first; of many obstacles not all choices."""
    if not obstacles:
        return ((),)
    most = _MOST_WAYS[min(len(obstacles), len(_MOST_WAYS)) - 1]
    single = [_best_angles(hull, obstacle, most if len(obstacles) < 5 else 3) for obstacle in obstacles]
    kept = max(_LEAST_KEPT, _MOST_CUTS // len(obstacles))
    ways: list[tuple[float, tuple[float, ...], Floats]] = [(area_of(hull), (), hull)]
    for obstacle, angles in zip(obstacles, single, strict=True):
        ways = [
            (area_of(part), (*way, angle), part)
            for _, way, before in ways
            for angle in angles
            for part in [part_for(before, (obstacle,), (angle,))]
        ]
        ways.sort(key=lambda one: (-one[0], one[1]))
        ways = [one for one in ways[:kept] if one[0] > LEAST_AREA]
    return tuple(way for _, way, _ in ways)


def _best_angles(hull: Floats, obstacle: Floats, most: int) -> tuple[float, ...]:
    areas = [(area_of(part_for(hull, (obstacle,), (angle,))), angle) for angle in _ANGLES]
    areas.sort(key=lambda one: (-one[0], one[1]))
    return tuple(angle for _, angle in areas[:most])


def part_for(hull: Floats, obstacles: Sequence[Floats], angles: Sequence[float]) -> Floats:
    """Return the part of the hull on this side of a line past each obstacle; `angles` in degrees point at them."""
    part = hull
    for obstacle, angle in zip(obstacles, angles, strict=True):
        normal = np.array([np.cos(np.radians(angle)), np.sin(np.radians(angle))])
        part = _cut_off(part, normal, float((obstacle @ normal).min()))
    return part


def _cut_off(ring: Floats, normal: Floats, offset: float) -> Floats:
    """The part of a convex ring where `normal @ point <= offset`."""
    beyond = ring @ normal - offset if len(ring) else np.zeros(0)
    if not len(ring) or beyond.max() <= 0.0:
        return ring
    after, next_beyond = np.roll(ring, -1, axis=0), np.roll(beyond, -1)
    points: list[Floats] = []
    for point, following, off, next_off in zip(ring, after, beyond, next_beyond, strict=True):
        if off <= 0.0:
            points.append(point)
        if (off <= 0.0) != (next_off <= 0.0):
            points.append(point + off / (off - next_off) * (following - point))
    return np.array(points, dtype=np.float64).reshape(-1, 2)


def area_of(ring: Floats) -> float:
    """Return the area of a ring, mm²; 0 for less than three points."""
    if len(ring) < 3:
        return 0.0
    x, y = ring[:, 0], ring[:, 1]
    return float(abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2)
