"""A region as the search sees it: walls (half-planes) and convex obstacles.

In comes a `Region`; out goes a `Room`. Apart because everything forbidden (beyond the edge, in a notch, on a keep-out) becomes
one of two simple notions here, and no later step asks whether an outline was convex.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from boardmaker.packing.problem import Region
from boardmaker.packing.shapes import Floats, array_of, convex_pieces


@dataclass(frozen=True)
class Room:
    """Walls `normals @ point <= offsets` (unit normals, margin already taken off) and obstacles at `margin` mm."""

    normals: Floats  # (walls, 2)
    offsets: Floats  # (walls,)
    obstacles: tuple[Floats, ...]  # convex rings
    margin: float
    low: Floats  # lower left corner of the bounding box, (2,)
    size: Floats  # width and height of it, (2,)
    area: float  # mm² of the outline less its margin and keep-outs


def room_of(region: Region, slack: float = 0.0) -> Room:
    """Turn a region into walls and obstacles, with `slack` mm more margin than it asks for."""
    outline = shapely.Polygon(region.outline)
    hull = array_of(shapely.get_coordinates(outline.convex_hull)[:-1])
    sides = np.roll(hull, -1, axis=0) - hull
    normals = np.stack([sides[:, 1], -sides[:, 0]], axis=1) / np.hypot(*sides.T)[:, None]
    keep_outs = [shapely.Polygon(ring) for ring in region.keep_outs]
    notches = shapely.difference(outline.convex_hull, outline)
    margin = region.margin + slack
    free = shapely.difference(outline.buffer(-margin), shapely.union_all(keep_outs).buffer(margin))
    return Room(
        normals=normals,
        offsets=np.sum(normals * hull, axis=1) - margin,
        obstacles=tuple(piece for polygon in (notches, *keep_outs) for piece in _pieces(polygon)),
        margin=margin,
        low=hull.min(axis=0),
        size=np.ptp(hull, axis=0),
        area=float(free.area),
    )


def _pieces(geometry: shapely.Geometry) -> tuple[Floats, ...]:
    """The convex pieces of all polygons in a geometry; crumbs of less than 1e-6 mm² are rounding."""
    polygons = [part for part in shapely.get_parts(geometry) if part.geom_type == "Polygon" and part.area > 1e-6]
    rings = [array_of(shapely.get_coordinates(polygon.exterior)[:-1]) for polygon in polygons]
    return tuple(piece for ring in rings for piece in convex_pieces(ring))
