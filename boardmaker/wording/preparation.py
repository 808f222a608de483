"""What to have ready, what the service asks for, and the last look before the ride, in words.

One source for all that say it, apart from `steps`, which is about panels.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from boardmaker.model import Fastener, Job, Supply, Torque, TorqueRow
from boardmaker.service import Plan, Renewal, Service, is_threaded
from boardmaker.wording.cautions import (
    BATTERY_ON,
    BRAKES_FIRM,
    BRAKES_FIRM_PUMPED,
    CHAIN_RIGHT,
    CLOCK_SET,
    COOLANT_CAP,
    COOLANT_LEVEL,
    COVER_OUT,
    DRY_TYRES,
    HOSES_AND_WIRES,
    HOSES_AND_WIRES_NO_CHAIN,
    INTAKES_COVERED,
    JOINTS_DRY,
    KEY_AND_BATTERY,
    KEY_OUT,
    LEVELS_RIGHT,
    LIGHTS_WORK,
    MIRRORS_SET,
    NOTHING_DRIPS,
    NOTHING_LEFT_IN,
    OIL_LAMP,
    OIL_LEVEL,
    REAR_WHEEL_RUN,
    RUN,
    RUN_AUTOMATIC,
    RUN_IN_NEUTRAL,
    STEERING_FREE,
    STORE_EMPTY,
    UNPLUGGED_WORKS,
    WHEELS_FREE,
)
from boardmaker.wording.dangers import COOLANT, FLUIDS, battery_step, fluids, is_automatic, is_unplugged
from boardmaker.wording.fasteners import LOCKER_WORDS
from boardmaker.wording.torques import torque_lines
from boardmaker.wording.when import timed

IN_BULK = re.compile(
    r"^[\d.,/ ]+(?:[mcd]?l|lit(?:er|re)s?|cc|cm3|cm³|fl|oz|qt|quarts?|pt|pints?|gal\w*|k?g)\b", re.IGNORECASE
)
# What is used for a job and not fitted, where its count does not tell (common practice, no source).
NO_PART = re.compile(
    r"\bgauge|\bgrease|\bcleaner|thread ?lock|\blubricant|\bpaste|\bspray|\btool|\brag|\bfluid|\bcoolant"
    r"|\boil\b(?! (?:filter|seal|strainer|ring|pump|pipe))",
    re.IGNORECASE,
)
RENEW_OLD_FIRST = (
    "Lay the new ones ready. The old ones come off with their panel or in the work below: tick “old off” when one is "
    "in your hand - a washer left stuck behind makes two."
)
SEVERAL_WRENCHES = "One torque wrench seldom reaches far enough."
WRENCH_REACH = 5.0  # largest through smallest torque of one wrench: ISO 6789 tests from 20 % up (value from memory)
CHAIN = re.compile(r"(?<!cam )(?<!timing )\bchains?\b", re.IGNORECASE)
NEAR_A_TYRE = re.compile(r"\bwheel|axle|\bmud ?guard|\bhugger|\bfender", re.IGNORECASE)
SEALS = re.compile(r"\bgasket|\bseal|\bo-?ring|\brubber ring", re.IGNORECASE)
DRY_COVER = re.compile(r"\bbelt\b|\bvariator", re.IGNORECASE)  # there is no oil behind it
AIR_FILTER = re.compile(r"\bair (?:filter|cleaner)", re.IGNORECASE)
SCREW_WORD = re.compile(r"screws?|bolts?")  # of a row, beside the name of what they hold
AIR_INTAKE = re.compile(r"\bair (?:filter|cleaner)|\bair ?box", re.IGNORECASE)
VALVES = re.compile(r"\bvalve (?:clearance|lash|play)|\bvalves\b", re.IGNORECASE)
DRIVE_BELT = re.compile(r"\b(?:drive|v)-? ?belts?\b|\bvariator|\bpulley", re.IGNORECASE)
MIRROR = re.compile(r"\bmirrors?\b", re.IGNORECASE)
UNPLUG = re.compile(
    r"^(?:unplug|part|disconnect)\s+(?:the\s+|both\s+)?(?P<what>.+?)(?=\s+before\b|[;,:]|\s-\s|$)", re.IGNORECASE
)
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
            yield _if_needed(renewal) if renewal.is_conditional or may_stay(renewal) else _counted_part(renewal)


def _if_needed(renewal: Renewal) -> str:
    return f"up to {_counted_part(renewal)}" if renewal.count > 1 else f"{_counted_part(renewal)}, if needed"


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
    """Return the supplies of a job that are fitted for old ones, but for those that a row renews or a step names."""
    renewed = {_plain_name(name) for renewal in plan.renewals for name in _names(renewal)}
    steps = " · ".join(_steps(job.note) + [step for row in plan.rows for step in _steps(row.note)]).casefold()
    names = ((one, _plain_name(one.what)) for one in job.supplies if _is_part(one))
    return tuple(one for one, name in names if name not in renewed and name not in steps)


def _steps(note: str) -> list[str]:
    """What a note has to be ticked: a part that is named there is ticked there."""
    steps = timed(note)
    return [*steps.before, *steps.after]


def _is_part(supply: Supply) -> bool:
    """Say whether a supply is counted in pieces and stays on the bike, as far as its words tell."""
    return not IN_BULK.search(supply.count) and not NO_PART.search(supply.what.strip())


def between_old_and_new(supply: Supply) -> tuple[str, ...]:
    """Return what is done between old out and new in: a cloth cannot come out from under a new air filter.

    Common practice, no source.
    """
    return (INTAKES_COVERED, COVER_OUT) if AIR_FILTER.search(supply.what) else ()


def work_begins(service: Service) -> tuple[str, ...]:
    """Return what is ticked before anything of a job is opened: the cap of a cooling system comes first, and alone."""
    supplies = [supply.what for supply in service.job.supplies] if service.job else []
    said = " · ".join([*supplies, *(row.what for row in service.rows)])
    return (COOLANT_CAP,) if COOLANT.search(said) else ()


def trial_run_texts(plan: Plan) -> Iterator[str]:
    """Yield what is tried while all can still be seen, where oil, coolant or a seal was out.

    Whoever closes the panels first takes them all off again for a drip (common practice, no source).
    """
    found = {*fluids(plan)} & {"oil", "coolant"}
    if not found and not any(SEALS.search(row.renew) and not DRY_COVER.search(row.what) for row in plan.rows):
        return
    if ready := "; ".join(_made_ready(plan, found)):
        yield f"{ready[:1].upper()}{ready[1:]}."
    lamp = f" {OIL_LAMP}" if "oil" in found else ""
    yield f"{RUN}; {RUN_AUTOMATIC if is_automatic(plan) else RUN_IN_NEUTRAL}{lamp}"
    if "oil" in found:
        yield OIL_LEVEL
    if "coolant" in found:
        yield COOLANT_LEVEL
    if not found:
        yield JOINTS_DRY
    yield KEY_AND_BATTERY if is_unplugged(plan) else KEY_OUT


def _made_ready(plan: Plan, found: set[str]) -> Iterator[str]:
    """What the engine must have before it is started."""
    if found:
        yield f"filled{' and vented' * ('coolant' in found)} as the manual has it, cap{'s' * (len(found) > 1)} on"
    needed = list(_intake_closed(plan))
    needed += ["connectors that the engine needs, if any are off", "battery, plus first"] if is_unplugged(plan) else []
    if needed:
        yield f"on for the run: {', '.join(needed)}"


def _intake_closed(plan: Plan) -> Iterator[str]:
    """An engine breathes through its filter; what closes it is fitted once, and ticked where it stands."""
    steps = [step.removal for step in plan.refit if AIR_INTAKE.search(step.removal.carrier.name)]
    yield from ["air filter"] * bool(steps)
    for step in steps:
        yield f"{step.carrier.name} (all of refit step {step.number}, ticked there)"


def tools_by_work(plan: Plan) -> Iterator[str]:
    """Yield what no fastener asks for and the work does, as far as its words tell (common practice, no source).

    Not what the file names itself, among its tools or its supplies.
    """
    jobs = [service.job for service in plan.services if service.job]
    named = " · ".join([*plan.tools, *(supply.what for job in jobs for supply in job.supplies)]).casefold()
    if VALVES.search(" · ".join(job.name for job in jobs)) and "feeler" not in named:
        yield "feeler gauges"
    if {*fluids(plan)} & {"oil", "coolant"} and "drain pan" not in named:
        yield "drain pan"


def lockers_to_have(plan: Plan) -> tuple[str, ...]:
    """Return the threadlockers that the plan uses, from light to strong, but for those that are a supply of a job."""
    used = {one.threadlocker for one, _ in plan.fasteners} | {row.threadlocker for row in plan.rows}
    supplies = _supplies(plan)
    return tuple(words for key, words in LOCKER_WORDS.items() if key in used and words not in supplies)


def may_stay(renewal: Renewal) -> bool:
    """Say whether a part is renewed only where its row is worked on: `only if it was opened`."""
    return isinstance(renewal.part, TorqueRow) and bool(timed(renewal.part.note).only_if)


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


def step_of(row: TorqueRow, plan: Plan) -> int | None:
    """Return the number of the step whose screws a row is about, by what both say of them; None for none.

    As many of the same thread, and all words of the row but `screws` in the panel's name: `Filter lid screws` are those
    of the air filter lid. Whoever tightens them at the row has not put the panel on.
    """
    words = {word for word in re.findall(r"\w+", row.what.casefold()) if not SCREW_WORD.fullmatch(word)}
    for step in plan.removal:
        screws = [one.fastener for one in step.step.freed if is_threaded(one.fastener)]
        alike = len(screws) == row.count and {one.thread for one in screws} == {row.thread}
        if alike and words and words <= set(re.findall(r"\w+", step.carrier.name.casefold())):
            return step.number
    return None


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
    opened = any(WHEEL_OR_BRAKE.search(f"{row.what} {row.where_on_bike}") for row in plan.rows)
    if opened or any(step.connections for step in plan.removal):
        yield HOSES_AND_WIRES_NO_CHAIN if is_automatic(plan) else HOSES_AND_WIRES
    if is_unplugged(plan):
        yield CLOCK_SET if battery_step(plan) else BATTERY_ON
    yield LIGHTS_WORK
    if unplugged := ", ".join(dict.fromkeys(_unplugged(plan))):
        yield f"{UNPLUGGED_WORKS}: {unplugged}."
    if any(MIRROR.search(step.carrier.name) for step in plan.removal):
        yield MIRRORS_SET
    yield from _spilt(plan)
    yield BRAKES_FIRM_PUMPED if opened else BRAKES_FIRM
    yield from _wheel_checks(plan)
    if filled := fluids(plan):
        yield f"{LEVELS_RIGHT}: {', '.join(_filled_names(plan, filled))}."
    if filled or any(one.kind == "hose" for step in plan.removal for one in step.connections):
        yield NOTHING_DRIPS


def _filled_names(plan: Plan, filled: Sequence[str]) -> Iterator[str]:
    """The names of fluids; by those of the supplies where a job has two of a kind: engine oil and gear oil."""
    named = dict.fromkeys(supply.what for service in plan.services if service.job for supply in service.job.supplies)
    for one in filled:
        of_it = [what for what in named if FLUIDS[one].search(what) and NO_PART.search(what)]
        yield ", ".join(what[:1].lower() + what[1:] for what in of_it) if len(of_it) > 1 else one


def _unplugged(plan: Plan) -> Iterator[str]:
    """What each connector is of, as its note says: `unplug the lamp before the mask is free`."""
    for step in plan.removal:
        found = (UNPLUG.match(one.note) for one in step.connections if one.kind == "connector")
        yield from (match["what"] for match in found if match)


def _spilt(plan: Plan) -> Iterator[str]:
    """What makes a tyre slip, a brake fail or an exhaust burn: oil, coolant, brake fluid, chain lubricant."""
    chain = CHAIN.search(" · ".join(service.job.name for service in plan.services if service.job))
    if about := [*fluids(plan), *(["chain lubricant"] if chain else [])]:
        yield f"{DRY_TYRES} {' and '.join(about)}."


def _wheel_checks(plan: Plan) -> Iterator[str]:
    """What turns and what is near it: a chain by its row or its job, wheels and what covers them by row or panel."""
    rows = " · ".join(f"{row.what} · {row.where_on_bike}" for row in plan.rows)
    jobs = " · ".join(service.job.name for service in plan.services if service.job)
    panels = " · ".join(panel.name for step in plan.removal for panel in (step.carrier, *step.step.riders))
    if CHAIN.search(f"{rows} · {jobs}"):
        yield CHAIN_RIGHT
    if NEAR_A_TYRE.search(f"{rows} · {panels}"):
        yield WHEELS_FREE
    if DRIVE_BELT.search(f"{rows} · {jobs}"):
        yield REAR_WHEEL_RUN
