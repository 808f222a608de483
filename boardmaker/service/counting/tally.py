"""How many of each fastener come out, per panel and in all; what to renew; what to carry as spares.

In: `Work`. Out: `Tally`. Every number is a count of `Work.freed`, the same that get a pocket on the board: a screw that
holds several panels is counted once, on the panel that has its pocket.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from boardmaker.model import Fastener, Panel, TorqueRow
from boardmaker.service.fit.grip import METAL
from boardmaker.service.removal.work import Freed, Work

ONE_SPARE_FOR = 8  # in use; common practice, no source
STRUCTURAL_DIAMETER = 8.0  # mm; a thread that carries more than a cover (common practice, no source)
LOCKED = ("medium", "strong")

SPARE_RULE = (
    f"one of each kind for every {ONE_SPARE_FOR} in use or part of {ONE_SPARE_FOR}, so never none; one more of a kind "
    "where losing one stops the ride: it is the only fastener of its panel, or it sits in a metal thread or threaded "
    f"insert and carries a panel that others ride on, is M{STRUCTURAL_DIAMETER:g} or thicker, or is secured with "
    "medium or strong threadlocker; of what is to be renewed, all; of what is kept with a fastener, as many as of the "
    "fastener. Common practice, no source."
)


@dataclass(frozen=True)
class Share:
    """One kind of fastener in one kind of hole of one panel: the freed ones, in removal order."""

    panel: Panel
    fastener: Fastener
    into: str
    freed: tuple[Freed, ...]


@dataclass(frozen=True)
class Spares:
    """How many of a kind to carry, and why so many."""

    count: int
    reason: str


@dataclass(frozen=True)
class Companion:
    """What is kept with a kind of fastener (`washer`): how many come off with it, how many to carry as spares."""

    fastener: Fastener
    item: str
    count: int
    spares: int


@dataclass(frozen=True)
class Kind:
    """One kind of fastener over all panels."""

    fastener: Fastener
    freed: tuple[Freed, ...]
    spares: Spares
    companions: tuple[Companion, ...]

    @property
    def count(self) -> int:
        """How many come out."""
        return len(self.freed)


@dataclass(frozen=True)
class RenewalCount:
    """What a torque row says is to be renewed. `at_least`: the file names it but does not say how many."""

    row: TorqueRow
    item: str
    count: int
    at_least: bool


@dataclass(frozen=True)
class Tally:
    """The count of a work: shares in removal order of their panels, kinds in the order of the bike file."""

    work: Work
    shares: tuple[Share, ...]
    kinds: tuple[Kind, ...]
    renewals: tuple[RenewalCount, ...]

    @property
    def to_renew(self) -> tuple[Kind, ...]:
        """The kinds whose fasteners are not to be used again, or only on a condition that the file names."""
        return tuple(kind for kind in self.kinds if kind.fastener.renew)


def count_work(work: Work) -> Tally:
    """Count what the work frees and renews."""
    return Tally(work, _shares(work.freed), _kinds(work), _renewals(work))


def _shares(freed: Iterable[Freed]) -> tuple[Share, ...]:
    groups: dict[tuple[str, str, str], list[Freed]] = {}
    for one in freed:
        groups.setdefault((one.panel.key, one.fastener.key, one.hole.into), []).append(one)
    return tuple(Share(ones[0].panel, ones[0].fastener, ones[0].hole.into, tuple(ones)) for ones in groups.values())


def _kinds(work: Work) -> tuple[Kind, ...]:
    carriers = {panel.rides_on for panel in work.bike.panels if panel.rides_on}
    of_kind = {
        fastener.key: [one for one in work.freed if one.fastener is fastener] for fastener in work.bike.fasteners
    }
    return tuple(
        _kind(fastener, tuple(of_kind[fastener.key]), carriers)
        for fastener in work.bike.fasteners
        if of_kind[fastener.key]
    )


def _kind(fastener: Fastener, freed: tuple[Freed, ...], carriers: set[str]) -> Kind:
    spares = spares_for(fastener, freed, carriers)
    companions = tuple(
        Companion(fastener, item, each * len(freed), each * spares.count)
        for item, each in Counter(fastener.with_it).items()
    )
    return Kind(fastener, freed, spares, companions)


def spares_for(fastener: Fastener, freed: tuple[Freed, ...], carriers: set[str]) -> Spares:
    """Return how many to carry of a kind; the rule is `SPARE_RULE`, `carriers` the panels that others ride on."""
    if fastener.renew:
        return Spares(len(freed), "all: renew" if fastener.renew == "yes" else f"all: renew {fastener.renew}")
    usual = -(-len(freed) // ONE_SPARE_FOR)
    reason = f"1 for every {ONE_SPARE_FOR} in use" if len(freed) > ONE_SPARE_FOR else "at least 1"
    for one in freed:
        if stop := stops_the_ride(one, carriers):
            return Spares(usual + 1, f"{reason}, and 1 more: {one.hole_key} {stop}")
    return Spares(usual, reason)


def stops_the_ride(freed: Freed, carriers: set[str]) -> str:
    """Say why the bike should not be ridden without this fastener, as far as the file can tell; "" where it may be."""
    if len(freed.panel.holes) == 1:
        return "is the only fastener of its panel"
    if freed.hole.into not in METAL:
        return ""
    if freed.panel.key in carriers:
        return "carries a panel that others ride on"
    if freed.fastener.thread and freed.fastener.diameter >= STRUCTURAL_DIAMETER:
        return f"is {freed.fastener.thread.designation}"
    return "is secured with threadlocker" if freed.fastener.threadlocker in LOCKED else ""


def _renewals(work: Work) -> tuple[RenewalCount, ...]:
    """A row of several jobs is renewed once."""
    rows = {row.key: row for card in work.cards for row in card.rows if row.renew}
    return tuple(_renewal(row) for row in rows.values())


def _renewal(row: TorqueRow) -> RenewalCount:
    if row.renew == "yes":
        return RenewalCount(row, row.what, row.count, at_least=False)
    return RenewalCount(row, row.renew, 1, at_least=row.count > 1)
