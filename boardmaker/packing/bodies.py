"""Items and layouts as the search handles them: zones about their own middle, middles as arrays.

Apart because items and placements speak of an item's own origin, which may lie anywhere, while growing a layout is
simplest about the middle of each zone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from boardmaker.packing.problem import Item, Placement
from boardmaker.packing.shapes import Floats, array_of, middle_of


@dataclass(frozen=True)
class Body:
    """One pose of one item: its ring about its middle, and where that middle is from the item's origin."""

    ring: Floats
    middle: Floats


@dataclass(frozen=True)
class Layout:
    """For every item the number of its room and of its pose, and the middle of its zone, (items, 2) mm."""

    rooms: tuple[int, ...]
    poses: tuple[int, ...]
    middles: Floats


Bodies = tuple[tuple[Body, ...], ...]  # by item and pose


def bodies_of(items: Sequence[Item]) -> Bodies:
    """The bodies of all poses of all items."""
    return tuple(tuple(_body(array_of(pose.zone)) for pose in item.poses) for item in items)


def _body(points: Floats) -> Body:
    middle = middle_of(points)
    return Body(points - middle, middle)


def placements_of(items: Sequence[Item], bodies: Bodies, layout: Layout) -> tuple[Placement, ...]:
    """The layout in terms of the items' origins, rounded to 3 decimals."""
    placements = []
    for number, item in enumerate(items):
        pose = layout.poses[number]
        x, y = layout.middles[number] - bodies[number][pose].middle
        at = (round(float(x), 3), round(float(y), 3))
        placements.append(Placement(item.key, layout.rooms[number], pose, at))
    return tuple(placements)


def layout_of(bodies: Bodies, placements: Sequence[Placement]) -> Layout:
    """The layout that placements in the order of the items describe."""
    middles = [
        bodies[number][placement.pose].middle + placement.at for number, placement in enumerate(placements)
    ]
    rooms, poses = (tuple(getattr(placement, name) for placement in placements) for name in ("region", "pose"))
    return Layout(rooms, poses, np.array(middles).reshape(-1, 2))


def scaled(bodies: Bodies, factor: float) -> Bodies:
    """All bodies `factor` times as large."""
    return tuple(tuple(Body(body.ring * factor, body.middle * factor) for body in poses) for poses in bodies)
