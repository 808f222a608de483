"""In which order units leave the bike: the fewest walks around it, then the least climbing down.

In come units as they matter here (`Stop`: side, height, what must leave before), out comes the order as positions.
Knows nothing of screws; apart from `removal` because the search is judged by itself, against all orders that there are.

**The cost of an order**, the first part deciding: (1) how often the side changes from one unit to the next (left, right
and centre are three sides); (2) how far the work climbs down while it stays on a side, in mm, summed over every unit
that is lower than the one before it. Walking around is a new start: the first unit on a side costs no climb. Common
practice, no source.

**Why the search is short.** Taking a unit earlier never costs more where it lies on the way. So who works upwards takes
the lowest unit that is not below the last one; who walks around begins with the lowest one there, and does not walk
while something not below the last one may leave here (put it there, leave it out later: neither part of the cost
grows). That leaves three choices: that unit, climbing down to any that may leave, walking around. They are followed in
layers, a unit a layer; a layer keeps its `WIDTH` most promising states, and where none held more than that the order is
one of the best there are.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

WIDTH = 300  # states that a layer keeps,
LEAST_WIDTH = 20
MOST_WORK = 12_000_000  # or fewer, so that states times units times units is no more: 500 units take no minute

Cost = tuple[int, int]  # changes of side, mm climbed down


@dataclass(frozen=True)
class Stop:
    """One unit: its side, its height in whole mm, the positions of those that must leave before it."""

    side: str
    height: int
    after: frozenset[int] = frozenset()


@dataclass(frozen=True)
class _State:
    """So far: who has left and who may leave next (a bit each, by rank), in which order they left, at which cost."""

    gone: int
    ready: int
    order: tuple[int, ...]
    cost: Cost


def order_stops(stops: Sequence[Stop]) -> tuple[int, ...]:
    """Return the positions of the stops in working order. ValueError where they wait for each other in a circle."""
    return _OrderSearch(stops).best().order


def cost_of(stops: Sequence[Stop], order: Sequence[int]) -> Cost:
    """Return the cost of an order: changes of side, then mm climbed down on a side."""
    cost = (0, 0)
    for last, following in pairwise(order):
        cost = _added(cost, stops[last], stops[following])
    return cost


def _added(cost: Cost, last: Stop, following: Stop) -> Cost:
    if last.side != following.side:
        return cost[0] + 1, cost[1]
    return cost[0], cost[1] + max(0, last.height - following.height)


class _OrderSearch:
    def __init__(self, stops: Sequence[Stop]) -> None:
        self.stops = stops
        self.width = min(WIDTH, max(LEAST_WIDTH, MOST_WORK // max(1, len(stops)) ** 2))
        self.by_rank = sorted(range(len(stops)), key=lambda index: (stops[index].height, index))  # the lowest first
        self.bit = [1 << rank for rank in self._ranks()]
        self.all = (1 << len(stops)) - 1
        self.after = [self._bits(stop.after) for stop in stops]
        self.waiting = [list[int]() for _ in stops]  # for each one, in the order of their positions
        for index, stop in enumerate(stops):
            for other in stop.after:
                self.waiting[other].append(index)
        self.sides = tuple(sorted({stop.side for stop in stops}))
        self.on_side = {side: self._bits(i for i, stop in enumerate(stops) if stop.side == side) for side in self.sides}
        self.free = self._bits(index for index, stop in enumerate(stops) if not stop.after)
        self.changes_behind = self._changes_behind()
        self.still_to_come = {side: self._still_to_come(side) for side in self.sides}

    def _ranks(self) -> list[int]:
        ranks = [0] * len(self.stops)
        for rank, index in enumerate(self.by_rank):
            ranks[index] = rank
        return ranks

    def _bits(self, indices: Iterable[int]) -> int:
        return sum(self.bit[index] for index in indices)

    def _changes_behind(self) -> list[int]:
        """How often the side changes at least from a stop on, along any chain of those that wait for it."""
        least = [0] * len(self.stops)
        for index in reversed(self._any_order()):
            side = self.stops[index].side
            least[index] = max([0, *(least[i] + (self.stops[i].side != side) for i in self.waiting[index])])
        return least

    def _still_to_come(self, here: str) -> list[tuple[int, int]]:
        """Who, seen from a side, has how many changes of side before and behind: (so many, their bits), most first."""
        found = dict[int, int]()
        for index, behind in enumerate(self.changes_behind):
            changes = behind + (self.stops[index].side != here)
            found[changes] = found.get(changes, 0) | self.bit[index]
        return sorted(found.items(), reverse=True)

    def _any_order(self) -> list[int]:
        gone, ready, order = 0, self.free, list[int]()
        while gone != self.all:
            if not ready:
                raise ValueError("these stops wait for each other in a circle")
            now = list(self._indices(ready))
            order += now
            gone |= ready
            ready = 0
            for index in now:
                ready |= self._freed(index, gone)
        return order

    def best(self) -> _State:
        """Follow all choices, a unit at a time."""
        layer = [_State(0, self.free, (), (0, 0))]
        for _ in self.stops:
            layer = self._kept(after for state in layer for after in self._choices(state))
        return min(layer, key=lambda state: (state.cost, state.order))

    def _kept(self, states: Iterator[_State]) -> list[_State]:
        """The most promising states, of those with the same units gone and the same last one the cheapest."""
        cheapest: dict[tuple[int, int], _State] = {}
        for state in states:
            key = state.gone, state.order[-1]
            if key not in cheapest or state.cost < cheapest[key].cost:
                cheapest[key] = state
        promising = sorted(cheapest.values(), key=lambda state: (self._at_least(state), state.order))
        return promising[: self.width]

    def _at_least(self, state: _State) -> Cost:
        """The cost so far and the changes of side that are still to come at least."""
        here = self.stops[state.order[-1]].side
        left = self.all & ~state.gone
        chains = next((changes for changes, bits in self.still_to_come[here] if bits & left), 0)
        sides = sum(1 for side, bits in self.on_side.items() if side != here and bits & left)
        return state.cost[0] + max(chains, sides), state.cost[1]

    def _choices(self, state: _State) -> Iterator[_State]:
        """Go on upwards, climb down, or walk around where nothing is left to take on the way up."""
        above = None
        if state.order:
            last = self.stops[state.order[-1]]
            ready = list(self._ready(last.side, state))
            above = next((index for index in ready if self.stops[index].height >= last.height), None)
            below = [index for index in ready if self.stops[index].height < last.height]
            yield from (self._taken(state, index) for index in (*below, above) if index is not None)
        if above is None:
            yield from self._walks(state)

    def _walks(self, state: _State) -> Iterator[_State]:
        here = self.stops[state.order[-1]].side if state.order else ""
        for side in self.sides:
            lowest = next(self._ready(side, state), None)
            if side != here and lowest is not None:
                yield self._taken(state, lowest)

    def _taken(self, state: _State, index: int) -> _State:
        cost = state.cost
        if state.order:
            cost = _added(cost, self.stops[state.order[-1]], self.stops[index])
        gone = state.gone | self.bit[index]
        ready = state.ready & ~self.bit[index] | self._freed(index, gone)
        return _State(gone, ready, (*state.order, index), cost)

    def _ready(self, side: str, state: _State) -> Iterator[int]:
        """Yield who may leave on a side, from low to high."""
        return self._indices(state.ready & self.on_side[side])

    def _indices(self, bits: int) -> Iterator[int]:
        """Yield whom the bits stand for, from low to high."""
        while bits:
            lowest = bits & -bits
            yield self.by_rank[lowest.bit_length() - 1]
            bits ^= lowest

    def _freed(self, index: int, gone: int) -> int:
        """The bits of those that waited for this one last."""
        return self._bits(other for other in self.waiting[index] if not self.after[other] & ~gone)
