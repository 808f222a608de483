"""The one place where something is printed: in, a line; out, the same with nothing in it that acts.

Apart from `common`, because the command line prints too and may import nothing heavy.
"""

from __future__ import annotations

import sys
from typing import TextIO

import click

from boardmaker.plain_text import shown
from boardmaker.problems import Problem, ProblemsFound, error, format_problem


def print_line(text: str) -> None:
    """Print one line on the standard output. Raises ProblemsFound where that takes no more."""
    try:
        click.echo(_showable(text, sys.stdout))
    except BrokenPipeError:
        raise click.exceptions.Exit(1) from None  # who reads, as `head` does, has seen enough
    except OSError as failure:
        reason = failure.strerror or str(failure)
        raise ProblemsFound([error(f"cannot write to the standard output: {reason}")]) from None


def print_problem(problem: Problem) -> None:
    """Print a problem on the error stream, in as many lines as it takes."""
    for line in format_problem(problem).split("\n"):
        print_error(line)


def print_error(text: str, end: str = "\n", begin: str = "") -> None:
    """Print one line on the error stream, its ends ours; where that takes no more, there is nobody to tell."""
    try:
        click.echo(begin + _showable(text, sys.stderr) + end, nl=False, err=True)
    except OSError:
        return


def _showable(text: str, stream: TextIO | None) -> str:
    """The text without what acts, and with `?` for each letter that the stream's encoding does not have."""
    encoding = getattr(stream, "encoding", None) or "utf-8"
    return shown(text).encode(encoding, "replace").decode(encoding)
