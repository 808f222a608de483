"""`check`: everything wrong or doubtful in a bike file."""

from __future__ import annotations

from boardmaker.commands.common import load_bike, say, say_warnings
from boardmaker.commands.requests import CheckRequest
from boardmaker.inputs import in_file_order
from boardmaker.problems import ProblemsFound, Severity
from boardmaker.service import loose_ends, misfits, overtorqued, plan_work, strays, uncounted, unsettled
from boardmaker.units import counted

CHECKS = (misfits, strays, overtorqued, loose_ends)


def check_bike(request: CheckRequest) -> None:
    """Print every problem of the file; raise ProblemsFound where there is an error, or a warning under `strict`."""
    found, warnings = load_bike(request.bike)
    problems = (*warnings, *(problem for find in CHECKS for problem in find(found)))
    said = in_file_order(problems)
    if any(request.strict or problem.severity is Severity.ERROR for problem in problems):
        raise ProblemsFound(said)
    say_warnings(said)
    holes = sum(len(panel.holes) for panel in found.panels)
    doubts = counted(len(problems), "warning") if problems else "nothing wrong found"
    fewer = [f"on a board for everything {why}" for why in uncounted(plan_work(found), found)]
    for sentence in (*unsettled(found), *fewer):
        say(f"note: {sentence}", request.quiet)
    panels, kinds = counted(len(found.panels), "panel"), counted(len(found.fasteners), "kind")
    say(f"{request.bike}: {panels}, {counted(holes, 'fastener')} of {kinds}: {doubts}", request.quiet)
