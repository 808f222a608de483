"""What is done while the panels are off: torques, a tick for every stage, and parts to renew."""

from __future__ import annotations

from collections.abc import Iterator

from boardmaker.model import TorqueRow
from boardmaker.service import Plan, Renewal
from boardmaker.wording.cautions import FOR_REFERENCE, TIGHTENED_LATER, TORQUE_CAUTION
from boardmaker.wording.plan.line import Line, said, ticked, under_heading
from boardmaker.wording.preparation import RENEW_OLD_FIRST, renewal_text, stage_texts
from boardmaker.wording.steps import Names, torque_text
from boardmaker.wording.torque_rows import marked_name, row_details, safety_caution, stage_notes
from boardmaker.wording.torques import TorqueStyle, torque_second_text

SECOND = TorqueStyle(in_words=True)
MOST_BOXES = 6  # a tick for each piece of a part; with more pieces one for all, and their number


def service_lines(plan: Plan, names: Names) -> Iterator[Line]:
    """Yield the torques of the jobs, before the first of them how they are meant, then the parts to renew."""
    later = TIGHTENED_LATER if plan.refit else ""
    caution = tuple(said("how", [TORQUE_CAUTION, later], weight="quiet"))
    for service in plan.services:
        rows = tuple(line for row in service.rows for line in _torque(row, names))
        if rows:
            title = f"Torques: {names(service.job) if service.job else 'general'}"
            safety = said("how", [safety_caution(service.rows)], weight="loud")
            looked_up = said("how", [] if service.job else [FOR_REFERENCE])
            yield from under_heading(title, (*caution, *looked_up, *safety, *rows))
            caution = ()
    renewals = tuple(line for renewal in plan.renewals for line in _renewal(renewal))
    how = said("how", [RENEW_OLD_FIRST] * bool(renewals), weight="quiet")
    yield from under_heading("Parts to renew", (*how, *renewals))


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
    boxes = renewal.count if renewal.count <= MOST_BOXES else 1
    yield from (Line("tick", (word,), level=1, boxes=boxes) for word in _ticks(renewal))


def _ticks(renewal: Renewal) -> tuple[str, ...]:
    """For each piece, or once for all where they are many; not all are renewed where it depends."""
    many = renewal.count > MOST_BOXES
    if renewal.is_conditional:
        return ("worn ones off", "new ones on", "the rest still good") if many else ("old off", "new on", "still good")
    return (f"all {renewal.count} old off", f"all {renewal.count} new on") if many else ("old off", "new on")
