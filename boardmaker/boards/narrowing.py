"""The narrowest windows in which a drawing is still large enough, by looks at a ladder of widths.

In: a search and its candidate, the largest drawing that was found without windows, and an `Aim`, which says what
windows there are and rates what came of them. Out: a candidate that is rated better, at a scale that is no smaller than
what may be given up for it; the same candidate where there is none. Windows are tried at exactly that scale, where it
is soon seen whether they hold everything. The best packing is then improved and grows with what work is left.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from boardmaker.boards.candidate import Candidate
from boardmaker.boards.homes import kept_in, of_a_side, windows_around
from boardmaker.boards.search import BoardSearch
from boardmaker.boards.stack import BoardStack, lowered
from boardmaker.packing import NearFit, largest_scale, nearest_fit
from boardmaker.packing.effort import WORK_OF
from boardmaker.packing.problem import CLOSED, Effort, Enough, HomeWindow, Item, Packing

LOOK: dict[Effort, float] = {"quick": 0.3, "normal": 0.12, "thorough": 0.12}  # of all work, for each look
LOOKS: dict[Effort, float] = {"quick": 1.3, "normal": 0.7, "thorough": 0.7}  # of all work, for all of them
LEAST, HOPED = 0.4, 2.0  # times `unseen`: what will do where little is missing; what is hoped for afterwards. By trial
RISE = 0.006  # of the scale, from one hope to the next
PATIENT = 2  # rungs of the ladder without a fit; then a little less will do:
NOTCH = 0.999  # times the scale at which zones fitted that were made smaller
SEEDS_APART = 10  # from one line of looks to the next
GROWTH = 0.03  # of all work
NOT_YET = 0.85  # share of zones that are large enough: from there the next look may go on
NEARLY, FURTHER_LOOKS = 0.965, 2  # of the scale that is large enough: worth so many more looks before wider windows
CLOSE, CLOSE_LOOKS = 0.95, 3  # of it: worth so many looks around where everything has come to lie, before wider windows
NO_WORSE = 0.02  # of the rating that a drawing may lose while it grows


@dataclass(frozen=True)
class Look:
    """A packing, how good it is (1: as good as can be), and on which rung of the ladder it was found.

    With a `share` below 1 it fits only with all zones so many times as large.
    """

    packing: Packing
    rating: float
    rung: int
    share: float = 1.0

    @property
    def size(self) -> float:
        """About the scale at which it fits."""
        return self.share * self.packing.scale


class Aim(Protocol):
    """What windows are for: a ladder of them from narrow to wide, and what makes one packing better than another.

    `climb` are the rungs to try until one holds everything, the last of them the widest; a rung's number less one is
    narrower. `enough` is the rating that needs no further looks, `near` the share of a board to each side in which
    everything stays while the drawing grows, `aside` the same for looks that begin where one ended that came close (0
    for none), `most` the largest scale to which it may grow, `beginning` a packing for the first look to begin from,
    `unseen` how much more of the scale a whole search may have found than the short one, of which nothing is to be
    given up.
    """

    climb: Sequence[int]
    enough: float
    near: float
    aside: float
    most: float
    unseen: float
    beginning: Packing | None

    def items_at(self, scale: float, rung: int) -> Sequence[Item]:
        """Return the items of a scale with the windows of a rung."""

    def rating_of(self, packing: Packing) -> float:
        """Return how good a packing is."""

    def improved(self, look: Look) -> Packing:
        """Return its packing at the same scale, no worse, by other means than windows."""


@dataclass(frozen=True)
class WantedScales:
    """How large a drawing is asked for, what must do in the end, and what is hoped for where that costs no reading."""

    asked: float
    least: float
    hoped: float


def large_enough(largest: float, given_up: float, unseen: float) -> float:
    """Return the scale at which windows are tried, for a share that may be given up of the largest scale."""
    return largest * min(1.0, (1.0 - given_up) * (1.0 + unseen))


def narrowed(search: BoardSearch, found: Candidate, given_up: float, aim_on: Callable[[BoardStack], Aim]) -> Candidate:
    """Return the best candidate that windows give for this share of the scale; `found` where the case takes none.

    When Ctrl-C comes, the best so far, marked as cut short.
    """
    as_found = search.candidate(found.stack, replace(found.packing, cut_short=True))
    try:
        for candidate in _candidates(search, found, given_up, aim_on):
            if candidate.goes_in():
                return candidate
            if candidate.cut_short:
                return as_found
    except (KeyboardInterrupt, Enough):
        return as_found
    return found


def _candidates(
    search: BoardSearch, found: Candidate, given_up: float, aim_on: Callable[[BoardStack], Aim]
) -> Iterator[Candidate]:
    """On the boards as they were found; at the heights that came of that; with every panel on the board that it was on.

    Other panels on a board are other screws and so other heights. The same on each board take up the same heights.
    """
    aim = aim_on(found.stack)
    wanted = WantedScales(*(large_enough(found.scale, given_up, times * aim.unseen) for times in (1.0, LEAST, HOPED)))
    best = _Narrowing(search, found.stack, aim, wanted, found.packing).best()
    assert best is not None
    candidate = search.candidate(found.stack, best)
    yield candidate
    if (real := candidate.lower_than_taken()) is not None:
        stack = lowered(search.work, search.setup, found.stack, real, to_the_floor=False)
        best = _Narrowing(search, stack, aim_on(stack), wanted, None).best()
        if best is not None:
            yield search.candidate(stack, best)
    aim = _OnItsBoard(aim, found.packing, [*search.figures.panels_at(found.scale).values()])
    best = _Narrowing(search, found.stack, aim, wanted, found.packing).best()
    assert best is not None
    yield search.candidate(found.stack, best)


class _OnItsBoard:
    """Another aim, with some items on the boards where a packing has them."""

    def __init__(self, aim: Aim, packing: Packing, keys: Sequence[str]) -> None:
        self._aim, self._boards = aim, 1 + max(one.region for one in packing.placements)
        self._board = {one.key: one.region for one in packing.placements if one.key in keys}
        self.climb, self.enough, self.near, self.most = aim.climb, aim.enough, aim.near, aim.most
        self.aside, self.unseen = aim.aside, aim.unseen
        self.beginning: Packing | None = packing

    def items_at(self, scale: float, rung: int) -> Sequence[Item]:
        """Return the items with all other boards closed to them."""
        return [self._kept(item) for item in self._aim.items_at(scale, rung)]

    def rating_of(self, packing: Packing) -> float:
        """Return what the other aim says."""
        return self._aim.rating_of(packing)

    def improved(self, look: Look) -> Packing:
        """Return it as it is: what improves it knows of no boards to keep to."""
        return look.packing

    def _kept(self, item: Item) -> Item:
        if item.key not in self._board:
            return item
        own = next((window for window in item.windows if window != CLOSED), HomeWindow())
        here = self._board[item.key]
        return replace(item, windows=tuple(own if one == here else CLOSED for one in range(self._boards)))


class _Narrowing:
    """Looks at windows of several widths on the same boards."""

    def __init__(
        self, search: BoardSearch, stack: BoardStack, aim: Aim, wanted: WantedScales, largest: Packing | None
    ) -> None:
        self._search, self._stack, self._aim = search, stack, aim
        self._lowest, self._least, self._hoped = wanted.asked, wanted.least, wanted.hoped
        self._work = WORK_OF[search.options.effort]
        self._spent = 0.0
        self._best = self._look_of(largest, aim.climb[-1]) if largest is not None else None

    def best(self) -> Packing | None:
        """Return what is rated best; when Ctrl-C comes, the best so far, marked as such."""
        try:
            rung = self._first_that_holds()
            rung = self._narrowed(rung) if rung is not None else None
            if self._best is not None:
                raw = self._best.rating
                self._best = self._improved(self._best)
                if rung is not None:
                    self._look_for_better_ones(rung, raw)
                    self._rise(self._best)
                self._best = self._grown(self._best)
        except (KeyboardInterrupt, Enough):
            if self._best is None:
                raise
            return replace(self._best.packing, cut_short=True)
        return self._best.packing if self._best is not None else None

    def _keep(self, look: Look | None) -> bool:
        """Whether windows hold everything at a scale that is large enough; what is rated best is the best so far."""
        if look is None or not self._holds(look):
            return False
        if self._best is None or look.rating > self._best.rating:
            self._best = look
        return True

    def _holds(self, look: Look) -> bool:
        return look.share == 1.0 and look.packing.scale >= self._lowest

    def _first_that_holds(self) -> int | None:
        """The rung of the first windows that hold everything; each line of looks begins where the one before ended.

        After some rungs a little less is enough, if that is all that is missing: wider windows cost more reading.
        """
        start = self._look_of(self._aim.beginning, self._aim.climb[0]) if self._aim.beginning else None
        near: list[Look] = []
        for tried, rung in enumerate(self._aim.climb, start=1):
            look = self._followed(rung, 0, start)
            near += [look] if look else []
            if not self._keep(look) and tried == PATIENT:
                look = self._content_with(near)
            if look and self._holds(look):
                return look.rung
            start = look or start
        return None

    def _followed(self, rung: int, seed: int, start: Look | None = None) -> Look | None:
        """A line of looks: at the windows of a rung, as long as each comes nearer, and then close to where it ended."""
        last: Look | None = None
        for more in range(FURTHER_LOOKS + 1):
            before, last = last, self._look(rung, seed + more, last or start)
            if last is None or last.share == 1.0:
                return last or before
            if last.size < NEARLY * self._lowest or (before and last.size <= before.size):
                break
        return self._close_to(last) if last else None

    def _close_to(self, look: Look) -> Look:
        """The largest drawing with everything about where a look that came close has it; that look itself for none.

        Windows around homes that are wide enough for the most awkward panel let all others stray; these let nothing.
        """
        if not self._aim.aside or look.size < CLOSE * self._lowest:
            return look
        for seed in range(CLOSE_LOOKS):
            items = self._around(look.packing, self._aim.aside, self._lowest)
            found = self._looked(items, look.rung, seed, look)
            if found is not None and found.share == 1.0:
                return found
            look = found if found and found.size > look.size else look
        return look

    def _content_with(self, near: Sequence[Look]) -> Look | None:
        """What is rated best of all that came so near that a little less is enough; None where nothing did."""
        nearly = [one for one in near if one.size * NOTCH >= self._least]
        best = max(nearly, key=lambda one: one.rating, default=None)
        if best is None:
            return None
        self._lowest = best.size * NOTCH
        look = self._close_to(best)
        self._keep(look)
        return look

    def _around(self, packing: Packing, near: float, scale: float) -> Sequence[Item]:
        """Items of a scale with windows around where a packing has them, a share of their board to each side."""
        figures = self._search.figures
        items, panels = figures.items_at(packing.scale), figures.panels_at(packing.scale)
        halves = of_a_side(self._search.work, panels)
        stays = windows_around(items, packing.placements, self._stack.stocks, near, halves)
        return kept_in(figures.items_at(scale), stays)

    def _rise(self, look: Look) -> None:
        """Larger drawings with everything about where it is, as long as they read well enough."""
        while self._lowest < self._hoped and look.rating >= self._aim.enough and self._has_work_left():
            self._lowest = min(self._hoped, look.packing.scale * (1.0 + RISE))
            higher = self._close_to(look)
            if not self._holds(higher) or higher.rating < self._aim.enough:
                break
            self._best = look = higher

    def _narrowed(self, rung: int) -> int:
        """Narrower windows as long as they hold everything; the rung of the narrowest that did."""
        while rung > 0 and not self._is_good() and self._has_work_left():
            assert self._best is not None
            if not self._keep(self._look(rung - 1, 1, self._best)):
                break
            rung -= 1
        return rung

    def _look_for_better_ones(self, rung: int, raw: float) -> None:
        """Other lines of looks from nothing at these windows; what comes out rated above `raw` is improved too."""
        seed = SEEDS_APART
        while not self._is_good() and self._has_work_left():
            look = self._followed(rung, seed)
            if look is not None and self._holds(look) and look.rating > raw:
                raw = look.rating
                self._keep(self._improved(look))
            seed += SEEDS_APART

    def _improved(self, look: Look) -> Look:
        packing = self._aim.improved(look)
        if packing.cut_short:
            self._keep(self._look_of(packing, look.rung))
            raise Enough
        return self._look_of(packing, look.rung)

    def _is_good(self) -> bool:
        return self._best is not None and self._best.rating >= self._aim.enough

    def _has_work_left(self) -> bool:
        return self._spent < LOOKS[self._search.options.effort] * self._work

    def _look_of(self, packing: Packing, rung: int) -> Look:
        return Look(packing, self._aim.rating_of(packing), rung)

    def _grown(self, look: Look) -> Look:
        """Return it as large as it becomes with everything near where it is."""
        search, packing = self._search, look.packing
        if search.options.scale != "auto" or packing.scale >= self._aim.most:
            return look
        found = largest_scale(
            lambda scale: self._around(packing, self._aim.near, scale),
            self._stack.regions,
            clearance=search.clearance,
            lowest=packing.scale,
            highest=self._aim.most,
            effort=GROWTH * self._work,
            seed=search.options.seed,
            report=search.reporting("arranging"),
            start=packing,
        )
        grown = self._look_of(found, look.rung) if found else look
        return grown if grown.rating >= look.rating - NO_WORSE else look

    def _look(self, rung: int, seed: int, start: Look | None = None) -> Look | None:
        """How near these windows come to hold everything at the scale that is large enough."""
        return self._looked(self._aim.items_at(self._lowest, rung), rung, seed, start)

    def _looked(self, items: Sequence[Item], rung: int, seed: int, start: Look | None) -> Look | None:
        search, work = self._search, LOOK[self._search.options.effort] * self._work
        found = nearest_fit(
            items,
            self._stack.regions,
            clearance=search.clearance,
            least=NOT_YET,
            effort=work,
            seed=search.options.seed + seed,
            report=search.reporting("arranging"),
            start=NearFit(start.size / self._lowest, start.packing.placements) if start else None,
        )
        self._spent += work / 2 if found and found.fits else work  # what finds something is done early
        if found is None:
            return None
        packing = Packing(self._lowest, found.placements)
        return Look(packing, self._aim.rating_of(packing), rung, found.share)
