"""One answer of the search: boards at their heights with everything placed on them, and whether the case takes it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from boardmaker.boards.stack import BoardStack, layers_of, spans_of
from boardmaker.case import Layer, Span, shape_boards, stack_problem, still_fits
from boardmaker.drawing import Placed
from boardmaker.model import Setup
from boardmaker.packing.problem import Packing
from boardmaker.problems import Problem
from boardmaker.service import Work

THINNEST = 2.0  # mm, of stock that is sold; common practice, no source
FINER = 0.5  # mm, from one thickness of stock to the next
ANY_STOCK = 5000.0  # mm: larger than any case
CLEARLY_LARGER = 1.01  # times the area of a board


@dataclass(frozen=True)
class Candidate:
    """Boards of a setup, the packing on them, and by board what lies where and how far its screws stand out."""

    setup: Setup
    stack: BoardStack
    packing: Packing
    placed: tuple[tuple[Placed, ...], ...]
    layers: tuple[Layer, ...]

    @property
    def scale(self) -> float:
        """The scale of all panels, board mm per mm on the bike."""
        return self.packing.scale

    @property
    def cut_short(self) -> bool:
        """Whether the search was stopped, and this is the best that it had."""
        return self.packing.cut_short

    def lower_than_taken(self) -> tuple[Span, ...] | None:
        """Return where the boards really lie, if walls that lean in are in their way there; else None."""
        case = self.setup.case
        if case is None or case.floor is None:
            return None
        spans = spans_of(self.layers, self.setup.board.thickness)
        fits = (still_fits(blank, case, span) for blank, span in zip(self.stack.blanks, spans, strict=True))
        return None if all(fits) else spans

    def too_high(self) -> Problem | None:
        """Return an error where the boards stand too high in the case; None where they go in, or there is no case."""
        case = self.setup.case
        return stack_problem(case, self.layers, self.setup.board.thickness) if case else None

    def goes_in(self) -> bool:
        """Whether the case takes the boards as they lie: below its lid, and no wall that leans in is in their way."""
        return self.lower_than_taken() is None and self.too_high() is None

    def height_needed(self) -> float:
        """Return the height of a case that takes the boards as they lie, mm."""
        assert self.setup.case is not None
        return _top(spans_of(self.layers, self.setup.board.thickness)) + self.setup.case.clearance

    def thinner(self, work: Work) -> float | None:
        """Return the thickness of the thickest stock with which the boards are not too high, mm; None for none.

        Where tips stand out below, they do so the further the thinner the stock is, and nothing is gained.
        """
        case, thickness = self.setup.case, self.setup.board.thickness - FINER
        while case is not None and thickness >= THINNEST:
            if stack_problem(case, layers_of(work, self.placed, thickness), thickness) is None:
                return thickness
            thickness -= FINER
        return None


def takes_any(setup: Setup, stack: BoardStack) -> bool:
    """Whether the case's lid closes over the stack as high as it is taken to be."""
    case = setup.case
    return case is None or case.height is None or _top(stack.spans) + case.clearance <= case.height


def gains_by_stock(setup: Setup, stack: BoardStack) -> bool:
    """Whether boards of larger stock would be larger: those that fill their case would not."""
    unlimited = replace(setup, board=replace(setup.board, size=(ANY_STOCK, ANY_STOCK)))
    largest = sum(blank.area for blank in shape_boards(unlimited, stack.spans))
    return largest > CLEARLY_LARGER * sum(blank.area for blank in stack.blanks)


def _top(spans: Sequence[Span]) -> float:
    return max((span.high for span in spans if span.high is not None), default=0.0)
