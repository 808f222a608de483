"""A board of the given stock for the given case: trimmed if it must be, with straight cuts at its corners.

A cut is given by its legs: how far along both edges it takes the corner away. In a convex region the least cut that
frees a corner starts and ends where the board's edges enter the region; a second cut through the region's farthest
point from that chord loses less (for a wall radius r: legs r, and r(1 - 1/sqrt 2) where two cuts meet on the arc).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import shapely
from shapely import LineString, Polygon, affinity
from shapely.geometry.base import BaseGeometry

from boardmaker.case.section import free_region
from boardmaker.geometry import Point, Ring, box_ring, ring_of
from boardmaker.inputs.model import CaseSetup, Setup
from boardmaker.problems import Problem, ProblemsFound, error

CORNERS = ("lower left", "lower right", "upper right", "upper left")
WORTH_A_CUT = 300.0  # mm2 of board that a second cut at a corner must save
LEAST_SIDE = 60.0  # mm; a smaller board holds nothing
TOUCH = 1e-6  # mm by which a board may lie on the region's edge


@dataclass(frozen=True)
class CornerCut:
    """A straight cut at a corner: its legs along the two edges, mm."""

    corner: str
    along_x: float
    along_y: float


@dataclass(frozen=True)
class InCase:
    """Where a board lies: its outline turned about the origin, then moved by `at`; its underside above the floor."""

    turn: int
    at: Point
    floor_height: float = 0.0


@dataclass(frozen=True)
class BoardShape:
    """One board: the rectangle that it is cut from, its outline (lower left of the rectangle at the origin)."""

    stock: Point
    outline: Ring
    corner_cuts: tuple[CornerCut, ...] = ()
    in_case: InCase | None = None

    @property
    def area(self) -> float:
        """Area that is left after the cuts, mm2."""
        return float(Polygon(self.outline).area)


def shape_boards(setup: Setup, count: int) -> tuple[BoardShape, ...]:
    """Return `count` boards, the lowest in the case first.

    Raises ProblemsFound where no board of this stock fits into the case.
    """
    stock = setup.board.size
    if setup.case is None:
        return (BoardShape(stock, box_ring(0.0, 0.0, *stock)),) * count
    return (_best_in_case(setup.case, stock),) * count


def _best_in_case(case: CaseSetup, stock: Point) -> BoardShape:
    region = free_region(case)
    found = [board for turn in (0, 90) for board in _candidates(region, stock, turn)]
    if not found:
        raise ProblemsFound([_too_small(case)])
    return max(found, key=lambda board: (round(board.area, 3), board.in_case is not None and board.in_case.turn == 0))


def _too_small(case: CaseSetup) -> Problem:
    width, height = case.inside
    return error(
        f"no board fits into a case of {width:g} x {height:g} mm inside with {case.clearance:g} mm clearance",
        hint=f"a board needs at least {LEAST_SIDE:g} x {LEAST_SIDE:g} mm free of walls and keep-outs",
    )


def _candidates(region: BaseGeometry, stock: Point, turn: int) -> Iterator[BoardShape]:
    """Ever better boards in each part of the region; `turn` is the board's turn in the case."""
    in_board_frame = affinity.rotate(region, -turn, origin=(0, 0))
    for part in _convex_parts(in_board_frame):
        best = 0.0
        for x, y, width, height in _rectangles(part, stock):
            if width * height <= best:
                break  # rectangles come by area, so nothing better follows
            cut = _cut_to(part, x, y, width, height)
            if cut is not None and cut.area > best:
                best = cut.area
                yield replace(cut, in_case=InCase(turn, _turned_at((x, y), turn)))


def _turned_at(at: Point, turn: int) -> Point:
    """The move after the turn that brings a board whose lower left lies at `at` in its own frame to its place."""
    return at if turn == 0 else (-at[1], at[0])


def _convex_parts(region: BaseGeometry) -> Iterator[Polygon]:
    """Parts of the region in which a straight cut at each corner is enough.

    A keep-out is passed on one of its four sides, whichever; each way round is a part of its own.
    """
    parts = [part for part in getattr(region, "geoms", [region]) if part.area > LEAST_SIDE**2]
    for part in parts:
        yield from _passing(Polygon(part.exterior), _bays(part))


def _bays(part: Polygon) -> list[BaseGeometry]:
    """What keeps the part from being convex: the bays and holes of any size that matters."""
    missing = part.convex_hull.difference(part)
    return sorted(
        (bay for bay in getattr(missing, "geoms", [missing]) if bay.area > 1.0), key=lambda bay: (-bay.area, bay.bounds)
    )[:4]


def _passing(part: Polygon, bays: Sequence[BaseGeometry]) -> Iterator[Polygon]:
    if not bays:
        yield part
        return
    x0, y0, x1, y1 = bays[0].bounds
    low_x, low_y, high_x, high_y = part.bounds
    for half in (
        shapely.box(low_x, low_y, x0, high_y),
        shapely.box(x1, low_y, high_x, high_y),
        shapely.box(low_x, low_y, high_x, y0),
        shapely.box(low_x, y1, high_x, high_y),
    ):
        rest = part.intersection(half)
        if isinstance(rest, Polygon) and rest.area > LEAST_SIDE**2:
            yield from _passing(rest, [bay for bay in bays[1:] if bay.intersects(half)])


def _rectangles(part: Polygon, stock: Point) -> Iterator[tuple[float, float, float, float]]:
    """Rectangles to try, largest first: what stock and region allow, and trimmed; slid within the region."""
    x0, y0, x1, y1 = part.bounds
    widths, heights = _sides(min(stock[0], x1 - x0), stock[0]), _sides(min(stock[1], y1 - y0), stock[1])
    sizes = sorted(((width, height) for width in widths for height in heights), key=lambda size: -size[0] * size[1])
    for width, height in sizes:
        spare_x, spare_y = x1 - x0 - width, y1 - y0 - height
        for share_x in _slides(spare_x):
            for share_y in _slides(spare_y):
                yield x0 + share_x * spare_x, y0 + share_y * spare_y, width, height


def _sides(largest: float, stock: float) -> list[float]:
    """The whole side, then whole millimetres less; a side of the untouched stock stays as it was bought."""
    whole = largest if largest == stock else math.floor(largest + TOUCH)
    return [side for step in range(9) if (side := whole - math.floor(whole * 0.025 * step)) >= LEAST_SIDE]


def _slides(spare: float) -> tuple[float, ...]:
    return (0.5, 0.0, 1.0, 0.25, 0.75) if spare > 1.0 else (0.5,)


def _cut_to(part: Polygon, x: float, y: float, width: float, height: float) -> BoardShape | None:
    """The rectangle with the cuts that bring it inside; None where no straight cuts do."""
    here = affinity.translate(part, -x, -y)
    cuts = _corner_cuts(here, width, height)
    if cuts is None:
        return None
    outline = apply_cuts((width, height), cuts)
    if outline is None or not here.buffer(TOUCH).contains(outline):
        return None
    return BoardShape((width, height), ring_of(outline), cuts)


def apply_cuts(stock: Point, cuts: Sequence[CornerCut]) -> Polygon | None:
    """Return the stock without its cut corners; None where the cuts leave no single board."""
    board = shapely.box(0.0, 0.0, *stock)
    for cut in cuts:
        board = board.difference(Polygon(cut_triangle(stock, cut)))
    if not isinstance(board, Polygon) or board.area < LEAST_SIDE**2:
        return None
    return board.simplify(0.0)


def cut_triangle(stock: Point, cut: CornerCut) -> Ring:
    """Return the corner that a cut takes away."""
    (x, y), (x_sign, y_sign) = _corner(stock, cut.corner)
    return (x, y), (x + x_sign * cut.along_x, y), (x, y + y_sign * cut.along_y)


def _corner(stock: Point, corner: str) -> tuple[Point, Point]:
    """A corner's place and the directions that lead from it along the edges."""
    right, upper = corner.endswith("right"), corner.startswith("upper")
    return (stock[0] * right, stock[1] * upper), (-1.0 if right else 1.0, -1.0 if upper else 1.0)


def _corner_cuts(part: Polygon, width: float, height: float) -> tuple[CornerCut, ...] | None:
    cuts: list[CornerCut] = []
    for corner in CORNERS:
        place, (x_sign, y_sign) = _corner((width, height), corner)
        along_x = _enters(part, place, (place[0] + x_sign * width, place[1]))
        along_y = _enters(part, place, (place[0], place[1] + y_sign * height))
        if along_x is None or along_y is None:
            return None
        if along_x > TOUCH or along_y > TOUCH:
            cuts += _least_cuts(part, corner, place, (x_sign * along_x, y_sign * along_y))
    return tuple(cuts)


def _enters(part: Polygon, corner: Point, end: Point) -> float | None:
    """How far along the edge from the corner the region begins; None where the edge misses it."""
    inside = part.buffer(TOUCH / 2).intersection(LineString([corner, end]))
    return None if inside.is_empty else float(inside.distance(shapely.Point(corner)))


def _least_cuts(part: Polygon, corner: str, place: Point, legs: Point) -> list[CornerCut]:
    start, end = (place[0] + legs[0], place[1]), (place[0], place[1] + legs[1])
    knee = _farthest_beyond(part, place, start, end)
    single = _rounded_up(corner, abs(legs[0]), abs(legs[1]))
    if knee is None:
        return [single]
    knee_x, knee_y = abs(knee[0] - place[0]), abs(knee[1] - place[1])
    first = _rounded_up(corner, abs(legs[0]), _intercept(abs(legs[0]), knee_x, knee_y))
    second = _rounded_up(corner, _intercept(abs(legs[1]), knee_y, knee_x), abs(legs[1]))
    return [first, second]


def _intercept(leg: float, along: float, across: float) -> float:
    """Where the line from (leg, 0) through (along, across) meets the other edge."""
    return across * leg / (leg - along)


def _farthest_beyond(part: Polygon, place: Point, start: Point, end: Point) -> Point | None:
    """The region's point nearest to the corner beyond the chord; None where a second cut is not worth its while."""
    beyond = part.intersection(Polygon([place, start, end]))
    chord = LineString([start, end])
    points = shapely.get_coordinates(beyond)
    if not len(points) or chord.length == 0.0:
        return None
    off = shapely.distance(shapely.points(points), chord)
    best = int(off.argmax())
    saved = float(off[best]) * chord.length / 2
    return (float(points[best][0]), float(points[best][1])) if saved >= WORTH_A_CUT else None


def _rounded_up(corner: str, along_x: float, along_y: float) -> CornerCut:
    """Whole millimetres to the safe side: longer legs take away more."""
    return CornerCut(corner, float(math.ceil(along_x - 1e-4)), float(math.ceil(along_y - 1e-4)))
