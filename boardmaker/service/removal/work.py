"""The work for the chosen jobs: removal steps with the fasteners that each frees, and the torque cards."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from functools import cached_property

from boardmaker.model import Bike, Fastener, Hole, Job, Panel, TorqueRow
from boardmaker.problems import ProblemsFound, error, nearest
from boardmaker.service.fit.suitability import judge_fit
from boardmaker.service.fit.verdict import Fit
from boardmaker.service.removal.equipment import choose_equipment, only_present
from boardmaker.service.removal.places import hole_height, place_on_bike
from boardmaker.service.removal.units import Unit, remove_for

GENERAL = "general"
THREADED = ("screw", "shoulder screw", "tapping screw", "bolt", "nut")  # kinds that can carry a panel


@dataclass(frozen=True)
class Freed:
    """One fastener that comes out: its panel and hole, its number on that panel, whether it suits the hole."""

    panel: Panel
    hole: Hole
    fastener: Fastener
    number: int
    fit: Fit

    @property
    def hole_key(self) -> str:
        """`panel/hole`, as the board file writes it."""
        return f"{self.panel.key}/{self.hole.id}"


@dataclass(frozen=True)
class Step:
    """One unit leaves the bike: its carrier, the riders that stay on it, the fasteners that this frees in order."""

    carrier: Panel
    riders: tuple[Panel, ...]
    freed: tuple[Freed, ...]

    @property
    def carrying(self) -> Freed | None:
        """The screw that still carries the panel: the last of several that comes out and has a thread, if there is one.

        Common practice, no source: a push clip, a rivet or a quarter turn above it carries nothing.
        """
        threaded = [one for one in self.freed if is_threaded(one.fastener)]
        return threaded[-1] if threaded and len(self.freed) > 1 else None


def is_threaded(fastener: Fastener) -> bool:
    """Say whether a fastener is screwed in; a clip or a rivet carries no panel (common practice, no source)."""
    return fastener.kind in THREADED


@dataclass(frozen=True)
class TorqueCard:
    """The torque rows of one job, or of no job (`general`), in the file's order."""

    key: str
    name: str
    rows: tuple[TorqueRow, ...]


@dataclass(frozen=True)
class Work:
    """All that the chosen jobs ask for. `bike` holds only what is present; `equipment` is what is on."""

    bike: Bike
    jobs: tuple[Job, ...]
    equipment: tuple[str, ...]
    steps: tuple[Step, ...]
    cards: tuple[TorqueCard, ...]

    @cached_property
    def freed(self) -> tuple[Freed, ...]:
        """Every fastener that comes out, once each, in removal order."""
        return tuple(freed for step in self.steps for freed in step.freed)

    def freed_of(self, panel_key: str) -> tuple[Freed, ...]:
        """The fasteners whose pockets belong to this panel, by number."""
        return tuple(freed for freed in self.freed if freed.panel.key == panel_key)


def plan_work(
    bike: Bike, job_keys: Collection[str] = (), with_: Collection[str] = (), without: Collection[str] = ()
) -> Work:
    """Work out the jobs (none chosen: all panels come off, all torque rows are shown).

    Raises ProblemsFound for an unknown job or equipment and for panels that wait for each other.
    """
    jobs = _chosen_jobs(bike, job_keys)
    equipment = choose_equipment(bike, with_, without)
    present = only_present(bike, equipment)
    chosen = {job.key for job in jobs}
    jobs = tuple(job for job in present.jobs if job.key in chosen)
    wanted = [key for job in jobs for key in job.remove] if jobs else None
    units = remove_for(present, wanted, [key for job in jobs for key in job.apart])
    steps = tuple(_step(present, unit) for unit in units)
    return Work(present, jobs, equipment, steps, _torque_cards(present, jobs))


def _chosen_jobs(bike: Bike, keys: Collection[str]) -> tuple[Job, ...]:
    known = [job.key for job in bike.jobs]
    problems = [error(f'no job "{key}" in {bike.file}', hint=_job_hint(key, known)) for key in keys if key not in known]
    if problems:
        raise ProblemsFound(problems)
    return tuple(job for job in bike.jobs if job.key in keys)


def _job_hint(key: str, known: list[str]) -> str:
    if not known:
        return "this bike file has no jobs; leave --job out to take all panels off"
    near = nearest(key, known)
    return f'did you mean "{near}"?' if near else f"its jobs are: {', '.join(known)}"


def _step(bike: Bike, unit: Unit) -> Step:
    members = {panel.key for panel in unit.panels}
    freed = [
        one
        for panel in (*unit.panels[1:], unit.carrier)  # the carrier's own screws come last: they carry the whole
        for one in _freed_of(bike, panel, [hole for hole in panel.holes if _comes_out(panel, hole, unit, members)])
    ]
    return Step(unit.carrier, unit.panels[1:], tuple(freed))


def _comes_out(panel: Panel, hole: Hole, unit: Unit, members: Collection[str]) -> bool:
    """A rider's screws stay in, but for those that also hold something that does not leave with it."""
    return panel is unit.carrier or any(held not in members for held in hole.also_holds)


def _freed_of(bike: Bike, panel: Panel, holes: list[Hole]) -> list[Freed]:
    """Numbered upwards: the highest screw carries the panel and comes out last (common practice, no source)."""
    ordered = sorted(holes, key=lambda hole: _height_then_forward(panel, hole))
    return [
        Freed(panel, hole, fastener, number, judge_fit(fastener, hole))
        for number, hole in enumerate(ordered, start=1)
        for fastener in [bike.fastener(hole.fastener)]
    ]


def _height_then_forward(panel: Panel, hole: Hole) -> tuple[float, float, float]:
    ahead = place_on_bike(panel, hole.at)[0]
    return hole_height(panel, hole.at), hole.at[0] if ahead is None else ahead, hole.at[0]


def _torque_cards(bike: Bike, jobs: tuple[Job, ...]) -> tuple[TorqueCard, ...]:
    cards = [
        TorqueCard(job.key, job.name, tuple(row for row in bike.torques if job.key in row.jobs))
        for job in jobs or bike.jobs
    ]
    if not jobs:  # rows of no job are no part of a chosen job's work
        cards.append(TorqueCard(GENERAL, "General", tuple(row for row in bike.torques if not row.jobs)))
    return tuple(card for card in cards if card.rows)
