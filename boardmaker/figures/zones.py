"""The room that a panel's figure claims: one simple polygon around everything that it draws."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from boardmaker.display_list import Path
from boardmaker.figures.figure import Figure
from boardmaker.figures.symbols import GHOST_RADIUS, RADIUS
from boardmaker.fixed_order import FINEST, direction
from boardmaker.geometry import Point, Ring, bounds, box_ring, filled, ring_of

LINE_ROOM = 0.25  # mm on each side of an outline or a leader: half of the widest line
FINENESS = 0.03  # mm by which an outline may be off where only its area matters
ROUGHNESS = 0.22  # mm that the polygon may lie outside of what it surrounds, to have few corners
SIDES = 24  # of the polygon around a circle; its sides touch it
CORNERS = [direction(i * (2 * math.pi / SIDES)) for i in range(SIDES)]


def claim_zone(figure: Figure, shape: Polygon, clearance: float) -> Ring:
    """Return the zone of a panel's figure as a counter-clockwise ring; it contains every mark of the figure.

    `shape` is the rough shape of its outline. Bays too narrow for a neighbour at `clearance` are closed: they are of no
    use to anyone.
    """
    shapes: list[BaseGeometry] = [shape.buffer(LINE_ROOM, join_style="mitre", mitre_limit=2.0)]
    shapes += _around((pocket.at, pocket.rim + LINE_ROOM) for pocket in figure.pockets)
    shapes += _around((pocket.true_at, 0.5) for pocket in figure.pockets if pocket.moved)
    tag, name, *others = [label.box for label in figure.labels]
    title = bounds((*box_ring(*tag), *box_ring(*name)))  # nothing of another figure between the two
    shapes += shapely.polygons([box_ring(*box) for box in (title, *others)]).tolist()
    shapes += [shapely.LineString(leader).buffer(LINE_ROOM, quad_segs=2) for leader in figure.leaders]
    shapes += _around((ghost.at, GHOST_RADIUS) for ghost in figure.ghosts)
    shapes += _around((fixing.at, RADIUS) for fixing in figure.fixings)
    strokes = [mark.points for mark in figure.marks if isinstance(mark, Path)]  # of an arrow
    shapes += [shapely.LineString(stroke).buffer(LINE_ROOM, quad_segs=2) for stroke in strokes]
    ring = ring_of(_closed_outward(shapely.union_all(_not_within(shapes)), clearance / 2))
    return tuple((round(x, FINEST), round(y, FINEST)) for x, y in ring)


def _not_within(shapes: list[BaseGeometry]) -> list[BaseGeometry]:
    """The first shape and what reaches out of it: most of what is drawn on a panel lies inside its outline."""
    first, others = shapes[0], np.array(shapes[1:], dtype=object)
    shapely.prepare(first)
    return [first, *others[~shapely.contains(first, others)].tolist()]


def _around(circles: Iterable[tuple[Point, float]]) -> list[Polygon]:
    """For each circle (centre, radius) a polygon that contains it; as `geometry.circle_around`, but all at once."""
    reaches = [(at, radius / direction(math.pi / SIDES)[0]) for at, radius in circles]
    corners = [[(x + reach * cos, y + reach * sin) for cos, sin in CORNERS] for (x, y), reach in reaches]
    polygons: list[Polygon] = shapely.polygons(corners).tolist() if corners else []
    return polygons


def rough_shape(outline: Ring) -> Polygon:
    """Return the outline's area without corners that lie closer together than a line is wide.

    At a small scale a curve's points nearly coincide, and offsetting such an outline divides by next to nothing.
    """
    return shapely.polygons(outline).simplify(FINENESS)


def _closed_outward(shape: BaseGeometry, by: float) -> Polygon:
    """A polygon of few corners that contains the shape, its bays closed that are narrower than twice `by`.

    Grown by more than it is shrunk: the difference is what arcs of straight pieces and dropped corners may take.
    """
    grown = shape.simplify(FINENESS).buffer(by + ROUGHNESS + FINENESS, quad_segs=8).buffer(-by, quad_segs=2)
    closed = filled(grown)
    simple = closed.simplify(ROUGHNESS * 0.8)
    return simple if simple.contains(shape) else closed
