"""What the mechanic types: arguments, printing and exit codes, nothing else.

In: the arguments. Out: the request of one command, and the exit code. `program` has the commands with their words,
`shared_options` what several of them ask for. Heavy stages are imported when a command runs, so that `--help` answers
at once.
"""

from __future__ import annotations

import os
import sys
import tempfile
import traceback
from pathlib import Path

import click

from boardmaker.command_line.program import boardmaker
from boardmaker.problems import Interrupted, ProblemsFound, WrongUsage, format_problem

__all__ = ["boardmaker", "main", "run"]

FAULT_LOG = "boardmaker-fault.log"


def main() -> None:
    """Run the program and leave with its exit code: 0 done, 1 cannot, 2 wrong usage, 130 interrupted."""
    sys.exit(run(sys.argv[1:]))


def run(arguments: list[str]) -> int:
    """Run one command line and return its exit code; problems and faults are printed, never raised."""
    try:
        boardmaker.main(arguments, prog_name="boardmaker", standalone_mode=False)
    except ProblemsFound as found:
        _say_problems(found)
        return 2 if isinstance(found, WrongUsage) else 1
    except click.exceptions.Exit as leave:
        return leave.exit_code
    except click.ClickException as wrong:
        wrong.show()
        return wrong.exit_code
    except Interrupted as interrupted:
        click.echo(f"interrupted: {interrupted}", err=True)
        return 130
    except (click.Abort, KeyboardInterrupt):
        click.echo("interrupted: nothing was written", err=True)
        return 130
    except Exception:  # the last line of defence: a bug must not meet the mechanic as a traceback
        _log_fault()
        return 1
    return 0


def _say_problems(found: ProblemsFound) -> None:
    for problem in found.problems:
        click.echo(format_problem(problem), err=True)


def _log_fault() -> None:
    details = traceback.format_exc()
    try:
        handle, log = _fresh_log()
        with os.fdopen(handle, "w", encoding="utf-8", errors="backslashreplace") as file:
            file.write(details)
        where = f"details are in {log}"
    except OSError:
        where = "the details could not be written to the folder for temporary files"
    click.echo(f"error: an internal fault of boardmaker; nothing was written; {where}", err=True)


def _fresh_log() -> tuple[int, Path]:
    """A file that was not there before: everybody may put a link of this name into the folder for temporary files."""
    log = Path(tempfile.gettempdir()) / FAULT_LOG
    try:
        return os.open(log, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), log
    except FileExistsError:
        handle, name = tempfile.mkstemp(prefix=f"{log.stem}-", suffix=log.suffix)
        return handle, Path(name)
