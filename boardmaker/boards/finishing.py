"""From a candidate to boards with drawings, and to their sheets."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from boardmaker.boards.board_set import Board
from boardmaker.boards.candidate import Candidate
from boardmaker.boards.cutouts import spread_on_pages
from boardmaker.boards.search import BoardSearch
from boardmaker.boards.stack import flat_on
from boardmaker.case import Blank, cut_triangle, stack_heights
from boardmaker.drawing import CutLine, Placed, board_grid, draw_board, grid_marks
from boardmaker.figures.style import board_style
from boardmaker.model import Setup
from boardmaker.sheets import BoardInCase, BoardOnPaper, Sheets, lay_sheets, picture_size
from boardmaker.wording.numbers import length_text

CUT_SHORT = "Search interrupted: a longer one may find a larger drawing."


def finished_boards(found: Candidate) -> tuple[Board, ...]:
    """Return the candidate's boards, drawn, each at its height in the case."""
    blanks = tuple(_at_their_heights(found))
    return tuple(_drawn(blank, placed, found.setup) for blank, placed in zip(blanks, found.placed, strict=True))


def _drawn(blank: Blank, placed: tuple[Placed, ...], setup: Setup) -> Board:
    margin = setup.board.margin
    grid = board_grid(blank.stock, margin)
    marks = grid_marks(grid, blank.outline, margin) if grid else ()
    drawing = draw_board(placed, blank.outline, blank.stock, _cut_lines(blank, setup), marks, board_style(setup.board))
    return Board(blank, placed, drawing, grid)


def finished_sheets(search: BoardSearch, found: Candidate, boards: Sequence[Board]) -> Sheets:
    """Return the boards on paper. Raises ProblemsFound for paper without room."""
    print_as, setup = search.options.print_as, found.setup
    cutouts: tuple[BoardOnPaper, ...] = ()
    if print_as == "cutouts":
        figures = search.figures.all_at(found.scale)
        cutouts = spread_on_pages(figures, picture_size(setup), search.options.seed, board_style(setup.board))
    thickness = setup.board.thickness
    return lay_sheets(
        tuple(BoardOnPaper(board.drawing, board.shape.outline, board.placed, board.grid) for board in boards),
        search.work,
        found.scale,
        setup,
        whole=print_as == "whole",
        cutouts=cutouts,
        remark=CUT_SHORT if found.cut_short else "",
        in_case=[
            BoardInCase(one.shape, layer, thickness, flat_on(search.work, one.placed))
            for one, layer in zip(boards, found.layers, strict=True)
        ],
    )


def _at_their_heights(found: Candidate) -> Iterator[Blank]:
    heights = stack_heights(found.layers, found.setup.board.thickness)
    for blank, height in zip(found.stack.blanks, heights, strict=True):
        lies = blank.in_case and replace(blank.in_case, floor_height=height)
        yield replace(blank, in_case=lies)


def _cut_lines(blank: Blank, setup: Setup) -> list[CutLine]:
    lines = []
    for cut in blank.corner_cuts:
        corner, on_x, on_y = cut_triangle(blank.stock, cut)
        lengths = (length_text(leg, setup.cuts_in_inches) for leg in (cut.along_x, cut.along_y))
        lines.append(CutLine(corner, on_x, on_y, *lengths))
    return lines
