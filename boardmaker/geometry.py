"""Plane geometry that several stages share: points, rings, quarter turns, circles for collision.

Millimetres, y up, counter-clockwise. Polygons made from circles err outward: they are for collision, never for drawing.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from boardmaker.fixed_order import direction

Point = tuple[float, float]
Ring = tuple[Point, ...]

_TURNS = {0: (1, 0), 90: (0, 1), 180: (-1, 0), 270: (0, -1)}  # exact cosine and sine


def turn_point(point: Point, turn_deg: int) -> Point:
    """Turn a point about the origin by a whole number of quarter turns, exactly."""
    cosine, sine = _TURNS[turn_deg % 360]
    return point[0] * cosine - point[1] * sine, point[0] * sine + point[1] * cosine


def turn_ring(ring: Iterable[Point], turn_deg: int) -> Ring:
    """Turn every point about the origin by a whole number of quarter turns, exactly."""
    cosine, sine = _TURNS[turn_deg % 360]
    return tuple((x * cosine - y * sine, x * sine + y * cosine) for x, y in ring)


def shift_point(point: Point, by: Point) -> Point:
    """Move a point."""
    return point[0] + by[0], point[1] + by[1]


def shift_ring(ring: Iterable[Point], by: Point) -> Ring:
    """Move every point."""
    across, up = by
    return tuple((x + across, y + up) for x, y in ring)


def scale_ring(ring: Iterable[Point], scale: float) -> Ring:
    """Scale every point about the origin."""
    return tuple((x * scale, y * scale) for x, y in ring)


def box_ring(x0: float, y0: float, x1: float, y1: float) -> Ring:
    """Return the rectangle as a counter-clockwise ring."""
    return (x0, y0), (x1, y0), (x1, y1), (x0, y1)


def bounds(points: Iterable[Point]) -> tuple[float, float, float, float]:
    """Return x0, y0, x1, y1 of some points."""
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def circle_around(centre: Point, radius: float, sides: int = 24) -> Polygon:
    """Return a polygon that contains the circle (its sides touch it)."""
    reach = radius / direction(math.pi / sides)[0]
    ways = [direction(2 * math.pi / sides * i) for i in range(sides)]
    return Polygon([(centre[0] + reach * x, centre[1] + reach * y) for x, y in ways])


def ring_of(polygon: Polygon) -> Ring:
    """Return a polygon's exterior as a counter-clockwise ring, first point not repeated."""
    return tuple((float(x), float(y)) for x, y in orient(polygon).exterior.coords[:-1])


def filled(shape: BaseGeometry) -> Polygon:
    """Return one polygon without holes that contains the shape; parts that lie apart are tied by the shortest way."""
    parts = [Polygon(part.exterior) for part in getattr(shape, "geoms", [shape]) if isinstance(part, Polygon)]
    whole = shapely.union_all(parts)
    while whole.geom_type != "Polygon":
        whole = _tie_two_parts(whole)
    return Polygon(whole.exterior)


def _tie_two_parts(shape: BaseGeometry) -> BaseGeometry:
    first, *others = sorted(shape.geoms, key=lambda part: -part.area)
    nearest = min(others, key=first.distance)
    tie = shapely.shortest_line(first, nearest).buffer(0.4, quad_segs=2)
    return shapely.union_all([shape, tie, *(Polygon(part.exterior) for part in shape.geoms)])


def distance(a: Point, b: Point) -> float:
    """Return the distance of two points."""
    across, up = a[0] - b[0], a[1] - b[1]
    return math.sqrt(across * across + up * up)


def distance_to_segment(point: Point, start: Point, end: Point) -> float:
    """Return the distance of a point from the segment."""
    return distance(point, nearest_on_segment(point, start, end))


def nearest_on_segment(point: Point, start: Point, end: Point) -> Point:
    """Return the point of the segment that is nearest."""
    run = (end[0] - start[0], end[1] - start[1])
    length2 = run[0] * run[0] + run[1] * run[1]
    if length2 == 0.0:
        return start
    share = ((point[0] - start[0]) * run[0] + (point[1] - start[1]) * run[1]) / length2
    share = min(1.0, max(0.0, share))
    return start[0] + share * run[0], start[1] + share * run[1]


def segments_cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Say whether segments a-b and c-d cross in their insides."""
    return _side(a, b, c) * _side(a, b, d) < 0 and _side(c, d, a) * _side(c, d, b) < 0


def _side(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
