"""`plan`: removal and refit sheets with hang tags, as PDF, Markdown and a table, for any board or for one that is made.

Pocket numbers count what comes out, so a board that was made with other equipment has others: with `--board` its own
bike, jobs and equipment are taken unless something else is asked for, and then the plan is held against it.
"""

from __future__ import annotations

import shlex
from collections.abc import Iterator
from pathlib import Path

from boardmaker.boards.board_file.form import BoardFile
from boardmaker.boards.board_file.reading import read_board_file
from boardmaker.commands.common import (
    existing,
    load_bike,
    load_setup,
    load_work,
    must_not_lines,
    say_warnings,
    staying_warnings,
    unchecked_lines,
    unprintable,
    write_and_say,
)
from boardmaker.commands.requests import PlanRequest, WorkChoice
from boardmaker.model import Bike
from boardmaker.problems import Problem, ProblemsFound, error, warning
from boardmaker.render.pdf import render_pdf
from boardmaker.service import BoardMade, BoardPocket, Plan, Work, make_plan, plan_work
from boardmaker.sheets import lay_plan
from boardmaker.text import write_markdown, write_rows
from boardmaker.units import counted
from boardmaker.wording.board_checks import board_fact, board_lines


def make_plan_files(request: PlanRequest) -> None:
    """Write `plan.pdf`, `plan.md` and `plan.csv` and say what is in them."""
    path = request.board_file
    kept = read_board_file(existing(path)) if path else None
    work, warnings = _work_for(kept, path, request.work) if kept and path else load_work(request.work)
    owned, setup_warnings = load_setup(request.setup)
    plan = make_plan(work, _made(kept, path) if kept and path else None)
    say_warnings((*warnings, *setup_warnings, *staying_warnings(work), *unprintable(work, "the sheets")))
    say_warnings(_other_board(plan, path, request.work.bike))
    if not plan.removal and not any(service.rows or service.job for service in plan.services):
        raise ProblemsFound([error(f"{work.bike.file} has nothing to plan", hint="add panels, jobs or torques")])
    files = {
        "plan.pdf": render_pdf(lay_plan(plan, owned), title=f"{work.bike.name}: removal and refit", printer_scale=None),
        "plan.md": write_markdown(plan),
        "plan.csv": write_rows(plan),
    }
    write_and_say("plan", files, _summary(plan), request.output)


def _work_for(kept: BoardFile, path: Path, choice: WorkChoice) -> tuple[Work, tuple[Problem, ...]]:
    """The work for a board: what is not asked for is as the board was made."""
    bike, warnings = load_bike(choice.bike) if choice.bike else (_bike_of(kept, path, choice), ())
    known = [key for key, _ in kept.bike.model.equipment] if kept.bike.model else kept.bike.equipment
    off = {key for key in known if key not in (*kept.bike.equipment, *choice.with_, *choice.without)}
    without = (*choice.without, *(key for key, _ in bike.equipment if key in off))
    return plan_work(bike, choice.jobs or kept.bike.jobs, choice.with_, without), warnings


def _bike_of(kept: BoardFile, path: Path, choice: WorkChoice) -> Bike:
    """The bike that the board file holds: without what hangs on equipment that the board was made without."""
    lacks = [key for key in choice.with_ if key not in kept.bike.equipment]
    if kept.bike.model is None or lacks:
        what = f"the panels and screws of {', '.join(lacks)}" if lacks else "the bike"
        hint = f"name the bike file: boardmaker plan {shlex.quote(kept.bike.file)} --board {shlex.quote(str(path))}"
        raise ProblemsFound([error(f"{path} does not hold {what}", hint=hint)])
    return kept.bike.model


def _made(kept: BoardFile, path: Path) -> BoardMade:
    """The board that is there. Figures that were cut out may lie anywhere on it: their squares say nothing."""
    pockets = tuple(
        BoardPocket(pocket.hole, pocket.number, pocket.fastener, number, (pocket.square or "") if kept.sheets else "")
        for number, board in enumerate(kept.boards, start=1)
        for item in board.items
        for pocket in item.pockets or ()
        if pocket.hole is not None and pocket.number is not None and pocket.fastener is not None
    )
    bike = kept.bike
    return BoardMade(path.name, bike.sha256, bike.jobs, bike.equipment, len(kept.boards), pockets)


def _other_board(plan: Plan, board: Path | None, bike: Path | None) -> Iterator[Problem]:
    """One warning, with what would make plan and board agree."""
    if lines := board_lines(plan, str(board or ""), str(bike or "")):
        what, *others = lines
        yield warning(what.removeprefix("✖ ").removesuffix("."), hint=" ".join(others))


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
    if fact := board_fact(plan):
        yield fact
    yield from unchecked_lines(work)
    yield from must_not_lines(work, plan.pockets)
    yield "the maker's manual comes first; plan.pdf may be printed at any size, nothing on it is measured"
