"""`plan`: removal and refit sheets with hang tags, as PDF, Markdown and a table."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from boardmaker.commands.common import load_setup, load_work, say, say_files, say_warnings, unprintable
from boardmaker.output import write_set
from boardmaker.problems import ProblemsFound, error
from boardmaker.render.pdf import render_pdf
from boardmaker.service import Plan, Verdict, make_plan, staying_riders
from boardmaker.sheets import lay_plan
from boardmaker.text import write_markdown, write_rows


def make_plan_files(
    bike: Path | None,
    jobs: Sequence[str],
    with_: Sequence[str],
    without: Sequence[str],
    setup: Path | None,
    paper: str | None,
    out: Path,
    force: bool,
    quiet: bool,
) -> None:
    """Write `plan.pdf`, `plan.md` and `plan.csv` into `out` and say what is in them."""
    work, warnings = load_work(bike, jobs, with_, without)
    owned, setup_warnings = load_setup(setup, paper)
    say_warnings((*warnings, *setup_warnings, *staying_riders(work), *unprintable(work, "the sheets")))
    plan = make_plan(work)
    if not plan.removal and not any(service.rows or service.job for service in plan.services):
        raise ProblemsFound([error(f"{work.bike.file} has nothing to plan", hint="add panels, jobs or torques")])
    files = {
        "plan.pdf": render_pdf(lay_plan(plan, owned), title=f"{work.bike.name}: removal and refit", printer_scale=None),
        "plan.md": write_markdown(plan),
        "plan.csv": write_rows(plan),
    }
    write_set(out, "plan", files, force)
    for line in _summary(plan):
        say(line, quiet)
    say_files(out, files, quiet)


def _summary(plan: Plan) -> Iterator[str]:
    work = plan.work
    walks = sum(step.walk for step in plan.removal[1:])
    yield (
        f"{work.bike.name}: {len(plan.removal)} steps, {plan.count} fasteners, {walks} changes of side, "
        f"{len(plan.tools)} tools"
    )
    if not work.bike.checked:
        yield "this bike file is not checked: nobody has yet built and used a board from it"
    yield from (
        f"MUST NOT: {one.hole_key} ({one.panel.tag} {one.number} on the board): screw {one.fastener.key}: "
        f"{one.fit.reason}"
        for one in work.freed
        if one.fit.verdict is Verdict.MUST_NOT
    )
    yield "the maker's manual comes first; plan.pdf may be printed at any size, nothing on it is measured"
