"""Guided local search: move one item at a time to where it overlaps least, and learn which overlaps are stubborn.

In: an arena and a layout in which items may overlap. Out: a layout in which, as far as the grid can see, none do. Apart
because it knows only costs. A move looks at every node of every room in two poses: the overlaps with all others are
added up as shifted tables. Overlaps that stay grow heavier from round to round, which drives items out of dead ends
(Voudouris and Tsang, "Guided local search", European Journal of Operational Research 113, 1999).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from boardmaker.packing.arena import Arena, Node, nearest_free
from boardmaker.packing.bodies import Layout
from boardmaker.packing.effort import MAP_WORK, STEP_WORK, TABLE_WORK, Meter
from boardmaker.packing.shapes import Floats, doubled_area
from boardmaker.packing.tables import Costs

_HEAVIER = (1.2, 2.0)  # by which a weight grows: the smallest and the largest overlap
_HEAVIEST = 1e6
_LIGHTER = 0.95  # by which a weight shrinks where there is no overlap
_ALIKE = 0.5  # of all exchanges are between items of like size
_ONCE = 0.6  # of all disturbances exchange just two items
_PROGRESS = 0.999  # of the least overlap so far: less than this counts as progress


class Spot(NamedTuple):
    """Where one item stands: room, pose, column and row of its middle; and the number of the pose's footprint."""

    room: int
    pose: int
    column: int
    row: int
    number: int


class Search:
    """Spots of all items, their overlaps and the weights of these."""

    def __init__(self, arena: Arena, layout: Layout, random: np.random.Generator, meter: Meter) -> None:
        self._arena, self._random, self._meter = arena, random, meter
        self._spots: list[Spot] = []
        areas = [doubled_area(poses[0].ring) for poses in arena.bodies]
        self._by_size = sorted(range(len(areas)), key=lambda item: (areas[item], item))
        self.place(layout)

    def place(self, layout: Layout) -> None:
        """Put every item on the free node nearest to where the layout has it; forget all weights."""
        rooms, cell = self._arena.rooms, self._arena.cell
        self._spots = []
        for room, pose, middle in zip(layout.rooms, layout.poses, layout.middles, strict=True):
            column, row = np.rint((middle - rooms[room].low) / cell).astype(int).tolist()
            self._spots.append(Spot(room, pose, column, row, 0))
        self._settle_all()

    def layout(self) -> Layout:
        """Where the items stand now."""
        rooms, cell = self._arena.rooms, self._arena.cell
        middles = [rooms[spot.room].low + np.array((spot.column, spot.row)) * cell for spot in self._spots]
        spots = self._spots
        return Layout(tuple(spot.room for spot in spots), tuple(spot.pose for spot in spots), np.array(middles))

    def separate(self, patience: int, limit: float) -> bool:
        """Move items until none overlap, or for `patience` rounds without progress, or to the limit of work."""
        least, stale, best = np.inf, 0, self._spots
        while self._meter.used < limit and stale <= patience:
            self._move_troubled()
            total = float(self._overlaps.sum())
            if total == 0:
                return True
            stale += 1
            if total < least * _PROGRESS:
                least, stale, best = total, 0, list(self._spots)
            self._reweigh()
        self._spots = list(best)
        self._measure_all()
        return False

    def overlap(self) -> float:
        """The overlap of all items now, 0 if the grid shows none."""
        return float(self._overlaps.sum()) / 2

    def disturb(self, critical: Sequence[int] = ()) -> None:
        """Let two items change places, of like size or not, now and then several times; forget all weights.

        One of the two is a `critical` item, if there are any: others are not in the way.
        """
        count = len(self._spots)
        if count < 2:
            return
        for _ in range(int(self._random.geometric(_ONCE))):
            one = int(self._random.choice(critical or count))
            others = self._by_size
            if self._random.random() < _ALIKE:
                rank, near = others.index(one), max(1, count // 8)
                others = others[max(0, rank - near) : rank + near + 1]
            self._exchange(one, int(self._random.choice([item for item in others if item != one])))
        self._settle_all()

    def shuffle(self) -> None:
        """Let all items change places; forget all weights."""
        for item in range(1, len(self._spots)):
            self._exchange(item, int(self._random.integers(item + 1)))
        self._settle_all()

    def _exchange(self, one: int, other: int) -> None:
        mine, theirs = self._spots[one], self._spots[other]
        self._spots[one] = mine._replace(room=theirs.room, column=theirs.column, row=theirs.row)
        self._spots[other] = theirs._replace(room=mine.room, column=mine.column, row=mine.row)

    def _settle_all(self) -> None:
        self._spots = [self._settled(item, spot) for item, spot in enumerate(self._spots)]
        self._weights = np.ones((len(self._spots), len(self._spots)))
        self._measure_all()

    def _settled(self, item: int, spot: Spot) -> Spot:
        """The spot moved to the nearest free node; in another pose or room if there is none."""
        spaces = self._arena.spaces
        choices = [(spot.room, spot.pose)]
        choices += [(room, pose) for room in range(len(spaces)) for pose in range(len(spaces[room][item]))]
        for room, pose in choices:
            space = spaces[room][item][pose]
            if space is not None:
                return self._spot(item, room, pose, nearest_free(space, (spot.column, spot.row)))
        return self._spot(item, spot.room, spot.pose, (spot.column, spot.row))

    def _spot(self, item: int, room: int, pose: int, node: Node) -> Spot:
        return Spot(room, pose, *node, self._arena.numbers[item][pose])

    def _move_troubled(self) -> None:
        troubled = np.flatnonzero(self._overlaps.sum(axis=1) > 0)
        for item in self._random.permutation(troubled).tolist():
            if self._overlaps[item].any():
                self._move(item)

    def _reweigh(self) -> None:
        low, high = _HEAVIER
        heavier = self._weights * (low + (high - low) * self._overlaps / self._overlaps.max())
        lighter = np.maximum(1.0, self._weights * _LIGHTER)
        self._weights = np.where(self._overlaps > 0, np.minimum(heavier, _HEAVIEST), lighter)

    def _move(self, item: int) -> None:
        """Put an item where its weighted overlap is least; where several places are free, on any of them."""
        least, chosen = np.inf, self._spots[item]
        for room, spaces in enumerate(self._arena.spaces):
            for pose in self._tried_poses(item, len(spaces[item])):
                space = spaces[item][pose]
                if space is None:
                    continue
                costs = self._costs(item, room, pose).ravel()
                at = int(costs.argmin())
                if costs[at] < least:
                    least = float(costs[at])
                    free = np.flatnonzero(costs == 0) if least == 0 else np.array([at])
                    row, column = divmod(int(free[self._random.integers(len(free))]), space.blocked.shape[1])
                    chosen = self._spot(item, room, pose, (column + space.first[0], row + space.first[1]))
        self._spots[item] = chosen
        self._measure(item)

    def _tried_poses(self, item: int, count: int) -> list[int]:
        """The pose that the item has and one other: half the work of trying all, and no worse in the long run."""
        pose = self._spots[item].pose
        return sorted({pose, (pose + int(self._random.integers(count))) % count})

    def _costs(self, item: int, room: int, pose: int) -> Costs:
        """The weighted overlap of an item with all others, by node of its space."""
        space = self._arena.spaces[room][item][pose]
        assert space is not None
        rows, columns = space.blocked.shape
        left, bottom = space.first
        costs, tables, number = space.blocked.copy(), self._arena.tables, self._arena.numbers[item][pose]
        work, made, known = costs.size + MAP_WORK, tables.made, tables.known[number]
        for other, (spot, weight) in enumerate(zip(self._spots, self._weights[item].tolist(), strict=True)):
            where, _, their_column, their_row, still = spot
            if other == item or where != room:
                continue
            overlap, column, row, width, height = known[still] or tables.between(still, number)
            x, y = their_column + column - left, their_row + row - bottom
            if x >= columns or y >= rows or x + width <= 0 or y + height <= 0:
                continue
            x0, y0, x1, y1 = x if x > 0 else 0, y if y > 0 else 0, x + width, y + height  # a slice may end beyond
            part, under = overlap[y0 - y : rows - y, x0 - x : columns - x], costs[y0:y1, x0:x1]
            under += part if weight == 1.0 else part * np.float32(weight)
            work += part.size + STEP_WORK
        self._meter.spend(work + TABLE_WORK * (tables.made - made))
        return costs

    def _measure_all(self) -> None:
        self._overlaps: Floats = np.array([self._overlaps_of(item) for item in range(len(self._spots))])

    def _measure(self, item: int) -> None:
        """Look up the plain overlaps of one item with all others."""
        self._overlaps[item] = self._overlaps[:, item] = self._overlaps_of(item)

    def _overlaps_of(self, item: int) -> list[float]:
        room, _, x, y, number = self._spots[item]
        tables, found = self._arena.tables, [0.0] * len(self._spots)
        known = tables.known[number]
        for other, (where, _, their_x, their_y, still) in enumerate(self._spots):
            if other == item or where != room:
                continue
            overlap, first_column, first_row, width, height = known[still] or tables.between(still, number)
            column, row = x - their_x - first_column, y - their_y - first_row
            if 0 <= row < height and 0 <= column < width:
                found[other] = overlap.item(row, column)
        return found
