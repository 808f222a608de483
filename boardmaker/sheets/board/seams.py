"""Strips of pages whose seams cut least, those between strips and those within them looked for together.

In: a grid, the shapes of a page, what seams cut. Out: the cheapest strips for each number of pages from the fewest on.
Apart from `division`, which finds the fewest pages at every place of the grid; here strips begin and end at every few
millimetres, and all ways to end a strip that begins at one place are worked out at once, as arrays.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from boardmaker.sheets.board.division import GLUE, HAIR, Division, Grid, PageShape, cheapest_parts
from boardmaker.sheets.board.obstacles import Obstacles

NUDGE = 4  # places by which a seam is moved in the end
MORE_PAGES = 2  # than the fewest that are looked at
MOST_STARTS, MOST_ENDS = 120, 260  # places across and along; of a larger grid every few only


@dataclass(frozen=True)
class StripCosts:
    """What seams cut between strips and within them; `axis` is that across the strips."""

    obstacles: Obstacles
    axis: int

    def between(self, places: np.ndarray) -> np.ndarray:
        """Return what a seam between two strips cuts at each place across."""
        return self.obstacles.costs(self.axis, places)

    def within(self, places: np.ndarray, low: float, highs: np.ndarray) -> np.ndarray:
        """Return what a seam at each place along cuts, in strips from one place across to several, a row each."""
        return self.obstacles.costs_to(1 - self.axis, places, low, highs)


@dataclass(frozen=True)
class StripChoice:
    """A strip from place to place across (numbers of grid lines), its pages' shape and how many it has."""

    low: int
    high: int
    shape: PageShape
    pages: int


def cheapest_strips(
    grid: Grid, division: Division, shapes: Sequence[PageShape], costs: StripCosts, most: int
) -> Iterator[tuple[StripChoice, ...]]:
    """Yield the strips that cut least, for each number of pages from the division's to the most."""
    search = _SeamSearch(grid, division, shapes, costs, most)
    for used in range(division.pages, most + 1):
        if strips := search.cheapest(used):
            yield strips


def nudged_strips(grid: Grid, strips: Sequence[StripChoice], costs: StripCosts) -> tuple[StripChoice, ...]:
    """Return the strips with the seams between them moved by a few places to where all seams together cut least.

    One seam after the other, each with both of its strips; as many pages as before.
    """
    between = costs.between(grid.across)
    found = list(strips)
    for index, other in enumerate(strips[1:]):
        one, last = found[index], index + 2 == len(strips)
        places = range(max(one.low + 1, one.high - NUDGE), min(other.high - 1, one.high + NUDGE) + 1)
        pairs = [(replace(one, high=place), replace(other, low=place)) for place in places]

        def price(pair: tuple[StripChoice, StripChoice], seam: int = one.high, last: bool = last) -> tuple[float, int]:
            place = pair[0].high
            total = _least_within(grid, pair[0], costs, last=False) + _least_within(grid, pair[1], costs, last)
            return round(float(between[place]) + total, 6), abs(place - seam)

        found[index], found[index + 1] = min(pairs, key=price)
    return tuple(found)


def _least_within(grid: Grid, strip: StripChoice, costs: StripCosts, last: bool) -> float:
    """What the seams within a strip cut at least; infinite where it is too wide or its pages are not enough."""
    low, high = float(grid.across[strip.low]), float(grid.across[strip.high])
    room = strip.shape.across - (0.0 if last else GLUE)
    if high - low > room + HAIR or len(grid.pages(strip.low, strip.high, strip.shape.along)) > strip.pages:
        return float("inf")
    if not strip.pages:
        return 0.0
    within = costs.obstacles.costs(1 - costs.axis, grid.along, (low, high))
    inked = grid.inked(strip.low, strip.high)
    return cheapest_parts(grid.along, inked, within, strip.pages, strip.shape.along)[1]


class _SeamSearch:
    """What the cheapest strips up to each place cost, by how many pages they take."""

    def __init__(
        self, grid: Grid, division: Division, shapes: Sequence[PageShape], costs: StripCosts, most: int
    ) -> None:
        self._grid, self._costs = grid, costs
        self._places, self._along = _some(grid.across, MOST_STARTS), _some(grid.along, MOST_ENDS)
        self._to_go = np.array(division.to_go)[self._places]
        self._seams = costs.between(grid.across[self._places])
        self._seams[-1] = 0.0  # the picture's edge is no seam
        self._least = np.full((most + 1, len(self._places)), np.inf)
        self._least[0, 0] = 0.0
        self._came: dict[tuple[int, int], tuple[int, int, StripChoice]] = {}
        along = grid.along[self._along]
        self._reach = {shape: (_Reach(along, shape.along - GLUE), _Reach(along, shape.along)) for shape in shapes}
        for low in range(len(self._places) - 1):
            if np.isfinite(self._least[:, low]).any():
                for shape in shapes:
                    self._go_on(low, shape)

    def _go_on(self, low: int, shape: PageShape) -> None:
        """Try all strips of a shape from a place that was reached."""
        reached = np.flatnonzero(np.isfinite(self._least[:, low])).tolist()
        highs = self._ends(low, shape)
        left = len(self._least) - 1 - reached[0]
        highs = highs[self._to_go[highs] <= left]
        if not len(highs):
            return
        start, ends = int(self._places[low]), self._places[highs]
        inked = np.logical_or.reduceat(self._grid.inked_to(start, ends), self._along[:-1], axis=1)
        along, across = self._grid.along[self._along], self._grid.across
        within = self._costs.within(along, float(across[start]), across[ends])
        most = left - int(self._to_go[highs].min())
        for pages, costs in enumerate(_costs_by_pages(inked, within, *self._reach[shape], most)):
            for used in reached:
                self._extend(used, low, highs, costs + self._seams[highs], shape, pages)

    def _ends(self, low: int, shape: PageShape) -> np.ndarray:
        reach = self._grid.across[self._places] - self._grid.across[self._places[low]]
        near = np.flatnonzero((reach > 0) & (reach <= shape.across - GLUE + HAIR))
        last = len(self._places) - 1
        whole = reach[last] <= shape.across + HAIR and (not len(near) or near[-1] < last)
        return np.append(near, last) if whole else near

    def _extend(self, used: int, low: int, highs: np.ndarray, costs: np.ndarray, shape: PageShape, pages: int) -> None:
        """Keep what is cheaper than what is known with as many pages, and can still be ended."""
        if used + pages >= len(self._least):
            return
        totals, row = self._least[used, low] + costs, self._least[used + pages]
        better = (totals < row[highs]) & (used + pages + self._to_go[highs] < len(self._least))
        for index in np.flatnonzero(better).tolist():
            high = int(highs[index])
            row[high] = totals[index]
            strip = StripChoice(int(self._places[low]), int(self._places[high]), shape, pages)
            self._came[used + pages, high] = (used, low, strip)

    def cheapest(self, used: int) -> tuple[StripChoice, ...]:
        """Return the cheapest strips of exactly so many pages; none where there is no such division."""
        at = len(self._places) - 1
        if not np.isfinite(self._least[used, at]):
            return ()
        strips: list[StripChoice] = []
        while at:
            used, at, strip = self._came[used, at]
            strips.append(strip)
        return tuple(reversed(strips))


def _some(places: np.ndarray, most: int) -> np.ndarray:
    """Numbers of grid lines, evenly spread, with those off the whole steps, where pages end that are laid close."""
    odd = np.flatnonzero(np.abs(places - np.round(places)) > HAIR)
    every = -(-(len(places) - len(odd)) // most)
    return np.unique(np.concatenate([np.arange(0, len(places) - 1, every), odd, [len(places) - 1]]))


def _costs_by_pages(inked: np.ndarray, costs: np.ndarray, near: _Reach, far: _Reach, most: int) -> Iterator[np.ndarray]:
    """Yield for 0, 1, 2 … pages what the seams of a strip cut at least; infinite where so many are not enough.

    Rows of `inked` (by cell) and `costs` (by place) are strips; a page reaches `near` where ink goes on, `far` where
    none does. Ends when all have had some pages more than they need.
    """
    blank = ~np.ascontiguousarray(inked.T)  # from here on a row is a place: rows are picked faster than columns
    blank_after = np.append(blank, np.ones((1, len(inked)), dtype=bool), axis=0)
    seams = np.where(blank_after, 0.0, costs.T)  # an end before a blank, or at the edge, cuts nothing
    least = np.full(seams.shape, np.inf)
    least[0] = 0.0
    enough = 0
    for _ in range(most + 1):
        _cross_blanks(least, blank)
        yield least[-1].copy()
        enough += bool(np.isfinite(least[-1]).all())
        if enough > MORE_PAGES:
            return
        tables = _run_minima(least)
        least = np.where(blank_after, far.least(tables), near.least(tables)) + seams


def _cross_blanks(least: np.ndarray, blank: np.ndarray) -> None:
    """A page may begin behind a blank at no cost: carry what was reached over every run of blank cells."""
    step, run = 1, blank
    while run.any():
        np.minimum(least[step:], np.where(run, least[:-step], np.inf), out=least[step:])
        run = run[:-step] & run[step:] if len(run) > step else run[:0]
        step *= 2


class _Reach:
    """Which places lie before each place by no more than a length (mm), for the least over all of them."""

    def __init__(self, places: np.ndarray, length: float) -> None:
        ends = np.arange(len(places))
        first = np.searchsorted(places, places - length - HAIR)
        levels = np.frexp(np.maximum(ends - first, 1))[1] - 1
        self._at: list[tuple[int, np.ndarray, np.ndarray]] = []
        for level in range(int(levels.max()) + 1):
            here = np.flatnonzero((levels == level) & (ends > first))
            self._at.append((level, here, first[here]))

    def least(self, tables: Sequence[np.ndarray]) -> np.ndarray:
        """Return the least for each place, of the minima of runs of 1, 2, 4 … places, a row each."""
        found = np.full(tables[0].shape, np.inf)
        for level, here, first in self._at:
            found[here] = np.minimum(tables[level][first], tables[level][here - 2**level])
        return found


def _run_minima(least: np.ndarray) -> list[np.ndarray]:
    """The least of every run of 1, 2, 4 … places."""
    tables = [least]
    while 2 ** len(tables) < len(least):
        last, step = tables[-1], 2 ** (len(tables) - 1)
        tables.append(np.minimum(last[:-step], last[step:]))
    return tables
