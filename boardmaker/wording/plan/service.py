"""What is done while the panels are off: torques, a tick for every stage, and parts to renew."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from boardmaker.model import Job, TorqueRow
from boardmaker.service import Plan, Renewal, Service
from boardmaker.wording.cautions import FOR_REFERENCE, TIGHTENED_LATER, TORQUE_CAUTION
from boardmaker.wording.plan.line import Line, said, ticked, under_heading
from boardmaker.wording.preparation import (
    RENEW_OLD_FIRST,
    between_old_and_new,
    may_stay,
    parts_of,
    renewal_text,
    stage_texts,
    step_of,
    supply_text,
    trial_run_texts,
    work_begins,
)
from boardmaker.wording.steps import Names, torque_text
from boardmaker.wording.torque_rows import (
    marked_name,
    new_part_text,
    row_details,
    row_facts,
    safety_caution,
    stage_notes,
    worn_text,
)
from boardmaker.wording.torques import TorqueStyle, torque_second_text
from boardmaker.wording.when import timed

SECOND = TorqueStyle(in_words=True)
AS_THE_MANUAL_HAS_IT = "done as the maker's manual has it"
NOT_NEEDED = "not needed"
ONCE = ("new one ready", "new ones ready")  # ticked once, however many
MOST_BOXES = 6  # a tick for each piece of a part; with more pieces one for all, and their number
MOST_WORN = 2  # the same of pieces that may stay: three boxes for each of five clips nobody ticks


def service_lines(plan: Plan, names: Names) -> Iterator[Line]:
    """Yield what old parts are ticked by, then the work of each job: steps, parts, torques, steps after them.

    How torques are meant stands before the first of them.
    """
    renewals = tuple(line for renewal in plan.renewals for line in _renewal(renewal))
    how = said("how", [RENEW_OLD_FIRST] * bool(renewals), weight="quiet")
    yield from under_heading("Parts to renew", (*how, *renewals))
    later = TIGHTENED_LATER if plan.refit else ""
    caution = tuple(said("how", [TORQUE_CAUTION, later], weight="quiet"))
    for service in plan.services:
        title = names(service.job) if service.job else "general"
        before, after = _work(service.job, service, plan, title) if service.job else ((), ())
        rows = tuple(line for row in service.rows for line in _torque(row, plan, names, service.job))
        if not rows:
            yield from under_heading(f"Work: {title}", (*before, *after))
            continue
        looked_up = said("how", [] if service.job else [FOR_REFERENCE])
        safety = said("how", [safety_caution(service.rows)], weight="loud")
        yield from under_heading(f"Torques: {title}", (*caution, *looked_up, *safety, *before, *rows, *after))
        caution = ()
    yield from under_heading("Before the panels go on" if plan.refit else "Look for drips", _filled(plan))


def _work(job: Job, service: Service, plan: Plan, title: str) -> tuple[tuple[Line, ...], tuple[Line, ...]]:
    """What is ticked of a job before its torques, and after them."""
    steps = timed(job.note)
    first = (*work_begins(service), *steps.before)
    before = (*(ticked("check", text) for text in first), *_fitted(job, plan))
    after = (*steps.after, f"{title}: {AS_THE_MANUAL_HAS_IT}")
    return before, tuple(ticked("check", text) for text in after)


def _filled(plan: Plan) -> Iterator[Line]:
    yield from (ticked("check", text) for text in trial_run_texts(plan))


def _fitted(job: Job, plan: Plan) -> Iterator[Line]:
    """What the job's own parts are ticked by, also where it has no torque."""
    for supply in parts_of(job, plan):
        pieces = int(supply.count) if supply.count.isdigit() else 1
        many = pieces > MOST_BOXES
        yield Line("part", (supply_text(supply).removeprefix("1 × "),))
        between = between_old_and_new(supply)
        words = ("all old out", *between, "all new in") if many else ("old out", *between, "new in")
        yield from (Line("tick", (word,), level=1, boxes=1 if many or word in between else pieces) for word in words)


def _torque(row: TorqueRow, plan: Plan, names: Names, job: Job | None) -> Iterator[Line]:
    """A torque in stages is said stage by stage, once: whoever reads it twice tightens it twice.

    So is one with steps around it: its condition, what is done before it, the new part, the torque, what follows. A row
    of no job is looked up and not worked on.
    """
    what = marked_name(row, f"{names(row)}{f' ({row.where_on_bike})' if row.where_on_bike else ''}")
    if (step := step_of(row, plan)) is not None:
        what = f"{what}, in refit step {step}"
    yield from _worked_on(row, what, job) if job else _looked_up(row, what)


def _worked_on(row: TorqueRow, what: str, job: Job) -> Iterator[Line]:
    """What a torque stands on is read and ticked before it: how stages go, what is fitted new, what is oiled."""
    steps, stages = timed(row.note), stage_texts(row)
    new = "" if _is_named(row.renew, (*timed(job.note).before, *steps.before)) else new_part_text(row)
    heads = [part for part in (what, steps.only_if) if part]
    if not (steps.only_if or steps.before or steps.after or stages or row.lubricate):
        yield ticked("torque", ", ".join([*heads, *([new] if new else [])]), torque_text(row.torque))
    else:
        itself = row.renew == "yes"
        yield Line("staged", (", ".join([*heads, *([new] if itself else [])]),))
        yield from said("note", stage_notes(row), level=1, weight="loud")
        before = (NOT_NEEDED if steps.only_if else "", *steps.before, "" if itself else new, row.lubricate)
        yield from (ticked("stage", text, level=1) for text in before if text)
        yield from _stages(stages or (torque_text(row.torque),))
        yield from (ticked("stage", text, level=1) for text in steps.after)
    yield from _details(row, (*row_facts(row, oiled=False), *worn_text(row), steps.beside))


def _is_named(part: str, steps: Iterable[str]) -> bool:
    """Whether a step fits the part itself, as `new lock washer on, tab bent`."""
    return bool(part) and any(f"new {part.removeprefix('new ')}".casefold() in step.casefold() for step in steps)


def _looked_up(row: TorqueRow, what: str) -> Iterator[Line]:
    stages = stage_texts(row)
    yield Line("staged", (what,)) if stages else ticked("torque", what, torque_text(row.torque))
    yield from said("note", stage_notes(row), level=1, weight="loud")
    yield from _stages(stages)
    yield from _details(row, row_details(row))


def _stages(texts: Iterable[str]) -> Iterator[Line]:
    """Torques, louder than the steps around them."""
    yield from (Line("stage", (text,), level=1, weight="loud", boxes=1) for text in texts)


def _details(row: TorqueRow, details: Iterable[str]) -> Iterator[Line]:
    every = (torque_second_text(row.torque, SECOND), *details)
    yield from said("note", [" · ".join(part for part in every if part)], level=1)


def _renewal(renewal: Renewal) -> Iterator[Line]:
    yield Line("part", (renewal_text(renewal),))
    for word in _ticks(renewal):
        yield Line("tick", (word,), level=1, boxes=1 if _are_many(renewal) or word in ONCE else renewal.count)


def _are_many(renewal: Renewal) -> bool:
    return renewal.count > (MOST_WORN if renewal.is_conditional else MOST_BOXES)


def _ticks(renewal: Renewal) -> tuple[str, ...]:
    """For each piece, or once for all where they are many; not all are renewed where it depends.

    The new one is ticked where it goes on: at its torque, or at its panel in the refit.
    """
    many = _are_many(renewal)
    if renewal.is_conditional:
        return ("worn ones off", *ONCE[1:2], "the rest still good") if many else ("old off", ONCE[0], "still good")
    old = f"all {renewal.count} old off" if many else "old off"
    return (old, ONCE[renewal.count > 1], *([NOT_NEEDED] if may_stay(renewal) else []))
