"""A finished board set: shapes, drawings, sheets, and how well the boards read."""

from __future__ import annotations

from dataclasses import dataclass

from boardmaker.case import Blank
from boardmaker.drawing import BoardGrid, Drawing, Placed
from boardmaker.model import Setup
from boardmaker.packing.reading import Reading
from boardmaker.service import Work
from boardmaker.sheets import Sheets


@dataclass(frozen=True)
class Board:
    """One finished board: its shape, where it lies in the case, what is on it, its drawing, the grid at its edges."""

    shape: Blank
    placed: tuple[Placed, ...]
    drawing: Drawing
    grid: BoardGrid | None = None


@dataclass(frozen=True)
class BoardSet:
    """All boards of one bike at their common scale, how well they read, and their sheets.

    `cut_short`: the search was stopped by Ctrl-C, and this is the best that it had.
    """

    work: Work
    setup: Setup
    scale: float
    boards: tuple[Board, ...]
    reading: Reading
    sheets: Sheets
    cut_short: bool = False
    on_one_more: float | None = None  # about the scale with one board more, where the number of boards was left open
    keeps_scale_on: int | None = None  # boards that would keep the scale of the earlier ones, where these do not
