"""A board of the given stock for the given case: trimmed if it must be, with straight cuts at its corners.

Each board has an outline of its own: where walls lean in, a board that lies higher is larger.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from shapely import Polygon, affinity
from shapely.geometry.base import BaseGeometry

from boardmaker.case.cuts import CornerCut, apply_cuts, least_cuts, rounded_down
from boardmaker.case.placement import StockPlace, best_spots, turned_back
from boardmaker.case.section import free_region
from boardmaker.fixed_order import along, lengths
from boardmaker.geometry import Point, Ring, box_ring, ring_of
from boardmaker.model import CaseSetup, Setup
from boardmaker.problems import Problem, ProblemsFound, error

SQUARE = (0.0, 90.0)  # degrees
NEAR = 0.995  # of the best spot's area
LEAST_SIDE = 60.0  # mm, whatever way a board is looked at; a narrower one holds nothing
TOLERANCE = 1e-3  # mm by which a board may lie on the region's edge
SIXTEENTH = 25.4 / 16  # mm; what a ruler in inches is divided into
_TRIMS = 4  # steps by which a board is made smaller where rounding brought it out of the case


Rectangle = tuple[float, float, float, float]  # x0, y0, x1, y1, mm


@dataclass(frozen=True)
class InCase:
    """Where a board lies: its outline turned about the origin, then moved by `at`; its underside above the floor."""

    turn: float
    at: Point
    floor_height: float = 0.0


@dataclass(frozen=True)
class Blank:
    """One board: the rectangle that it is cut from, its outline (lower left of the rectangle at the origin)."""

    stock: Point
    outline: Ring
    corner_cuts: tuple[CornerCut, ...] = ()
    in_case: InCase | None = None

    @property
    def area(self) -> float:
        """Area that is left after the cuts, mm2."""
        return float(Polygon(self.outline).area)


@dataclass(frozen=True)
class Span:
    """The heights above the floor between which one board lies, from its underside to its highest part, mm."""

    low: float = 0.0
    high: float | None = None  # None: up to the rim


def shape_boards(setup: Setup, spans: Sequence[Span]) -> tuple[Blank, ...]:
    """Return a board for each span, the lowest in the case first; their `floor_height` is the span's lower end.

    Raises ProblemsFound where no board of this stock fits into the case.
    """
    stock = setup.board.size
    if setup.case is None:
        return (Blank(stock, box_ring(0.0, 0.0, *stock)),) * len(spans)
    step = SIXTEENTH if setup.cuts_in_inches else 1.0
    return tuple(_in_case(setup.case, stock, span, step) for span in spans)


@lru_cache(maxsize=256)
def _in_case(case: CaseSetup, stock: Point, span: Span, step: float) -> Blank:
    # Walls that stand upright are the same at every height: one search serves all boards.
    region = free_region(case, span.low, span.high) if case.floor else free_region(case)
    key = shapely.to_wkb(region)
    board = _best_in(key, stock, step)
    if board is None or board.in_case is None:
        raise ProblemsFound([_too_small(case, region, stock)])
    placed = InCase(board.in_case.turn, board.in_case.at, span.low)
    return Blank(board.stock, board.outline, board.corner_cuts, placed)


@lru_cache(maxsize=256)
def _best_in(region_wkb: bytes, stock: Point, step: float) -> Blank | None:
    region = shapely.from_wkb(region_wkb)
    spots = best_spots(region, stock)
    near = [spot for spot in spots if spot.turn_deg in SQUARE and spot.area >= NEAR * spots[0].area]
    boards = [board for spot in near if (board := _sound(spot, region, stock, step))]
    if boards:  # rounding decides between spots that are as good as each other
        return max(boards, key=lambda board: (round(board.area), _turn(board) == 0.0))
    return next((board for spot in spots if (board := _sound(spot, region, stock, step))), None)


def _turn(board: Blank) -> float:
    return board.in_case.turn if board.in_case else 0.0


def _sound(spot: StockPlace, region: BaseGeometry, stock: Point, step: float) -> Blank | None:
    """The board of a spot, made smaller by a step or two if rounding brought it out of the region."""
    for trim in range(_TRIMS):
        board = _cut_out(spot, stock, step, trim)
        if board is not None and _narrowest(board.outline) >= LEAST_SIDE - TOLERANCE and lies_in(board, region):
            return board
    return None


def _narrowest(outline: Ring) -> float:
    """The least width of a convex board, mm: its rectangle may be wide and its cuts leave a strip across.

    Square to one of its sides (Houle and Toussaint, Computing the width of a set, 1988; from memory).
    """
    points = np.asarray(outline)
    sides = np.roll(points, -1, axis=0) - points
    across = np.column_stack([-sides[:, 1], sides[:, 0]]) / lengths(*sides.T)[:, None]
    return float(np.ptp(along(points, across), axis=0).min())


def _cut_out(spot: StockPlace, stock: Point, step: float, trim: int) -> Blank | None:
    """The board of a spot: sides in whole steps unless they are the stock's own, legs rounded to the safe side."""
    x0, y0, x1, y1 = spot.box
    width = _whole_side(x1 - x0, stock[0], step, trim)
    height = _whole_side(y1 - y0, stock[1], step, trim)
    x, y = x0 + (x1 - x0 - width) / 2, y0 + (y1 - y0 - height) / 2
    cuts = least_cuts(spot.ring, (x, y, x + width, y + height), step)
    outline = apply_cuts((width, height), cuts) if cuts is not None and min(width, height) > 0.0 else None
    if cuts is None or outline is None:
        return None
    return Blank((width, height), ring_of(outline), cuts, InCase(_tidy(spot.turn_deg), _moved(x, y, spot)))


def _whole_side(side: float, stock: float, step: float, trim: int) -> float:
    return stock if side >= stock - 1e-6 and not trim else rounded_down(side, step) - trim * step


def _tidy(turn_deg: float) -> float:
    return int(turn_deg) if turn_deg == int(turn_deg) else turn_deg


def _moved(x: float, y: float, spot: StockPlace) -> Point:
    """The move after the turn that brings a board whose lower left lies at (x, y) in its own frame to its place."""
    place = turned_back(shapely.get_coordinates(shapely.Point(x, y)), -spot.turn_deg)[0]
    return float(place[0]), float(place[1])


def lies_in(board: Blank, region: BaseGeometry) -> bool:
    """Whether the board, where its `in_case` puts it, lies in the region."""
    assert board.in_case is not None
    outline = affinity.rotate(Polygon(board.outline), board.in_case.turn, origin=(0, 0))
    return bool(region.buffer(TOLERANCE).covers(affinity.translate(outline, *board.in_case.at)))


def still_fits(board: Blank, case: CaseSetup, span: Span) -> bool:
    """Whether a board lies in its case at other heights than those that it was made for."""
    return lies_in(board, free_region(case, span.low, span.high))


def boards_from_sheet(sheet: Point, board: Point) -> int:
    """Return how many boards of one size come out of a sheet by straight cuts from side to side.

    Strips of boards lying one way, and what is left of the sheet the other way; the better of both directions.
    """
    return len(boards_on_sheet(sheet, board))


def boards_on_sheet(sheet: Point, board: Point) -> tuple[Rectangle, ...]:
    """Return where the boards of one size lie on a sheet, lower left ones first: x0, y0, x1, y1 in mm.

    All lie in strips that go from side to side. Where as many come out either way, strips lie along the lower edge.
    """
    lying, upright = _strips(sheet, board), _strips((sheet[1], sheet[0]), (board[1], board[0]))
    if len(upright) <= len(lying):
        return lying
    return tuple((y0, x0, y1, x1) for x0, y0, x1, y1 in upright)


def _strips(sheet: Point, board: Point) -> tuple[Rectangle, ...]:
    """Strips of boards as they are, then strips of turned ones above; of as many boards those with most as they are."""
    best: tuple[Rectangle, ...] = ()
    for rows in range(_count(sheet[1], board[1]), -1, -1):
        low = rows * board[1]
        turned = _strip_rows(sheet[0], low, _count(sheet[1] - low, board[0]), (board[1], board[0]))
        best = max(best, (*_strip_rows(sheet[0], 0.0, rows, board), *turned), key=len)
    return best


def _strip_rows(width: float, low: float, rows: int, board: Point) -> tuple[Rectangle, ...]:
    along, across = board
    return tuple(
        (column * along, low + row * across, (column + 1) * along, low + (row + 1) * across)
        for row in range(rows)
        for column in range(_count(width, along))
    )


def _count(length: float, part: float) -> int:
    return int((length + TOLERANCE) // part)


def _too_small(case: CaseSetup, region: BaseGeometry, stock: Point) -> Problem:
    width, height = case.inside
    x0, y0, x1, y1 = region.bounds if not region.is_empty else (0.0, 0.0, 0.0, 0.0)
    free = f"{math.floor(x1 - x0)} x {math.floor(y1 - y0)} mm"
    return error(
        f"no board fits into a case of {width:g} x {height:g} mm inside with {case.clearance:g} mm clearance:"
        f" {free} are free of walls, and a board needs {LEAST_SIDE:g} x {LEAST_SIDE:g} mm",
        hint=_what_would_fit(case, stock),
    )


def _what_would_fit(case: CaseSetup, stock: Point) -> str:
    need = LEAST_SIDE + 2 * case.clearance
    if min(case.inside) < need:
        return f"the case would have to be {math.ceil(need)} mm wide inside; or travel without the board in this case"
    return f"look at `keep_out`, `floor` and `clearance` of the case; the stock is {stock[0]:g} x {stock[1]:g} mm"
