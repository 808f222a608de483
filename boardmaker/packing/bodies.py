"""Items and layouts as the search handles them: zones about their own middle, middles as arrays.

Apart because items and placements speak of an item's own origin, which may lie anywhere, while growing a layout is
simplest about the middle of each zone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np

from boardmaker.packing.convex_pieces import ConvexPieces, pieces_of
from boardmaker.packing.problem import Item, Placement, Pose
from boardmaker.packing.settings import GEOMETRY
from boardmaker.packing.shapes import Floats, array_of, coarsened, convex_rings, middle_of


@dataclass(frozen=True, eq=False)
class Body:
    """One pose of one item: its ring about its middle, and where that middle is from the item's origin.

    `read` is from the middle to the point that windows and readings go by. A body is made once for each pose, so that
    many searches share what is worked out of it.
    """

    ring: Floats
    middle: Floats
    read: Floats

    @cached_property
    def pieces(self) -> ConvexPieces:
        """Convex pieces of few corners that cover the ring and reach at most `GEOMETRY.coarse` mm beyond it."""
        return pieces_of(convex_rings(coarsened(self.ring, GEOMETRY.coarse)))

    @cached_property
    def rough_pieces(self) -> ConvexPieces:
        """A fraction of the pieces, which reach at most `GEOMETRY.rough` mm beyond the ring."""
        return pieces_of(convex_rings(coarsened(self.ring, GEOMETRY.rough)))


@dataclass(frozen=True)
class Layout:
    """For every item the number of its container and of its pose, and the middle of its zone, (items, 2) mm."""

    containers: tuple[int, ...]
    poses: tuple[int, ...]
    middles: Floats


Bodies = tuple[tuple[Body, ...], ...]  # by item and pose


def count_pieces(bodies: Bodies, layout: Layout) -> int:
    """The number of convex pieces of all items in the poses that they have."""
    return sum(len(poses[pose].pieces) for poses, pose in zip(bodies, layout.poses, strict=True))


def bodies_of(items: Sequence[Item]) -> Bodies:
    """The bodies of all poses of all items."""
    return tuple(tuple(_body(pose) for pose in item.poses) for item in items)


@lru_cache(maxsize=1024)  # several searches ask for the poses of the same few scales
def _body(pose: Pose) -> Body:
    points = array_of(pose.zone)
    middle = middle_of(points)
    return Body(points - middle, middle, np.zeros(2) if pose.middle is None else np.array(pose.middle) - middle)


def placements_of(items: Sequence[Item], bodies: Bodies, layout: Layout) -> tuple[Placement, ...]:
    """The layout in terms of the items' origins, rounded to 3 decimals."""
    placements = []
    for number, item in enumerate(items):
        pose = layout.poses[number]
        x, y = layout.middles[number] - bodies[number][pose].middle
        at = (round(float(x), 3), round(float(y), 3))
        placements.append(Placement(item.key, layout.containers[number], pose, at))
    return tuple(placements)
