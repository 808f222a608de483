"""Earlier boards packed again: as they were where that goes, else as near to it as fits.

In: a search, where everything lay. Out: a candidate at the earlier scale, if that fits, else at the largest that does,
less what is given up for an arrangement. Each panel and table has its window around where it lay, in proportion of the
new board, and its turn; `narrowing` finds the narrowest windows that hold everything. On another number of boards each
takes a stretch of the bike, and a panel's place on its board is the old one.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from boardmaker.boards.candidate import Candidate
from boardmaker.boards.former import Former, middle
from boardmaker.boards.homes import homes_on_boards
from boardmaker.boards.narrowing import Look, narrowed
from boardmaker.boards.options import share_given_up
from boardmaker.boards.search import BoardSearch
from boardmaker.boards.stack import BoardStack
from boardmaker.geometry import distance
from boardmaker.packing import restore, violations
from boardmaker.packing.problem import CLOSED, HomeWindow, Item, Packing, Placement


@dataclass(frozen=True)
class _Near:
    """How far a panel and a table may be from where they lay, in shares of a board; whether all keep their turn."""

    panels: float
    tables: float
    turned: bool = False


# From narrow to wide; turned ones only where nothing goes as it was. By trial on the demo bikes' boards.
LADDER = (
    _Near(0.02, 0.04),
    _Near(0.04, 0.08),
    _Near(0.06, 0.15),
    _Near(0.09, 0.3),
    _Near(0.13, 1.0),
    _Near(0.18, 1.0),
    _Near(0.25, 1.0),
    _Near(0.35, 1.0),
    _Near(0.50, 1.0),
    _Near(0.25, 1.0, turned=True),
    _Near(0.40, 1.0, turned=True),
    _Near(1.00, 1.0, turned=True),
)
FIRST = 4
ENOUGH = 0.93  # of the rating: 7 % of a board off in the mean
NEAR = 0.02  # of a board's width and height, to each side, in which everything stays while the drawing grows
TURNED = 0.25  # of a board: what a panel in another turn counts as
ELSEWHERE = 0.5  # and on another board, where there are as many as there were
OF_TABLES = 0.25  # of a panel: what a table counts


def packed_again(search: BoardSearch, former: Former, kept_on: int) -> Candidate:
    """Return the earlier packing, slid as little as will do; else as near to it as fits.

    The scale is kept on at most `kept_on` boards. Raises ProblemsFound where nothing fits.
    """
    if search.options.scale == "auto":
        for count in range(min(len(former.boards), kept_on), kept_on + 1):
            found = search.at_own_heights(count, lambda stack: _same_scale(search, former, stack))
            if found and (found.cut_short or not found.too_high()):
                return found if _is_as_it_was(search, former, found) else near_home(search, former, found)
    return near_home(search, former, search.largest())


def near_home(search: BoardSearch, former: Former, found: Candidate) -> Candidate:
    """Return the best candidate that windows around the old places give."""
    if found.cut_short:
        return found
    kept = found.scale >= former.scale
    given_up = 0.0 if kept else share_given_up(search.options, found.scale)
    return narrowed(search, found, given_up, lambda stack: _AsItWas(search, former, stack, kept))


def _same_scale(search: BoardSearch, former: Former, stack: BoardStack) -> Packing | None:
    items = search.figures.items_at(former.scale)
    for placements in former.as_they_were(items, stack.stocks):
        if not violations(items, placements, stack.regions, search.clearance):
            return Packing(former.scale, placements)
    return search.at_scale(stack, former.scale, search.beginning(stack, former.scale))


def _is_as_it_was(search: BoardSearch, former: Former, found: Candidate) -> bool:
    items = search.figures.items_at(found.scale)
    return found.packing.placements in former.as_they_were(items, found.stack.stocks)


class _AsItWas:
    """The aim of boards that are packed again."""

    climb: Sequence[int] = range(FIRST, len(LADDER))
    enough, near, aside = ENOUGH, NEAR, 0.0  # windows around former places hold as close as any around the latest
    unseen = 0.0

    def __init__(self, search: BoardSearch, former: Former, stack: BoardStack, kept: bool) -> None:
        self._search, self._former, self._stack = search, former, stack
        names = search.figures.panels_at(former.scale)
        self._panels = set(names.values())
        self._boards: dict[str, int | None] = {key: board for key, (board, _) in former.places.items()}
        if (count := len(stack.spans)) != len(former.boards):
            homes = homes_on_boards(search.work, names, stack.areas)
            self._boards = {names[panel]: home.board for panel, home in homes.items()} if count > 1 else {}
        self.most = former.scale if search.options.scale == "auto" else 1.0
        self.beginning: Packing | None = search.beginning(stack, former.scale)

    def items_at(self, scale: float, rung: int) -> tuple[Item, ...]:
        """Return the items with windows around where they lay, as far as they are known."""
        return tuple(self._windowed(item, LADDER[rung]) for item in self._search.figures.items_at(scale))

    def rating_of(self, packing: Packing) -> float:
        """Return 1 less how far everything is from where it lay, in shares of its board; another turn is far off."""
        items = self._search.figures.items_at(packing.scale)
        ways = [
            (1.0 if item.key in self._panels else OF_TABLES, self._way(item, placement))
            for item, placement in zip(items, packing.placements, strict=True)
            if item.key in self._former.places
        ]
        weight = math.fsum(weight for weight, _ in ways)
        return 1.0 - math.fsum(weight * way for weight, way in ways) / weight if weight else 1.0

    def improved(self, look: Look) -> Packing:
        """Return it with everything drawn nearer to its old place where there is room."""
        items = self._search.figures.items_at(look.packing.scale)
        homes = self._former.in_proportion(items, self._stack.stocks)
        here = {placement.key: placement.region for placement in look.packing.placements}
        near = {one.key: replace(one, region=here[one.key]) for one in homes}
        placements = restore(items, self._stack.regions, look.packing.placements, near, self._search.clearance)
        return replace(look.packing, placements=placements)

    def _windowed(self, item: Item, width: _Near) -> Item:
        if item.key not in self._former.places:
            return item
        (x, y), near = self._former.share(item.key), width.panels if item.key in self._panels else width.tables
        window = HomeWindow((x - near, y - near), (x + near, y + near))
        board, count = self._boards.get(item.key), len(self._stack.spans)
        windows = tuple(window if board in (None, number) else CLOSED for number in range(count))
        turn_deg = None if width.turned else round(self._former.places[item.key][1].turn)
        return replace(item, windows=windows, turn_deg=turn_deg)

    def _way(self, item: Item, placement: Placement) -> float:
        """How far from its old place, in shares of its board."""
        pose, (width, height) = item.poses[placement.pose], self._stack.stocks[placement.region]
        x, y = pose.middle or middle(pose.zone)
        off = distance(((placement.at[0] + x) / width, (placement.at[1] + y) / height), self._former.share(item.key))
        turned = TURNED if pose.turn_deg != self._former.places[item.key][1].turn else 0.0
        board = self._boards.get(item.key)
        return off + turned + (ELSEWHERE if board not in (None, placement.region) else 0.0)
