"""What the mechanic types: arguments, printing and exit codes, nothing else.

In: the arguments. Out: the request of one command, and the exit code. `program` has the commands with their words,
`shared_options` what several of them ask for. Heavy stages are imported when a command runs, so that `--help` answers
at once.
"""

from __future__ import annotations

import contextlib
import errno
import io
import os
import re
import sys
import tempfile
import traceback
from pathlib import Path

import click

from boardmaker.command_line.program import boardmaker
from boardmaker.commands.screen import print_error, print_problem
from boardmaker.problems import Interrupted, ProblemsFound, WrongUsage, error, nearest

__all__ = ["boardmaker", "main", "run"]

_NOT_ONE_OF = re.compile(r"'(.*)' is not one of ")  # as click says it of a choice
FAULT_LOG = "boardmaker-fault.log"


def main() -> None:
    """Run the program and leave with its exit code: 0 done, 1 cannot, 2 wrong usage, 130 interrupted."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):  # else there is none, or another program's
            stream.reconfigure(errors="replace")  # click's help too has letters that not every terminal has
    code = run(sys.argv[1:])
    _close_output()
    sys.exit(code)


def run(arguments: list[str]) -> int:
    """Run one command line and return its exit code; problems and faults are printed, never raised."""
    try:
        left = boardmaker.main(arguments, prog_name="boardmaker", standalone_mode=False)
    except ProblemsFound as found:
        _say_problems(found)
        return 2 if isinstance(found, WrongUsage) else 1
    except click.ClickException as wrong:
        _say_usage(wrong)
        return wrong.exit_code
    except Interrupted as interrupted:
        print_error(f"interrupted: {interrupted}")
        return 130
    except (click.Abort, KeyboardInterrupt):
        print_error("interrupted: nothing was written")
        return 130
    except OSError as failure:  # of what click prints itself; every file of ours has its own message
        if failure.errno != errno.ENOSPC:
            _log_fault()
        else:
            print_problem(error(f"cannot write to the standard output: {failure.strerror}"))
        return 1
    except Exception:  # the last line of defence: a bug must not meet the mechanic as a traceback
        _log_fault()
        return 1
    return left if isinstance(left, int) else 0  # click hands over the code of whatever left early


def _say_problems(found: ProblemsFound) -> None:
    for problem in found.problems:
        print_problem(problem)


def _say_usage(wrong: click.ClickException) -> None:
    """Print what click finds wrong; it repeats what was typed."""
    said = io.StringIO()
    wrong.show(file=said)
    for line in said.getvalue().rstrip("\n").split("\n"):
        print_error(line)
    if near := _choice_meant(wrong):
        print_error(f'Did you mean "{near}"?')


def _choice_meant(wrong: click.ClickException) -> str:
    """Return the word of a choice that a mistyped one is near to; "" where there is none, or it is no choice."""
    kind = wrong.param.type if isinstance(wrong, click.BadParameter) and wrong.param else None
    typed = _NOT_ONE_OF.match(wrong.message)
    return nearest(typed[1], map(str, kind.choices)) if isinstance(kind, click.Choice) and typed else ""


def _close_output() -> None:
    """Write what is left; where there is no room for it, let it go, or Python would complain of it on its way out."""
    if sys.stdout is None:
        return
    try:
        sys.stdout.flush()
    except (OSError, ValueError):
        with contextlib.suppress(OSError, ValueError):
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _log_fault() -> None:
    details = traceback.format_exc()
    try:
        handle, log = _fresh_log()
        with os.fdopen(handle, "w", encoding="utf-8", errors="backslashreplace") as file:
            file.write(details)
        where = f"details are in {log}"
    except OSError:
        where = "the details could not be written to the folder for temporary files"
    print_error(f"error: an internal fault of boardmaker; nothing was written; {where}")


def _fresh_log() -> tuple[int, Path]:
    """A file that was not there before: everybody may put a link of this name into the folder for temporary files."""
    log = Path(tempfile.gettempdir()) / FAULT_LOG
    try:
        return os.open(log, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), log
    except FileExistsError:
        handle, name = tempfile.mkstemp(prefix=f"{log.stem}-", suffix=log.suffix)
        return handle, Path(name)
