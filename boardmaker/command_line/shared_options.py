"""Options that several commands share, each with one definition; decorators that gather them.

In: a command's function that takes a choice of `requests` by its name. Out: one that takes what click reads instead.
The options of a choice stand above a function with a parameter for each, so that mypy checks the way from there to the
choice; a test holds the parameters' types against click's.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from pathlib import Path
from typing import get_args

import click

from boardmaker.commands.requests import (
    Effort,
    Ink,
    OutputChoice,
    PackingChoice,
    PrintAs,
    PrintChoice,
    SetupChoice,
    WorkChoice,
)

Command = Callable[..., None]  # click calls it by names, so that no type can say which

PATH = click.Path(path_type=Path)
WORDS = ("__module__", "__name__", "__doc__")  # of a command, for its help; its parameters are others

setup_option = click.option("--setup", type=PATH, help="Your setup file: board stock, case, printer.")
paper_option = click.option(
    "--paper", metavar="SIZE", help="A0 to A5, letter, legal, tabloid, '13 x 19 in', 'roll of 610 mm'."
)
quiet_option = click.option("--quiet", is_flag=True, help="Say only what is wrong.")


def work_options(command: Command) -> Command:
    """Ask for bike, jobs and equipment: `work`."""

    @click.argument("bike", required=False, type=PATH)
    @click.option(
        "--job", "jobs", metavar="KEY", multiple=True, help="Only this job; may be given again. [default: all]"
    )
    @click.option("--with", "with_", metavar="KEY", multiple=True, help="Equipment that this bike has.")
    @click.option("--without", metavar="KEY", multiple=True, help="Equipment that this bike does not have.")
    @wraps(command, WORDS)
    def gather(
        bike: Path | None, jobs: tuple[str, ...], with_: tuple[str, ...], without: tuple[str, ...], **others: object
    ) -> None:
        command(work=WorkChoice(bike, jobs, with_, without), **others)

    return gather


def setup_options(command: Command) -> Command:
    """Ask for the setup and its paper: `setup`."""

    @setup_option
    @paper_option
    @wraps(command, WORDS)
    def gather(setup: Path | None, paper: str | None, **others: object) -> None:
        command(setup=SetupChoice(setup, paper), **others)

    return gather


def board_setup_options(command: Command) -> Command:
    """Ask for the setup, its paper, board stock and case: `setup`."""

    @setup_option
    @paper_option
    @click.option("--board", "board_size", metavar="SIZE", help="Board stock as bought, such as '20 x 30 in'.")
    @click.option("--case", metavar="SIZE", help="Inside of the case, such as '470 x 370 mm', or a case's name.")
    @click.option("--ink", type=click.Choice(get_args(Ink)), help="black leaves colour out. [default: colour]")
    @click.option("--large/--no-large", default=None, help="All words half as large again, for reading glasses.")
    @wraps(command, WORDS)
    def gather(
        setup: Path | None,
        paper: str | None,
        board_size: str | None,
        case: str | None,
        ink: Ink | None,
        large: bool | None,
        **others: object,
    ) -> None:
        command(setup=SetupChoice(setup, paper, board_size, case, ink, large), **others)

    return gather


def packing_options(command: Command) -> Command:
    """Ask how to look for the largest drawing: `packing`."""

    @click.option("--scale", default="auto", show_default=True, metavar="SCALE", help="auto, standard, 1:4 or 0.25.")
    @click.option(
        "--effort",
        type=click.Choice(get_args(Effort)),
        default="normal",
        show_default=True,
        help="How long to search for the largest drawing.",
    )
    @click.option("--seed", type=click.IntRange(min=0), default=0, show_default=True, help="Another try.")
    @wraps(command, WORDS)
    def gather(scale: str, effort: Effort, seed: int, **others: object) -> None:
        command(packing=PackingChoice(scale, effort, seed), **others)

    return gather


def print_options(command: Command) -> Command:
    """Ask what to print, and how: `printing`."""

    @click.option("--pages", metavar="LIST", help="Only these pages in sheets.pdf: 3,5-6, or by their names: A2,map.")
    @click.option(
        "--print",
        "print_as",
        type=click.Choice(get_args(PrintAs)),
        default="tiles",
        show_default=True,
        help="Tiles of the boards, each figure to cut out, or one true-size page a board.",
    )
    @wraps(command, WORDS)
    def gather(pages: str | None, print_as: PrintAs, **others: object) -> None:
        command(printing=PrintChoice(pages, print_as), **others)

    return gather


def output_options(command: Command) -> Command:
    """Ask where the files go: `output`."""

    @click.option("--out", type=PATH, default=Path("out"), show_default=True, help="Folder for the files.")
    @click.option("--force", is_flag=True, help="Overwrite files that are not ours or were edited.")
    @quiet_option
    @wraps(command, WORDS)
    def gather(out: Path, force: bool, quiet: bool, **others: object) -> None:
        command(output=OutputChoice(out, force, quiet), **others)

    return gather
