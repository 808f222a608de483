"""What several commands do alike: the bike and the setup from their files, warnings and summaries on the screen."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Mapping
from importlib import resources
from pathlib import Path

from boardmaker.commands.requests import OutputChoice, SetupChoice, WorkChoice
from boardmaker.commands.screen import print_line, print_problem
from boardmaker.fonts import missing_glyphs
from boardmaker.inputs import override_setup, read_bike, read_setup
from boardmaker.model import Bike, Setup
from boardmaker.output import write_set
from boardmaker.problems import Interrupted, Problem, ProblemsFound, error, nearest, warning
from boardmaker.service import Verdict, Work, plan_work, staying_riders
from boardmaker.wording.board_places import Pockets, places_text

DEMO = "fjellvik-820-tourer.yaml"


def demo_folder() -> Path:
    """Return the folder of the bundled bike files: inside the installed package, or beside it in a checkout."""
    inside = Path(str(resources.files("boardmaker"))) / "layouts"
    return inside if inside.is_dir() else inside.parent.parent / "layouts"


def load_work(choice: WorkChoice) -> tuple[Work, tuple[Problem, ...]]:
    """Read the bike file and work out the jobs; the warnings come beside the work."""
    found, warnings = load_bike_or_demo(choice.bike)
    return plan_work(found, choice.jobs, choice.with_, choice.without), warnings


def load_bike_or_demo(path: Path | None) -> tuple[Bike, tuple[Problem, ...]]:
    """Read a bike file, or the demo where none is named."""
    return read_bike(existing(path) if path else demo_folder() / DEMO)


def load_bike(path: Path) -> tuple[Bike, tuple[Problem, ...]]:
    """Read a bike file."""
    return read_bike(existing(path))


def load_setup(choice: SetupChoice) -> tuple[Setup, tuple[Problem, ...]]:
    """Read the setup file; what the command line says wins over it."""
    path = choice.setup
    if path and not is_there(path):
        raise ProblemsFound([_no_setup(path)])
    found, warnings = read_setup(existing(path) if path else None)
    return overridden(found, choice), warnings


def overridden(setup: Setup, choice: SetupChoice) -> Setup:
    """Return the setup with what the command line says instead."""
    return override_setup(
        setup,
        board=choice.board_size,
        case=choice.case,
        paper=choice.paper,
        ink=choice.ink,
        large=choice.large,
    )


def _no_setup(path: Path) -> Problem:
    near = nearest(path.name, [one.name for one in _beside(path) if one.suffix == path.suffix])
    meant = f"did you mean {path.parent / near}? Or " if near else ""
    return error(
        f"there is no file {path}",
        hint=f"{meant}leave --setup away for the usual values; `boardmaker calibrate` makes a setup file",
    )


def existing(path: Path) -> Path:
    """Return the path of a file that is there. Raises ProblemsFound with the nearest name where it is not."""
    if is_there(path):
        if path.is_file():
            return path
        raise ProblemsFound([_no_file(path)])
    if path.is_symlink():
        hint = "put the file itself there, or mend the link"
        raise ProblemsFound([error(f"{path} is a link that leads to no file", hint=hint)])
    near = nearest(path.name, [one.name for one in _beside(path) if one.is_file()])
    raise ProblemsFound([error(f"there is no file {path}", hint=f"did you mean {path.parent / near}?" if near else "")])


def _no_file(path: Path) -> Problem:
    if not path.is_dir():
        return error(f"{path} is no ordinary file", hint="copy what it gives into a file first")
    inside = [one.name for one in _beside(path / "any") if one.is_file()]
    some = f"name one of its files, such as {path / inside[0]}" if inside else "it is empty; name a file"
    return error(f"{path} is a folder, not a file", hint=some)


def is_there(path: Path) -> bool:
    """Say whether something stands at a path. Raises ProblemsFound where the system does not let anybody look."""
    try:
        return path.exists()
    except OSError as failure:
        hint = "check the name, and who may read its folder"
        raise ProblemsFound([error(f"cannot read {path}: {failure.strerror or failure}", hint=hint)]) from None


def _beside(path: Path) -> list[Path]:
    """What lies in the same folder, by name; nothing where nobody may look, and no name that cannot be printed."""
    try:
        return sorted(one for one in path.parent.iterdir() if one.name.isprintable())
    except OSError:
        return []


def say_warnings(problems: Iterable[Problem]) -> None:
    """Print warnings on the error stream."""
    for problem in problems:
        print_problem(problem)


def say(text: str, quiet: bool) -> None:
    """Print a line of the result, or several, unless the user wants quiet."""
    if not quiet:
        for line in text.split("\n"):
            print_line(line)


def write_and_say(command: str, files: Mapping[str, bytes], lines: Iterable[str], output: OutputChoice) -> None:
    """Write a command's files, print the lines about them and which they are.

    The lines are worked out before the files are written: where one cannot be, nothing is. Raises ProblemsFound, with
    nothing written; Interrupted, with all written, where Ctrl-C comes later; ProblemsFound, which says that all is
    written, where the lines cannot be printed.
    """
    told = (*lines, f"wrote to {output.out}: {', '.join(files)}")
    write_set(output.out, command, files, output.force)
    try:
        for line in told:
            say(line, output.quiet)
    except KeyboardInterrupt:
        raise Interrupted(f"all files were written to {output.out}") from None
    except (OSError, UnicodeError) as failure:  # nobody reads on, or the terminal knows too few letters
        message = f"all files were written to {output.out}, but not all lines about them could be printed: {failure}"
        raise ProblemsFound([error(message)]) from None


def unprintable(work: Work, where: str) -> Iterator[Problem]:
    """Yield a warning for every name that the shipped font cannot show; `where` it would be printed."""
    for panel in work.bike.panels:
        if missing := missing_glyphs(panel.name):
            yield warning(
                f'the name of panel "{panel.key}" has characters that {where} cannot show ({missing}); '
                "its key is printed instead",
                panel.where,
            )


def unchecked_lines(work: Work) -> Iterator[str]:
    """Yield a line for the screen where nobody has tried the bike file yet; of a demo, that it is one."""
    if is_demo(work.bike):
        yield "a demo: motorcycle and numbers are invented; name your own bike file for a board to use"
    elif not work.bike.checked:
        yield "this bike file is not checked: nobody has yet built and used a board from it"


def staying_warnings(work: Work) -> tuple[Problem, ...]:
    """Return the warnings of riders that stay on; none for a demo, which has its reasons."""
    return () if is_demo(work.bike) else tuple(staying_riders(work))


def is_demo(bike: Bike) -> bool:
    """Say whether a bike is one of the bundled ones, as it is shipped."""
    bundled = {path.name: path for path in demo_folder().glob("*.yaml")}
    path = bundled.get(bike.file)
    return path is not None and hashlib.sha256(path.read_bytes()).hexdigest() == bike.sha256


def must_not_lines(work: Work, pockets: Pockets | None = None) -> Iterator[str]:
    """Yield a line for the screen for each screw that must not go where the bike file has it."""
    yield from (
        f"MUST NOT: {one.hole_key} ({one.panel.tag} {one.number} on {places_text([one], pockets or {}) or 'the board'}"
        f"): screw {one.fastener.key}: {one.fit.reason}"
        for one in work.freed
        if one.fit.verdict is Verdict.MUST_NOT
    )
