"""The fewest pages for a picture that is too large for one: strips of pages, each strip cut where it cuts least.

In: which cells of a grid have ink, and the shapes that a page can take. Out: strips from one side of the picture to the
other and the pages along each. Every strip may use the page upright or lying, wherever that saves a page; blank parts
take no page. Two strips, and two pages of a strip, share `GLUE` mm, which the page on the low side shows as well.

This is a two-stage guillotine division, and of those the best: dynamic programming over the places of the grid finds
the fewest pages first and among these the seams that cut least. Knows nothing of boards.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

GLUE = 6.0  # mm of its neighbour that a page shows
HAIR = 1e-6  # mm, for sums of lengths
_THIN, _SLIVER = 60.0, 0.5  # cost of each mm that a page is narrower
_EVEN = 1e-9  # cost of a square millimetre: among seams that cut alike, those that divide evenly


@dataclass(frozen=True)
class PageShape:
    """How a page lies in a strip: its size along the strip and across it (mm), and its turn."""

    along: float
    across: float
    turn: int


@dataclass(frozen=True)
class PageStrip:
    """From place to place across the strips (numbers of grid lines), and the pages along it likewise."""

    low: int
    high: int
    shape: PageShape
    parts: tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class Division:
    """All strips, low to high; how many pages they take, and how many are needed from each place across to the end."""

    strips: tuple[PageStrip, ...]
    pages: int
    to_go: tuple[int, ...]


class Grid:
    """Cells with ink between places across the strips (first axis of `ink`) and places along them, mm."""

    def __init__(self, ink: np.ndarray, across: np.ndarray, along: np.ndarray) -> None:
        self.across, self.along = across, along
        self._reach: dict[float, list[int]] = {}
        self._below = np.vstack([np.zeros((1, ink.shape[1]), dtype=np.int32), np.cumsum(ink, axis=0, dtype=np.int32)])

    def inked(self, low: int, high: int) -> np.ndarray:
        """Return which cells along a strip have ink."""
        inked: np.ndarray = self._below[high] > self._below[low]
        return inked

    def inked_to(self, low: int, highs: np.ndarray) -> np.ndarray:
        """Return the same for strips from one place to several, a row each."""
        inked: np.ndarray = self._below[highs] > self._below[low]
        return inked

    def pages(self, low: int, high: int, length: float) -> list[tuple[int, int]]:
        """Return the fewest pages of a length that show all ink of a strip: each as far as it reaches."""
        inked = self.inked(low, high)
        cells = np.flatnonzero(inked)
        parts: list[tuple[int, int]] = []
        start = int(cells[0]) if len(cells) else 0
        last = int(cells[-1]) + 1 if len(cells) else 0
        near, far = self._reached(length - GLUE), self._reached(length)
        while start < last:
            end = last if far[start] >= last else _end(inked, near[start], far[start])
            parts.append((start, end))
            start = (end if inked[end] else int(cells[np.searchsorted(cells, end)])) if end < last else last
        return parts

    def _reached(self, length: float) -> list[int]:
        """How far a page of this length from each place along goes."""
        if length not in self._reach:
            self._reach[length] = (np.searchsorted(self.along, self.along + length + HAIR, "right") - 1).tolist()
        return self._reach[length]


def _end(inked: np.ndarray, near: int, far: int) -> int:
    """How far a page's own part goes: to a blank place that it reaches, else as far as leaves room for glue."""
    beyond = inked[near : far + 1]
    return near if beyond.all() else near + int(np.flatnonzero(~beyond)[-1])


@dataclass(frozen=True)
class _Choice:
    """From one place, a strip may end at any place from `first` to `last` and then takes so many pages."""

    first: int
    last: int
    pages: int
    shape: PageShape


def divide(grid: Grid, shapes: Sequence[PageShape], costs: np.ndarray) -> Division:
    """Return the division into strips with the fewest pages; `costs`: what a seam at each place across cuts."""
    choices = [[one for shape in shapes for one in _choices(grid, low, shape)] for low in range(len(grid.across) - 1)]
    search = _DivisionSearch(grid.across, choices, costs)
    strips = tuple(
        PageStrip(low, high, shape, tuple(grid.pages(low, high, shape.along))) for low, high, shape in search.cheapest()
    )
    return Division(strips, search.pages, tuple(search.to_go))


def _choices(grid: Grid, low: int, shape: PageShape) -> Iterator[_Choice]:
    """What a strip of this shape from one place may be: the further it goes, the more pages it may take."""
    places, end = grid.across, len(grid.across) - 1
    whole = places[end] - places[low] <= shape.across + HAIR  # the last strip needs no room for glue

    def pages(high: int) -> int:
        return len(grid.pages(low, high, shape.along))

    first = low + 1
    reach = min(end - 1, int(np.searchsorted(places, places[low] + shape.across - GLUE + HAIR, "right")) - 1)
    while first <= reach:
        count = pages(first)
        last = first - 1 + bisect_right(range(first, reach + 1), count, key=pages)
        yield _Choice(first, last, count, shape)
        first = last + 1
    if whole:
        yield _Choice(end, end, pages(end), shape)


class _DivisionSearch:
    """The fewest pages from the low side to the high one, and the cheapest way to use no more."""

    def __init__(self, places: np.ndarray, choices: Sequence[Sequence[_Choice]], costs: np.ndarray) -> None:
        self._places, self._choices = places, choices
        self._costs = costs.copy()
        self._costs[-1] = 0.0  # the picture's edge is no seam
        self.to_go = self._pages_to_go()
        self.pages = self.to_go[0]

    def _pages_to_go(self) -> list[int]:
        """The fewest pages from each place to the end; a strip that goes further leaves no more to do."""
        to_go = [0] * len(self._places)
        for low in range(len(self._choices) - 1, -1, -1):
            to_go[low] = min(one.pages + to_go[one.last] for one in self._choices[low])
        return to_go

    def cheapest(self) -> list[tuple[int, int, PageShape]]:
        """Low and high place and shape of each strip. Costs are kept by pages used and place reached."""
        least = np.full((self.pages + 1, len(self._places)), np.inf)
        least[0, 0] = 0.0
        came: dict[tuple[int, int], tuple[int, int, PageShape]] = {}
        for low, choices in enumerate(self._choices):
            for used in np.flatnonzero(np.isfinite(least[:, low])).tolist():
                for one in choices:
                    if used + one.pages + self.to_go[one.last] <= self.pages:
                        self._extend(least, came, low, used, one)
        return self._walk_back(came, int(least[:, -1].argmin()))

    def _extend(
        self,
        least: np.ndarray,
        came: dict[tuple[int, int], tuple[int, int, PageShape]],
        low: int,
        used: int,
        choice: _Choice,
    ) -> None:
        """Try a strip from a place that was reached to all the places where this choice may end."""
        ends = slice(choice.first, choice.last + 1)
        even = _EVEN * (self._places[ends] - self._places[low]) ** 2
        costs = least[used, low] + self._costs[ends] + even
        row = least[used + choice.pages]
        for high in (choice.first + np.flatnonzero(costs < row[ends])).tolist():
            row[high] = costs[high - choice.first]
            came[used + choice.pages, high] = (used, low, choice.shape)

    def _walk_back(
        self, came: dict[tuple[int, int], tuple[int, int, PageShape]], used: int
    ) -> list[tuple[int, int, PageShape]]:
        strips, high = [], len(self._places) - 1
        while high:
            used, low, shape = came[used, high]
            strips.append((low, high, shape))
            high = low
        return strips[::-1]


def cheapest_parts(
    places: np.ndarray, inked: np.ndarray, costs: np.ndarray, count: int, length: float
) -> tuple[tuple[tuple[int, int], ...], float]:
    """Return `count` pages of a strip, from place to place by number, that show all ink, and what their seams cut.

    A page is at most `length` long, less the glue where ink goes on at its end; between two pages may lie a blank. So
    many pages must be enough. `inked` is by cell, `costs` by place.
    """
    following = _next_ink(inked)
    price = _page_prices(places, inked, costs, length)
    least = np.full(len(places), np.inf)
    least[following[0]] = 0.0
    came: list[np.ndarray] = []
    for _ in range(count):
        totals = least[:, None] + price
        starts = totals.argmin(axis=0)
        costs_of_ends = totals[starts, np.arange(len(places))]
        order = np.argsort(-costs_of_ends, kind="stable")  # of several ends that lead to one place, the last wins
        least, sources = np.full(len(places), np.inf), np.zeros((len(places), 2), dtype=int)
        least[following[order]] = costs_of_ends[order]
        sources[following[order], 0], sources[following[order], 1] = starts[order], order
        came.append(sources)
    return _walk_back(came, len(places) - 1), float(least[-1])


def _page_prices(places: np.ndarray, inked: np.ndarray, costs: np.ndarray, length: float) -> np.ndarray:
    """What a page from each place (row) to each other costs: infinite where it is too long, or leaves no room for glue.

    An end before a blank, or at the edge, needs no glue and cuts nothing. A sliver costs something too.
    """
    blank = np.append(~inked, True)
    span = places[None, :] - places[:, None]
    allowed = (span > 0.0) & (span <= np.where(blank, length, length - GLUE)[None, :] + HAIR)
    shape = _EVEN * span**2 + _SLIVER * np.maximum(0.0, _THIN - span)
    prices: np.ndarray = np.where(allowed, np.where(blank, 0.0, costs)[None, :] + shape, np.inf)
    return prices


def _walk_back(came: Sequence[np.ndarray], at: int) -> tuple[tuple[int, int], ...]:
    parts: list[tuple[int, int]] = []
    for sources in reversed(came):
        start, end = sources[at].tolist()
        parts.append((start, end))
        at = start
    return tuple(reversed(parts))


def _next_ink(inked: np.ndarray) -> np.ndarray:
    """For every place the first one from there on where ink begins; the last place where none does."""
    following = np.full(len(inked) + 1, len(inked))
    for place in range(len(inked) - 1, -1, -1):
        following[place] = place if inked[place] else following[place + 1]
    return following
