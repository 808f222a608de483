"""An outline as it must be: simple, with an area, counter-clockwise; or what is wrong with it.

In: points in mm as they were written or read. Out: a ring, or an OutlineError that names the place where it crosses.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

import shapely
from shapely import LinearRing, Polygon
from shapely.validation import explain_validity

from boardmaker.geometry import Point, Ring, ring_of
from boardmaker.inputs.values import LONGEST

MOST_POINTS = 2000  # more than these are simplified
LARGEST_RING = 5000  # points; an outline as people draw it has 20 to 2000, curves flattened
SIMPLIFY = "simplify the path in your drawing program"
MOST_NODED = 200  # points of a ring whose crossings are all looked for; of a larger one, the first that is met
FLATNESS = 0.1  # mm by which a chord may be off its curve
SAME_PLACE = 1e-9  # mm
LEAST_AREA = 1.0  # mm2
NO_AREA = "the outline has no area", "its points lie on one line"


class OutlineError(ValueError):
    """An outline that cannot be used: the message says what is wrong, `hint` how to mend it."""

    def __init__(self, message: str, hint: str = "") -> None:
        super().__init__(message)
        self.hint = hint


def simple_ring(points: Sequence[Point], most: int = MOST_POINTS) -> Ring:
    """The points as a counter-clockwise ring without repeats, simplified where there are more than `most`.

    Raises OutlineError.
    """
    if not all(math.isfinite(x) and math.isfinite(y) for x, y in points):
        raise OutlineError("the outline has a place that is no number")
    ring = [point for i, point in enumerate(points) if i == 0 or math.dist(point, points[i - 1]) > SAME_PLACE]
    if len(ring) > 1 and math.dist(ring[0], ring[-1]) <= SAME_PLACE:
        ring.pop()
    if any(abs(x) > LONGEST or abs(y) > LONGEST for x, y in ring):
        raise OutlineError(f"the outline is larger than {LONGEST / 1000:g} m", "check the units of the drawing")
    if len(ring) < 3:
        raise OutlineError("the outline needs three different points at least", "go round the panel, corner by corner")
    polygon = Polygon(ring)
    if not polygon.is_valid:
        raise OutlineError(*_crossing(ring, polygon))
    if polygon.area < LEAST_AREA:
        raise OutlineError(*NO_AREA)
    if len(ring) > most:
        polygon = polygon.simplify(FLATNESS)
    return ring_of(polygon)


def _crossing(ring: Sequence[Point], polygon: Polygon) -> tuple[str, str]:
    places = _crossing_points(ring) if len(ring) <= MOST_NODED else []
    if not places and polygon.area < LEAST_AREA:
        return NO_AREA
    if not places:  # it runs back along itself, or is large: n points may cross each other n²/2 times
        places = [(float(x), float(y)) for x, y in re.findall(r"\[(\S+) (\S+)\]", explain_validity(polygon))]
    at = " and ".join(f"[{x:.4g}, {y:.4g}]" for x, y in places[:3])
    return f"the outline crosses itself at {at}", "go round the panel once: two points may be in the wrong order"


def _crossing_points(ring: Sequence[Point]) -> list[Point]:
    """Where two sides that are no neighbours meet."""
    noded = shapely.unary_union(LinearRing(ring))
    corners = {(round(x, 6), round(y, 6)) for x, y in ring}
    nodes: dict[Point, int] = {}
    for line in getattr(noded, "geoms", [noded]):
        for x, y in (line.coords[0], line.coords[-1]):
            nodes[(x, y)] = nodes.get((x, y), 0) + 1
    return sorted(
        place for place, count in nodes.items() if count > 2 or (round(place[0], 6), round(place[1], 6)) not in corners
    )
