"""How well an arrangement reads: what the items would like of each other, and how much of that they have.

In: relations between items, and where the middle of each is. Out: a share (0 to 1) for each kind of relation. Apart
because it is a measure, not a search: the search that improves it and the summary that prints it both ask here.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from boardmaker.fixed_order import lengths, total
from boardmaker.packing.problem import Point, Relations


@dataclass(frozen=True)
class Reading:
    """Shares from 0 to 1, None where no items have such a relation.

    `sides`: of the pairs in one region that should lie left and right of each other, how many do. `heights`: the same
    for below and above. `twins`: 1 where each lies where the other would be seen in a mirror in the region's middle,
    falling to 0 at half a region away; 0 in different regions. `neighbours`: 1 less the mean distance of those that
    should be near, in diagonals of the region; 0 in different regions.
    """

    sides: float | None
    heights: float | None
    twins: float | None
    neighbours: float | None

    @property
    def total(self) -> float:
        """The mean of the shares that there are; 1 where there are none."""
        shares = [one for one in (self.sides, self.heights, self.twins, self.neighbours) if one is not None]
        return math.fsum(shares) / len(shares) if shares else 1.0


@dataclass(frozen=True)
class Spread:
    """Where the items are: region and middle of each, in mm from its region's lower left, and the regions' sizes."""

    regions: Sequence[int]
    middles: np.ndarray
    sizes: Sequence[Point]


class RelationsReader:
    """Measures arrangements of the same items again and again."""

    def __init__(self, keys: Sequence[str], relations: Relations) -> None:
        numbers = {key: number for number, key in enumerate(keys)}
        self._left, self._below, self._twins, self._near = (
            np.array([(numbers[one], numbers[other]) for one, other in pairs], dtype=int).reshape(-1, 2)
            for pairs in (relations.left_of, relations.below, relations.twins, relations.near)
        )

    def read(self, spread: Spread) -> Reading:
        """Return how well this arrangement reads."""
        regions = np.asarray(spread.regions)
        sizes = np.asarray(spread.sizes, dtype=float)[regions]
        return Reading(
            _in_order(self._left, regions, spread.middles[:, 0]),
            _in_order(self._below, regions, spread.middles[:, 1]),
            _mirrored(self._twins, regions, spread.middles, sizes),
            _close(self._near, regions, spread.middles, sizes),
        )


def _in_order(pairs: np.ndarray, regions: np.ndarray, along: np.ndarray) -> float | None:
    one, other = pairs.T
    together = regions[one] == regions[other]
    in_order = np.count_nonzero((along[one] < along[other]) & together)
    return in_order / np.count_nonzero(together) if together.any() else None


def _mirrored(pairs: np.ndarray, regions: np.ndarray, middles: np.ndarray, sizes: np.ndarray) -> float | None:
    if not len(pairs):
        return None
    one, other = pairs.T
    seen = middles[one] * (-1.0, 1.0) + sizes[one] * (1.0, 0.0)  # where its mirror image is
    off = lengths(*((seen - middles[other]) / (sizes[one] / 2)).T)
    return total(np.where(regions[one] == regions[other], np.maximum(0.0, 1.0 - off), 0.0)) / len(pairs)


def _close(pairs: np.ndarray, regions: np.ndarray, middles: np.ndarray, sizes: np.ndarray) -> float | None:
    if not len(pairs):
        return None
    one, other = pairs.T
    apart = lengths(*(middles[one] - middles[other]).T) / lengths(*sizes[one].T)
    return total(np.where(regions[one] == regions[other], 1.0 - np.minimum(1.0, apart), 0.0)) / len(pairs)
