"""A region as the search sees it, the container of the packing literature: walls (half-planes) and forbidden areas.

In comes a `Region`; out goes a `Container`. Apart because everything forbidden (beyond the edge, in a notch, on a
keep-out) becomes one of two simple notions here, and no later step asks whether an outline was convex.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from boardmaker.fixed_order import FINEST, lengths
from boardmaker.packing.convex_pieces import ConvexPieces, pieces_of
from boardmaker.packing.problem import Region
from boardmaker.packing.shapes import Floats, array_of, convex_rings

_CRUMB = 1e-6  # mm²: what is smaller is rounding


@dataclass(frozen=True)
class ForbiddenArea:
    """A polygon that nothing may come near, whole and in convex pieces."""

    ring: Floats
    pieces: ConvexPieces


@dataclass(frozen=True)
class Container:
    """Walls `normals @ point <= offsets` (unit normals, margin already taken off), forbidden areas at `margin` mm."""

    normals: Floats  # (walls, 2)
    offsets: Floats  # (walls,)
    forbidden: tuple[ForbiddenArea, ...]
    margin: float
    low: Floats  # lower left corner of the bounding box, (2,)
    size: Floats  # width and height of it, (2,)
    area: float  # mm² of the outline less its margin and keep-outs
    edge: float  # mm around that area


def container_of(region: Region, slack: float = 0.0) -> Container:
    """Turn a region into walls and forbidden areas, with `slack` mm more margin than it asks for."""
    outline = shapely.Polygon(region.outline)
    hull = array_of(shapely.get_coordinates(outline.convex_hull)[:-1])
    sides = np.roll(hull, -1, axis=0) - hull
    normals = np.stack([sides[:, 1], -sides[:, 0]], axis=1) / lengths(*sides.T)[:, None]
    keep_outs = [shapely.Polygon(ring) for ring in region.keep_outs]
    notches = shapely.difference(outline.convex_hull, outline)
    free = free_area(region)
    return Container(
        normals=normals,
        offsets=normals[:, 0] * hull[:, 0] + normals[:, 1] * hull[:, 1] - region.margin - slack,
        forbidden=tuple(area for shape in (notches, *keep_outs) for area in _forbidden_areas(shape)),
        margin=region.margin + slack,
        low=hull.min(axis=0),
        size=np.ptp(hull, axis=0),
        area=round(float(free.area), FINEST),
        edge=round(float(free.length), FINEST),
    )


def free_area(region: Region) -> shapely.Geometry:
    """What zones may cover: the outline less its margin and keep-outs."""
    keep_outs = shapely.union_all([shapely.Polygon(ring) for ring in region.keep_outs])
    inner = shapely.Polygon(region.outline).buffer(-region.margin, join_style="mitre")
    return shapely.difference(inner, keep_outs.buffer(region.margin))


def _forbidden_areas(shape: shapely.Geometry) -> tuple[ForbiddenArea, ...]:
    polygons = [part for part in shapely.get_parts(shape) if part.geom_type == "Polygon" and part.area > _CRUMB]
    rings = [array_of(shapely.get_coordinates(polygon.exterior)[:-1]) for polygon in polygons]
    return tuple(ForbiddenArea(ring, pieces_of(convex_rings(ring))) for ring in rings)
