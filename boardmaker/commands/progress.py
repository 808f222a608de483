"""How far a search is, on the error stream: in, what the packing engine reports; out, one line that is written over."""

from __future__ import annotations

import sys

from boardmaker.boards.options import Report
from boardmaker.commands.screen import print_error
from boardmaker.packing.problem import Progress
from boardmaker.wording.numbers import scale_text


def progress_line(quiet: bool) -> Report:
    """Return a report that keeps one line on the error stream; silent where nobody watches."""
    watched = sys.stderr.isatty() and not quiet

    def report(what: str, progress: Progress) -> None:
        if watched:
            best = scale_text(progress.best_scale) if progress.best_scale else "none yet"
            end = "\n" if progress.done >= 1.0 else ""
            line = f"{what}: {progress.done:4.0%}, scale {best:10} (Ctrl-C takes the best so far)"
            print_error(line, end, begin="\r")

    return report
