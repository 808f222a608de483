"""`plan`: removal and refit sheets with hang tags, as PDF, Markdown and a table."""

from __future__ import annotations

from collections.abc import Iterator

from boardmaker.commands.common import (
    load_setup,
    load_work,
    must_not_lines,
    say_warnings,
    unchecked_lines,
    unprintable,
    write_and_say,
)
from boardmaker.commands.requests import PlanRequest
from boardmaker.problems import ProblemsFound, error
from boardmaker.render.pdf import render_pdf
from boardmaker.service import Plan, make_plan, staying_riders
from boardmaker.sheets import lay_plan
from boardmaker.text import write_markdown, write_rows
from boardmaker.units import counted


def make_plan_files(request: PlanRequest) -> None:
    """Write `plan.pdf`, `plan.md` and `plan.csv` and say what is in them."""
    work, warnings = load_work(request.work)
    owned, setup_warnings = load_setup(request.setup)
    say_warnings((*warnings, *setup_warnings, *staying_riders(work), *unprintable(work, "the sheets")))
    plan = make_plan(work)
    if not plan.removal and not any(service.rows or service.job for service in plan.services):
        raise ProblemsFound([error(f"{work.bike.file} has nothing to plan", hint="add panels, jobs or torques")])
    files = {
        "plan.pdf": render_pdf(lay_plan(plan, owned), title=f"{work.bike.name}: removal and refit", printer_scale=None),
        "plan.md": write_markdown(plan),
        "plan.csv": write_rows(plan),
    }
    write_and_say("plan", files, _summary(plan), request.output)


def _summary(plan: Plan) -> Iterator[str]:
    work = plan.work
    walks = sum(step.walk for step in plan.removal[1:])
    counts = (
        counted(len(plan.removal), "step"),
        counted(plan.count, "fastener"),
        counted(walks, "change of side", "changes of side"),
        counted(len(plan.tools), "tool"),
    )
    yield f"{work.bike.name}: {', '.join(counts)}"
    yield from unchecked_lines(work)
    yield from must_not_lines(work)
    yield "the maker's manual comes first; plan.pdf may be printed at any size, nothing on it is measured"
