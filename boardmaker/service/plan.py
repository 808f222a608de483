"""The work as a person does it beside the bike: removal, service, refit, tools, what to renew.

In: `Work`. Out: `Plan`, plain data that the sheets, the Markdown list and the CSV table are all made from. Nothing is
decided here that `Work` does not say; it is put in working order, counted, and turned round for the way back.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby

from boardmaker.inputs.model import Fastener, Fixing, Job, Panel, TorqueRow
from boardmaker.service.removal import panel_waits
from boardmaker.service.work import Freed, Step, Work

CONNECTIONS = ("connector", "hose")  # what ties a panel, or a rider on it, to the bike when all screws are out


@dataclass(frozen=True)
class Group:
    """Fasteners of one kind on one panel that come out (or go in) one after the other: one tick.

    `done` counts all that are out (or in) after it; `last` is the one that still carries the panel.
    """

    freed: tuple[Freed, ...]
    done: int
    last: bool = False

    @property
    def panel(self) -> Panel:
        """The panel that has their pockets."""
        return self.freed[0].panel

    @property
    def fastener(self) -> Fastener:
        """What they are."""
        return self.freed[0].fastener


@dataclass(frozen=True)
class ByHand:
    """Fixings of one panel that are alike, down to their note."""

    panel: Panel
    kind: str
    note: str
    count: int


@dataclass(frozen=True)
class RemovalStep:
    """One unit leaves the bike: fasteners in order of their numbers, then what is let go by hand, then connections.

    `staying` holds riders to their carrier and is left alone. `behind` are the carriers that this unit has to make way
    for, `opens` the jobs that name it. `rode_on`: its carrier, where a job takes it
    apart. `walk`: the side differs from the step before.
    """

    number: int
    step: Step
    groups: tuple[Group, ...]
    by_hand: tuple[ByHand, ...]
    connections: tuple[ByHand, ...]
    staying: tuple[ByHand, ...]
    behind: tuple[Panel, ...]
    opens: tuple[Job, ...]
    rode_on: Panel | None
    walk: bool

    @property
    def carrier(self) -> Panel:
        """The panel that gives the unit its name, side and tag."""
        return self.step.carrier


@dataclass(frozen=True)
class RefitStep:
    """The same unit goes back on, everything in reverse: `groups` count what is in again."""

    removal: RemovalStep
    groups: tuple[Group, ...]
    walk: bool


@dataclass(frozen=True)
class Service:
    """A job (None: of no job) with those of its torque rows that no job before it in the plan has."""

    job: Job | None
    rows: tuple[TorqueRow, ...]


@dataclass(frozen=True)
class Renewal:
    """A part that is replaced: a kind of fastener, or what a torque row names; `count` pieces."""

    part: Fastener | TorqueRow
    count: int


@dataclass(frozen=True)
class Plan:
    """All of the job in working order. `tools` are as the bike file writes them, `fasteners` with their count."""

    work: Work
    removal: tuple[RemovalStep, ...]
    services: tuple[Service, ...]
    refit: tuple[RefitStep, ...]
    fasteners: tuple[tuple[Fastener, int], ...]
    tools: tuple[str, ...]
    renewals: tuple[Renewal, ...]

    @property
    def count(self) -> int:
        """How many fasteners come out."""
        return len(self.work.freed)


def make_plan(work: Work) -> Plan:
    """Put the work in the order in which a person does it."""
    removal = tuple(_removal(work))
    services = tuple(_services(work))
    counts = Counter(freed.fastener.key for freed in work.freed)
    fasteners = tuple((one, counts[one.key]) for one in work.bike.fasteners if counts[one.key])
    rows = [row for service in services for row in service.rows]
    return Plan(
        work,
        removal,
        services,
        tuple(_refit(removal)),
        fasteners,
        _tools([one.drive for one, _ in fasteners] + [row.tool for row in rows]),
        tuple(_renewals(fasteners, rows)),
    )


def _removal(work: Work) -> Iterator[RemovalStep]:
    done, side = 0, ""
    behind = _behind(work)
    for number, step in enumerate(work.steps, start=1):
        carrier, riders = step.carrier, step.riders
        members = {panel.key for panel in (carrier, *riders)}
        yield RemovalStep(
            number,
            step,
            tuple(_groups(step.freed, done)),
            _alike(carrier, _no_connections(carrier)),
            tuple(one for panel in (*riders, carrier) for one in _alike(panel, _connections(panel))),
            tuple(one for panel in riders for one in _alike(panel, _no_connections(panel))),
            behind[carrier.key],
            tuple(job for job in work.jobs or work.bike.jobs if members.intersection((*job.remove, *job.apart))),
            work.bike.panel(carrier.rides_on) if carrier.rides_on else None,
            carrier.side != side,
        )
        done, side = done + len(step.freed), carrier.side


def _groups(freed: Iterable[Freed], done: int) -> Iterator[Group]:
    """Runs of one kind in order of the numbers; a panel's last of several stands alone: it carries the panel."""
    for _, on_panel in groupby(freed, key=lambda one: one.panel.key):
        run = list(on_panel)
        *others, last = run
        for _, alike in groupby(others, key=lambda one: one.fastener.key):
            group = tuple(alike)
            done += len(group)
            yield Group(group, done)
        done += 1
        yield Group((last,), done, last=bool(others))


def _connections(panel: Panel) -> list[Fixing]:
    return [one for one in panel.fixings if one.kind in CONNECTIONS]


def _no_connections(panel: Panel) -> list[Fixing]:
    return [one for one in panel.fixings if one.kind not in CONNECTIONS]


def _alike(panel: Panel, fixings: Iterable[Fixing]) -> tuple[ByHand, ...]:
    counts = Counter((one.kind, one.note) for one in fixings)
    return tuple(ByHand(panel, kind, note, count) for (kind, note), count in counts.items())


def _behind(work: Work) -> dict[str, tuple[Panel, ...]]:
    """Per carrier the carriers of this work that wait for its unit."""
    places = {panel.key: place for place, step in enumerate(work.steps) for panel in (step.carrier, *step.riders)}
    behind: list[dict[str, Panel]] = [{} for _ in work.steps]
    waits = panel_waits(work.bike)
    for key, place in places.items():
        for before in waits[key]:
            if (front := places.get(before, place)) < place:
                behind[front][work.steps[place].carrier.key] = work.steps[place].carrier
    return {step.carrier.key: tuple(found.values()) for step, found in zip(work.steps, behind, strict=True)}


def _refit(removal: tuple[RemovalStep, ...]) -> Iterator[RefitStep]:
    done, side = 0, ""
    for step in reversed(removal):
        groups = []
        for group in reversed(step.groups):
            done += len(group.freed)
            groups.append(Group(group.freed[::-1], done, group.last))
        yield RefitStep(step, tuple(groups), step.carrier.side != side)
        side = step.carrier.side


def _services(work: Work) -> Iterator[Service]:
    seen: set[str] = set()
    rows_of = {card.key: card.rows for card in work.cards}
    for job in work.jobs or work.bike.jobs:
        yield Service(job, tuple(row for row in rows_of.pop(job.key, ()) if row.key not in seen))
        seen.update(row.key for row in work.bike.torques if job.key in row.jobs)
    yield from (Service(None, rows) for rows in rows_of.values())


def _tools(names: Iterable[str]) -> tuple[str, ...]:
    """Each once, by name, sizes by their number: T8 before T25."""
    return tuple(sorted({name for name in names if name}, key=_by_name_then_size))


def _by_name_then_size(name: str) -> tuple[tuple[str, float], ...]:
    parts = re.findall(r"(\D*)(\d+(?:\.\d+)?)?", name.casefold())
    return tuple((words.strip(), float(number or 0)) for words, number in parts)


def _renewals(fasteners: Iterable[tuple[Fastener, int]], rows: Iterable[TorqueRow]) -> Iterator[Renewal]:
    """A row's own parts are as many as it counts; what else it names to renew is taken as one."""
    yield from (Renewal(fastener, count) for fastener, count in fasteners if fastener.renew)
    yield from (Renewal(row, row.count if row.renew == "yes" else 1) for row in rows if row.renew)
