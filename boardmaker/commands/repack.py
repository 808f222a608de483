"""`repack`: the same boards for another case, stock or paper, as close to the earlier ones as fits."""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Sequence
from pathlib import Path

from boardmaker.boards import MOST_BOARDS, BoardOptions, BoardSet, repack_boards
from boardmaker.boards.board_file.form import BoardFile
from boardmaker.boards.board_file.reading import changed_since, problem_without_bike, read_board_file
from boardmaker.boards.former import moves
from boardmaker.commands.board_files import write_boards
from boardmaker.commands.common import (
    demo_folder,
    existing,
    load_bike,
    load_setup,
    overridden,
    say_warnings,
    staying_warnings,
    unprintable,
)
from boardmaker.commands.options import page_list, read_scale
from boardmaker.commands.progress import progress_line
from boardmaker.commands.requests import RepackRequest, SetupChoice
from boardmaker.commands.summary import summary
from boardmaker.model import Bike, Setup
from boardmaker.problems import Problem, ProblemsFound, warning
from boardmaker.service import Work, plan_work
from boardmaker.units import counted
from boardmaker.wording.numbers import scale_text


def repack(request: RepackRequest) -> None:
    """Write the boards' files and say what moved."""
    page_list(request.printing.pages)  # wrong usage is said before anything else
    read_scale(request.packing.scale)
    kept = read_board_file(existing(request.board_file))
    work, warnings = _work(kept, request)
    owned, setup_warnings = _setup(kept, request.setup)
    say_warnings((*warnings, *setup_warnings, *staying_warnings(work), *unprintable(work, "the boards")))
    kept_on = request.boards or len(kept.boards)
    report = progress_line(request.output.quiet)
    built = repack_boards(work, owned, _options(request, kept), kept.boards, kept.scale, kept_on, report)
    lines = (*_changes(built, kept), *summary(built, request.setup.case))
    write_boards(built, request.printing.pages, lines, request.output)


def _options(request: RepackRequest, kept: BoardFile) -> BoardOptions:
    packing, print_as = request.packing, request.printing.print_as
    most = max(MOST_BOARDS, len(kept.boards))
    scale = read_scale(packing.scale)
    return BoardOptions(scale, request.boards, packing.effort, packing.seed, print_as, most=most)


def _work(kept: BoardFile, request: RepackRequest) -> tuple[Work, tuple[Problem, ...]]:
    """The work from the bike in the board file, or from its bike file where the board file holds none."""
    board_file, bike = request.board_file, request.bike
    beside = (board_file.parent, board_file.parent.parent, Path(), demo_folder())
    places = [existing(bike)] if bike else [folder / Path(kept.bike.file).name for folder in beside]
    found, changed = changed_since(kept.bike, places)
    model, warnings = _model(kept, board_file, found)
    off = [key for key, _ in model.equipment if key not in kept.bike.equipment]
    work = plan_work(model, kept.bike.jobs, (), off)
    return work, (*warnings, *_told(found, changed, kept))


def _model(kept: BoardFile, board_file: Path, found: Path | None) -> tuple[Bike, tuple[Problem, ...]]:
    if kept.bike.model is not None:
        return kept.bike.model, ()
    if found is None:
        raise ProblemsFound([problem_without_bike(board_file, kept.bike)])
    return load_bike(found)


def _told(found: Path | None, changed: bool, kept: BoardFile) -> Iterator[Problem]:
    if found is None:
        yield warning(f"{kept.bike.file} is not here: packed from the board file alone")
    elif changed and kept.bike.model is not None:
        yield warning(
            f"{found} has changed since this board was made; the bike is taken as the board file has it",
            hint=f"boardmaker board {shlex.quote(str(found))} makes boards of the bike as it is now",
        )
    elif changed:
        yield warning(f"{found} has changed since this board was made, and the board file holds no bike of its own")


def _setup(kept: BoardFile, choice: SetupChoice) -> tuple[Setup, tuple[Problem, ...]]:
    """The setup that the board was made with, or another one from a file; the command line wins over both."""
    return load_setup(choice) if choice.setup is not None else (overridden(kept.setup, choice), ())


def _changes(built: BoardSet, kept: BoardFile) -> Iterator[str]:
    if abs(built.scale / kept.scale - 1.0) < 1e-6:
        yield f"the scale stays at {scale_text(built.scale)}"
    else:
        more = f"; --boards {built.keeps_scale_on} keeps it" if built.keeps_scale_on is not None else ""
        yield f"the scale changes from {scale_text(kept.scale)} to {scale_text(built.scale)}{more}"
    stocks = [shape.stock for shape in kept.boards]
    now = [board.shape.stock for board in built.boards]
    if stocks != now:
        yield f"boards before: {_sizes(stocks)}; now: {_sizes(now)}"
    found = moves(kept.boards, [(board.shape.stock, board.placed) for board in built.boards])
    stayed = sum(1 for one in found if not one.words)
    figures = counted(len(found), "figure")
    yield counted(
        stayed,
        f"of {figures} stays where it was, by the middle of its board",
        f"of {figures} stay where they were, by the middle of their board",
    )
    names = {panel.key: panel.name for panel in built.work.bike.panels}
    yield from (
        f"moved: {names.get(one.key) or f'{one.kind} {one.key}'.strip()}: {one.words}" for one in found if one.words
    )


def _sizes(stocks: Sequence[tuple[float, float]]) -> str:
    return ", ".join(f"{width:g} x {height:g} mm" for width, height in stocks)
