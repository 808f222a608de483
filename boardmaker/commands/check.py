"""`check`: everything wrong or doubtful in a bike file."""

from __future__ import annotations

from pathlib import Path

from boardmaker.commands.common import load_bike, say, say_warnings
from boardmaker.problems import ProblemsFound, Severity
from boardmaker.service import loose_ends, misfits, overtorqued, strays

CHECKS = (misfits, strays, overtorqued, loose_ends)


def check_bike(bike: Path, strict: bool, quiet: bool) -> None:
    """Print every problem of the file; raise ProblemsFound where there is an error, or a warning under `strict`."""
    found, warnings = load_bike(bike)
    problems = sorted(
        (*warnings, *(problem for find in CHECKS for problem in find(found))),
        key=lambda problem: (problem.where.line, problem.where.column) if problem.where else (0, 0),
    )
    if any(strict or problem.severity is Severity.ERROR for problem in problems):
        raise ProblemsFound(problems)
    say_warnings(problems)
    holes = sum(len(panel.holes) for panel in found.panels)
    doubts = f"{len(problems)} warning(s)" if problems else "nothing wrong found"
    say(f"{bike}: {len(found.panels)} panels, {holes} fasteners of {len(found.fasteners)} kinds: {doubts}", quiet)
