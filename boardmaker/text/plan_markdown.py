"""The plan as Markdown for a phone: the sheets' words with boxes to tap (`- [ ]`, as GitHub and many note apps read).

Whatever the bike file says is text: signs that Markdown would take for its own are escaped, line ends become spaces.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from boardmaker.model import Job, Panel
from boardmaker.service import Group, Plan, RefitStep, RemovalStep, Service
from boardmaker.text.markdown import plain
from boardmaker.wording.cautions import (
    BEFORE_THE_RIDE,
    CHECKED,
    HELD_CAUTION,
    MANUAL_FIRST,
    PLAN_CAUTIONS,
    PLAN_TRUST,
    TORQUE_CAUTION,
    UNCHECKED,
)
from boardmaker.wording.fasteners import drive_text, short_words
from boardmaker.wording.preparation import (
    RENEW_OLD_FIRST,
    have_too,
    no_tool_text,
    renewal_text,
    ride_checks,
    stage_texts,
    supply_text,
    wrench_note,
    wrench_texts,
)
from boardmaker.wording.steps import (
    BOTH_SIDES,
    HOLD,
    HOLD_FIRST,
    HOW_TO_REFIT,
    HOW_TO_REMOVE,
    WHILE_IT_IS_FREE,
    behind_text,
    bench_back_text,
    bench_text,
    by_hand_text,
    clips_last_text,
    count_text,
    group_torque_text,
    hole_cautions,
    hole_notes,
    loosened_texts,
    must_nots,
    opens_text,
    panel_notes,
    refit_by_hand_text,
    refit_details,
    riders_back_text,
    riders_text,
    start_all_text,
    staying_text,
    through_texts,
    tool_text,
    torque_text,
    where_text,
    with_text,
)
from boardmaker.wording.torque_rows import row_details, stage_notes
from boardmaker.wording.torques import TorqueStyle, torque_second_text, unbroken

STYLE = TorqueStyle(in_words=True)


def write_markdown(plan: Plan) -> bytes:
    """Return the plan as a UTF-8 Markdown file."""
    lines = [*_front(plan), *_removal(plan), *_service(plan), *_refit(plan), *_before_the_ride(plan)]
    return ("\n".join(lines).rstrip() + "\n").encode("utf-8")


def _plain(text: str) -> str:
    """Text without marks, in which no torque is broken over two lines."""
    return plain(unbroken(text))


def _name(thing: Panel | Job) -> str:
    return thing.name


def _tick(text: str) -> str:
    return f"- [ ] {_plain(text)}"


def _under(texts: Iterable[str], bold: bool = False) -> Iterator[str]:
    """Lines that belong to the tick above them."""
    for text in texts:
        if text:
            yield f"  - **{_plain(text)}**" if bold else f"  - {_plain(text)}"


def _listed(title: str, lines: Iterable[str]) -> Iterator[str]:
    found = list(lines)
    if found:
        yield from (f"## {title}", "", *found, "")


def _front(plan: Plan) -> Iterator[str]:
    bike = plan.work.bike
    yield from (f"# {_plain(f'{bike.name}: removal and refit')}", "")
    if bike.years:
        yield from (_plain(bike.years), "")
    if bike.source:
        yield from (_plain(f"Source: {bike.source}."), "")
    yield from (CHECKED if bike.checked else f"**{UNCHECKED}**", "")
    yield from (_plain(f"File {bike.file}, version {bike.sha256[:8]}."), "")
    cautions = [f"- **{_plain(text)}**" for text in (*must_nots(plan, _name), *bike.cautions)]
    cautions += [f"- {text}" for text in (MANUAL_FIRST, *PLAN_CAUTIONS, HELD_CAUTION, PLAN_TRUST)]
    yield from _listed("Before you start", cautions)
    yield from _listed("Tools", _tools(plan))
    yield from _listed("Parts and supplies", (*_jobs(plan), *_parts(plan)))
    yield from _listed("Fasteners that come out", _fasteners(plan))


def _tools(plan: Plan) -> Iterator[str]:
    yield from map(_tick, (*map(drive_text, plan.tools), *wrench_texts(plan)))
    for text in (wrench_note(plan), no_tool_text(plan)):
        if text:
            yield from ("", _plain(text))


def _jobs(plan: Plan) -> Iterator[str]:
    for job in (service.job for service in plan.services if service.job):
        every = f", every {job.every}" if job.every else ""
        yield f"- **{_plain(job.name)}**{_plain(every)}"
        yield from _under([job.note])
        yield from (f"  {_tick(supply_text(supply))}" for supply in job.supplies)


def _parts(plan: Plan) -> Iterator[str]:
    for title, texts in have_too(plan):
        yield f"- **{title}**"
        yield from (f"  {_tick(text)}" for text in texts)


def _fasteners(plan: Plan) -> Iterator[str]:
    for one, count in plan.fasteners:
        details = [short_words(one), torque_text(one.torque), with_text(one), one.note]
        words = ", ".join(part for part in details if part)
        yield f"- {count} × **{_plain(one.key)}**: {_plain(words)}"


def _removal(plan: Plan) -> Iterator[str]:
    if not plan.removal:
        return
    yield from ("## Removal", "", HOW_TO_REMOVE, "")
    for step in plan.removal:
        yield from _head(step, step.walk)
        about = [
            bench_text(step, _name),
            *panel_notes(step),
            riders_text(step, _name),
            *(staying_text(one, _name) for one in step.staying),
        ]
        yield from _under([*about, behind_text(step, _name), opens_text(step, _name)])
        for group in step.groups:
            yield _group(group, step, HOLD, f"out {group.done} of {plan.count}", tool_text(group.fastener))
            mind = [with_text(group.fastener), *loosened_texts(group, _name), *hole_cautions(group)]
            yield from _under(mind, bold=True)
            yield from _under(hole_notes(group))
        yield from (_tick(by_hand_text(one)) for one in step.by_hand)
        yield from (_tick(f"{_on(one.panel, step)}{by_hand_text(one)}") for one in step.connections)
        yield from _under([WHILE_IT_IS_FREE] * bool(step.connections))
        yield ""


def _head(step: RemovalStep, walk: bool) -> Iterator[str]:
    if walk:
        yield from (f"### {BOTH_SIDES[step.carrier.side].capitalize()}", "")
    yield f"- [ ] **{step.number} · {_plain(step.carrier.tag)} · {_plain(step.carrier.name)}**"


def _group(group: Group, step: RemovalStep, hold: str, count: str, *details: str) -> str:
    words = ", ".join(part for part in (*details, where_text(group, step, hold), count) if part)
    return f"- [ ] {_plain(count_text(group))}: {_plain(words)}"


def _on(panel: Panel, step: RemovalStep) -> str:
    return "" if panel.key == step.carrier.key else f"{panel.name}: "


def _service(plan: Plan) -> Iterator[str]:
    for service in plan.services:
        yield from _listed(f"Torques: {_job_name(service)}", _torque_rows(service))
    if any(service.rows for service in plan.services):
        yield from (TORQUE_CAUTION, "")
    renewals = list(_renewals(plan))
    yield from _listed("Parts to renew", [RENEW_OLD_FIRST, "", *renewals] if renewals else [])


def _job_name(service: Service) -> str:
    return _plain(service.job.name) if service.job else "general"


def _torque_rows(service: Service) -> Iterator[str]:
    for row in service.rows:
        where = f" ({_plain(row.where_on_bike)})" if row.where_on_bike else ""
        second = unbroken(torque_second_text(row.torque, STYLE))
        torque = f"**{unbroken(torque_text(row.torque))}**" + (f" ({second})" if second else "")
        stages = stage_texts(row)
        yield f"- {'' if stages else '[ ] '}{_plain(row.what)}{where}: {torque}"
        yield from (f"  {_tick(stage)}" for stage in stages)
        yield from _under(stage_notes(row), bold=True)
        yield from _under([" · ".join(row_details(row))])


def _renewals(plan: Plan) -> Iterator[str]:
    for renewal in plan.renewals:
        yield f"- {_plain(renewal_text(renewal))}"
        yield from ("  - [ ] old off", "  - [ ] new on", *["  - [ ] still good"] * renewal.is_conditional)


def _refit(plan: Plan) -> Iterator[str]:
    if not plan.refit:
        return
    yield from ("## Refit", "", HOW_TO_REFIT, "")
    for step in plan.refit:
        yield from _refit_step(step, plan.count)
        yield ""


def _refit_step(step: RefitStep, total: int) -> Iterator[str]:
    removal = step.removal
    yield from _head(removal, step.walk)
    about = [bench_back_text(removal, _name), *panel_notes(removal), riders_back_text(removal, _name)]
    yield from _under(about)
    for one in removal.connections:
        yield _tick(f"{_on(one.panel, removal)}{refit_by_hand_text(one)}")
    yield from (_tick(refit_by_hand_text(one)) for one in removal.by_hand)
    yield from _under([start_all_text(step), clips_last_text(step)], bold=True)
    for group in step.groups:
        words = (tool_text(group.fastener), group_torque_text(group))
        yield _group(group, removal, HOLD_FIRST, f"in {group.done} of {total}", *words)
        mind = [*refit_details(group), *through_texts(group, _name), *hole_cautions(group)]
        yield from _under(mind, bold=True)
        yield from _under(hole_notes(group))


def _before_the_ride(plan: Plan) -> Iterator[str]:
    yield from ("## Before you ride", "", BEFORE_THE_RIDE, "")
    yield from map(_tick, ride_checks(plan))
