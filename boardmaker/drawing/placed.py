"""A figure at its place on a board: the same figure with every place in the board's frame."""

from __future__ import annotations

from dataclasses import dataclass

from boardmaker.figures.figure import Figure, moved_figure
from boardmaker.geometry import Point


@dataclass(frozen=True)
class Placed:
    """`figure` in the board's frame; `at` is where its own origin fell, `turn_deg` how it was turned about it."""

    figure: Figure
    at: Point
    turn_deg: int

    @property
    def reading_deg(self) -> int:
        """The angle at which its words run: 0 or 90, never upside down."""
        return 0 if self.turn_deg == self.figure.level_at_deg else 90


def place_figure(figure: Figure, at: Point, turn_deg: int) -> Placed:
    """Turn a figure about its origin by 0, 90 or 270 degrees and move its origin to `at`."""
    return Placed(moved_figure(figure, at, turn_deg), at, turn_deg)
