"""The narrowest windows in which a drawing is still large enough, by looks at a ladder of widths.

In: a search and its candidate, the largest drawing that was found without windows, and an `Aim`, which says what
windows there are and rates what came of them. Out: a candidate that is rated better, at a scale that is no smaller than
what may be given up for it; the same candidate where there is none. Windows are tried at exactly that scale, where it
is soon seen whether they hold everything. The best packing is then improved and grows with what work is left.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from boardmaker.boards.candidate import Candidate
from boardmaker.boards.homes import kept_in, of_a_side, windows_around
from boardmaker.boards.search import BoardSearch
from boardmaker.boards.stack import BoardStack, lowered
from boardmaker.packing import largest_scale
from boardmaker.packing.effort import WORK_OF
from boardmaker.packing.problem import CLOSED, Effort, Enough, HomeWindow, Item, ItemsAt, Packing

LOOK: dict[Effort, float] = {"quick": 0.2, "normal": 0.05, "thorough": 0.05}  # of all work, for each look
LOOKS: dict[Effort, float] = {"quick": 0.9, "normal": 0.3, "thorough": 0.3}  # of all work, for all of them
SECOND_SEED = 10  # of the looks from nothing, when less is asked for
PATIENCE = 0.25  # of all work: when so much found nothing that is large enough, less is asked for:
LEAST_UNSEEN = 0.7  # of `unseen`; a first search that had left much unseen would have left room here. By trial
GROWTH = 0.03  # of all work
NOT_YET = 0.85  # of the scale that is large enough: from there the next look may go on
NEARLY, FURTHER_LOOKS = 0.965, 2  # of the scale that is large enough: worth so many more looks before wider windows
CLOSE, CLOSE_LOOKS = 0.95, 3  # of it: worth so many looks around where everything has come to lie, before wider windows
NO_WORSE = 0.02  # of the rating that a drawing may lose while it grows


@dataclass(frozen=True)
class Look:
    """A packing, how good it is (1: as good as can be), and on which rung of the ladder it was found."""

    packing: Packing
    rating: float
    rung: int


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
    """How large a drawing is asked for, and with how large a one a search that finds none may be content."""

    asked: float
    floor: float


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
    asked, floor = (large_enough(found.scale, given_up, share * aim.unseen) for share in (1.0, LEAST_UNSEEN))
    wanted = WantedScales(asked, floor)
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
        self._lowest, self._floor = wanted.asked, wanted.floor
        self._seen: list[Look] = []
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
                self._best = self._grown(self._best)
        except (KeyboardInterrupt, Enough):
            if self._best is None:
                raise
            return replace(self._best.packing, cut_short=True)
        return self._best.packing if self._best is not None else None

    def _keep(self, look: Look | None) -> bool:
        """Whether windows hold everything at a scale that is large enough; what is rated best is the best so far."""
        if look is None or look.packing.scale < self._lowest:
            return False
        if self._best is None or look.rating > self._best.rating:
            self._best = look
        return True

    def _first_that_holds(self) -> int | None:
        """Up the ladder to the first windows that hold everything, and once more where that took too much work.

        The second time less is asked for, if there is less: first of the best that was seen, then from nothing.
        """
        rung = self._up_the_ladder(0, PATIENCE * self._work if self._lowest > self._floor else math.inf)
        if rung is not None or self._lowest == self._floor:
            return rung
        self._lowest = self._floor
        close = [one for one in self._seen if one.packing.scale >= CLOSE * self._lowest]
        best = max(close, key=lambda one: one.rating, default=None)
        if best is not None and self._keep(self._close_to(best)):
            return best.rung
        return self._up_the_ladder(SECOND_SEED, math.inf)

    def _up_the_ladder(self, seed: int, work: float) -> int | None:
        """The rung of the first windows that hold everything; each look begins where the one before it ended."""
        start = self._aim.beginning
        for rung in self._aim.climb:
            if self._spent >= work:
                break
            before = 0.0
            for more in range(FURTHER_LOOKS + 1):
                look = self._look(rung, seed + more, start)
                if self._keep(look):
                    return rung
                if look is None:
                    break
                start, near = look.packing, look.packing.scale / self._lowest
                if near < NEARLY or near <= before:
                    break
                before = near
            if look is not None and (held := self._close_to(look)) is not None:
                start = held.packing
                if self._keep(held):
                    return rung
        return None

    def _close_to(self, look: Look) -> Look | None:
        """The largest drawing with everything about where a look that came close has it; None for none that is larger.

        Windows around homes that are wide enough for the most awkward panel let all others stray; these let nothing.
        """
        best = look
        if not self._aim.aside or look.packing.scale < CLOSE * self._lowest:
            return None
        for seed in range(CLOSE_LOOKS):
            found = self._looked(self._around(best.packing, self._aim.aside), look.rung, seed, best.packing)
            if found is not None and found.packing.scale >= self._lowest:
                return found
            best = found if found and found.packing.scale > best.packing.scale else best
        return best if best is not look else None

    def _around(self, packing: Packing, near: float) -> ItemsAt:
        """Items with windows around where a packing has them, a share of their board to each side."""
        figures = self._search.figures
        items, panels = figures.items_at(packing.scale), figures.panels_at(packing.scale)
        halves = of_a_side(self._search.work, panels)
        stays = windows_around(items, packing.placements, self._stack.stocks, near, halves)
        return lambda scale: kept_in(figures.items_at(scale), stays)

    def _narrowed(self, rung: int) -> int:
        """Narrower windows as long as they hold everything; the rung of the narrowest that did."""
        while rung > 0 and not self._is_good() and self._has_work_left():
            assert self._best is not None
            if not self._keep(self._look(rung - 1, 1, self._best.packing)):
                break
            rung -= 1
        return rung

    def _look_for_better_ones(self, rung: int, raw: float) -> None:
        """Other looks from nothing at these windows; what comes out rated above `raw` is improved too."""
        seed = 2
        while not self._is_good() and self._has_work_left():
            look = self._look(rung, seed)
            if look is not None and look.packing.scale >= self._lowest and look.rating > raw:
                raw = look.rating
                self._keep(self._improved(look))
            seed += 1

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
        if self._search.options.scale != "auto" or look.packing.scale >= self._aim.most:
            return look
        around = self._around(look.packing, self._aim.near)
        packing = self._packed(around, look.packing.scale, self._aim.most, GROWTH * self._work, 0, look.packing)
        grown = self._look_of(packing, look.rung) if packing else look
        return grown if grown.rating >= look.rating - NO_WORSE else look

    def _look(self, rung: int, seed: int, start: Packing | None = None) -> Look | None:
        """The largest drawing in such windows, up to the one that is large enough."""
        return self._looked(lambda scale: self._aim.items_at(scale, rung), rung, seed, start)

    def _looked(self, items_at: ItemsAt, rung: int, seed: int, start: Packing | None) -> Look | None:
        work = LOOK[self._search.options.effort] * self._work
        least = self._lowest * NOT_YET
        packing = self._packed(items_at, least, self._lowest, work, seed, start, rough=True)
        done = packing is not None and packing.scale >= self._lowest
        self._spent += work / 2 if done else work  # what finds something is done early
        found = self._look_of(packing, rung) if packing else None
        self._seen += [found] if found else []
        if packing is not None and packing.cut_short:
            self._keep(found)
            raise Enough
        return found

    def _packed(
        self,
        items_at: ItemsAt,
        lowest: float,
        highest: float,
        work: float,
        seed: int,
        start: Packing | None,
        *,
        rough: bool = False,
    ) -> Packing | None:
        return largest_scale(
            items_at,
            self._stack.regions,
            clearance=self._search.clearance,
            lowest=lowest,
            highest=highest,
            effort=work,
            seed=self._search.options.seed + seed,
            report=self._search.reporting("arranging"),
            start=start,
            rough=rough,
        )
