"""Holes that lie outside of their panel: the commonest slip of a tape measure is to swap x and y."""

from __future__ import annotations

from shapely import Point, Polygon

from boardmaker.model import Bike, Hole, Panel
from boardmaker.problems import Problem, warning

FAR = 3.0  # mm beyond the outline; outlines and holes are measured no better than that


def strays(bike: Bike) -> tuple[Problem, ...]:
    """Return a warning for every hole that lies more than `FAR` mm outside of its panel's outline."""
    return tuple(
        _stray(panel, outline, hole, off)
        for panel in bike.panels
        if panel.outline and not panel.outline_drawn
        for outline in [Polygon(panel.outline)]
        for hole in panel.holes
        if (off := outline.distance(Point(hole.at))) > FAR
    )


def _stray(panel: Panel, outline: Polygon, hole: Hole, off: float) -> Problem:
    swapped = outline.covers(Point(hole.at[1], hole.at[0]))
    hint = "are x and y swapped?" if swapped else "measure it again, or correct the outline"
    return warning(f"{panel.key}/{hole.id} lies {off:.0f} mm outside of its panel's outline", hole.where, hint)
