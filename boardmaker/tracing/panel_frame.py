"""The frame of a panel that is traced: [0, 0] at the lower left of its outline's box.

In: the outline's ring where it was drawn. Out: the outline in its frame, places in it, how far outside something lies.
"""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from shapely import LineString, Polygon
from shapely import Point as Spot

from boardmaker.fixed_order import FINEST
from boardmaker.geometry import Point, Ring, bounds
from boardmaker.tracing.lines import thinned


class PanelFrame:
    """One panel's frame; `ring` is its outline as drawn, simple and counter-clockwise."""

    def __init__(self, ring: Ring) -> None:
        self.x0, self.y0, _, _ = bounds(ring)
        self.polygon = Polygon(ring)
        shapely.prepare(self.polygon)
        self.outline = tuple(self.place(point) for point in thinned(ring))

    def place(self, point: Point) -> Point:
        """Return a place of the drawing in the panel's frame, mm."""
        return round(point[0] - self.x0, FINEST) + 0.0, round(point[1] - self.y0, FINEST) + 0.0

    def outside(self, point: Point) -> float:
        """Return how far a place of the drawing lies outside of the outline, mm; nought within it."""
        return float(self.polygon.distance(Spot(point)))

    def holds_line(self, points: Sequence[Point], spare: float) -> bool:
        """Say whether a line of the drawing lies within the outline, or outside by no more than `spare` mm."""
        return bool(self.polygon.covers(line := LineString(points)) or self.polygon.buffer(spare).covers(line))


def size_of(points: Sequence[Point]) -> str:
    """Return width and height of some points in words."""
    x0, y0, x1, y1 = bounds(points)
    return f"{x1 - x0:.1f} x {y1 - y0:.1f} mm"
