"""One answer of the search: boards at their heights with everything placed on them, and whether the case takes it."""

from __future__ import annotations

from dataclasses import dataclass

from boardmaker.boards.stack import BoardStack, spans_of
from boardmaker.case import Layer, Span, stack_problem, still_fits
from boardmaker.drawing import Placed
from boardmaker.model import Setup
from boardmaker.packing.problem import Packing
from boardmaker.problems import Problem


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
