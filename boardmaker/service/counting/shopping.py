"""What to buy: what a bag or a strip-down lacks, what is kept with it, and what is not to be used again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from boardmaker.model import Fastener
from boardmaker.service.counting.audit import AuditCheck
from boardmaker.service.counting.bag import BagCheck
from boardmaker.service.counting.tally import RenewalCount, Tally
from boardmaker.service.fit.verdict import Verdict
from boardmaker.service.removal.work import Freed

USED_ONCE = "not to be used again: a new one for every hole"


@dataclass(frozen=True)
class Purchase:
    """So many of one thing: a fastener, what is kept with it (`item`), or what a torque row renews (`renewal`)."""

    count: int
    reason: str
    fastener: Fastener | None = None
    item: str = ""
    renewal: RenewalCount | None = None
    holes: tuple[Freed, ...] = ()


def buy_after_audit(tally: Tally, check: AuditCheck) -> tuple[Purchase, ...]:
    """Return what has to be bought once every fastener that was in a wrong hole is back in its own."""
    lacking = {
        kind.fastener.key: [one for one in check.to_buy if one.fastener is kind.fastener] for kind in tally.kinds
    }
    found = [
        purchase
        for kind in tally.kinds
        for purchase in _of_kind(kind.fastener, kind.freed, tuple(lacking[kind.fastener.key]))
    ]
    return (*found, *_renewed_rows(tally))


def _of_kind(fastener: Fastener, freed: tuple[Freed, ...], lacking: tuple[Freed, ...]) -> Iterator[Purchase]:
    if fastener.renew == "yes":
        yield Purchase(len(freed), USED_ONCE, fastener, holes=freed)
    elif lacking:
        yield Purchase(len(lacking), "missing after the rest is back in place", fastener, holes=lacking)
    yield from _kept_with(fastener, lacking)
    rest = tuple(one for one in freed if one not in lacking)
    if fastener.renew not in ("", "yes") and rest:
        yield Purchase(len(rest), f"at most: renew {fastener.renew}", fastener, holes=rest)


def _kept_with(fastener: Fastener, lacking: tuple[Freed, ...]) -> Iterator[Purchase]:
    if lacking:
        for item, each in Counter(fastener.with_it).items():
            yield Purchase(
                each * len(lacking), "at most: kept with the fastener, if gone too", fastener, item, None, lacking
            )


def buy_for_bag(tally: Tally, check: BagCheck) -> tuple[Purchase, ...]:
    """Return what the bag lacks, and what is not to be used again."""
    found = [
        Purchase(held.missing, _bag_reason(check, held.fastener), held.fastener, held.item)
        for held in (*check.fasteners, *(check.items or ()))
        if held.missing and held.fastener.renew != "yes"
    ]
    found += [
        Purchase(kind.count, USED_ONCE, kind.fastener, holes=kind.freed)
        for kind in tally.to_renew
        if kind.fastener.renew == "yes"
    ]
    return (*found, *_renewed_rows(tally))


def _bag_reason(check: BagCheck, fastener: Fastener) -> str:
    fitting = _keys(
        one.fastener.key
        for one in check.stand_ins
        if one.freed.fastener is fastener and one.fit.verdict is Verdict.FITS
    )
    return f"missing from the bag; left over and fitting: {fitting}" if fitting else "missing from the bag"


def _keys(keys: Iterable[str]) -> str:
    return ", ".join(f"{count} {key}" for key, count in sorted(Counter(keys).items()))


def _renewed_rows(tally: Tally) -> Iterator[Purchase]:
    """Only for chosen jobs: without one, all torque rows are shown, but nobody opens the whole engine."""
    if tally.work.jobs:
        for one in tally.renewals:
            yield Purchase(
                one.count, "at least: the file does not say how many" if one.at_least else "renew", renewal=one
            )
