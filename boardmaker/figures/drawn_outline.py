"""A panel's outline as it is drawn: one that stays simple when files round its points.

In: an outline at the board's scale. Out: the same, or one that differs by less than a line is wide. Apart because an
outline that is simple on the bike need not be so on the board: where it nearly touches itself, it crosses when rounded.
"""

from __future__ import annotations

import shapely
from shapely import Polygon

from boardmaker.geometry import Ring, filled, ring_of

HAIR = 3e-4  # mm; a board file rounds to 1e-4, which moves a point by less than a third of this
GRIDS = (0.002, 0.005, 0.01)  # mm; the first that does, all of them finer than any printer


def drawn_outline(outline: Ring) -> Ring:
    """Return the outline; where it comes nearer to itself than a hair, without what lies within the hair."""
    shape = shapely.polygons(outline)
    if _stays_simple(shape):
        return outline
    for grid in GRIDS:
        snapped = filled(shapely.set_precision(shapely.make_valid(shape), grid))
        if _stays_simple(snapped):
            break
    return ring_of(snapped)


def _stays_simple(shape: Polygon) -> bool:
    return bool(shape.is_valid and shapely.minimum_clearance(shape) >= HAIR)
