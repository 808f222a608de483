"""`board`: the whole flow, from a bike file to the files of its boards."""

from __future__ import annotations

import math
from collections.abc import Iterator

from boardmaker.boards import BoardOptions, BoardSet, build_boards
from boardmaker.commands.board_files import write_boards
from boardmaker.commands.common import load_setup, load_work, say_warnings, unprintable
from boardmaker.commands.options import page_ranges, read_scale
from boardmaker.commands.progress import progress_line
from boardmaker.commands.requests import BoardRequest
from boardmaker.commands.summary import summary
from boardmaker.problems import Problem, WrongUsage, error
from boardmaker.service import Work, staying_riders, strays

READS_POORLY = 0.6  # of the measure; chance alone gives about a half


def make_board(request: BoardRequest) -> None:
    """Write the boards' files and say what is on them."""
    options = _options(request)
    page_ranges(request.printing.pages)  # wrong usage is said before a long search
    work, warnings = load_work(request.work)
    owned, setup_warnings = load_setup(request.setup)
    say_warnings((*warnings, *setup_warnings, *strays(work.bike), *_of_work(work)))
    built = build_boards(work, owned, options, progress_line(request.output.quiet))
    lines = (*summary(built, request.setup.case), *_hint(built, options))
    write_boards(built, request.printing.pages, lines, request.output)


def _of_work(work: Work) -> Iterator[Problem]:
    yield from staying_riders(work)
    yield from unprintable(work, "the boards")


def _options(request: BoardRequest) -> BoardOptions:
    packing, print_as = request.packing, request.printing.print_as
    if math.isnan(request.arrange):  # it passes click's range
        raise WrongUsage([error("--arrange: this is not a number", hint="from 0 to 2, in per cent")])
    scale = read_scale(packing.scale)
    return BoardOptions(scale, request.boards, packing.effort, packing.seed, print_as, request.arrange / 100)


def _hint(built: BoardSet, options: BoardOptions) -> Iterator[str]:
    if options.scale == "auto" and not options.arrange and built.reading.total < READS_POORLY:
        yield "--arrange gives up to 2 % of the scale for boards that read more like the bike"
