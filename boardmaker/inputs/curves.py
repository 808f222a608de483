"""A smooth closed curve through measured points.

Centripetal Catmull-Rom (Yuksel, Schaefer and Keyser, "Parameterization and applications of Catmull-Rom curves",
Computer-Aided Design 43, 2011): it passes through every point and makes no loops within a segment.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from shapely import LinearRing, Polygon

from boardmaker.geometry import Point, Ring, ring_of

STEP = 6.0  # mm between two points of the curve; at most 0.1 mm off where it bends with a radius of 50 mm
CORNER_ROUNDING = 0.08  # of the smaller side, where the curve would cross itself


def smooth_ring(ring: Sequence[Point]) -> Ring:
    """Return a closed curve through the points, flattened; corners rounded instead where it would cross itself."""
    curve = tuple(
        point
        for i in range(len(ring))
        for point in _segment(ring[i - 1], ring[i], ring[(i + 1) % len(ring)], ring[(i + 2) % len(ring)])
    )
    return curve if LinearRing(curve).is_simple else _rounded_corners(ring)


def _segment(before: Point, start: Point, end: Point, after: Point) -> list[Point]:
    """Points from `start` up to but not including `end` (Barry and Goldman's pyramid)."""
    knots = [0.0]
    for a, b in ((before, start), (start, end), (end, after)):
        knots.append(knots[-1] + math.sqrt(math.dist(a, b)))
    steps = max(2, math.ceil(math.dist(start, end) / STEP))
    return [
        _on_curve((before, start, end, after), knots, knots[1] + (knots[2] - knots[1]) * step / steps)
        for step in range(steps)
    ]


def _on_curve(points: Sequence[Point], knots: Sequence[float], at: float) -> Point:
    level = list(points)
    for span in (1, 2):
        level = [_between(level[i], level[i + 1], knots[i], knots[i + span], at) for i in range(len(level) - 1)]
    return _between(level[0], level[1], knots[1], knots[2], at)


def _between(a: Point, b: Point, start: float, end: float, at: float) -> Point:
    share = (at - start) / (end - start)
    return a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share


def _rounded_corners(ring: Sequence[Point]) -> Ring:
    polygon = Polygon(ring)
    x0, y0, x1, y1 = polygon.bounds
    radius = CORNER_ROUNDING * min(x1 - x0, y1 - y0)
    rounded = polygon.buffer(-radius).buffer(2 * radius).buffer(-radius)
    return ring_of(rounded) if isinstance(rounded, Polygon) and not rounded.is_empty else tuple(ring)
