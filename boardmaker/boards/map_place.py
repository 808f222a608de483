"""Where the small picture of the bike goes on packed boards, and how large: it must not cost any scale.

In: the work, boards with all else in place. Out: the same boards, with the picture where there is room for it. Whole in
one of its forms, as large as there is room; else both sides together and the view from above apart, else each view
apart; nowhere where not even both sides have room.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

from boardmaker.boards.free_room import FreeRoom
from boardmaker.case import Blank
from boardmaker.drawing import Placed, place_figure
from boardmaker.figures.bike_map import (
    ABOVE,
    LEFT,
    REDUCTIONS,
    RIGHT,
    SIDES,
    WHOLE,
    MapForm,
    bike_maps,
    forms_of,
    framed_map,
    least_size,
)
from boardmaker.figures.bike_views import BikeView, bike_views
from boardmaker.geometry import Point, bounds
from boardmaker.model import BoardSetup
from boardmaker.service import Work

LARGEST = 120.0  # mm: a picture that is longer or wider is no longer taken in at a glance


@dataclass(frozen=True)
class _MapPart:
    """A part of the picture that goes into a frame of its own; without a `needed` one the picture is of no use."""

    key: str
    forms: tuple[MapForm, ...]
    needed: bool = True


PARTINGS = (
    (_MapPart("", WHOLE),),
    (_MapPart("sides", SIDES), _MapPart("above", ABOVE, needed=False)),
    (_MapPart("left", LEFT), _MapPart("right", RIGHT), _MapPart("above", ABOVE, needed=False)),
)


def with_bike_map(
    work: Work, blanks: Sequence[Blank], placed: Sequence[tuple[Placed, ...]], board: BoardSetup
) -> tuple[tuple[Placed, ...], ...]:
    """Return what lies on each board, the picture of the bike with it where one has room."""
    views = bike_views(work, {freed.panel.key for freed in work.freed})
    boards = tuple(
        FreeRoom(blank.outline, board.margin, tuple(one.figure.zone for one in on_board), board.clearance)
        for blank, on_board in zip(blanks, placed, strict=True)
    )
    order = sorted(range(len(boards)), key=lambda index: -sum(one.figure.kind == "panel" for one in placed[index]))
    for parting in PARTINGS if views else ():
        found = _placed_parts(views, parting, _Rooms(boards, tuple(order)))
        if found is not None:
            return tuple((*on_board, *found.get(index, ())) for index, on_board in enumerate(placed))
    return tuple(placed)


@dataclass(frozen=True)
class _Rooms:
    """What is free on each board, and in which order boards are asked: the one with the most panels first."""

    boards: tuple[FreeRoom, ...]
    order: tuple[int, ...]

    def place_for(self, size: Point) -> tuple[int, Point] | None:
        for index in self.order:
            if (at := self.boards[index].place_for(size)) is not None:
                return index, at
        return None

    def taken(self, index: int, figure: Placed) -> _Rooms:
        filled = self.boards[index].with_zone(figure.figure.zone)
        return replace(self, boards=(*self.boards[:index], filled, *self.boards[index + 1 :]))


def _placed_parts(
    views: Sequence[BikeView], parting: Sequence[_MapPart], rooms: _Rooms
) -> dict[int, tuple[Placed, ...]] | None:
    """The parts by board; None where one that is needed has no room, or where there is nothing to draw."""
    found: dict[int, tuple[Placed, ...]] = {}
    for part in parting:
        forms = forms_of(views, part.forms)
        place = _largest(views, part.key, forms, rooms)
        if place is None and forms and part.needed:
            return None
        if place:
            index, figure = place
            rooms = rooms.taken(index, figure)
            found[index] = (*found.get(index, ()), figure)
    return found or None


def _largest(views: Sequence[BikeView], key: str, forms: Sequence[MapForm], rooms: _Rooms) -> tuple[int, Placed] | None:
    """The picture as large as there is room for in one of its forms, on its board."""
    for cell in bike_maps(views, _worth_drawing(views, forms, rooms)):
        figure = framed_map(cell, key)
        x0, y0, x1, y1 = bounds(figure.zone)
        if place := rooms.place_for((x1 - x0, y1 - y0)):
            index, (x, y) = place
            return index, place_figure(figure, (x - x0, y - y0), 0)
    return None


def _worth_drawing(views: Sequence[BikeView], forms: Sequence[MapForm], rooms: _Rooms) -> list[tuple[float, MapForm]]:
    """Sizes and forms, the largest first, of which the outlines alone have room: without tags that is soon known."""
    worth = []
    for place, form in enumerate(forms):
        count = bisect_left(REDUCTIONS, True, key=partial(_too_large, views, form, rooms))
        worth += [(reduction, place, form) for reduction in REDUCTIONS[:count]]
    return [(reduction, form) for reduction, _, form in sorted(worth, key=lambda one: one[:2])]


def _too_large(views: Sequence[BikeView], form: MapForm, rooms: _Rooms, reduction: float) -> bool:
    least = least_size(views, form, reduction)
    return max(least) > LARGEST or rooms.place_for(least) is None
