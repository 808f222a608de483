"""A bag held against the tally: what is missing, what is left over, what could stand in for what.

In: `Tally`, `Bag`. Out: `BagCheck`. Left-over fasteners are given to holes that lack theirs so that the most holes are
filled: a largest flow from left-over kinds through holes to missing kinds (Ford and Fulkerson 1956; scipy's
`maximum_flow`). Each hole takes one, each left-over kind gives what there is of it, each missing kind asks for no more
than it lacks: which of its holes go without the proper screw is free. First by what fits, then, with what is still
left, by what is doubtful, then by what cannot be judged; what must not go in is never proposed, and where something is
behind the hole only what fits.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_array
from scipy.sparse.csgraph import maximum_flow

from boardmaker.model import Bag, Fastener
from boardmaker.service.counting.tally import Kind, Tally
from boardmaker.service.fit.suitability import judge_fit
from boardmaker.service.fit.verdict import Fit, Verdict
from boardmaker.service.removal.work import Freed

PROPOSED = (Verdict.FITS, Verdict.DOUBTFUL, Verdict.CANNOT_SAY)  # in this order


@dataclass(frozen=True)
class Held:
    """One kind held against the bag: `item` is "" for the fastener, else what is kept with it."""

    fastener: Fastener
    item: str
    needed: int
    in_bag: int

    @property
    def missing(self) -> int:
        """How many the bag lacks."""
        return max(0, self.needed - self.in_bag)

    @property
    def over(self) -> int:
        """How many the bag has too many."""
        return max(0, self.in_bag - self.needed)


@dataclass(frozen=True)
class StandIn:
    """A left-over fastener that could go into a hole that lacks its own; `fit` is never a must-not."""

    fastener: Fastener
    freed: Freed
    fit: Fit


@dataclass(frozen=True)
class BagCheck:
    """The result: kinds in the order of the bike file, stand-ins in the order fits, doubtful, cannot say.

    `items` is None where the list counts no washers and the like.
    """

    fasteners: tuple[Held, ...]
    items: tuple[Held, ...] | None
    stand_ins: tuple[StandIn, ...]

    def open_after(self, held: Held) -> int:
        """Return how many of a missing kind no left-over one can stand in for in any way."""
        return held.missing - sum(one.freed.fastener.key == held.fastener.key for one in self.stand_ins)


def check_bag(tally: Tally, bag: Bag) -> BagCheck:
    """Hold a bag against the tally."""
    kinds = {kind.fastener.key: kind for kind in tally.kinds}
    held = tuple(
        Held(fastener, "", kinds[fastener.key].count if fastener.key in kinds else 0, bag.count_of(fastener.key))
        for fastener in tally.work.bike.fasteners
        if fastener.key in kinds or bag.count_of(fastener.key)
    )
    return BagCheck(held, _items(tally, kinds, bag) if bag.counts_items else None, _stand_ins(kinds, held))


def _items(tally: Tally, kinds: Mapping[str, Kind], bag: Bag) -> tuple[Held, ...]:
    needed = {(one.fastener.key, one.item): one.count for kind in kinds.values() for one in kind.companions}
    return tuple(
        Held(fastener, item, needed.get((fastener.key, item), 0), bag.count_of(fastener.key, item))
        for fastener in tally.work.bike.fasteners
        for item in dict.fromkeys(fastener.with_it)
        if (fastener.key, item) in needed or bag.count_of(fastener.key, item)
    )


def _stand_ins(kinds: Mapping[str, Kind], held: Sequence[Held]) -> tuple[StandIn, ...]:
    left = Counter({one.fastener.key: one.over for one in held if one.over})
    lacking = Counter({one.fastener.key: one.missing for one in held if one.missing})
    fasteners = {one.fastener.key: one.fastener for one in held}
    holes = [freed for key in lacking for freed in kinds[key].freed]
    possible = [
        StandIn(fasteners[key], freed, fit)
        for key in left
        for freed in holes
        for fit in [judge_fit(fasteners[key], freed.hole, freed.fastener)]
        if fit.verdict is Verdict.FITS or not freed.hole.behind
    ]
    chosen: list[StandIn] = []
    for verdict in PROPOSED:
        filled = {one.freed.hole_key for one in chosen}
        open_ = [one for one in possible if one.fit.verdict is verdict and one.freed.hole_key not in filled]
        found = most_filled(open_, left, lacking)
        left -= Counter(one.fastener.key for one in found)
        lacking -= Counter(one.freed.fastener.key for one in found)
        chosen += found
    return tuple(chosen)


def most_filled(possible: Sequence[StandIn], left: Mapping[str, int], lacking: Mapping[str, int]) -> list[StandIn]:
    """Return a largest choice: each hole once, each kind given and each kind lacking no oftener than so many."""
    possible = [one for one in possible if left[one.fastener.key] and lacking[one.freed.fastener.key]]
    if not possible:
        return []
    nodes = _Nodes()
    edges: dict[tuple[int, int], int] = {}
    for one in possible:
        given, hole = nodes["left", one.fastener.key], nodes["hole", one.freed.hole_key]
        missing = nodes["lacking", one.freed.fastener.key]
        edges[nodes["start", ""], given] = min(left[one.fastener.key], len(possible))
        edges[given, hole] = edges[hole, missing] = 1
        edges[missing, nodes["end", ""]] = lacking[one.freed.fastener.key]
    (rows, columns), size = zip(*edges, strict=True), len(nodes)
    capacity = csr_array((np.array([*edges.values()], dtype=np.int32), (rows, columns)), shape=(size, size))
    flow = maximum_flow(capacity, nodes["start", ""], nodes["end", ""]).flow
    return [
        one for one in possible if flow[nodes["left", one.fastener.key], nodes["hole", one.freed.hole_key]] > 0
    ]  # fmt: skip


class _Nodes(dict[tuple[str, str], int]):
    """Numbers for names, given out as they are asked for."""

    def __missing__(self, name: tuple[str, str]) -> int:
        self[name] = len(self)
        return self[name]
