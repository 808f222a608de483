"""A figure at its place on a board: the same figure with every place in the board's frame."""

from __future__ import annotations

from dataclasses import dataclass, replace

from boardmaker.display_list import Circle, Path
from boardmaker.figures.figure import Figure
from boardmaker.geometry import Point, Ring, bounds, box_ring, shift_point, turn_point
from boardmaker.typeset.label import Box


@dataclass(frozen=True)
class Placed:
    """`figure` in the board's frame; `at` is where its own origin fell, `turn_deg` how it was turned about it."""

    figure: Figure
    at: Point
    turn_deg: int

    @property
    def reading_deg(self) -> int:
        """The angle at which its words run: 0 or 90, never upside down."""
        return 0 if self.turn_deg == 0 else 90


def place_figure(figure: Figure, at: Point, turn_deg: int) -> Placed:
    """Turn a figure about its origin by 0, 90 or 270 degrees and move its origin to `at`."""

    def point(place: Point) -> Point:
        return shift_point(turn_point(place, turn_deg), at)

    def ring(places: Ring) -> Ring:
        return tuple(point(place) for place in places)

    def box(sides: Box) -> Box:
        return bounds(ring(box_ring(*sides)))

    def mark(item: Path | Circle) -> Path | Circle:
        if isinstance(item, Circle):
            return replace(item, centre=point(item.centre))
        return replace(item, points=ring(item.points))

    moved = replace(
        figure,
        zone=ring(figure.zone),
        outline=ring(figure.outline),
        pockets=tuple(replace(one, at=point(one.at), true_at=point(one.true_at)) for one in figure.pockets),
        labels=tuple(replace(one, box=box(one.box)) for one in figure.labels),
        leaders=tuple(ring(one) for one in figure.leaders),
        ghosts=tuple(replace(one, at=point(one.at)) for one in figure.ghosts),
        fixings=tuple(replace(one, at=point(one.at)) for one in figure.fixings),
        marks=tuple(mark(one) for one in figure.marks),
    )
    return Placed(moved, at, turn_deg)
