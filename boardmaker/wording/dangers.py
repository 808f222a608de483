"""What is dangerous about this work, and what has to be looked at after it: only what its panels and rows call for.

In: `Plan`. Out: sentences. Apart from `cautions`, which has the sentences, because here it is decided which of them are
said: by the words of the bike file, by what is unplugged and by what is behind the screws. A word is taken for what it
usually means in a workshop (common practice, no source).
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from boardmaker.model import Panel
from boardmaker.service import Plan, RemovalStep, is_threaded
from boardmaker.wording.cautions import (
    AIRBAGS,
    BATTERY_CODES,
    BATTERY_OFF,
    BRAKES_AND_STEERING,
    COLD_COOLANT,
    COOL_ENOUGH,
    FIRM_STAND,
    FUEL_NEAR,
    HOT_OIL,
    IGNITION_OFF,
    TURNING_PARTS,
    WITHOUT_WHEEL,
)
from boardmaker.wording.torque_rows import is_for_safety


def _words(*patterns: str) -> re.Pattern[str]:
    return re.compile("|".join(patterns), re.IGNORECASE)


# What is said of the work: rows, supplies, jobs, what is let go by hand.
OIL = _words(r"\boils?\b", r"\bsump\b")
COOLANT = _words(r"\bcoolant", r"\bcooling\b", r"\bradiator", r"\bthermostat", r"\bwater pump")
BRAKE_FLUID = _words(r"\bbrake fluid", r"\bbleed")
TURNING = _words(r"(?<!cam )(?<!timing )\b(?:chains?|belts?)\b", r"\bsprocket", r"\bpulley")
SPRINGS = _words(r"\bspring", r"\btensioner")
CHAIN_TOOL = _words(r"(?<!cam )(?<!timing )\bchain (?:tool|kit|riveter|breaker|splitter)")
# Of the panels too, and of what is behind their screws.
FUEL = _words(
    r"\bfuel", r"\bpetrol", r"\bgasoline", r"\bcarburet", r"\binjector",
    r"(?<!expansion )(?<!overflow )(?<!coolant )\btanks?\b",
)  # fmt: skip
AXLE = _words(r"\baxles?\b")
AIRBAG = _words(r"\bair ?bag")
# Of the whole bike: it has no neutral, it runs off when the engine is revved.
AUTOMATIC = _words(r"\bscooter", r"\bmoped", r"\bvariator", r"\bcvt\b", r"\bautomatic (?:transmission|gearbox|clutch)")
COOLED = _words(r"\bcool\b", r"\bcold\b")
BATTERY = _words(r"\bbattery (?:lies |is |sits )?(?:under|behind|below)\b", r"\b(?:over|covers|bares) the battery\b")

FLUIDS = {"oil": OIL, "coolant": COOLANT, "brake fluid": BRAKE_FLUID}


def dangers(plan: Plan) -> Iterator[str]:
    """Yield the cautions that this work calls for, in the order in which they matter."""
    work, found = _said_of_the_work(plan), fluids(plan)
    everything = f"{work} · {_said_of_the_panels(plan)}"
    if plan.removal or plan.rows:
        off = BATTERY_CODES if battery_step(plan) else BATTERY_OFF
        yield off if is_unplugged(plan) else IGNITION_OFF
    if FUEL.search(everything):
        yield FUEL_NEAR
    if "coolant" in found:
        yield COLD_COOLANT
    if "oil" in found:
        yield HOT_OIL
    if TURNING.search(work):
        yield TURNING_PARTS
    if "brake fluid" in found or any(map(is_for_safety, plan.rows)):
        yield BRAKES_AND_STEERING
    if AIRBAG.search(everything):
        yield AIRBAGS
    yield from (text for text in (_gloves(plan, work, found), _waste(plan, found)) if text)


def fluids(plan: Plan) -> tuple[str, ...]:
    """Return the fluids that this work drains or fills, as far as its words tell."""
    said = _said_of_the_work(plan)
    return tuple(name for name, words in FLUIDS.items() if words.search(said))


def is_unplugged(plan: Plan) -> bool:
    """Say whether an electric connector is parted."""
    return any(one.kind == "connector" for step in plan.removal for one in step.connections)


def battery_step(plan: Plan) -> RemovalStep | None:
    """Return the step that bares the battery, as its panel's or its fixings' notes say; None where none does in time.

    In time: before the first connector is parted. None too where nothing is unplugged.
    """
    for step in plan.removal if is_unplugged(plan) else ():
        said = " · ".join([step.carrier.note, *(one.note for one in step.by_hand)])
        if any(one.kind == "connector" for one in step.connections):
            return None
        if BATTERY.search(said):
            return step
    return None


def is_automatic(plan: Plan) -> bool:
    """Say whether the bike drives off by itself when its engine turns faster, as far as its words tell."""
    bike = plan.work.bike
    said = [bike.name, *(job.name for job in bike.jobs), *(row.what for row in bike.torques)]
    return bool(AUTOMATIC.search(" · ".join(said)))


def firm_stand(plan: Plan) -> str:
    """Return how the bike stands; and that it is cool, where neither the file nor a danger of this work says so."""
    notes = [service.job.note for service in plan.services if service.job]
    said = " · ".join([*plan.work.bike.cautions, *notes, *dangers(plan)])
    worked_on = " · ".join(row.what for service in plan.services if service.job for row in service.rows)
    stand = f"{FIRM_STAND} {WITHOUT_WHEEL}" if AXLE.search(worked_on) else FIRM_STAND
    return stand if COOLED.search(said) else f"{stand} {COOL_ENOUGH}"


def _said_of_the_work(plan: Plan) -> str:
    """Not what a thread is lubricated with: oil on it is no hot oil."""
    jobs = [service.job for service in plan.services if service.job]
    rows = [f"{row.what} · {row.where_on_bike}" for row in plan.rows]
    supplies = [supply.what for job in jobs for supply in job.supplies]
    return " · ".join([*(job.name for job in jobs), *rows, *supplies, *_hose_notes(plan)])


def _hose_notes(plan: Plan) -> list[str]:
    return [one.note for step in plan.removal for one in step.connections if one.kind == "hose"]


def _said_of_the_panels(plan: Plan) -> str:
    panels: list[Panel] = [panel for step in plan.removal for panel in (step.carrier, *step.step.riders)]
    return " · ".join(
        [*(f"{panel.name} · {panel.note}" for panel in panels), *(one.hole.behind for one in plan.work.freed)]
    )


def _gloves(plan: Plan, work: str, found: tuple[str, ...]) -> str:
    clips = any(not is_threaded(one) for one, _ in plan.fasteners)
    clips |= any(one.kind == "clip" for step in plan.removal for one in step.by_hand)
    found_there = (("springs", SPRINGS.search(work)), ("chain pins", CHAIN_TOOL.search(work)), ("clips", clips))
    jumping = " and ".join(word for word, there in found_there if there)
    splash = found or any(FUEL.search(note) for note in _hose_notes(plan))
    why = [*(["fluids splash"] if splash else []), *([f"{jumping} jump out"] if jumping else [])]
    return f"Gloves and eye protection: {', '.join(why)}." if why else ""


def _waste(plan: Plan, found: tuple[str, ...]) -> str:
    """What is left over: fluids, and parts that a row or a job renews."""
    parts = any(row.renew for row in plan.rows) or any(one.job and one.job.supplies for one in plan.services)
    left = [*(f"used {name}" for name in found), *(["old parts"] if parts else [])]
    what = " and ".join([", ".join(left[:-1]), left[-1]] if len(left) > 1 else left)
    nowhere = ": never into a drain, the soil or a bin" if found else ""
    return f"Hand in {what} as your local rules ask{nowhere}." if left else ""
