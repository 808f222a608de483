"""A smooth closed curve through measured points.

Centripetal Catmull-Rom (Yuksel, Schaefer and Keyser, "Parameterization and applications of Catmull-Rom curves",
Computer-Aided Design 43, 2011): it passes through every point and makes no loops within a segment.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from shapely import LinearRing, Polygon

from boardmaker.fixed_order import FINEST
from boardmaker.geometry import Point, Ring, ring_of
from boardmaker.inputs.simple_rings import FLATNESS, OutlineError

LARGEST_CURVE = 20_000  # points; at STEP from each other they go 120 m
STEP = 6.0  # mm from point to point where the curve is nearly straight
CORNER_ROUNDING = 0.08  # of the smaller side, where the curve would cross itself


def smooth_ring(ring: Sequence[Point]) -> Ring:
    """Return a closed curve through the points, flattened; corners rounded instead where it would cross itself.

    Raises OutlineError for a curve of more than LARGEST_CURVE points.
    """
    curve: list[Point] = []
    for i in range(len(ring)):
        curve += _segment(ring[i - 1], ring[i], ring[(i + 1) % len(ring)], ring[(i + 2) % len(ring)])
        if len(curve) > LARGEST_CURVE:
            message = f"the rounded outline has more than {LARGEST_CURVE} points"
            raise OutlineError(message, "check the units of the drawing, or take `smooth` out")
    return tuple(curve) if LinearRing(curve).is_simple else _rounded_corners(ring)


def _segment(before: Point, start: Point, end: Point, after: Point) -> list[Point]:
    """Points from `start` up to but not including `end` (Barry and Goldman's pyramid)."""
    knots = [0.0]
    for a, b in ((before, start), (start, end), (end, after)):
        knots.append(knots[-1] + math.sqrt(math.dist(a, b)))
    points = (before, start, end, after)

    def at(share: float) -> Point:
        return _on_curve(points, knots, knots[1] + (knots[2] - knots[1]) * share)

    steps = max(math.ceil(math.dist(start, end) / STEP), _steps([at(third / 3) for third in range(4)]))
    return [start, *(at(step / steps) for step in range(1, steps))]


def _steps(thirds: Sequence[Point]) -> int:
    """How many chords keep within the flatness, from the curve's points at 0, 1/3, 2/3 and 1.

    A chord over 1/n is off by at most max|f''| / (8 n²). f is a cubic, so f'' is linear and largest at an end, and
    these four points give it exactly: f''(0) = 9 (2 f0 - 5 f1 + 4 f2 - f3).
    """
    bend = max(
        9 * math.hypot(*(2 * a - 5 * b + 4 * c - d for a, b, c, d in zip(*points, strict=True)))
        for points in (thirds, tuple(reversed(thirds)))
    )
    return max(2, math.ceil(math.sqrt(bend / (8 * FLATNESS))))


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
    if not isinstance(rounded, Polygon) or rounded.is_empty:
        return tuple(ring)
    return tuple((round(x, FINEST), round(y, FINEST)) for x, y in ring_of(rounded))  # it has arcs
