"""What is read before the first screw is touched: whose plan this is, cautions, what to have ready."""

from __future__ import annotations

from collections.abc import Iterator

from boardmaker.model import Fastener, Job
from boardmaker.service import Plan, staying_riders
from boardmaker.units import counted
from boardmaker.wording.board_checks import board_fact, board_lines
from boardmaker.wording.cautions import CHECKED, HELD_CAUTION, MANUAL_FIRST, PLAN_TRUST, UNCHECKED
from boardmaker.wording.dangers import dangers, firm_stand
from boardmaker.wording.fasteners import drive_text, size_words, tool_to_have
from boardmaker.wording.plan.line import Line, said, ticked, under_heading
from boardmaker.wording.preparation import (
    have_too,
    no_tool_text,
    supply_text,
    tools_by_work,
    wrench_note,
    wrench_texts,
)
from boardmaker.wording.steps import Names, minded, must_nots, never_at_texts, torque_text, with_text
from boardmaker.wording.when import timed

RECORD = ("Date", "Odometer", "Done by")  # filled in by pen: when, at what mileage, who answers for it


def ready_lines(plan: Plan, names: Names) -> Iterator[Line]:
    """Yield the front matter of a plan."""
    yield Line("title", ("Removal and refit", names(plan.work.bike)), weight="loud")
    yield from _facts(plan)
    yield from under_heading("Before you start", _cautions(plan, names))
    yield from under_heading("Tools", _tools(plan))
    yield from under_heading("Parts and supplies", (*_jobs(plan, names), *_parts(plan)))
    yield from under_heading("Fasteners that come out", _fasteners(plan))


def _facts(plan: Plan) -> Iterator[Line]:
    bike = plan.work.bike
    source = f"Source: {bike.source}." if bike.source else ""
    facts = (bike.years, _size_of_the_work(plan), *_equipment(plan), board_fact(plan), source)
    yield from said("fact", facts, weight="quiet")
    yield Line("file", (f"File {bike.file}, version {bike.sha256[:8]}.",), weight="quiet")
    yield Line("fact", (CHECKED,)) if bike.checked else Line("fact", (UNCHECKED,), weight="loud")
    yield Line("record", RECORD)


def _size_of_the_work(plan: Plan) -> str:
    fasteners = counted(plan.count, "fastener comes", "fasteners come")
    return f"{counted(len(plan.removal), 'step')}, {fasteners} out."


def _equipment(plan: Plan) -> Iterator[str]:
    """Also what is not on: whoever finds it on the bike has the wrong plan in his hand."""
    named, on = plan.work.bike.equipment, plan.work.equipment
    for word, there in (("With", True), ("Without", False)):
        what = ", ".join(name for key, name in named if (key in on) is there)
        yield f"{word}: {what}." if what else ""


def _cautions(plan: Plan, names: Names) -> Iterator[Line]:
    """What is wrong with the plan, what is dangerous on this bike, then about this work, then always.

    About this work too: which screws have pockets on boards for a job alone, because their panel stays on another here.
    """
    yield from said("caution", (*board_lines(plan), *must_nots(plan, names)), weight="loud")
    yield from said("caution", plan.work.bike.cautions, weight="loud")
    yield from said("caution", dangers(plan))
    yield from said("caution", (f"{one.message}." for one in staying_riders(plan.work)))
    held = HELD_CAUTION if plan.removal else ""
    yield from said("caution", (MANUAL_FIRST, firm_stand(plan), held, PLAN_TRUST), weight="quiet")


def _tools(plan: Plan) -> Iterator[Line]:
    yield from (
        ticked("have", text) for text in (*map(tool_to_have, plan.tools), *tools_by_work(plan), *wrench_texts(plan))
    )
    yield from said("remark", (wrench_note(plan), no_tool_text(plan)), weight="quiet")


def _jobs(plan: Plan, names: Names) -> Iterator[Line]:
    for service in plan.services:
        if service.job:
            yield from _job(service.job, names)


def _job(job: Job, names: Names) -> Iterator[Line]:
    every = f"every {job.every}" if job.every[:1].isdigit() else job.every  # "as worn" is no span of time
    yield Line("purpose", (names(job), *([every] if every else [])), weight="loud")
    yield from said("note", (timed(job.note).beside,), level=1)
    yield from (ticked("have", supply_text(supply), level=1) for supply in job.supplies)


def _parts(plan: Plan) -> Iterator[Line]:
    """What the jobs' supplies do not name."""
    for title, texts in have_too(plan):
        yield Line("purpose", (title,), weight="loud")
        yield from (ticked("have", text, level=1) for text in texts)


def _fasteners(plan: Plan) -> Iterator[Line]:
    for one, count in plan.fasteners:
        yield Line("fastener", (f"{count} × {one.key}", *_about(one)))
        yield from said("note", [with_text(one)], level=1)
        yield from said("note", (minded(one.note), *never_at_texts(one, plan)), level=1, weight="loud")


def _about(one: Fastener) -> tuple[str, str, str]:
    return size_words(one), drive_text(one.drive), torque_text(one.torque)
