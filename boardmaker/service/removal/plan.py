"""The work as a person does it beside the bike: removal, service, refit, tools, what to renew.

In: `Work`. Out: `Plan`, plain data that the sheets, the Markdown list and the CSV table are all made from. Nothing is
decided here that `Work` does not say; it is put in working order, counted, and turned round for the way back.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from boardmaker.model import Bike, Fastener, Fixing, Job, Panel, TorqueRow
from boardmaker.service.removal.on_board import BoardCheck, BoardMade, BoardPocket, check_board
from boardmaker.service.removal.units import panel_waits
from boardmaker.service.removal.work import Freed, Step, Work, is_threaded

CONNECTIONS = ("connector", "hose")  # what ties a panel, or a rider on it, to the bike when all screws are out
TAPE = "interlocking tape"

CONDITIONS = ("when ", "if ")
LONG_ROW = 5  # screws; fewer are soon evenly tight in any order (common practice, no source)
ROW = 0.15  # of its length that a row of holes may stray to the sides (chosen)


@dataclass(frozen=True)
class Shared:
    """Fasteners of a group that go through the same other panels too."""

    freed: tuple[Freed, ...]
    panels: tuple[Panel, ...]


@dataclass(frozen=True)
class Group:
    """Fasteners of one kind on one panel that come out (or go in) one after the other: one tick.

    `done` counts all that are out (or in) after it; `last` is the screw that still carries the panel, the last that
    comes out. `shared` names the other panels that they hold: on the way out those that stay on the bike, on the way
    back all.
    """

    freed: tuple[Freed, ...]
    done: int
    last: bool = False
    shared: tuple[Shared, ...] = ()

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
    """The same unit goes back on: what was let go first goes in last, but for clips, which follow the screws.

    `groups` count what is in again. `waits_for`: the last panel to go on whose screws go through this one too; until
    then its own stay loose, or holes cannot be lined up. `now_tight`: the steps that waited for this one.
    """

    removal: RemovalStep
    groups: tuple[Group, ...]
    walk: bool
    waits_for: Panel | None = None
    now_tight: tuple[RefitStep, ...] = ()

    @property
    def by_hand(self) -> tuple[ByHand, ...]:
        """What goes back by hand before the screws: the latch that was opened first is locked last."""
        return tuple(one for one in self.removal.by_hand[::-1] if one not in self.taped)

    @property
    def taped(self) -> tuple[ByHand, ...]:
        """Tape that is pressed together between starting the screws and tightening them: it does not shift.

        Common practice, no source. None where no screw lines the panel up.
        """
        return tuple(one for one in self.removal.by_hand[::-1] if one.kind == TAPE and self.screws)

    @property
    def in_two_goes(self) -> bool:
        """Whether its screws are started first and tightened later."""
        return self.screws > 1 or bool(self.taped) or self.waits_for is not None

    @property
    def connections(self) -> tuple[ByHand, ...]:
        """Connectors and hoses, before the panel closes over them."""
        return self.removal.connections[::-1]

    @property
    def screws(self) -> int:
        """How many of its fasteners are started by hand and tightened."""
        return sum(len(group.freed) for group in self.groups if is_threaded(group.fastener))

    @property
    def is_long_row(self) -> bool:
        """Whether its screws, five or more, stand in a row on one panel (`ROW`): they are tightened from its middle."""
        found = [one for group in self.groups for one in group.freed if is_threaded(one.fastener)]
        if len(found) < LONG_ROW or len({one.panel.key for one in found}) > 1:
            return False
        long, wide = _spread([one.hole.at for one in found])
        return wide < ROW * long

    @property
    def clips(self) -> tuple[str, ...]:
        """The kinds of its fasteners that are pushed or turned home without a thread, each once."""
        kinds = (group.fastener.kind for group in self.groups if not is_threaded(group.fastener))
        return tuple(dict.fromkeys(kinds))


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

    @property
    def is_conditional(self) -> bool:
        """Whether the file says when to renew it (`renew: when the pin no longer clicks`), not that or what."""
        return self.part.renew.startswith(CONDITIONS)


@dataclass(frozen=True)
class Plan:
    """All of the job in working order. `tools` are as the bike file writes them, `fasteners` with their count.

    `board`: the board that the plan is held against, None where it is for any.
    """

    work: Work
    removal: tuple[RemovalStep, ...]
    services: tuple[Service, ...]
    refit: tuple[RefitStep, ...]
    fasteners: tuple[tuple[Fastener, int], ...]
    tools: tuple[str, ...]
    renewals: tuple[Renewal, ...]
    board: BoardCheck | None = None

    @property
    def pockets(self) -> Mapping[str, BoardPocket]:
        """The pockets of the board that is there, by `panel/hole`, where it has them under the plan's numbers."""
        return self.board.same if self.board else {}

    @property
    def count(self) -> int:
        """How many fasteners come out."""
        return len(self.work.freed)

    @property
    def rows(self) -> tuple[TorqueRow, ...]:
        """Every torque row of the jobs, once, in working order; rows of no job are only looked up, not worked on."""
        return _rows(self.services)


def _rows(services: Iterable[Service]) -> tuple[TorqueRow, ...]:
    return tuple(row for service in services if service.job for row in service.rows)


def make_plan(work: Work, board: BoardMade | None = None) -> Plan:
    """Put the work in the order in which a person does it; a `board` that is there already is held against it."""
    removal = tuple(_removal(work))
    services = tuple(_services(work))
    counts = Counter(freed.fastener.key for freed in work.freed)
    fasteners = tuple((one, counts[one.key]) for one in work.bike.fasteners if counts[one.key])
    rows = _rows(services)
    return Plan(
        work,
        removal,
        services,
        tuple(_refit(work, removal)),
        fasteners,
        _tools([one.drive for one, _ in fasteners] + [row.tool for row in rows]),
        tuple(_renewals(fasteners, rows)),
        check_board(work, board) if board else None,
    )


def _removal(work: Work) -> Iterator[RemovalStep]:
    done, side = 0, ""
    behind = _behind(work)
    off: set[str] = set()
    for number, step in enumerate(work.steps, start=1):
        carrier, riders = step.carrier, step.riders
        members = {panel.key for panel in (carrier, *riders)}
        off |= members
        yield RemovalStep(
            number,
            step,
            tuple(replace(one, shared=_shared(work.bike, one.freed, off)) for one in _groups(step.freed, step, done)),
            _alike(carrier, _no_connections(carrier)),
            tuple(one for panel in (*riders, carrier) for one in _alike(panel, _connections(panel))),
            tuple(one for panel in riders for one in _alike(panel, _no_connections(panel))),
            behind[carrier.key],
            tuple(job for job in work.jobs or work.bike.jobs if members.intersection((*job.remove, *job.apart))),
            work.bike.panel(carrier.rides_on) if carrier.rides_on else None,
            carrier.side != side,
        )
        done, side = done + len(step.freed), carrier.side


def _groups(freed: Iterable[Freed], step: Step, done: int) -> Iterator[Group]:
    """Runs of one kind on one panel whose numbers follow each other; the screw that carries the panel stands alone."""
    carrying = step.carrying
    runs: list[list[Freed]] = []
    for one in freed:
        if not runs or carrying in (one, runs[-1][-1]) or not _follow(runs[-1][-1], one):
            runs.append([])
        runs[-1].append(one)
    for run in runs:
        done += len(run)
        yield Group(tuple(run), done, last=carrying in run)


def _follow(one: Freed, other: Freed) -> bool:
    alike = one.panel.key == other.panel.key and one.fastener.key == other.fastener.key
    return alike and abs(one.number - other.number) == 1


def _shared(bike: Bike, freed: Iterable[Freed], off: Collection[str] = ()) -> tuple[Shared, ...]:
    """The fasteners that hold other panels too, together where these are the same; panels that are `off` left out."""
    found: dict[tuple[str, ...], list[Freed]] = {}
    for one in freed:
        if held := tuple(key for key in one.hole.also_holds if not _is_off(bike, key, off)):
            found.setdefault(held, []).append(one)
    return tuple(Shared(tuple(some), tuple(map(bike.panel, held))) for held, some in found.items())


def _is_off(bike: Bike, key: str, off: Collection[str]) -> bool:
    """A panel is off the bike by itself or on a carrier, also if a job takes it apart later."""
    while key and key not in off:
        key = bike.panel(key).rides_on
    return bool(key)


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


def _refit(work: Work, removal: tuple[RemovalStep, ...]) -> Iterator[RefitStep]:
    done, side = 0, ""
    back: list[RefitStep] = []
    waits = _waits(removal[::-1])
    for number, step in enumerate(reversed(removal)):
        found = _groups(_way_back(step.step.freed), step.step, done)
        groups = tuple(replace(one, shared=_shared(work.bike, one.freed)) for one in found)
        last = removal[::-1][waits[number]].carrier if number in waits else None
        now_tight = tuple(back[early] for early in sorted(waits) if waits[early] == number)
        back.append(RefitStep(step, groups, step.carrier.side != side, last, now_tight))
        done, side = done + len(step.step.freed), step.carrier.side
    yield from back


def _waits(back: Sequence[RemovalStep]) -> dict[int, int]:
    """Per step of the way back that must stay loose for one after it: the last of these.

    A screw that goes through two panels needs both loose until it is started, and clamps both when it is tightened: a
    panel waits for the last whose screws go through it, and for whatever those panels wait for that its own go through.
    A clip finds its holes by itself. Common practice, no source.
    """
    through = {late: _below(back, late) for late in range(len(back))}
    waits = {early: late for late, below in through.items() for early in below if _screws(back[early])}
    changed = True
    while changed:
        further = {late: max((waits.get(early, 0) for early in below), default=0) for late, below in through.items()}
        changed = any(until > waits.get(late, late) for late, until in further.items())
        waits |= {late: until for late, until in further.items() if until > waits.get(late, late)}
    return waits


def _below(back: Sequence[RemovalStep], late: int) -> list[int]:
    """The steps before this one on the way back through whose panels its screws go."""
    held = {key for one in _screws(back[late]) for key in one.hole.also_holds}
    members = [{panel.key for panel in (step.carrier, *step.step.riders)} for step in back[:late]]
    return [early for early, keys in enumerate(members) if keys & held]


def _screws(step: RemovalStep) -> list[Freed]:
    return [one for one in step.step.freed if is_threaded(one.fastener)]


def _spread(points: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """How far points lie apart along the line that fits them best, and across it, as standard deviations in mm."""
    count = len(points)
    x0, y0 = sum(x for x, _ in points) / count, sum(y for _, y in points) / count
    xx = sum((x - x0) ** 2 for x, _ in points) / count
    yy = sum((y - y0) ** 2 for _, y in points) / count
    xy = sum((x - x0) * (y - y0) for x, y in points) / count
    mean, apart = (xx + yy) / 2, math.sqrt(((xx - yy) / 2) ** 2 + xy * xy)
    return math.sqrt(mean + apart), math.sqrt(max(mean - apart, 0.0))


def _way_back(freed: Sequence[Freed]) -> tuple[Freed, ...]:
    """In reverse, the screws first: a clip pushed home pulls a panel crooked whose screws are not in yet.

    Common practice, no source.
    """
    back = freed[::-1]
    return tuple(sorted(back, key=lambda one: not is_threaded(one.fastener)))


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
