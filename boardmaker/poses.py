"""Figures as the packing engine sees them, and back: a pose is one of a figure's shapes at one of its turns.

Beside `build`, because neither the figures nor the engine know of each other.
"""

from __future__ import annotations

from collections.abc import Sequence

from boardmaker.drawing import Placed, place_figure
from boardmaker.figures import Figure
from boardmaker.packing.problem import Item, Placement, Pose


def item_of(key: str, alternatives: Sequence[Figure]) -> Item:
    """Return the item for a thing that may be drawn in any of these shapes, at any of their turns."""
    poses = tuple(
        Pose(turn_deg, place_figure(figure, (0.0, 0.0), turn_deg).figure.zone)
        for figure, turn_deg in _poses(alternatives)
    )
    return Item(key, poses, alternatives[0].wish)


def placed_at(alternatives: Sequence[Figure], placement: Placement) -> Placed:
    """Return the figure that the engine chose, where it put it."""
    figure, turn_deg = _poses(alternatives)[placement.pose]
    return place_figure(figure, placement.at, turn_deg)


def _poses(alternatives: Sequence[Figure]) -> list[tuple[Figure, int]]:
    return [(figure, turn_deg) for figure in alternatives for turn_deg in figure.turns_deg]
