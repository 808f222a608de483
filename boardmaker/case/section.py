"""The case's inside as a plane region: what is free at the heights at which one board lies."""

from __future__ import annotations

import math

import shapely
from shapely import Polygon, affinity
from shapely.geometry.base import BaseGeometry

from boardmaker.fixed_order import FINEST, direction
from boardmaker.model import CaseSetup

SLICES = 5  # of a board's height at which an outline that is not a rectangle is cut
QUARTER = 16  # sides of a quarter circle around a keep-out's corner


def section(case: CaseSetup, height: float) -> Polygon:
    """Return the inside at `height` mm above the floor, in the frame of the rim (its lower left at the origin).

    The walls run straight from floor to rim. A rounded rectangle keeps its corner radius all the way down, which is
    never more room than any other reading of the corners gives.
    """
    width, depth = _size_at(case, height)
    x, y = (case.inside[0] - width) / 2, (case.inside[1] - depth) / 2
    if not case.outline:
        return rounded_rectangle(x, y, width, depth, case.corner_radius)
    shrunk = affinity.scale(Polygon(case.outline), width / case.inside[0], depth / case.inside[1], origin=(0, 0))
    return affinity.translate(shrunk, x, y)


def _size_at(case: CaseSetup, height: float) -> tuple[float, float]:
    if case.floor is None or not case.height:
        return case.inside
    share = min(1.0, max(0.0, height / case.height))
    (floor_x, floor_y), (rim_x, rim_y) = case.floor, case.inside
    return floor_x + (rim_x - floor_x) * share, floor_y + (rim_y - floor_y) * share


def rounded_rectangle(x: float, y: float, width: float, height: float, radius: float) -> Polygon:
    """Return a rectangle with round corners; its arcs lie on or inside the true ones."""
    radius = min(radius, width / 2, height / 2)
    if radius <= 0.0:
        return shapely.box(x, y, x + width, y + height)
    core = shapely.box(x + radius, y + radius, x + width - radius, y + height - radius)
    return core.buffer(radius, quad_segs=64)


def free_region(case: CaseSetup, low: float = 0.0, high: float | None = None) -> BaseGeometry:
    """Return where a board may lie from `low` to `high` mm above the floor (None: up to the rim).

    Walls, keep-outs and the case's clearance are taken off. Sections of a rectangle lie in each other; those of any
    other outline need not, so they are cut at several heights.
    """
    high = (case.height or 0.0) if high is None else high
    heights = [low + (high - low) * index / (SLICES - 1) for index in range(SLICES)] if case.floor else [low]
    inside = shapely.intersection_all([section(case, height) for height in heights])
    free = inside.buffer(-case.clearance, join_style="mitre")
    # polygons around keep-outs err outward: their sides, not their corners, touch the circle
    around = case.clearance / direction(math.pi / (4 * QUARTER))[0]
    for keep_out in case.keep_out:
        (x, y), (width, height) = keep_out.at, keep_out.size
        free = free.difference(shapely.box(x, y, x + width, y + height).buffer(around, quad_segs=QUARTER))
    return shapely.transform(free, lambda places: places.round(FINEST))
