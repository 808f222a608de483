"""What is done while the panels are off: torques, a tick for every stage, and parts to renew."""

from __future__ import annotations

from collections.abc import Iterator

from boardmaker.model import Job, TorqueRow
from boardmaker.service import Plan, Renewal
from boardmaker.wording.cautions import FOR_REFERENCE, TIGHTENED_LATER, TORQUE_CAUTION
from boardmaker.wording.plan.line import Line, said, ticked, under_heading
from boardmaker.wording.preparation import (
    RENEW_OLD_FIRST,
    filled_text,
    parts_of,
    renewal_text,
    stage_texts,
    supply_text,
)
from boardmaker.wording.steps import Names, torque_text
from boardmaker.wording.torque_rows import marked_name, row_details, safety_caution, stage_notes
from boardmaker.wording.torques import TorqueStyle, torque_second_text

SECOND = TorqueStyle(in_words=True)
AS_THE_MANUAL_HAS_IT = "done as the maker's manual has it"
MOST_BOXES = 6  # a tick for each piece of a part; with more pieces one for all, and their number
MOST_WORN = 2  # the same of pieces that may stay: three boxes for each of five clips nobody ticks


def service_lines(plan: Plan, names: Names) -> Iterator[Line]:
    """Yield parts to renew, then torques and what else is ticked of each job, before the first how they are meant.

    Parts stand before torques: what is renewed is in before anything over it is tightened.
    """
    renewals = tuple(line for renewal in plan.renewals for line in _renewal(renewal))
    how = said("how", [RENEW_OLD_FIRST] * bool(renewals), weight="quiet")
    yield from under_heading("Parts to renew", (*how, *renewals))
    later = TIGHTENED_LATER if plan.refit else ""
    caution = tuple(said("how", [TORQUE_CAUTION, later], weight="quiet"))
    for service in plan.services:
        title = names(service.job) if service.job else "general"
        parts = tuple(_fitted(service.job, plan)) if service.job else ()
        done = (ticked("check", f"{title}: {AS_THE_MANUAL_HAS_IT}"),) if service.job else ()
        rows = tuple(line for row in service.rows for line in _torque(row, names))
        if not rows:
            yield from under_heading(f"Work: {title}", (*parts, *done))
            continue
        looked_up = said("how", [] if service.job else [FOR_REFERENCE])
        safety = said("how", [safety_caution(service.rows)], weight="loud")
        yield from under_heading(f"Torques: {title}", (*caution, *looked_up, *safety, *parts, *rows, *done))
        caution = ()
    yield from under_heading("Before the panels go on" if plan.refit else "Look for drips", _filled(plan))


def _filled(plan: Plan) -> Iterator[Line]:
    yield from (ticked("check", text) for text in [filled_text(plan)] if text)


def _fitted(job: Job, plan: Plan) -> Iterator[Line]:
    """What the job's own parts are ticked by, also where it has no torque."""
    for supply in parts_of(job, plan):
        pieces = int(supply.count) if supply.count.isdigit() else 1
        many = pieces > MOST_BOXES
        yield Line("part", (supply_text(supply).removeprefix("1 × "),))
        words = ("all old out", "all new in") if many else ("old out", "new in")
        yield from (Line("tick", (word,), level=1, boxes=1 if many else pieces) for word in words)


def _torque(row: TorqueRow, names: Names) -> Iterator[Line]:
    """A torque in stages is said stage by stage, once: whoever reads it twice tightens it twice."""
    what = marked_name(row, f"{names(row)}{f' ({row.where_on_bike})' if row.where_on_bike else ''}")
    stages = stage_texts(row)
    yield Line("staged", (what,)) if stages else ticked("torque", what, torque_text(row.torque))
    yield from (ticked("stage", stage, level=1) for stage in stages)
    yield from said("note", stage_notes(row), level=1, weight="loud")
    details = (torque_second_text(row.torque, SECOND), *row_details(row))
    yield from said("note", [" · ".join(part for part in details if part)], level=1)


def _renewal(renewal: Renewal) -> Iterator[Line]:
    yield Line("part", (renewal_text(renewal),))
    boxes = 1 if _are_many(renewal) else renewal.count
    yield from (Line("tick", (word,), level=1, boxes=boxes) for word in _ticks(renewal))


def _are_many(renewal: Renewal) -> bool:
    return renewal.count > (MOST_WORN if renewal.is_conditional else MOST_BOXES)


def _ticks(renewal: Renewal) -> tuple[str, ...]:
    """For each piece, or once for all where they are many; not all are renewed where it depends."""
    many = _are_many(renewal)
    if renewal.is_conditional:
        return ("worn ones off", "new ones on", "the rest still good") if many else ("old off", "new on", "still good")
    return (f"all {renewal.count} old off", f"all {renewal.count} new on") if many else ("old off", "new on")
