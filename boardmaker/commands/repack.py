"""`repack`: the same boards for another case, stock or paper, as close to the earlier ones as fits."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from boardmaker.boards import MOST_BOARDS, BoardOptions, BoardSet, PrintAs, repack_boards
from boardmaker.boards.board_file.form import BoardFile
from boardmaker.boards.board_file.reading import changed_since, problem_without_bike, read_board_file
from boardmaker.boards.former import moves
from boardmaker.commands.board import board_files, progress_line, read_scale, summary
from boardmaker.commands.common import (
    demo_folder,
    existing,
    load_bike,
    load_setup,
    say,
    say_files,
    say_warnings,
    unprintable,
)
from boardmaker.inputs import override_setup
from boardmaker.model import Bike, Setup
from boardmaker.output import write_set
from boardmaker.packing.problem import Effort
from boardmaker.problems import Interrupted, Problem, ProblemsFound, warning
from boardmaker.service import Work, plan_work, staying_riders
from boardmaker.wording.numbers import scale_text


def repack(
    board_file: Path,
    bike: Path | None,
    setup: Path | None,
    paper: str | None,
    board_size: str | None,
    case: str | None,
    boards: int | None,
    scale: str,
    effort: Effort,
    seed: int,
    pages: str | None,
    print_as: PrintAs,
    out: Path,
    force: bool,
    quiet: bool,
) -> None:
    """Write the boards' files into `out` and say what moved."""
    kept = read_board_file(existing(board_file))
    work, warnings = _work(kept, board_file, bike)
    owned, setup_warnings = _setup(kept, setup, paper, board_size, case)
    say_warnings((*warnings, *setup_warnings, *staying_riders(work), *unprintable(work, "the boards")))
    most = boards or max(MOST_BOARDS, len(kept.boards))
    options = BoardOptions(read_scale(scale), most, effort, seed, print_as)
    kept_on = boards or len(kept.boards)
    built = repack_boards(work, owned, options, kept.boards, kept.scale, kept_on, progress_line(quiet))
    files = board_files(built, pages)
    write_set(out, "board", files, force)
    for line in (*_changes(built, kept), *summary(built, case)):
        say(line, quiet)
    say_files(out, files, quiet)
    if built.cut_short:
        raise Interrupted("the best boards so far were written; a longer search may find a larger drawing")


def _work(kept: BoardFile, board_file: Path, bike: Path | None) -> tuple[Work, tuple[Problem, ...]]:
    """The work from the bike in the board file, or from its bike file where the board file holds none."""
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
            hint=f"boardmaker board {found} makes boards of the bike as it is now",
        )
    elif changed:
        yield warning(f"{found} has changed since this board was made, and the board file holds no bike of its own")


def _setup(
    kept: BoardFile, setup: Path | None, paper: str | None, board_size: str | None, case: str | None
) -> tuple[Setup, tuple[Problem, ...]]:
    """The setup that the board was made with, or another one from a file; the command line wins over both."""
    if setup is not None:
        return load_setup(setup, paper, board_size, case)
    return override_setup(kept.setup, board=board_size, case=case, paper=paper), ()


def _changes(built: BoardSet, kept: BoardFile) -> Iterator[str]:
    if abs(built.scale / kept.scale - 1.0) < 1e-6:
        yield f"the scale stays at {scale_text(built.scale)}"
    else:
        yield (
            f"the scale changes from {scale_text(kept.scale)} to {scale_text(built.scale)}; "
            "more boards (--boards) may keep it"
        )
    stocks = [shape.stock for shape in kept.boards]
    now = [board.shape.stock for board in built.boards]
    if stocks != now:
        yield f"boards before: {_sizes(stocks)}; now: {_sizes(now)}"
    found = moves(kept.boards, [(board.shape.stock, board.placed) for board in built.boards])
    stayed = sum(1 for one in found if not one.words)
    yield f"{stayed} of {len(found)} figures stay where they were, by the middle of their board"
    names = {panel.key: panel.name for panel in built.work.bike.panels}
    yield from (
        f"moved: {names.get(one.key) or f'{one.kind} {one.key}'.strip()}: {one.words}" for one in found if one.words
    )


def _sizes(stocks: Sequence[tuple[float, float]]) -> str:
    return ", ".join(f"{width:g} x {height:g} mm" for width, height in stocks)
