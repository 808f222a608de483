"""What a figure is: one thing to be placed on a board, drawn in its own frame, and the room that it claims.

Millimetres on the board. The frame's origin is the panel's [0, 0], or the lower left corner of a table. Everything in a
figure is for turn 0; whoever places it turns it. Words are kept as `Label`s, because words may not be turned freely:
on the board they run at 0 or 90 degrees.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from boardmaker.display_list import Circle, Path
from boardmaker.geometry import Point, Ring, bounds, box_ring, shift_point, turn_point
from boardmaker.typeset.label import Box, Label

COLLAR = 2.0  # mm beyond the head, so that it shows with the screw in
SECOND_RING = 1.0  # mm beyond the head
RING_BEYOND_COLLAR = 1.5  # mm beyond the collar, so that white parts it from the hatching


@dataclass(frozen=True)
class Pocket:
    """The place of one fastener: the hole that holds it and the ring of its head, both true to size."""

    hole: str  # panel/hole; "" for a parking pocket
    number: int
    fastener: str
    at: Point
    true_at: Point
    hole_diameter: float
    head_diameter: float
    behind: str = ""
    must_not: str = ""  # why this screw must not go into its hole, "" where it may
    carries: bool = False  # the screw that comes out last, and still holds the panel

    @property
    def rim(self) -> float:
        """The radius of all that is drawn around the pocket: its head, the collar of danger, the second ring; mm."""
        further = RING_BEYOND_COLLAR if self.behind else SECOND_RING
        return self.head_diameter / 2 + COLLAR * bool(self.behind) + further * self.carries

    @property
    def moved(self) -> bool:
        """Whether the pocket had to leave its true place."""
        return self.at != self.true_at

    def shifted(self, by: Point) -> Pocket:
        """Return the pocket and its true place moved by so many mm."""
        return replace(self, at=shift_point(self.at, by), true_at=shift_point(self.true_at, by))


@dataclass(frozen=True)
class Ghost:
    """The mark of a screw that is counted on another panel."""

    hole: str
    at: Point


@dataclass(frozen=True)
class NoteBelow:
    """A note on a hole for which its label has no room: it stands in the title block."""

    hole: str
    words: str


@dataclass(frozen=True)
class FixingMark:
    """The mark of what holds a panel without a screw."""

    kind: str
    at: Point


FigureKind = Literal["panel", "screw key", "torque card", "title", "parking", "bike map"]


@dataclass(frozen=True)
class Figure:
    """One thing to be placed. `zone` is all the room it claims: a simple counter-clockwise polygon."""

    kind: FigureKind
    key: str
    zone: Ring
    outline: Ring = ()
    pockets: tuple[Pocket, ...] = ()
    labels: tuple[Label, ...] = ()
    leaders: tuple[tuple[Point, ...], ...] = ()
    ghosts: tuple[Ghost, ...] = ()
    fixings: tuple[FixingMark, ...] = ()
    notes: tuple[NoteBelow, ...] = ()
    times: float = 1.0  # as large as usual are its words
    shape: int = 0  # which of several that say the same
    side: str = ""  # of a panel: that of its tag, which is its first label
    marks: tuple[Path | Circle, ...] = ()  # drawn under everything else: tables' rules, silhouettes, symbols
    turns_deg: tuple[int, ...] = (0, 90)
    level_at_deg: int = 0  # the turn at which its words run level
    wish: Point | None = None  # where its middle would like to be, as fractions of the board


def moved_figure(figure: Figure, at: Point, turn_deg: int) -> Figure:
    """Return the figure turned about its origin by 0, 90 or 270 degrees, its origin then at `at`."""

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

    return replace(
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
