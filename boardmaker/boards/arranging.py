"""Boards that are an exploded view of the bike: the narrowest windows in which the drawing is still large enough.

In: a search and its candidate, the largest drawing that was found without windows. Out: a candidate that reads better,
at a scale that is no smaller than what the user gives up for it; the same candidate where there is none. Windows are
tried at exactly that scale, where it is soon seen whether they hold everything. In the best of them some panels change
places; then it grows with what work is left.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from boardmaker.boards.candidate import Candidate
from boardmaker.boards.homes import Width, homes_on_boards, kept_in, windowed, windows_around
from boardmaker.boards.options import share_given_up
from boardmaker.boards.relations import relations_of
from boardmaker.boards.search import LARGEST_SCALE, BoardSearch
from boardmaker.boards.stack import BoardStack
from boardmaker.packing import arrange, largest_scale, read_packing
from boardmaker.packing.effort import WORK_OF
from boardmaker.packing.problem import Effort, Enough, Instance, Item, ItemsAt, Packing
from boardmaker.packing.reading import Reading

# From narrow to wide; turned panels only where no upright ones go. By trial on the demo bikes and random ones.
LADDER = (
    Width(0.07, 0.04, 0.08),
    Width(0.10, 0.06, 0.12),
    Width(0.14, 0.08, 0.16),
    Width(0.18, 0.10, 0.20),
    Width(0.22, 0.12, 0.22),
    Width(0.28, 0.15, 0.24),
    Width(0.36, 0.22, 0.24),
    Width(0.50, 0.40, 0.24),
    Width(0.28, 0.15, 0.24, tables=False),
    Width(0.40, 0.30, 0.24, tables=False),
    Width(0.25, 0.15, 0.22, upright=False),
    Width(0.36, 0.25, 0.24, upright=False),
    Width(0.50, 0.40, 0.24, upright=False),
    Width(1.00, 1.00, 0.24, upright=False),
    Width(1.00, 1.00, 0.24, upright=False, tables=False),
)
FIRST = 4  # of the ladder: about where most bikes come out
LOOK = 0.05  # of all work, for each look,
LEAST_LOOK = 1.2e9  # of work, and at least so much
LOOKS: dict[Effort, float] = {"quick": 0.9, "normal": 0.25, "thorough": 0.25}  # of all work, for all of them
ELBOW_ROOM = 1.4  # times as wide as they were found in are the windows in which panels change places
GROWTH = 0.06  # of all work
UNSEEN = 1 / 8  # of what is given up, kept back for what a whole search may find beyond the short one; by trial
NOT_YET = 0.85  # of the scale that is large enough: from there the next look may go on
ENOUGH = 0.88  # of the reading: no further looks for a better one
NEAR = 0.06  # of a board's width and height, to each side, in which everything stays while the drawing grows
NO_WORSE = 0.02  # of the reading that a drawing may lose while it grows


@dataclass(frozen=True)
class _Look:
    """A packing, how it reads, and in windows of what width it was found."""

    packing: Packing
    reading: Reading
    width: Width = LADDER[-1]


def arranged(search: BoardSearch, found: Candidate) -> Candidate:
    """Return the best candidate that windows give; `found` where the case does not take it.

    When Ctrl-C comes, the best so far, marked as cut short.
    """
    if found.cut_short or search.options.arrange == 0.0:
        return found
    arranging = _Arranging(search, found)
    best = arranging.best()
    candidate = search.candidate(found.stack, best.packing)
    if candidate.goes_in():
        return candidate
    return search.candidate(found.stack, replace(found.packing, cut_short=best.packing.cut_short))


def read(search: BoardSearch, found: Candidate) -> Reading:
    """Return how well the boards read."""
    return _reading(search, found.stack, found.packing)


def _reading(search: BoardSearch, stack: BoardStack, packing: Packing) -> Reading:
    relations = relations_of(search.work, search.figures.panels_at(packing.scale))
    return read_packing(search.figures.items_at(packing.scale), stack.regions, packing.placements, relations)


class _Arranging:
    """Looks at windows of several widths on the boards of one candidate."""

    def __init__(self, search: BoardSearch, found: Candidate) -> None:
        self._search, self._stack = search, found.stack
        self._work = WORK_OF[search.options.effort]
        self._homes = homes_on_boards(search.work, search.figures.panels_at(found.scale), found.stack.areas)
        given_up = share_given_up(search.options, found.scale)
        self._spent = 0.0
        self._best = self._look_of(found.packing)
        self._lowest = min(found.scale, found.scale * (1.0 - given_up) * (1.0 + UNSEEN * given_up))

    def best(self) -> _Look:
        """Return what reads best; when Ctrl-C comes, the best so far, marked as such."""
        try:
            rung = self._first_that_holds()
            if rung is not None:
                self._look_for_better_ones(rung)
            self._best = self._exchanged(self._best)
            if not self._best.packing.cut_short:
                self._best = self._grown(self._best)
        except (KeyboardInterrupt, Enough):
            self._best = replace(self._best, packing=replace(self._best.packing, cut_short=True))
        return self._best

    def _keep(self, look: _Look | None) -> bool:
        """Whether windows hold everything at a scale that is large enough; what reads better is the best so far."""
        if look is None or look.packing.scale < self._lowest:
            return False
        if look.reading.total > self._best.reading.total:
            self._best = look
        return True

    def _first_that_holds(self) -> int | None:
        """Up the ladder from where most bikes come out, to the first windows that hold everything.

        Each look begins where the one before it ended.
        """
        start: Packing | None = None
        for rung in range(FIRST, len(LADDER)):
            look = self._look(LADDER[rung], 0, start)
            if self._keep(look):
                return rung
            start = look.packing if look is not None else start
        return None

    def _look_for_better_ones(self, rung: int) -> None:
        """Narrower windows as long as they hold everything; then other looks at the narrowest that did."""
        seed, narrower = 1, rung > 0
        while self._best.reading.total < ENOUGH and self._spent < LOOKS[self._search.options.effort] * self._work:
            start = self._best.packing if narrower else None
            holds = self._keep(self._look(LADDER[rung - 1 if narrower else rung], seed, start))
            if narrower and holds:
                rung, seed = rung - 1, 0
            narrower = rung > 0 and narrower and holds
            seed += 1

    def _look_of(self, packing: Packing) -> _Look:
        """Return a packing with how it reads."""
        return _Look(packing, _reading(self._search, self._stack, packing))

    def _exchanged(self, look: _Look) -> _Look:
        """Return it after exchanges and moves that read better, at its scale."""
        search, scale = self._search, look.packing.scale
        items = self._items_at(scale, look.width.times(ELBOW_ROOM))
        instance = Instance(items, self._stack.regions, search.clearance)
        relations = relations_of(search.work, search.figures.panels_at(scale))
        effort, seed, report = search.options.effort, search.options.seed, search.reporting("arranging")
        packing = arrange(instance, look.packing, relations, effort=effort, seed=seed, report=report)
        return replace(self._look_of(packing), width=look.width)

    def _grown(self, look: _Look) -> _Look:
        """Return it as large as it becomes with everything near where it is."""
        if self._search.options.scale != "auto":
            return look
        items = self._search.figures.items_at(look.packing.scale)
        windows = windows_around(items, look.packing.placements, self._stack.stocks, NEAR)
        packing = self._packed(
            lambda scale: kept_in(self._search.figures.items_at(scale), windows),
            look.packing.scale, LARGEST_SCALE, GROWTH * self._work, 0, look.packing,
        )  # fmt: skip
        grown = self._look_of(packing) if packing else look
        return grown if grown.reading.total >= look.reading.total - NO_WORSE else look

    def _look(self, width: Width, seed: int, start: Packing | None = None) -> _Look | None:
        """The largest drawing in such windows, up to the one that is large enough."""
        work = max(LEAST_LOOK, LOOK * self._work)
        least = self._lowest * NOT_YET
        packing = self._packed(lambda scale: self._items_at(scale, width), least, self._lowest, work, seed, start)
        done = packing is not None and packing.scale >= self._lowest
        self._spent += work / 2 if done else work  # what finds something is done early
        found = replace(self._look_of(packing), width=width) if packing else None
        if packing is not None and packing.cut_short:
            self._keep(found)
            raise Enough
        return found

    def _packed(
        self, items_at: ItemsAt, lowest: float, highest: float, work: float, seed: int, start: Packing | None = None
    ) -> Packing | None:
        return largest_scale(
            items_at,
            self._stack.regions,
            clearance=self._search.clearance,
            lowest=lowest,
            highest=highest,
            effort=work,
            seed=self._search.options.seed + seed,
            report=self._search.reporting("arranging like the bike"),
            start=start,
        )

    def _items_at(self, scale: float, width: Width) -> tuple[Item, ...]:
        names = self._search.figures.panels_at(scale)
        return windowed(self._search.figures.items_at(scale), names, self._homes, width)
