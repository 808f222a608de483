"""`check`: everything wrong or doubtful in a bike file."""

from __future__ import annotations

from boardmaker.commands.common import say, say_warnings
from boardmaker.commands.doubts import has_errors, look_at
from boardmaker.commands.panel_table import panel_lines
from boardmaker.commands.requests import CheckRequest
from boardmaker.inputs import in_file_order
from boardmaker.problems import ProblemsFound
from boardmaker.service import left_over, plan_work, uncounted, unsettled
from boardmaker.units import counted


def check_bike(request: CheckRequest) -> None:
    """Print every problem of the file, and a table of its panels.

    Raises ProblemsFound where there is an error, or a warning under `strict`; the table is printed first where the file
    can be read.
    """
    read = look_at(request.bike)
    found, said = read.bike, in_file_order(read.problems)
    if read.is_whole:
        for line in panel_lines(found):
            say(line, request.quiet)
    if has_errors(read.problems) or (request.strict and said):
        raise ProblemsFound(said)
    say_warnings(said)
    holes = sum(len(panel.holes) for panel in found.panels)
    outcome = counted(len(set(read.problems)), "warning") if said else "nothing wrong found"
    fewer = [f"on a board for everything {why}" for why in uncounted(plan_work(found), found)]
    for sentence in (*left_over(found), *unsettled(found), *fewer):
        say(f"note: {sentence}", request.quiet)
    panels, kinds = counted(len(found.panels), "panel"), counted(len(found.fasteners), "kind")
    say(f"{request.bike}: {panels}, {counted(holes, 'fastener')} of {kinds}: {outcome}", request.quiet)
