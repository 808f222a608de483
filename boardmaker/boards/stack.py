"""The boards of a set as they are taken to lie in the case: at which heights, and so of which shape.

In: the setup and the heights. Out: the boards' shapes, their marks, the regions to pack. Apart from the search because
how high a board lies depends on what is on those below it, which is known only once they are packed: a search tries one
stack after the other, and each stays what it is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from boardmaker.case import Blank, Layer, Span, layer_of, shape_boards, stack_heights
from boardmaker.drawing import Placed, place_figure
from boardmaker.figures import Figure, draw_board_mark
from boardmaker.geometry import bounds
from boardmaker.model import Fastener, Setup
from boardmaker.packing.problem import Region
from boardmaker.service import Work

NO_SCREWS = Layer(0.0, 0.0)


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
    def stocks(self) -> list[tuple[float, float]]:
        """The rectangle that each board is cut from, mm."""
        return [blank.stock for blank in self.blanks]


def stack_of(work: Work, setup: Setup, spans: Sequence[Span]) -> BoardStack:
    """Return boards as large as the case allows at these heights. Raises ProblemsFound where none fits."""
    blanks = shape_boards(setup, spans)
    marks = tuple(_marks(work, blank, index, len(blanks), setup.board.margin) for index, blank in enumerate(blanks))
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


def _fasteners_on(placed: Sequence[Placed], work: Work) -> list[Fastener]:
    keys = {pocket.fastener for one in placed for pocket in one.figure.pockets if pocket.hole}
    return [fastener for fastener in work.bike.fasteners if fastener.key in keys]


def _marks(work: Work, blank: Blank, index: int, count: int, margin: float) -> tuple[Placed, ...]:
    """A lone board needs no mark."""
    return () if count == 1 else (_place_mark(draw_board_mark(work, index + 1, count), blank, margin),)


def _place_mark(mark: Figure, blank: Blank, margin: float) -> Placed:
    """The board's mark in its lower right corner, clear of a corner that is cut."""
    _, y0, x1, _ = bounds(mark.zone)
    cut = max((one.along_x for one in blank.corner_cuts if one.corner == "lower right"), default=0.0)
    return place_figure(mark, (blank.stock[0] - margin - cut - x1, margin - y0), 0)
