"""Where on a packed board an upright rectangle still fits.

In: a board's outline and margin, the zones on it and their clearance, the rectangle. Out: a place, or None. Apart from
the packing engine because nothing moves any more: what is left is worked out exactly, nothing is searched for.
The rectangle keeps its clearance from zones as a larger rectangle would, so that there are no arcs: past the corner of
a zone that is up to 0.41 of the clearance more than needed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon, affinity
from shapely.geometry.base import BaseGeometry

from boardmaker.fixed_order import FINEST, Floats
from boardmaker.geometry import Point, Ring, box_ring
from boardmaker.packing.shapes import array_of, convex_rings

HAIR = 1e-3  # mm beyond margin and clearance, so that rounding never brings anything nearer


@dataclass(frozen=True)
class FreeRoom:
    """A board with a convex outline and the zones that lie on it; margin and clearance in mm."""

    outline: Ring
    margin: float
    zones: tuple[Ring, ...]
    clearance: float

    def place_for(self, size: Point) -> Point | None:
        """Return where the lower left corner of a rectangle of this size (mm) goes; None where there is no room.

        Of all places the highest, and of these the one furthest to the left.
        """
        within = self._within(size)
        if within.is_empty:
            return None
        rectangle = box_ring(-size[0], -size[1], 0.0, 0.0)  # turned over: where its lower left corner must not be
        free = shapely.difference(within, shapely.union_all(_sums(self._pieces, rectangle)))
        corners = shapely.get_coordinates(free).round(FINEST).tolist()
        return min(((x, y) for x, y in corners), key=lambda place: (-place[1], place[0]), default=None)

    def with_zone(self, zone: Ring) -> FreeRoom:
        """Return the same board with one more zone on it."""
        return FreeRoom(self.outline, self.margin, (*self.zones, zone), self.clearance)

    def _within(self, size: Point) -> BaseGeometry:
        """Where the rectangle keeps the margin: a board is convex, so its corners decide."""
        inside = Polygon(self.outline).buffer(-self.margin - HAIR, join_style="mitre")
        return shapely.intersection_all([affinity.translate(inside, -x, -y) for x, y in box_ring(0.0, 0.0, *size)])

    @cached_property
    def _pieces(self) -> tuple[Floats, ...]:
        """The zones in convex pieces, each grown by the clearance as by a square."""
        reach = self.clearance + HAIR
        pieces = tuple(piece for zone in self.zones for piece in convex_rings(array_of(zone)))
        grown = _sums(pieces, box_ring(-reach, -reach, reach, reach))
        return tuple(shapely.get_coordinates(one) for one in grown)


def _sums(pieces: Sequence[Floats], box: Ring) -> NDArray[np.object_]:
    """The Minkowski sums of convex rings with a rectangle."""
    corners = [(piece[:, None, :] + np.array(box)[None, :, :]).reshape(-1, 2) for piece in pieces]
    if not corners:
        return np.empty(0, dtype=object)
    owner = np.repeat(np.arange(len(corners)), [len(one) for one in corners])
    sums: NDArray[np.object_] = shapely.convex_hull(shapely.multipoints(np.concatenate(corners), indices=owner))
    return sums
