"""`board`: the whole flow, its files and its summary."""

from __future__ import annotations

import math
import re
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

import click

from boardmaker.boards import BoardOptions, BoardSet, PrintAs, build_boards
from boardmaker.boards.board_file.writing import write_board_file
from boardmaker.case import Blank, boards_from_sheet
from boardmaker.commands.common import load_setup, load_work, say, say_files, say_warnings, unprintable
from boardmaker.drawing import Drawing, Page
from boardmaker.geometry import Point
from boardmaker.model import Setup
from boardmaker.output import write_set
from boardmaker.packing.problem import Effort, Progress
from boardmaker.packing.reading import Reading
from boardmaker.problems import Interrupted, Problem, ProblemsFound, WrongUsage, error
from boardmaker.render.dxf import render_dxf
from boardmaker.render.pdf import render_pdf
from boardmaker.render.png import render_png
from boardmaker.render.svg import render_svg
from boardmaker.service import Verdict, Work, staying_riders, strays
from boardmaker.sheets import cut_text, double_cuts
from boardmaker.wording.numbers import length_text, scale_text

PREVIEW_DPI = 72.0
READS_POORLY = 0.6  # of the measure; chance alone gives about a half


def make_board(
    bike: Path | None,
    jobs: Sequence[str],
    with_: Sequence[str],
    without: Sequence[str],
    setup: Path | None,
    paper: str | None,
    board_size: str | None,
    case: str | None,
    boards: int,
    scale: str,
    effort: Effort,
    seed: int,
    pages: str | None,
    print_as: PrintAs,
    arrange: float,
    out: Path,
    force: bool,
    quiet: bool,
) -> None:
    """Write the boards' files into `out` and say what is on them."""
    work, warnings = load_work(bike, jobs, with_, without)
    owned, setup_warnings = load_setup(setup, paper, board_size, case)
    say_warnings((*warnings, *setup_warnings, *strays(work.bike), *_of_work(work)))
    options = BoardOptions(read_scale(scale), boards, effort, seed, print_as, arrange / 100)
    built = build_boards(work, owned, options, progress_line(quiet))
    files = board_files(built, pages)
    write_set(out, "board", files, force)
    for line in summary(built, case):
        say(line, quiet)
    if options.scale == "auto" and not arrange and built.reading.total < READS_POORLY:
        say("--arrange gives up to 2 % of the scale for boards that read more like the bike", quiet)
    say_files(out, files, quiet)
    if built.cut_short:
        raise Interrupted("the best boards so far were written; a longer search may find a larger drawing")


def _of_work(work: Work) -> Iterator[Problem]:
    yield from staying_riders(work)
    yield from unprintable(work, "the boards")


def board_files(built: BoardSet, pages: str | None = None) -> dict[str, bytes]:
    """Return the content of every file that `board` writes, by name."""
    name = built.work.bike.name
    chosen = choose_pages(built.sheets.pages, pages)
    files = {"sheets.pdf": render_pdf(chosen, title=f"{name}: board sheets", printer_scale=built.setup.printer.scale)}
    for number, board in enumerate(built.boards, start=1):
        files[f"board-{number}.svg"] = render_svg(board.drawing, title=f"{name}: board {number}")
        files[f"board-{number}.dxf"] = render_dxf(board.drawing)
    files["preview.png"] = render_png([_preview(board.drawing) for board in built.boards], dpi=PREVIEW_DPI)
    files["board.json"] = write_board_file(built)
    return files


def _preview(drawing: Drawing) -> Page:
    return Page(drawing.width, drawing.height, drawing.items)


def choose_pages(pages: Sequence[Page], wanted: str | None) -> tuple[Page, ...]:
    """Return the pages of a list such as `3,5-6`; all where none is given. Raises ProblemsFound for others."""
    if wanted is None:
        return tuple(pages)
    numbers = [number for part in wanted.split(",") for number in _page_range(part, len(pages))]
    return tuple(pages[number - 1] for number in dict.fromkeys(numbers))


def _page_range(part: str, count: int) -> range:
    match = re.fullmatch(r"\s*(\d+)\s*(?:-\s*(\d+)\s*)?", part)
    first, last = (int(match[1]), int(match[2] or match[1])) if match else (0, 0)
    if not 1 <= first <= last:
        raise WrongUsage([error(f'--pages "{part.strip()}" is no list of pages', hint="for example 3,5-6")])
    if last > count:
        raise ProblemsFound([error(f"--pages {part.strip()}: there are only {count} pages", hint="for example 3,5-6")])
    return range(first, last + 1)


def read_scale(text: str) -> float | str:
    """Return "auto", "standard" or a number from `1:4` or `0.25`. Raises WrongUsage for anything else."""
    word = text.strip().casefold()
    if word in ("auto", "standard"):
        return word
    match = re.fullmatch(r"(?:(\d+(?:\.\d+)?)\s*:\s*)?(\d+(?:\.\d+)?)", word)
    if match and float(match[2]) > 0.0:
        scale = float(match[1]) / float(match[2]) if match[1] else float(match[2])
        if 0.0 < scale <= 1.0:
            return scale
    raise WrongUsage(
        [error(f'--scale "{text}" is no scale', hint="auto, standard, or a reduction such as 1:4 or 0.25")]
    )


def progress_line(quiet: bool):  # type: ignore[no-untyped-def]
    """Return a report that keeps one line on the error stream; silent where nobody watches."""
    watched = sys.stderr.isatty() and not quiet

    def report(what: str, progress: Progress) -> None:
        if watched:
            best = scale_text(progress.best_scale) if progress.best_scale else "none yet"
            end = "\n" if progress.done >= 1.0 else ""
            line = f"\r{what}: {progress.done:4.0%}, scale {best:10} (Ctrl-C takes the best so far)"
            click.echo(line + end, nl=False, err=True)

    return report


def summary(built: BoardSet, case: str | None) -> Iterator[str]:
    """Return the lines that say what is on the boards, what was assumed and what must not be."""
    work = built.work
    pockets = [pocket for board in built.boards for one in board.placed for pocket in one.figure.pockets if pocket.hole]
    panels = len({freed.panel.key for freed in work.freed})
    yield f"{work.bike.name}: {panels} panels, {len(pockets)} fasteners"
    moved = sum(pocket.moved for pocket in pockets)
    yield (
        f"{len(built.boards)} board(s) at {scale_text(built.scale)}, {_printed(built)}; "
        f"{moved} pockets had to move from their true place"
    )
    yield f"reads like the bike: {_reading(built.reading)}"
    if cut := built.sheets.pockets_cut:
        yield f"{cut} pocket(s) lie on a seam between two tiles: join those sheets with care"
    if not work.bike.checked:
        yield "this bike file is not checked: nobody has yet built and used a board from it"
    yield from _case_lines(built, case)
    yield from _assumptions(built)
    yield from (
        f"MUST NOT: {one.hole_key} ({one.panel.tag} {one.number} on the board): screw {one.fastener.key}: "
        f"{one.fit.reason}"
        for one in work.freed
        if one.fit.verdict is Verdict.MUST_NOT
    )


def _reading(reading: Reading) -> str:
    """The measure of the arrangement, all of it and by its parts (see DEVELOPERS.md)."""
    parts = {
        "left and right": reading.sides,
        "low and high": reading.heights,
        "pairs mirrored": reading.twins,
        "order of removal": reading.neighbours,
    }
    said = ", ".join(f"{words} {share:.0%}" for words, share in parts.items() if share is not None)
    return f"{reading.total:.0%} ({said})" if said else "nothing to compare"


def _printed(built: BoardSet) -> str:
    tiles = built.sheets.tiles
    if not tiles:
        return f"every figure to cut out on {built.setup.paper.name}"
    whole = len(tiles) == len(built.boards) and all(tile.tile == "whole" for tile in tiles)
    return "each whole on a page" if whole else f"{len(tiles)} tiles on {built.setup.paper.name}"


def _case_lines(built: BoardSet, case: str | None) -> Iterator[str]:
    setup: Setup = built.setup
    if setup.case is None:
        return
    if case and setup.case not in dict(setup.cases).values():
        yield "case from the command line: sharp corners, upright walls, no height limit, no clearance"
    for number, board in enumerate(built.boards, start=1):
        name = f"board {number}" if len(built.boards) > 1 else "board"
        yield f"{name} in the case: {_lying(board.shape)}"
        if board.shape.stock != setup.board.size:
            count = boards_from_sheet(setup.board.size, board.shape.stock)
            yield f"{name}: trim to {_size(board.shape.stock, setup)}; one sheet of stock gives {count} such board(s)"
        for cut_number, cut in enumerate(board.shape.corner_cuts, start=1):
            yield f"{name}: cut {cut_number}: {cut_text(cut, setup.inches)}"
        if pairs := double_cuts(board.shape.corner_cuts):
            yield (
                f"{name}: cuts {', '.join(pairs)} share a corner: measure both from the square corner, and mark both "
                "before you cut"
            )
    if lowest := built.boards[0].shape.in_case:
        yield from _protection(lowest.floor_height)


def _lying(shape: Blank) -> str:
    assert shape.in_case is not None
    turned = f"turned {shape.in_case.turn:g} degrees, " if shape.in_case.turn else ""
    x, y = shape.in_case.at
    return f"{turned}its corner at {x:.0f}, {y:.0f} mm, {shape.in_case.floor_height:.0f} mm above the floor"


def _protection(tips: float) -> Iterator[str]:
    """What keeps screw tips off the case's floor and off hands."""
    if tips > 0.0:
        yield (
            f"tips stand out up to {tips:.0f} mm below: lay the board on spacer strips of {math.ceil(tips)} mm, on a "
            "second layer of foam board, or on a liner as thick"
        )


def _size(size: Point, setup: Setup) -> str:
    return " x ".join(length_text(side, setup.inches) for side in size)


def _assumptions(built: BoardSet) -> Iterator[str]:
    work = built.work
    used = {freed.fastener.key for freed in work.freed}
    fasteners = [fastener for fastener in work.bike.fasteners if fastener.key in used]
    drawn = {one.figure.key for board in built.boards for one in board.placed if one.figure.kind == "panel"}
    assumed = {
        "head height 0.6 x thread": [one.key for one in fasteners if one.head.height_assumed],
        "head diameter 2 x thread": [one.key for one in fasteners if one.head.diameter_assumed],
        "length 20 mm": [one.key for one in fasteners if one.length_assumed],
        "outline drawn around the holes": [p.key for p in work.bike.panels if p.outline_drawn and p.key in drawn],
    }
    yield from (f"assumed {what}: {', '.join(keys)}" for what, keys in assumed.items() if keys)
