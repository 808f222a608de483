"""What several commands do alike: the bike and the setup from their files, warnings and summaries on the screen."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from importlib import resources
from pathlib import Path

import click

from boardmaker.fonts import missing_glyphs
from boardmaker.inputs import override_setup, read_bike, read_setup
from boardmaker.model import Bike, Setup
from boardmaker.problems import Problem, ProblemsFound, WrongUsage, error, format_problem, nearest, warning
from boardmaker.service import Work, plan_work
from boardmaker.units import parse_length

DEMO = "fjellvik-700-tourer.yaml"
LONGEST = 10_000.0  # mm; nothing on a motorcycle, and no board, is longer


def demo_folder() -> Path:
    """Return the folder of the bundled bike files: inside the installed package, or beside it in a checkout."""
    inside = Path(str(resources.files("boardmaker"))) / "layouts"
    return inside if inside.is_dir() else inside.parent.parent / "layouts"


def load_work(
    bike: Path | None, jobs: Sequence[str], with_: Sequence[str], without: Sequence[str]
) -> tuple[Work, tuple[Problem, ...]]:
    """Read the bike file (None: the demo) and work out the jobs; the warnings come beside the work."""
    found, warnings = load_bike_or_demo(bike)
    return plan_work(found, jobs, with_, without), warnings


def load_bike_or_demo(path: Path | None) -> tuple[Bike, tuple[Problem, ...]]:
    """Read a bike file, or the demo where none is named."""
    return read_bike(existing(path) if path else demo_folder() / DEMO)


def load_bike(path: Path) -> tuple[Bike, tuple[Problem, ...]]:
    """Read a bike file."""
    return read_bike(existing(path))


def load_setup(
    setup: Path | None, paper: str | None, board: str | None = None, case: str | None = None
) -> tuple[Setup, tuple[Problem, ...]]:
    """Read the setup file (None: the defaults); what the command line says wins over it."""
    if setup and not setup.exists():
        raise ProblemsFound([_no_setup(setup)])
    found, warnings = read_setup(existing(setup) if setup else None)
    return override_setup(found, board=board, case=case, paper=paper), warnings


def _no_setup(path: Path) -> Problem:
    beside = [one.name for one in path.parent.iterdir() if one.suffix == path.suffix] if path.parent.is_dir() else []
    near = nearest(path.name, sorted(beside))
    meant = f"did you mean {path.parent / near}? Or " if near else ""
    return error(
        f"there is no file {path}",
        hint=f"{meant}leave --setup away for the usual values; `boardmaker calibrate` makes a setup file",
    )


def length_option(option: str, text: str) -> float:
    """Return a length from the command line in mm: a bare number is in mm. Raises WrongUsage."""
    try:
        length = parse_length(_plain_number(text))
    except ValueError as wrong:
        raise WrongUsage([error(f"{option}: {wrong}")]) from None
    if length <= 0.0:
        raise WrongUsage([error(f"{option}: {text} is no length")])
    if length > LONGEST:
        raise WrongUsage([error(f"{option}: {text} is more than {LONGEST / 1000:g} m")])
    return length


def _plain_number(text: str) -> float | str:
    try:
        return float(text.replace(",", "."))
    except ValueError:
        return text


def existing(path: Path) -> Path:
    """Return the path of a file that is there. Raises ProblemsFound with the nearest name where it is not."""
    if path.is_file():
        return path
    if path.is_dir():
        raise ProblemsFound([error(f"{path} is a folder, not a file")])
    if path.exists():
        raise ProblemsFound([error(f"{path} is no ordinary file")])
    beside = [one.name for one in path.parent.iterdir() if one.is_file()] if path.parent.is_dir() else []
    near = nearest(path.name, sorted(beside))
    raise ProblemsFound([error(f"there is no file {path}", hint=f"did you mean {path.parent / near}?" if near else "")])


def say_warnings(problems: Iterable[Problem]) -> None:
    """Print warnings on the error stream."""
    for problem in problems:
        click.echo(format_problem(problem), err=True)


def say(text: str, quiet: bool) -> None:
    """Print a line of the result unless the user wants quiet."""
    if not quiet:
        click.echo(text)


def say_files(folder: Path, names: Iterable[str], quiet: bool) -> None:
    """Print which files were written."""
    say(f"wrote to {folder}: {', '.join(names)}", quiet)


def unprintable(work: Work, where: str) -> Iterator[Problem]:
    """Yield a warning for every name that the shipped font cannot show; `where` it would be printed."""
    for panel in work.bike.panels:
        if missing := missing_glyphs(panel.name):
            yield warning(
                f'the name of panel "{panel.key}" has characters that {where} cannot show ({missing}); '
                "its key is printed instead",
                panel.where,
            )
