"""The way out and the way back: what is said about each panel, and when.

What must be known before the first screw is touched stands above it: where the panel is, what stays on it and must be
left done up, its notes; its plugs and hoses stand before the last that lets it go. What is true only when the
panel is off stands below the last tick.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from boardmaker.model import Panel
from boardmaker.service import ByHand, Group, Plan, RefitStep, RemovalStep, is_threaded
from boardmaker.wording.cautions import BATTERY_HERE, BATTERY_HERE_ON
from boardmaker.wording.dangers import battery_step
from boardmaker.wording.plan.line import Line, said, ticked, under_heading
from boardmaker.wording.steps import (
    BOTH_SIDES,
    HOW_TO_REMOVE,
    IN,
    START,
    WHICH_NUMBERS,
    Names,
    all_tight_text,
    back_from_text,
    behind_text,
    bench_back_text,
    bench_text,
    boards_text,
    by_hand_text,
    clips_last_text,
    count_text,
    group_torque_text,
    hole_cautions,
    hole_notes,
    how_to_refit,
    loosened_texts,
    marks_texts,
    now_tight_text,
    old_thread_text,
    opens_text,
    out_again_texts,
    out_of_text,
    panel_notes,
    refit_by_hand_text,
    refit_details,
    riders_back_text,
    riders_text,
    start_all_text,
    staying_text,
    still_to_part_text,
    tag_places_text,
    through_texts,
    tool_text,
    with_text,
)


def removal_lines(plan: Plan, names: Names) -> Iterator[Line]:
    """Yield what comes off in which order; nothing where nothing does."""
    steps = (line for step in plan.removal for line in _removal(step, plan, names))
    how = (HOW_TO_REMOVE, "" if plan.board else WHICH_NUMBERS, *marks_texts(plan))
    return _way("Removal", " ".join(text for text in how if text), steps)


def refit_lines(plan: Plan, names: Names) -> Iterator[Line]:
    """Yield the same in reverse."""
    steps = (line for step in plan.refit for line in _refit(step, plan, names))
    return _way("Refit", how_to_refit(plan), steps)


def tag_texts(step: RemovalStep, plan: Plan, names: Names) -> tuple[str, ...]:
    """Return what the tag on a panel says of it, what is needed first at the head; "" for nothing."""
    reasons = behind_text(step, names), riders_text(step, names), opens_text(step, names)
    return tag_places_text(step, plan.pockets), *reasons


def _way(title: str, how: str, steps: Iterator[Line]) -> Iterator[Line]:
    found = tuple(steps)
    opening = (Line("how", (how,), weight="quiet"),) if found else ()
    return under_heading(title, (*opening, *found))


def _removal(step: RemovalStep, plan: Plan, names: Names) -> Iterator[Line]:
    yield from _panel(step, step.walk, names)
    yield from said("note", [boards_text(step, plan.board)], level=1)
    yield from said("note", (bench_text(step, names), riders_text(step, names)), level=1, weight="loud")
    yield from said("note", (staying_text(one, names) for one in step.staying), level=1)
    yield from said("note", panel_notes(step), level=1)
    come_off = {panel.key: one.number for one in plan.removal for panel in (one.carrier, *one.step.riders)}
    for group in step.groups:
        where = out_of_text(group, step, plan.pockets)
        done = f"out {group.done} of {plan.count}"
        yield ticked("group", count_text(group), tool_text(group.fastener), "", where, done)
        yield from _minded(group, (*loosened_texts(group, names, come_off),), hole_notes(group.freed))
    yield from _let_go(step, names)
    if step is battery_step(plan):
        yield ticked("by hand", BATTERY_HERE)
    yield from said("note", (behind_text(step, names), opens_text(step, names)))


def _let_go(step: RemovalStep, names: Names) -> Iterator[Line]:
    """By hand, and connections before the last that holds the panel."""
    before, last = _with_the_last_apart(step.by_hand) if step.connections else (step.by_hand, ())
    yield from (ticked("by hand", by_hand_text(one)) for one in before)
    yield from said("note", [still_to_part_text(step)], weight="loud")
    for one in step.connections:
        yield ticked("by hand", f"{_on(one.panel, step, names)}{by_hand_text(one)}")
    yield from (ticked("by hand", by_hand_text(one)) for one in last)


def _with_the_last_apart(fixings: Sequence[ByHand]) -> tuple[tuple[ByHand, ...], tuple[ByHand, ...]]:
    """All but the one that lets go last, and that one: of two pins one."""
    if not fixings:
        return (), ()
    *others, last = fixings
    first = [replace(last, count=last.count - 1)] if last.count > 1 else []
    return (*others, *first), (replace(last, count=1),)


def _refit(step: RefitStep, plan: Plan, names: Names) -> Iterator[Line]:
    removal = step.removal
    yield from _panel(removal, step.walk, names)
    yield from said("note", [boards_text(removal, plan.board)], level=1)
    yield from said("note", (bench_back_text(removal, names), riders_back_text(removal, names)), level=1, weight="loud")
    yield from said("note", out_again_texts(removal), level=1, weight="loud")
    if removal is battery_step(plan):
        yield ticked("by hand", BATTERY_HERE_ON)
    for one in step.connections:
        yield ticked("by hand", f"{_on(one.panel, removal, names)}{refit_by_hand_text(one)}")
    yield from (ticked("by hand", refit_by_hand_text(one)) for one in step.by_hand)
    yield from said("note", [start_all_text(step, names)], weight="loud")
    yield from said("note", [old_thread_text(step)])
    threaded = [group for group in step.groups if is_threaded(group.fastener)]
    yield from _back(threaded, step, plan, names)
    yield from (ticked("by hand", refit_by_hand_text(one)) for one in step.taped)
    if step.in_two_goes and not step.waits_for:
        yield ticked("tightened", all_tight_text(step))
    yield from said("note", [clips_last_text(step)], weight="loud")
    yield from _back([group for group in step.groups if group not in threaded], step, plan, names)
    yield from (ticked("tightened", text) for text in [now_tight_text(step, names)] if text)


def _back(groups: Iterable[Group], step: RefitStep, plan: Plan, names: Names) -> Iterator[Line]:
    for group in groups:
        where = back_from_text(group, step.removal, plan.pockets)
        done = f"{START if step.in_two_goes and is_threaded(group.fastener) else IN} {group.done} of {plan.count}"
        yield ticked("group", count_text(group), tool_text(group.fastener), group_torque_text(group), where, done)
        yield from _minded(
            group, (*refit_details(group), *through_texts(group, names)), hole_notes(group.freed, back=True)
        )


def _panel(step: RemovalStep, walk: bool, names: Names) -> Iterator[Line]:
    if walk:
        yield Line("side", (BOTH_SIDES[step.carrier.side],), weight="loud")
    yield Line("step", (f"{step.number}", step.carrier.tag, names(step.carrier)), weight="loud", boxes=1)


def _minded(group: Group, loud: Iterable[str], notes: Iterable[str]) -> Iterator[Line]:
    """What to mind with these fasteners; what is behind their threads and the file's notes stand last."""
    yield from said("note", [with_text(group.fastener)], level=1)
    yield from said("note", (*loud, *hole_cautions(group), *notes), level=1, weight="loud")


def _on(panel: Panel, step: RemovalStep, names: Names) -> str:
    """Whose connector it is, where that is a rider."""
    return "" if panel.key == step.carrier.key else f"{names(panel)}: "
