"""What to have ready, what the service asks for, and the last look before the ride, in words.

One source for all that say it, apart from `steps`, which is about panels.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from boardmaker.model import Fastener, Job, Supply, Torque, TorqueRow
from boardmaker.service import Plan, Renewal, is_threaded
from boardmaker.wording.cautions import (
    BATTERY_FOR_THE_RUN,
    BATTERY_ON,
    BRAKES_FIRM,
    BRAKES_FIRM_PUMPED,
    CHAIN_RIGHT,
    FILLED,
    HOSES_AND_WIRES,
    LEVELS_RIGHT,
    LIGHTS_WORK,
    NOTHING_DRIPS,
    NOTHING_LEFT_IN,
    STEERING_FREE,
    STORE_EMPTY,
    WHEELS_FREE,
)
from boardmaker.wording.dangers import fluids, is_unplugged
from boardmaker.wording.fasteners import LOCKER_WORDS
from boardmaker.wording.torques import torque_lines

IN_BULK = re.compile(
    r"^[\d.,/ ]+(?:[mcd]?l|lit(?:er|re)s?|cc|cm3|cm³|fl|oz|qt|quarts?|pt|pints?|gal\w*|k?g)\b", re.IGNORECASE
)
# What is used for a job and not fitted, where its count does not tell (common practice, no source).
NO_PART = re.compile(
    r"\bgauge|\bgrease|\bcleaner|thread ?lock|\blubricant|\bpaste|\bspray|\btool|\brag|\bfluid|\bcoolant"
    r"|\boil\b(?! (?:filter|seal|strainer|ring|pump|pipe))",
    re.IGNORECASE,
)
RENEW_OLD_FIRST = "Tick “old off” when you hold the old part in your hand: a washer left stuck behind makes two."
SEVERAL_WRENCHES = "One torque wrench seldom reaches far enough."
WRENCH_REACH = 5.0  # largest through smallest torque of one wrench: ISO 6789 tests from 20 % up (value from memory)
CHAIN = re.compile(r"(?<!cam )(?<!timing )\bchains?\b", re.IGNORECASE)
NEAR_A_TYRE = re.compile(r"\bwheel|axle|\bmud ?guard|\bhugger|\bfender", re.IGNORECASE)
WHEEL_OR_BRAKE = re.compile(r"brak|cal+iper|axle|\bwheel|(?<!clutch )\bdis[ck]s?\b", re.IGNORECASE)


def supply_text(supply: Supply) -> str:
    """Return a supply: `2 × Spark plug`, `4 L Engine oil`."""
    return f"{supply.count} × {supply.what}" if supply.count.isdigit() else f"{supply.count} {supply.what}"


def have_too(plan: Plan) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Yield what to have ready beside the supplies of the jobs, under its titles."""
    parts = {"To renew": tuple(parts_to_have(plan)), "Threadlocker": lockers_to_have(plan)}
    yield from ((title, texts) for title, texts in parts.items() if texts)


def parts_to_have(plan: Plan) -> Iterator[str]:
    """Yield the parts to renew that are no supply of a job by their name: `2 × gasket (Valve cover)`."""
    supplies = _supplies(plan)
    for renewal in plan.renewals:
        if supplies.isdisjoint(map(_plain_name, _names(renewal))):
            yield f"{'up to ' * renewal.is_conditional}{_counted_part(renewal)}"


def _supplies(plan: Plan) -> set[str]:
    return {_plain_name(supply.what) for service in plan.services if service.job for supply in service.job.supplies}


def _names(renewal: Renewal) -> tuple[str, ...]:
    """What a supply of the same part may be called: `gasket`, or `Valve cover gasket`."""
    part = renewal.part
    if isinstance(part, Fastener):
        return (f"{part.kind} {part.key}",)
    return (part.what,) if part.renew == "yes" or renewal.is_conditional else (part.renew, f"{part.what} {part.renew}")


def _plain_name(name: str) -> str:
    return name.strip().casefold().removesuffix("s")


def _counted_part(renewal: Renewal) -> str:
    """`2 × push clip Q`, `1 × gasket (Valve cover)`; screws by their thread, or they would read as what they hold."""
    part, count = renewal.part, renewal.count
    itself = part.renew == "yes" or renewal.is_conditional
    if isinstance(part, TorqueRow) and itself and part.thread and count > 1:
        return f"{part.what}: {count} × {part.thread.designation}"
    own = part.what if isinstance(part, TorqueRow) else f"{part.kind} {part.key}"
    return f"{count} × {own if itself else f'{part.renew} ({own})'}"


def parts_of(job: Job, plan: Plan) -> tuple[Supply, ...]:
    """Return the supplies of a job that are fitted for old ones, but for those that a row renews by their name."""
    renewed = {_plain_name(name) for renewal in plan.renewals for name in _names(renewal)}
    return tuple(one for one in job.supplies if _is_part(one) and _plain_name(one.what) not in renewed)


def _is_part(supply: Supply) -> bool:
    """Say whether a supply is counted in pieces and stays on the bike, as far as its words tell."""
    return not IN_BULK.search(supply.count) and not NO_PART.search(supply.what.strip())


def filled_text(plan: Plan) -> str:
    """Return what is looked at while all can still be seen, where oil or coolant was out; "" where not.

    Common practice, no source.
    """
    if not {"oil", "coolant"} & {*fluids(plan)}:
        return ""
    battery = f" {BATTERY_FOR_THE_RUN}" if is_unplugged(plan) else ""
    return f"{FILLED}{': before the panels go on' if plan.refit else ''}.{battery}"


def lockers_to_have(plan: Plan) -> tuple[str, ...]:
    """Return the threadlockers that the plan uses, from light to strong, but for those that are a supply of a job."""
    used = {one.threadlocker for one, _ in plan.fasteners} | {row.threadlocker for row in plan.rows}
    supplies = _supplies(plan)
    return tuple(words for key, words in LOCKER_WORDS.items() if key in used and words not in supplies)


def renewal_text(renewal: Renewal) -> str:
    """Return a part to renew in words, with what the file says about it."""
    words = _counted_part(renewal).removeprefix("1 × ")
    return f"{words}, renew {renewal.part.renew}" if renewal.is_conditional else words


def wrench_texts(plan: Plan) -> tuple[str, ...]:
    """Return the torque wrench to have with the range that it must reach; none where nothing has a torque."""
    low, high = _torque_span(plan)
    if not high:
        return ()
    wrench = "torque wrenches" if _is_wide(low, high) else "torque wrench"
    first, last = f"{low:.3g}", f"{high:.3g}"
    return (f"{wrench}, {first} to {last} N·m" if first != last else f"{wrench}, {first} N·m",)


def wrench_note(plan: Plan) -> str:
    """Return that one wrench is too few, where it is."""
    return SEVERAL_WRENCHES if _is_wide(*_torque_span(plan)) else ""


def _is_wide(low: float, high: float) -> bool:
    return high > WRENCH_REACH * low


def _torque_span(plan: Plan) -> tuple[float, float]:
    """The smallest and the largest torque of the work in N·m; noughts where there is none."""
    values = [
        value
        for torque in _torques(plan)
        for stage in torque.stages
        if stage.low_nm is not None and stage.high_nm is not None
        for value in (stage.low_nm, stage.high_nm)
    ]
    return (min(values), max(values)) if values else (0.0, 0.0)


def _torques(plan: Plan) -> Iterator[Torque]:
    parts: list[Fastener | TorqueRow] = [one for one, _ in plan.fasteners]
    yield from (part.torque for part in (*parts, *plan.rows) if part.torque)


def no_tool_text(plan: Plan) -> str:
    """Return what must be looked up because the file names no tool for it; "" for nothing."""
    without = [f"{one.kind} {one.key}" for one, _ in plan.fasteners if is_threaded(one) and not one.drive]
    without += dict.fromkeys(row.what for row in plan.rows if not row.tool)
    return f"no tool in the file for: {', '.join(without)}" if without else ""


def stage_texts(row: TorqueRow) -> tuple[str, ...]:
    """Return the stages of a torque in working order, none where there is only one."""
    lines = torque_lines(row.torque)
    return tuple(line.replace("–", " to ") for line in lines) if len(lines) > 1 else ()


def ride_checks(plan: Plan) -> Iterator[str]:
    """Yield what is looked at before the first ride (common practice, no source)."""
    if plan.count:
        yield STORE_EMPTY
    yield NOTHING_LEFT_IN
    yield STEERING_FREE
    if any(step.connections for step in plan.removal):
        yield HOSES_AND_WIRES
    if is_unplugged(plan):
        yield BATTERY_ON
    yield LIGHTS_WORK
    opened = any(WHEEL_OR_BRAKE.search(f"{row.what} {row.where_on_bike}") for row in plan.rows)
    yield BRAKES_FIRM_PUMPED if opened else BRAKES_FIRM
    yield from _wheel_checks(plan)
    if filled := fluids(plan):
        yield f"{LEVELS_RIGHT}: {', '.join(filled)}."
    if filled or any(one.kind == "hose" for step in plan.removal for one in step.connections):
        yield NOTHING_DRIPS


def _wheel_checks(plan: Plan) -> Iterator[str]:
    """What turns and what is near it: a chain by its row or its job, wheels and what covers them by row or panel."""
    rows = " · ".join(f"{row.what} · {row.where_on_bike}" for row in plan.rows)
    jobs = " · ".join(service.job.name for service in plan.services if service.job)
    panels = " · ".join(panel.name for step in plan.removal for panel in (step.carrier, *step.step.riders))
    if CHAIN.search(f"{rows} · {jobs}"):
        yield CHAIN_RIGHT
    if NEAR_A_TYRE.search(f"{rows} · {panels}"):
        yield WHEELS_FREE
