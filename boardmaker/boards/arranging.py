"""Boards that are an exploded view of the bike.

In: a search and its candidate, the largest drawing that was found. Out: a candidate that reads better, at a scale that
is no smaller than what the user gives up for it. `homes` says where panels would lie and how wide windows around that
are, `narrowing` finds the narrowest that hold everything; in the best of them some panels change places.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from boardmaker.boards.candidate import Candidate
from boardmaker.boards.homes import Home, Width, homes_on_boards, too_wide, windowed
from boardmaker.boards.narrowing import Look, large_enough, narrowed
from boardmaker.boards.options import share_given_up
from boardmaker.boards.relations import relations_of
from boardmaker.boards.search import LARGEST_SCALE, BoardSearch
from boardmaker.boards.stack import BoardStack
from boardmaker.packing import arrange, read_packing
from boardmaker.packing.problem import Instance, Item, Packing
from boardmaker.packing.reading import Reading

# From narrow to wide; turned panels only where no upright ones go, but for pairs that have no room beside each other
# (`too_wide`). By trial on the demo bikes and random ones.
LADDER = (
    Width(0.07, 0.04, 0.08),
    Width(0.10, 0.06, 0.12),
    Width(0.14, 0.08, 0.16),
    Width(0.18, 0.10, 0.20),
    Width(0.22, 0.12, 0.22),
    Width(0.28, 0.15, 0.24),
    Width(0.36, 0.20, 0.24),
    Width(0.36, 0.25, 0.28),
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
UPRIGHT = replace(LADDER[FIRST], wide_turn=False)  # where some could turn
ELBOW_ROOM = 2.0  # times as wide as they were found in are the windows in which panels change places; by trial
ACROSS = 0.9  # of the width: a pair that takes more is in everybody's way, and may lie turned where it does not fit
LYING_TABLES = 0.1  # of the reading, for all of them; chosen
STRAYED = 0.4  # of the reading, for all panels: a left one among the right ones is looked for longest; chosen
UNLIKE_TWINS = 0.05  # of the reading, for all pairs: a panel that is turned to one side and its twin not to the other
UNSEEN = 0.0175  # of the scale: by about so much a whole search finds more than the short one did; by trial
ENOUGH = 0.86  # of the reading: no further looks for a better one
# Of a board's width and height, around where a look that came close has things; by trial, .08 is too tight.
ASIDE = 0.25
NEAR = 0.06  # of a board's width and height, to each side, in which everything stays while the drawing grows


def arranged(search: BoardSearch, found: Candidate) -> Candidate:
    """Return the best candidate that windows give; `found` where the case does not take it.

    When Ctrl-C comes, the best so far, marked as cut short.
    """
    if found.cut_short or search.options.arrange == 0.0:
        return found
    given_up = share_given_up(search.options, found.scale)

    def like_the_bike(stack: BoardStack) -> _LikeTheBike:
        return _LikeTheBike(search, stack, found.scale, given_up)

    return narrowed(search, found, given_up, like_the_bike)


def read(search: BoardSearch, found: Candidate) -> Reading:
    """Return how well the boards read."""
    return _reading(search, found.stack, found.packing)


def _reading(search: BoardSearch, stack: BoardStack, packing: Packing) -> Reading:
    relations = relations_of(search.work, search.figures.panels_at(packing.scale))
    return read_packing(search.figures.items_at(packing.scale), stack.regions, packing.placements, relations)


class _LikeTheBike:
    """The aim of boards that read like the bike."""

    enough, near, aside, most, unseen = ENOUGH, NEAR, ASIDE, LARGEST_SCALE, UNSEEN
    beginning: Packing | None = None

    def __init__(self, search: BoardSearch, stack: BoardStack, largest: float, given_up: float) -> None:
        self._search, self._stack = search, stack
        scale = large_enough(largest, given_up, UNSEEN)
        names = search.figures.panels_at(scale)
        self._homes: dict[str, Home] = homes_on_boards(search.work, names, stack.areas)
        room = max(width for width, _ in stack.stocks) - 2 * search.setup.board.margin - search.clearance
        self._turning = too_wide(search.work, names, search.figures.items_at(scale), ACROSS * room)
        self._ladder: Sequence[Width] = LADDER
        self.climb: Sequence[int] = range(FIRST, len(LADDER))
        if self._turning:  # upright all the same if they fit into each other
            self._ladder, self.climb = (UPRIGHT, *LADDER), (0, *range(1 + FIRST, 1 + len(LADDER)))

    def items_at(self, scale: float, rung: int) -> tuple[Item, ...]:
        """Return the items with windows around where panels are on the bike."""
        return self._in_windows(scale, self._ladder[rung])

    def rating_of(self, packing: Packing) -> float:
        """Return how well it reads; panels on the wrong side, lying tables and pairs turned unlike are rated worse."""
        names = self._search.figures.panels_at(packing.scale)
        items = self._search.figures.items_at(packing.scale)
        turns = {one.key: item.poses[one.pose].turn_deg for item, one in zip(items, packing.placements, strict=True)}
        lying = _share(turn != 0 for key, turn in turns.items() if key not in names.values())
        unlike = _share(
            (turns[names[one.key]] + turns[names[one.mirrors]]) % 360 != 0
            for one in self._search.work.bike.panels
            if one.key in names and one.mirrors in names
        )
        reading = _reading(self._search, self._stack, packing)
        strayed = 1.0 - reading.side if reading.side is not None else 0.0
        return reading.total - LYING_TABLES * lying - UNLIKE_TWINS * unlike - STRAYED * strayed

    def improved(self, look: Look) -> Packing:
        """Return it after exchanges and moves that read better, at its scale, in wider windows."""
        packing, search, scale = look.packing, self._search, look.packing.scale
        items = self._in_windows(scale, self._ladder[look.rung].times(ELBOW_ROOM))
        instance = Instance(items, self._stack.regions, search.clearance)
        names = search.figures.panels_at(scale)
        tables = [item.key for item in items if item.key not in names.values()]
        relations = relations_of(search.work, names, tables)
        effort, seed, report = search.options.effort, search.options.seed, search.reporting("arranging")
        return arrange(instance, packing, relations, effort=effort, seed=seed, report=report)

    def _in_windows(self, scale: float, width: Width) -> tuple[Item, ...]:
        names, items = self._search.figures.panels_at(scale), self._search.figures.items_at(scale)
        return windowed(items, names, self._homes, width, self._turning if width.wide_turn else ())


def _share(those: Iterable[bool]) -> float:
    """How many of them are so, as a share of all; 0 of none."""
    answers = list(those)
    return sum(answers) / len(answers) if answers else 0.0
