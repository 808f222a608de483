"""Where a panel stands on the bike: its reach along each axis, its shape as seen from its side, its twin across.

In: panels. Out: what is known; None where `on_bike` or the outline is missing. Apart from the checks because several
of them ask. A panel is drawn in a plane; how far it bends away from that is not in the file (`DEPTH`).
"""

from __future__ import annotations

from dataclasses import dataclass

from shapely import Polygon

from boardmaker.geometry import Point, Ring, bounds
from boardmaker.model import Bike, Hole, Panel, swap_words
from boardmaker.service.doubts.geometry.limits import DEPTH, HALF_WIDTH, PAST_MIDDLE
from boardmaker.service.removal.places import place_on_bike

Reach = tuple[float, float]


@dataclass(frozen=True)
class Standing:
    """From where to where a panel reaches: ahead of the rear axle, above the ground, right of the middle, mm."""

    ahead: Reach
    above: Reach
    across: Reach

    def gap(self, other: Standing) -> float:
        """Return the largest gap along an axis, mm; 0 where they may touch."""
        return max(
            _between(self.ahead, other.ahead), _between(self.above, other.above), _between(self.across, other.across)
        )


def box_of(panel: Panel) -> tuple[float, float, float, float]:
    """Return x0, y0, x1, y1 of a panel's outline, or of its holes where it has none; noughts where it has neither."""
    points = panel.outline or tuple(hole.at for hole in panel.holes)
    return bounds(points) if points else (0.0, 0.0, 0.0, 0.0)


def standing_of(panel: Panel, at: Point | None = None, depth: float = DEPTH) -> Standing | None:
    """Return the reach of a panel, or of one of its places; None where it is not known.

    `depth`: how far, in mm, it may reach on both sides of the plane in which it is drawn.
    """
    if panel.on_bike is None or not panel.outline:
        return None
    x0, y0, x1, y1 = bounds(panel.outline) if at is None else (*at, *at)
    ends = [place_on_bike(panel, corner) for corner in ((x0, y0), (x1, y1))]
    ahead, above = _reach(ends[0][0], ends[1][0]), _reach(ends[0][1], ends[1][1])
    across = _reach(ends[0][2], ends[1][2]) if panel.side == "centre" else _side_of_bike(panel)
    if panel.side == "centre" and panel.view == "top":
        above = above[0] - depth, above[1] + depth
    elif panel.side == "centre":
        ahead = ahead[0] - depth, ahead[1] + depth
    return Standing(ahead, above, across)


def side_view(panel: Panel) -> Ring:
    """Return the outline of a left or right panel on the bike, ahead and above, mm; () where it is not known."""
    if panel.on_bike is None or panel.side == "centre":
        return ()
    places = [place_on_bike(panel, at)[:2] for at in panel.outline]
    return tuple((ahead, above) for ahead, above in places if ahead is not None and above is not None)


def polygon_of(ring: Ring) -> Polygon:
    """Return a ring as a polygon, an empty one for no ring."""
    return Polygon(ring) if ring else Polygon()


def twin_of(bike: Bike, panel: Panel) -> Panel | None:
    """Return the panel across the bike: the one that this mirrors or that mirrors it, else the one that is named so."""
    named = swap_words(panel.key)
    for other in bike.panels:
        if other.key != panel.key and (panel.key == other.mirrors or other.key in (panel.mirrors, named)):
            return other
    return None


def own_holes(bike: Bike, panel: Panel) -> tuple[Hole, ...]:
    """Return the holes that are written at the panel itself: those of its original are judged there."""
    if not panel.mirrors:
        return panel.holes
    written = {hole.where for hole in bike.panel(panel.mirrors).holes if hole.where is not None}
    return tuple(hole for hole in panel.holes if hole.where not in written)


def _side_of_bike(panel: Panel) -> Reach:
    return (-HALF_WIDTH, PAST_MIDDLE) if panel.side == "left" else (-PAST_MIDDLE, HALF_WIDTH)


def _reach(one: float | None, other: float | None) -> Reach:
    """Both ends, in their order; all of the width where they are not known."""
    if one is None or other is None:
        return -HALF_WIDTH, HALF_WIDTH
    return min(one, other), max(one, other)


def _between(one: Reach, other: Reach) -> float:
    return max(0.0, one[0] - other[1], other[0] - one[1])
