"""What is wrong or doubtful, as records.

Every stage collects all of its problems and raises one `ProblemsFound`; only the command line prints them.
Apart from the stages because all of them use it; imports none of them. What a message quotes is a stranger's, so that
it is made harmless (`plain_text`) where a problem is written.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from boardmaker.plain_text import shown


class Severity(StrEnum):
    """How bad a problem is: an error stops the work, a warning does not."""

    ERROR = "error"
    WARNING = "warning"


@dataclass(frozen=True)
class Place:
    """A place in a text file; line and column count from 1, `source` is the whole line."""

    file: str
    line: int
    column: int
    source: str = ""


@dataclass(frozen=True)
class Problem:
    """One thing that is wrong: what, where, and how to mend it."""

    severity: Severity
    message: str
    where: Place | None = None
    hint: str = ""


class ProblemsFound(Exception):
    """Work cannot go on: carries every problem of the stage, in file order."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("; ".join(problem.message for problem in self.problems))


class WrongUsage(ProblemsFound):
    """What was typed on the command line cannot be understood, whatever the files say."""


class Interrupted(Exception):
    """Ctrl-C came, and the message says what became of the work."""


def error(message: str, where: Place | None = None, hint: str = "") -> Problem:
    """Make a problem that stops the work."""
    return Problem(Severity.ERROR, message, where, hint)


def warning(message: str, where: Place | None = None, hint: str = "") -> Problem:
    """Make a problem that is worth saying but does not stop the work."""
    return Problem(Severity.WARNING, message, where, hint)


def nearest(word: str, allowed: Iterable[str]) -> str:
    """Return the allowed word that `word` looks like a slip of, or "" where none is near."""
    choices = {choice.casefold(): choice for choice in allowed}
    found = difflib.get_close_matches(word.casefold(), choices, n=1, cutoff=0.6)
    return choices[found[0]] if found else ""


def format_problem(problem: Problem) -> str:
    """Write a problem as `file:line:column: error: message`, the source line, a caret and the hint."""
    lines = [f"{_location(problem.where)}{problem.severity}: {shown(problem.message)}"]
    if problem.where and problem.where.source.strip():
        lines += _excerpt(problem.where)
    if problem.hint:
        lines.append(f"  hint: {shown(problem.hint)}")
    return "\n".join(lines)


def _location(where: Place | None) -> str:
    return f"{shown(where.file)}:{where.line}:{where.column}: " if where else ""


def _excerpt(where: Place, width: int = 96) -> list[str]:
    """The source line and a caret under the place; a long line is cut around it."""
    source = where.source.replace("\t", " ").rstrip()
    start = max(0, where.column - 1 - width // 2) if len(source) > width else 0
    before = shown(source[start : where.column - 1])
    gap = max(0, where.column - 1 - len(source))  # a place just behind the line's end
    return [f"  | {before}{shown(source[where.column - 1 : start + width])}", f"  | {' ' * (len(before) + gap)}^"]
