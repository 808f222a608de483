"""The flow of one board set on one screen: bike and setup in, boards out.

Each stage is called once, in order; only the search for the scale asks for the figures again, at every scale that it
tries.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from boardmaker.boards.arranging import arranged, read
from boardmaker.boards.board_file.form import BoardEntry
from boardmaker.boards.board_set import BoardSet
from boardmaker.boards.candidate import Candidate
from boardmaker.boards.figure_items import figure_items
from boardmaker.boards.finishing import finished_boards, finished_sheets
from boardmaker.boards.former import former_places
from boardmaker.boards.growing import with_larger_words, with_level_words
from boardmaker.boards.making_room import with_room_for_picture
from boardmaker.boards.options import BoardOptions, Report
from boardmaker.boards.repacking import packed_again
from boardmaker.boards.search import BoardSearch
from boardmaker.boards.spare_room import with_picture
from boardmaker.model import Setup
from boardmaker.service import Work


def build_boards(work: Work, setup: Setup, options: BoardOptions, report: Report) -> BoardSet:
    """Return the boards for this work. Raises ProblemsFound where they cannot be made."""
    search = BoardSearch(work, setup, options, report, figure_items(work, setup.board))
    found = with_room_for_picture(search, arranged(search, search.largest()))
    open_ = options.boards is None and options.scale == "auto"
    return replace(_board_set(search, found), on_one_more=search.on_one_more(found) if open_ else None)


def repack_boards(
    work: Work,
    setup: Setup,
    options: BoardOptions,
    kept: Sequence[BoardEntry],
    scale: float,
    kept_on: int,
    report: Report,
) -> BoardSet:
    """Return boards of another setup that keep `scale` if it fits, and everything near its old place and turn.

    `options.scale` "auto" keeps the scale where that goes on `kept_on` boards; anything else asks for another one.
    Raises ProblemsFound as `build_boards`.
    """
    figures = figure_items(work, setup.board)
    former = former_places(kept, scale, figures.names_at(scale))
    search = BoardSearch(work, setup, options, report, figures.wishing(former), former)
    found = packed_again(search, former, kept_on)
    smaller = options.scale == "auto" and found.scale < scale
    return replace(_board_set(search, found), keeps_scale_on=search.more_that_keep(scale, found) if smaller else None)


def _board_set(search: BoardSearch, found: Candidate) -> BoardSet:
    figures, wishes = search.figures, search.former.pictures() if search.former else {}
    found, level = with_level_words(
        found,
        lambda turns: figures.panels_grown(found.scale, 1.0, turns),
        lambda turns: figures.tables_grown(found.scale, 1.0, turns, {"title"}),
        search.clearance,
    )
    found = with_picture(found, figures.pictures, search.clearance, wishes)
    found = with_larger_words(
        found,
        lambda times: figures.panels_grown(found.scale, times, level),
        lambda times, kinds: figures.tables_grown(found.scale, times, level, kinds),
        search.clearance,
    )
    boards = finished_boards(found)
    sheets = finished_sheets(search, found, boards)
    return BoardSet(search.work, found.setup, found.scale, boards, read(search, found), sheets, found.cut_short)
