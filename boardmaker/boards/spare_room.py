"""The picture of the bike in room that the finished boards have to spare.

In: a candidate, the forms that the picture may take. Out: the candidate with the picture on it, or as it was. Apart
from the search because the picture holds nothing and costs no scale: nothing moves for it, and where it finds no place
it stands on the order page alone.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from boardmaker.boards.candidate import Candidate
from boardmaker.drawing import Placed, place_figure
from boardmaker.figures import Figure
from boardmaker.geometry import Point, bounds

# Where a view that stands alone belongs, as shares of the board's width, and which edge or middle it lies near: beside
# the panels of its side. Among those of the other side it misleads; it is left out where its own half has no room.
OWN_PART = {"left": (0.0, 0.5), "right": (0.5, 1.0), "above": (0.0, 1.0)}
LEANS = {"left": 0.0, "right": 1.0, "above": 0.5}
CELL = 2.0  # mm: how exactly places are looked for
HAIR = 1e-3  # mm more than the clearance, so that rounding takes nothing of it


def with_picture(
    found: Candidate,
    pictures: Sequence[Sequence[Figure]],
    clearance: float,
    wishes: Mapping[str, tuple[int, Point]] | None = None,
) -> Candidate:
    """Return the candidate with the first of the pictures all of whose figures find a place.

    Zones keep the clearance (mm) from each other and the margin from the edge. `wishes` give by a figure's key the
    board and the place, mm from its middle, that it is to be near.
    """
    spare = [_Spare(found, board, clearance) for board in range(len(found.placed))]
    for figures in pictures:
        if (places := _places(figures, spare, wishes or {})) is not None:
            more = (tuple(place for board, place in places if board == number) for number in range(len(found.placed)))
            return replace(found, placed=tuple((*lie, *on) for lie, on in zip(found.placed, more, strict=True)))
    return found


def _places(
    figures: Sequence[Figure], spare: Sequence[_Spare], wishes: Mapping[str, tuple[int, Point]]
) -> list[tuple[int, Placed]] | None:
    """Board and place of every figure, the largest placed first; None where one finds no place."""
    taken: list[tuple[int, Placed]] = []
    for figure in sorted(figures, key=_area, reverse=True):
        first, near = wishes.get(figure.key, (0, None))
        boards = sorted(range(len(spare)), key=lambda board: board != first)
        tries = ((board, spare[board].place_for(figure, near, _on(board, taken))) for board in boards)
        place = next(((board, place) for board, place in tries if place), None)
        if place is None:
            return None
        taken.append(place)
    return taken


def _on(board: int, taken: Sequence[tuple[int, Placed]]) -> list[Placed]:
    return [place for number, place in taken if number == board]


def _area(figure: Figure) -> float:
    x0, y0, x1, y1 = bounds(figure.zone)
    return (x1 - x0) * (y1 - y0)


class _Spare:
    """What is free on one board, in square cells."""

    def __init__(self, found: Candidate, board: int, clearance: float) -> None:
        blank, margin = found.stack.blanks[board], found.setup.board.margin
        self._stock, self._clearance = blank.stock, clearance + HAIR
        self._columns, self._rows = (int(side / CELL) for side in blank.stock)
        inside = Polygon(blank.outline).buffer(-margin - HAIR, join_style="mitre")
        lying = shapely.union_all([self._kept_clear(placed) for placed in found.placed[board]])
        free = shapely.difference(inside, lying)
        shapely.prepare(free)
        x, y = np.meshgrid(np.arange(self._columns) * CELL, np.arange(self._rows) * CELL)
        self._free: NDArray[np.bool_] = shapely.covers(free, shapely.box(x, y, x + CELL, y + CELL))

    def _kept_clear(self, placed: Placed) -> Polygon:
        return Polygon(placed.figure.zone).buffer(self._clearance, join_style="mitre")

    def place_for(self, figure: Figure, near: Point | None, others: Sequence[Placed]) -> Placed | None:
        """The figure, upright, with its middle as near as can be to a place, mm from the board's; None for no room.

        Without such a place it lies near a corner, so that it parts no room, a view from one side on its own half of
        the board. `others` have taken more of the room.
        """
        x0, y0, x1, y1 = bounds(figure.zone)
        wide, high = (int(np.ceil(side / CELL)) for side in (x1 - x0, y1 - y0))
        if wide > self._columns or high > self._rows:
            return None
        rows, columns = np.nonzero(_sums(~self._less(others), wide, high) == 0)
        low, most = (share * self._stock[0] for share in OWN_PART.get(figure.key, (0.0, 1.0)))
        own = (low <= (columns + wide / 2) * CELL) & ((columns + wide / 2) * CELL <= most)
        rows, columns = rows[own], columns[own]
        if not rows.size:
            return None
        x, y = (columns + wide / 2) * CELL, (rows + high / 2) * CELL
        corner = LEANS.get(figure.key, 0.0) * self._stock[0], 0.0
        to_x, to_y = (self._stock[0] / 2 + near[0], self._stock[1] / 2 + near[1]) if near else corner
        best = np.argmin((x - to_x) * (x - to_x) + (y - to_y) * (y - to_y))
        return place_figure(figure, (float(columns[best] * CELL - x0), float(rows[best] * CELL - y0)), 0)

    def _less(self, others: Sequence[Placed]) -> NDArray[np.bool_]:
        """The free cells without those that others have taken."""
        free = self._free.copy()
        for x0, y0, x1, y1 in (self._kept_clear(one).bounds for one in others):
            free[_cells(y0, y1), _cells(x0, x1)] = False
        return free


def _cells(low: float, high: float) -> slice:
    """The cells that a span touches."""
    return slice(max(0, int(np.floor(low / CELL))), max(0, int(np.ceil(high / CELL))))


def _sums(taken: NDArray[np.bool_], wide: int, high: int) -> NDArray[np.int64]:
    """How many taken cells lie in each window of so many cells, by its lower left one."""
    sums = np.zeros((taken.shape[0] + 1, taken.shape[1] + 1), dtype=np.int64)
    sums[1:, 1:] = taken.cumsum(axis=0).cumsum(axis=1)
    return sums[high:, wide:] - sums[:-high, wide:] - sums[high:, :-wide] + sums[:-high, :-wide]
