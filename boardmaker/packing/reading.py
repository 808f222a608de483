"""How well an arrangement reads: what the items would like, and how much of that they have.

In: relations, and how each item lies. Out: a share (0 to 1) for each kind of relation. Apart because it is a measure,
not a search: the search that improves it and the summary that prints it both ask here.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from boardmaker.fixed_order import lengths, total
from boardmaker.packing.problem import Half, Point, Relations

HALVES: dict[Half, tuple[float, float]] = {"left": (0.0, 0.5), "right": (0.5, 1.0), "middle": (0.25, 0.75)}
_HAIR = 1e-9  # of a width: rounding


@dataclass(frozen=True)
class Reading:
    """Shares from 0 to 1, None where no items have such a relation.

    `side`: of the items that belong into a half of their region, those that are in it; one of the left half is right
    as well in a region without any of the right half, and the reverse. `height`: of the pairs in one region that should
    lie below and above each other, those that do. `ends`: the same for left and right. `twins`: 1 where an item lies
    where the other would be seen in a mirror in the region's middle, falling to 0 at half the region's width or height
    away; 0 in different regions. `upright`: items at turn 0.
    """

    side: float | None
    height: float | None
    ends: float | None
    twins: float | None
    upright: float | None

    @property
    def shares(self) -> dict[str, float]:
        """The shares that there are, by name."""
        return {name: share for name, share in vars(self).items() if share is not None}

    @property
    def total(self) -> float:
        """The mean of the shares that there are; 1 where there are none."""
        shares = list(self.shares.values())
        return math.fsum(shares) / len(shares) if shares else 1.0


@dataclass(frozen=True)
class Spread:
    """How the items lie: region and middle of each, in mm from its region's lower left, the regions' sizes, turns."""

    regions: Sequence[int]
    middles: np.ndarray
    sizes: Sequence[Point]
    turns_deg: Sequence[int]


class RelationsReader:
    """Measures arrangements of the same items again and again."""

    def __init__(self, keys: Sequence[str], relations: Relations) -> None:
        numbers = {key: number for number, key in enumerate(keys)}
        self._below, self._left, self._twins = (
            np.array([(numbers[one], numbers[other]) for one, other in pairs], dtype=int).reshape(-1, 2)
            for pairs in (relations.below, relations.left_of, relations.twins)
        )
        self._halves = [(numbers[key], half) for key, half in relations.halves]
        self._upright = [numbers[key] for key in relations.upright]

    def read(self, spread: Spread) -> Reading:
        """Return how well this arrangement reads."""
        regions = np.asarray(spread.regions)
        sizes = np.asarray(spread.sizes, dtype=float)[regions]
        upright = [spread.turns_deg[item] == 0 for item in self._upright]
        return Reading(
            self._in_halves(regions, spread.middles[:, 0] / sizes[:, 0], len(spread.sizes)),
            _in_order(self._below, regions, spread.middles[:, 1]),
            _in_order(self._left, regions, spread.middles[:, 0]),
            _mirrored(self._twins, regions, spread.middles, sizes),
            sum(upright) / len(upright) if upright else None,
        )

    def _in_halves(self, regions: np.ndarray, across: np.ndarray, count: int) -> float | None:
        if not self._halves:
            return None
        there = {(int(regions[item]), half) for item, half in self._halves}
        right = 0
        for item, half in self._halves:
            low, high = HALVES[half]
            other: Half = "right" if half == "left" else "left"
            alone = count > 1 and half != "middle" and (int(regions[item]), other) not in there
            right += alone or bool(low - _HAIR <= across[item] <= high + _HAIR)
        return right / len(self._halves)


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
