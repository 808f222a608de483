"""`board`: the whole flow, from a bike file to the files of its boards."""

from __future__ import annotations

import math
from collections.abc import Iterator

from boardmaker.boards import BoardOptions, BoardSet, build_boards
from boardmaker.commands.board_files import write_boards
from boardmaker.commands.common import load_setup, load_work, say_warnings, unprintable
from boardmaker.commands.options import page_list, read_scale
from boardmaker.commands.progress import progress_line
from boardmaker.commands.requests import BoardRequest
from boardmaker.commands.summary import summary
from boardmaker.problems import Problem, ProblemsFound, WrongUsage, error
from boardmaker.service import FIRST_PANEL, Work, staying_riders, strays
from boardmaker.wording.numbers import scale_text

READS_POORLY = 0.7  # of the measure; chance alone gives about a half


def make_board(request: BoardRequest) -> None:
    """Write the boards' files and say what is on them."""
    options = _options(request)
    page_list(request.printing.pages)  # wrong usage is said before a long search
    work, warnings = load_work(request.work)
    _refuse_no_panels(work)
    owned, setup_warnings = load_setup(request.setup)
    of_bike = (*warnings, *strays(work.bike), *_of_work(work)) if request.work.bike else ()  # the demo has its reasons
    say_warnings((*of_bike, *setup_warnings))
    built = build_boards(work, owned, options, progress_line(request.output.quiet))
    lines = (*summary(built, request.setup.case), *_hints(built, options))
    write_boards(built, request.printing.pages, lines, request.output)


def _refuse_no_panels(work: Work) -> None:
    if not work.bike.panels:
        message = (
            f"{work.bike.file} has no panels yet, or none with this equipment: there is nothing to make a board of"
        )
        raise ProblemsFound([error(message, hint=FIRST_PANEL)])


def _of_work(work: Work) -> Iterator[Problem]:
    yield from staying_riders(work)
    yield from unprintable(work, "the boards")


def _options(request: BoardRequest) -> BoardOptions:
    packing, print_as = request.packing, request.printing.print_as
    if request.arrange is not None and math.isnan(request.arrange):  # it passes click's range
        raise WrongUsage([error("--arrange: this is not a number", hint="from 0 to 25, in per cent")])
    scale = read_scale(packing.scale)
    share = None if request.arrange is None else request.arrange / 100
    return BoardOptions(scale, request.boards, packing.effort, packing.seed, print_as, share)


def _hints(built: BoardSet, options: BoardOptions) -> Iterator[str]:
    if built.on_one_more is not None:
        count = len(built.boards) + 1
        yield f"one board more would stand at about {scale_text(built.on_one_more)} (--boards {count})"
    if options.scale == "auto" and options.arrange is None and built.reading.total < READS_POORLY:
        yield "--arrange 25 gives up more of the scale for boards that read like the bike"
