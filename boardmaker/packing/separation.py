"""Separation by guided local search: move one item at a time to where it overlaps least, and learn which overlaps last.

In: a scaled raster and a layout in which items may overlap. Out: a layout in which, as far as the raster can see, none
do. Apart because it knows only costs. A move looks at every node of every container in two poses: the overlaps with all
others are added up as shifted no-fit rasters. Overlaps that stay grow heavier from round to round, which drives items
out of dead ends. Where that comes from is said in `packing/__init__`.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from boardmaker.fixed_order import total
from boardmaker.packing.bodies import Layout
from boardmaker.packing.effort import Meter
from boardmaker.packing.inner_fit import InnerFit, Node
from boardmaker.packing.no_fit import Costs
from boardmaker.packing.raster import ScaledRaster, nearest_free
from boardmaker.packing.settings import SEPARATION, WORK
from boardmaker.packing.shapes import Floats


class RasterPlace(NamedTuple):
    """Where one item stands: container, pose, column and row of its middle; and the number of the pose's footprint."""

    container: int
    pose: int
    column: int
    row: int
    number: int


class Separation:
    """Places of all items on a raster, their overlaps and the weights of these.

    It begins with every item on the free node nearest to where the layout has it, all weights equal.
    """

    def __init__(self, scaled: ScaledRaster, layout: Layout, random: np.random.Generator, meter: Meter) -> None:
        self.scaled, self._random, self._meter = scaled, random, meter
        self._places = self._places_of(layout)
        self._overlaps: Floats
        self._spread_out()

    def layout(self) -> Layout:
        """Where the items stand now."""
        containers, cell, places = self.scaled.raster.containers, self.scaled.cell, self._places
        middles = [containers[place.container].low + np.array((place.column, place.row)) * cell for place in places]
        return Layout(
            tuple(place.container for place in places), tuple(place.pose for place in places), np.array(middles)
        )

    def overlap(self) -> float:
        """The overlap of all items now, 0 if the raster shows none."""
        return total(self._overlaps) / 2

    def is_nearly_done(self) -> bool:
        """Whether so little overlap is left that a compaction can make up for it."""
        return self.overlap() <= SEPARATION.nearly * len(self._places)

    def separate(self, patience: int, limit: float) -> None:
        """Move items until none overlap, or for `patience` rounds without progress, or to the limit of work.

        Where some still overlap at the end, the items stand as they overlapped least.
        """
        least, stale, best, overlaps = np.inf, 0, self._places, self._overlaps
        while self._meter.used < limit and stale <= patience:
            self._move_overlapping()
            overlap = total(self._overlaps)
            if overlap == 0:
                return
            stale += 1
            if overlap < least * SEPARATION.progress:
                least, stale, best, overlaps = overlap, 0, list(self._places), self._overlaps.copy()
            self._reweigh()
        self._places, self._overlaps = list(best), overlaps

    def disturb(self, critical: Sequence[int] = ()) -> None:
        """Let two items change places, of like size or not, now and then several times; forget all weights.

        One of the two is a `critical` item, if there are any: others are not in the way.
        """
        count = len(self._places)
        if count < 2:
            return
        for _ in range(int(self._random.geometric(SEPARATION.once))):
            one = int(self._random.choice(critical or count))
            others = self.scaled.raster.by_size
            if self._random.random() < SEPARATION.alike:
                rank, near = others.index(one), max(1, count // 8)
                others = others[max(0, rank - near) : rank + near + 1]
            self._exchange(one, int(self._random.choice([item for item in others if item != one])))
        self._spread_out()

    def shuffle(self) -> None:
        """Let all items change places; forget all weights."""
        for item in range(1, len(self._places)):
            self._exchange(item, int(self._random.integers(item + 1)))
        self._spread_out()

    def _exchange(self, one: int, other: int) -> None:
        mine, theirs = self._places[one], self._places[other]
        self._places[one] = mine._replace(container=theirs.container, column=theirs.column, row=theirs.row)
        self._places[other] = theirs._replace(container=mine.container, column=mine.column, row=mine.row)

    def _places_of(self, layout: Layout) -> list[RasterPlace]:
        containers, cell, places = self.scaled.raster.containers, self.scaled.cell, []
        for container, pose, middle in zip(layout.containers, layout.poses, layout.middles, strict=True):
            column, row = np.rint((middle - containers[container].low) / cell).astype(int).tolist()
            places.append(RasterPlace(container, pose, column, row, 0))
        return places

    def _spread_out(self) -> None:
        """Put every item on its nearest free node, with all weights equal."""
        self._places = [self._nearest(item, place) for item, place in enumerate(self._places)]
        self._weights = np.ones((len(self._places), len(self._places)))
        self._measure_all()

    def _nearest(self, item: int, place: RasterPlace) -> RasterPlace:
        """The place moved to the nearest free node; in another pose or container if there is none."""
        fits = self.scaled.inner_fits
        choices = [(place.container, place.pose)]
        choices += [(container, pose) for container in range(len(fits)) for pose in range(len(fits[container][item]))]
        for container, pose in choices:
            inner_fit = fits[container][item][pose]
            if inner_fit is not None:
                return self._place(item, container, pose, nearest_free(inner_fit, (place.column, place.row)))
        return self._place(item, place.container, place.pose, (place.column, place.row))

    def _place(self, item: int, container: int, pose: int, node: Node) -> RasterPlace:
        return RasterPlace(container, pose, *node, self.scaled.raster.numbers[item][pose])

    def _move_overlapping(self) -> None:
        overlapping = np.flatnonzero(self._overlaps.any(axis=1))
        for item in self._random.permutation(overlapping).tolist():
            if self._overlaps[item].any():
                self._move(item)

    def _reweigh(self) -> None:
        low, high = SEPARATION.heavier
        heavier = self._weights * (low + (high - low) * self._overlaps / self._overlaps.max())
        lighter = np.maximum(1.0, self._weights * SEPARATION.lighter)
        self._weights = np.where(self._overlaps > 0, np.minimum(heavier, SEPARATION.heaviest), lighter)

    def _move(self, item: int) -> None:
        """Put an item where its weighted overlap is least; where several places are free, on any of them."""
        least, chosen = np.inf, self._places[item]
        for container, fits in enumerate(self.scaled.inner_fits):
            for pose in self._tried_poses(item, len(fits[item])):
                inner_fit = fits[item][pose]
                if inner_fit is None:
                    continue
                costs = self._costs(item, container, pose, inner_fit).ravel()
                at = int(costs.argmin())
                if costs[at] < least:
                    least = float(costs[at])
                    free = np.flatnonzero(costs == 0) if least == 0 else np.array([at])
                    row, column = divmod(int(free[self._random.integers(len(free))]), inner_fit.blocked.shape[1])
                    chosen = self._place(item, container, pose, (column + inner_fit.first[0], row + inner_fit.first[1]))
        self._places[item] = chosen
        self._measure(item)

    def _tried_poses(self, item: int, count: int) -> list[int]:
        """The pose that the item has and one other: half the work of trying all, and no worse in the long run."""
        pose = self._places[item].pose
        return sorted({pose, (pose + int(self._random.integers(count))) % count})

    def _costs(self, item: int, container: int, pose: int, inner_fit: InnerFit) -> Costs:
        """The weighted overlap of an item with all others, by node of its inner-fit raster."""
        rows, columns = inner_fit.blocked.shape
        left, bottom = inner_fit.first
        raster = self.scaled.raster
        costs, no_fits, number = inner_fit.blocked.copy(), raster.no_fits, raster.numbers[item][pose]
        work, made, known, step = costs.size + WORK.map, no_fits.made, no_fits.known[number], WORK.step
        for other, (place, weight) in enumerate(zip(self._places, self._weights[item].tolist(), strict=True)):
            where, _, their_column, their_row, still = place
            if other == item or where != container:
                continue
            overlap, column, row, width, height = known[still] or no_fits.between(still, number)
            x, y = their_column + column - left, their_row + row - bottom
            if x >= columns or y >= rows or x + width <= 0 or y + height <= 0:
                continue
            x0, y0, x1, y1 = x if x > 0 else 0, y if y > 0 else 0, x + width, y + height  # a slice may end beyond
            part, under = overlap[y0 - y : rows - y, x0 - x : columns - x], costs[y0:y1, x0:x1]
            under += part if weight == 1.0 else part * np.float32(weight)
            work += part.size + step
        self._meter.spend(work + WORK.cell * (no_fits.made - made))
        return costs

    def _measure_all(self) -> None:
        """Look up the plain overlaps of all items; of every two once, because both see the same."""
        later: Floats = np.array([self._overlaps_of(item, item + 1) for item in range(len(self._places))])
        self._overlaps = later + later.T

    def _measure(self, item: int) -> None:
        """Look up the plain overlaps of one item with all others."""
        self._overlaps[item] = self._overlaps[:, item] = self._overlaps_of(item, 0)

    def _overlaps_of(self, item: int, first: int) -> list[float]:
        """The overlaps of one item with all others from the `first` on."""
        container, _, x, y, number = self._places[item]
        no_fits, found = self.scaled.raster.no_fits, [0.0] * len(self._places)
        known = no_fits.known[number]
        for other, (where, _, their_x, their_y, still) in enumerate(self._places[first:], first):
            if other == item or where != container:
                continue
            overlap, first_column, first_row, width, height = known[still] or no_fits.between(still, number)
            column, row = x - their_x - first_column, y - their_y - first_row
            if 0 <= row < height and 0 <= column < width:
                found[other] = overlap.item(row, column)
        return found
