"""The boards of a set as they are taken to lie in the case: at which heights, and so of which shape.

In: the setup and the heights. Out: the boards' shapes, their marks, the regions to pack. Apart from the search because
how high a board lies depends on what is on those below it, which is known only once they are packed: a search tries one
stack after the other, and each stays what it is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import shapely
from shapely import Polygon, affinity
from shapely.geometry.base import BaseGeometry

from boardmaker.case import Blank, Layer, Span, layer_of, shape_boards, stack_heights
from boardmaker.drawing import Placed, place_figure
from boardmaker.figures import draw_board_mark
from boardmaker.geometry import Point, bounds, box_ring
from boardmaker.model import BoardSetup, Fastener, Setup
from boardmaker.packing.problem import Region
from boardmaker.service import Work
from boardmaker.typeset.type_sizes import board_type

NO_SCREWS = Layer(0.0, 0.0)
HAIR = 1e-3  # mm beyond the margin, so that rounding never brings a mark over it
ROUNDING = 1e-6  # mm


@dataclass(frozen=True)
class BoardStack:
    """Boards, the lowest in the case first: the heights that each takes up, its shape, its mark."""

    spans: tuple[Span, ...]
    blanks: tuple[Blank, ...]
    marks: tuple[tuple[Placed, ...], ...]  # what tells one board of several from the others
    margin: float  # mm, from the boards' edges

    @property
    def regions(self) -> tuple[Region, ...]:
        """The boards as the packing engine sees them."""
        return tuple(
            Region(blank.outline, self.margin, tuple(mark.figure.zone for mark in marks))
            for blank, marks in zip(self.blanks, self.marks, strict=True)
        )

    @property
    def areas(self) -> list[float]:
        """The area of each board, mm²."""
        return [float(Polygon(blank.outline).area) for blank in self.blanks]

    @property
    def stocks(self) -> list[tuple[float, float]]:
        """The rectangle that each board is cut from, mm."""
        return [blank.stock for blank in self.blanks]


def stack_of(work: Work, setup: Setup, spans: Sequence[Span]) -> BoardStack:
    """Return boards as large as the case allows at these heights. Raises ProblemsFound where none fits."""
    blanks = shape_boards(setup, spans)
    marks = tuple(_marks(work, blank, index, len(blanks), setup.board) for index, blank in enumerate(blanks))
    return BoardStack(tuple(spans), blanks, marks, setup.board.margin)


def highest_stack(work: Work, setup: Setup, count: int) -> BoardStack:
    """Return so many boards as if each carried the screws that stand out most: none lies higher."""
    kinds = {freed.fastener.key: freed.fastener for freed in work.freed}
    layer = layer_of(tuple(kinds.values()), setup.board.thickness)
    return stack_of(work, setup, spans_of([layer] * count, setup.board.thickness))


def lowered(work: Work, setup: Setup, stack: BoardStack, real: Sequence[Span], *, to_the_floor: bool) -> BoardStack:
    """Return the stack with no board higher than it `real`ly lies, and room up to the rim above each.

    `to_the_floor`: each as low as boards without any screws, lower than which none can lie.
    """
    bare = spans_of([NO_SCREWS] * len(stack.spans), setup.board.thickness)
    lowest = bare if to_the_floor else real
    spans = [Span(min(taken.low, low.low), None) for taken, low in zip(stack.spans, lowest, strict=True)]
    return stack_of(work, setup, spans)


def spans_of(layers: Sequence[Layer], thickness: float) -> tuple[Span, ...]:
    """Return the heights that boards take up whose screws stand out as far as these layers say, mm."""
    heights = stack_heights(layers, thickness)
    return tuple(Span(low, low + thickness + layer.above) for low, layer in zip(heights, layers, strict=True))


def layers_of(work: Work, placed: Sequence[Sequence[Placed]], thickness: float) -> list[Layer]:
    """Return how far the screws that lie on each board stand out of it."""
    return [layer_of(_fasteners_on(on_board, work), thickness) for on_board in placed]


def flat_on(work: Work, placed: Sequence[Placed]) -> tuple[Fastener, ...]:
    """Return the kinds of fasteners that lie flat on a board instead of standing in it, in the file's order."""
    return tuple(fastener for fastener in _fasteners_on(placed, work) if fastener.lies_flat)


def _fasteners_on(placed: Sequence[Placed], work: Work) -> list[Fastener]:
    keys = {pocket.fastener for one in placed for pocket in one.figure.pockets if pocket.hole}
    return [fastener for fastener in work.bike.fasteners if fastener.key in keys]


def _marks(work: Work, blank: Blank, index: int, count: int, board: BoardSetup) -> tuple[Placed, ...]:
    """A lone board needs no mark; nor does a board get one that has no room even for that."""
    if count == 1:
        return ()
    mark = draw_board_mark(work, index + 1, count, board_type(board.large))
    place = _mark_place(bounds(mark.zone), blank, board.margin)
    return (place_figure(mark, place, 0),) if place else ()


def _mark_place(box: tuple[float, float, float, float], blank: Blank, margin: float) -> Point | None:
    """Where the board's mark goes: at the lower edge, right, clear of a corner that is cut.

    Where a long cut leaves no room there, as near to the lower right corner as the margin lets it; None for nowhere.
    """
    _, y0, x1, _ = box
    cut = max((one.along_x for one in blank.corner_cuts if one.corner == "lower right"), default=0.0)
    beside = (blank.stock[0] - margin - cut - x1, margin - y0)
    if _room_for(box, blank, margin - ROUNDING).covers(shapely.Point(beside)):
        return beside
    room = _room_for(box, blank, margin + HAIR)
    if room.is_empty:
        return None
    near = shapely.shortest_line(room, shapely.Point(blank.stock[0] - x1, -y0)).coords[0]
    return float(near[0]), float(near[1])


def _room_for(box: tuple[float, float, float, float], blank: Blank, margin: float) -> BaseGeometry:
    """Where a box's origin may be on a board so that it keeps the margin: a board is convex, so its corners decide."""
    inside = Polygon(blank.outline).buffer(-margin, join_style="mitre")
    return shapely.intersection_all([affinity.translate(inside, -x, -y) for x, y in box_ring(*box)])
