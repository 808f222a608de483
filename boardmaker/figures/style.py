"""How a board looks: its type and its inks.

Red is for danger and for nothing else. The tints of left and right are apart in lightness, so that they stay apart in
greyscale; in `black` nothing is tinted, and shapes and hatching say the same.
"""

from __future__ import annotations

from dataclasses import dataclass

from boardmaker.display_list import Ink
from boardmaker.model import BoardSetup
from boardmaker.typeset.type_sizes import BOARD_TYPE, TypeSizes, board_type

BLACK = 0.0
DANGER_RED = (0.80, 0.05, 0.05)
TINTS: dict[str, Ink] = {"left": (0.78, 0.88, 1.0), "right": (0.95, 0.72, 0.30)}
NO_TINT = 1.0


@dataclass(frozen=True)
class BoardStyle:
    """Type sizes, whether there is colour, whether there are boxes to tick."""

    type: TypeSizes
    coloured: bool
    ticked: bool = True

    @property
    def danger(self) -> Ink:
        """What danger is drawn in."""
        return DANGER_RED if self.coloured else BLACK

    def tint(self, side: str) -> Ink:
        """Return the ground of a side's tags: left, right or centre."""
        return TINTS.get(side, NO_TINT) if self.coloured else NO_TINT


PLAIN = BoardStyle(BOARD_TYPE, coloured=True)


def board_style(board: BoardSetup, grown: float = 1.0) -> BoardStyle:
    """Return the style of a board; `grown` times the usual type where there is room for it."""
    return BoardStyle(board_type(board.large).grown(grown), board.ink != "black")
