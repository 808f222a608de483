"""Figures as the packing engine sees them, and back: a pose is one of a figure's shapes at one of its turns.

Apart because neither the figures nor the engine know of each other.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import shapely

from boardmaker.drawing import Placed, place_figure
from boardmaker.figures import Figure
from boardmaker.geometry import bounds, turn_ring
from boardmaker.packing.problem import Item, Placement, Point, Pose


def item_of(key: str, alternatives: Sequence[Figure]) -> Item:
    """Return the item for a thing that may be drawn in any of these shapes, at any of their turns."""
    poses = tuple(
        Pose(turn_deg, turn_ring(figure.zone, turn_deg), _read_at(figure, turn_deg))
        for figure, turn_deg in _poses(alternatives)
    )
    return Item(key, poses, alternatives[0].wish)


def _read_at(figure: Figure, turn_deg: int) -> Point | None:
    """The middle of a panel's outline, which says where on a board the panel is; None for a table."""
    if not figure.outline:
        return None
    x0, y0, x1, y1 = bounds(turn_ring(figure.outline, turn_deg))
    return (x0 + x1) / 2, (y0 + y1) / 2


def placed_at(alternatives: Sequence[Figure], placement: Placement) -> Placed:
    """Return the figure that the engine chose, where it put it."""
    figure, turn_deg = _poses(alternatives)[placement.pose]
    return place_figure(figure, placement.at, turn_deg)


def pose_of(item: Item, turn_deg: float, shape: int | None, zone: Sequence[Point], at: Point) -> int | None:
    """Return the pose of the same turn and shape; where the shape is not known, the one nearest to a zone at a place.

    None for no such turn.
    """
    bounds = shapely.MultiPoint(zone).bounds
    alike = [number for number, pose in enumerate(item.poses) if pose.turn_deg == turn_deg]
    if shape is not None and shape < len(alike):
        return alike[shape]

    def difference(number: int) -> float:
        low_x, low_y, high_x, high_y = shapely.MultiPoint(item.poses[number].zone).bounds
        own = (low_x + at[0], low_y + at[1], high_x + at[0], high_y + at[1])
        return math.fsum(abs(one - other) for one, other in zip(own, bounds, strict=True))

    return min(alike, key=lambda number: (difference(number), number), default=None)


def _poses(alternatives: Sequence[Figure]) -> list[tuple[Figure, int]]:
    return [(figure, turn_deg) for figure in alternatives for turn_deg in figure.turns_deg]
