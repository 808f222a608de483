"""Pairs of convex pieces, and how far apart they are along directions that may part them.

In: pieces, which two make a pair, and how their items lie to each other. Out: for each pair and kind of direction the
best one, as the numbers of a row of a linear program. Apart because it is the inner loop of compaction: nothing but
arrays. Two convex pieces that do not overlap are parted best along the normal of a side of one of them, or from nearest
corner to nearest corner.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from boardmaker.fixed_order import lengths
from boardmaker.packing.convex_pieces import ConvexPieces
from boardmaker.packing.shapes import Floats

Numbers = NDArray[np.int64]


def boxes_in_contact(across: tuple[Floats, Floats], up: tuple[Floats, Floats]) -> tuple[Numbers, Numbers]:
    """The numbers of all two boxes that overlap, smaller number first, in order, from their (low, high) both ways.

    By a sweep along x: only boxes that begin before another one ends are looked at. All boxes have some extent.
    """
    low, high = across
    order = np.argsort(low, kind="stable")
    behind = np.searchsorted(low[order], high[order], side="left") - np.arange(1, len(order) + 1)
    first = np.repeat(np.arange(len(order)), behind)
    second = first + 1 + np.arange(len(first)) - np.repeat(np.cumsum(behind) - behind, behind)
    one, other = order[first], order[second]
    near = (up[0][one] < up[1][other]) & (up[0][other] < up[1][one])
    one, other = one[near], other[near]
    one, other = np.minimum(one, other), np.maximum(one, other)
    order = np.lexsort((other, one))
    return one[order], other[order]


@dataclass(frozen=True)
class Partings:
    """A unit direction for each pair, and the row it makes; all (pairs,).

    The pair stays apart along it while the two slide towards each other by no more than `limits` mm less `growth` times
    the change of the factor.
    """

    across: Floats
    up: Floats
    growth: Floats
    limits: Floats

    def chosen(self, numbers: Numbers) -> Partings:
        """Those of some pairs."""
        return Partings(*(getattr(self, field.name)[numbers] for field in fields(Partings)))

    def or_better(self, other: Partings) -> Partings:
        """For each pair the direction of the two along which it is farther apart."""
        better = other.limits > self.limits
        own, others = ([getattr(one, field.name) for field in fields(Partings)] for one in (self, other))
        return Partings(*(np.where(better, theirs, mine) for mine, theirs in zip(own, others, strict=True)))


@dataclass(frozen=True)
class Pairs:
    """Pairs of pieces `one` and `other`, whose items' middles are at `at` and `other_at` (x, y).

    Pieces of items are `factor` times as large as given. Where `fixed`, the other one stands still at its size.
    `wanted` mm are to be between the two.
    """

    pieces: ConvexPieces
    one: Numbers
    other: Numbers
    fixed: NDArray[np.bool_]
    at: tuple[Floats, Floats]
    other_at: tuple[Floats, Floats]
    wanted: Floats
    factor: float

    def chosen(self, numbers: Numbers) -> Pairs:
        """Some of the pairs."""
        at, other_at = ((x[numbers], y[numbers]) for x, y in (self.at, self.other_at))
        one, other, fixed = self.one[numbers], self.other[numbers], self.fixed[numbers]
        return Pairs(self.pieces, one, other, fixed, at, other_at, self.wanted[numbers], self.factor)

    def along_sides_of_one(self) -> Partings:
        """Along the best normal of a side of the first piece."""
        return self._best(self.pieces.across[self.one], self.pieces.up[self.one])

    def along_sides_of_other(self) -> Partings:
        """Along the best normal of a side of the second piece, turned round."""
        return self._best(-self.pieces.across[self.other], -self.pieces.up[self.other])

    def along_shortest_way(self) -> Partings:
        """From nearest corner to nearest corner, as they lie now; along x where the two meet."""
        size = np.where(self.fixed, 1.0, self.factor)[:, None]
        x, y = (
            (corners[self.other] * size + theirs[:, None])[:, None, :]
            - (corners[self.one] * self.factor + mine[:, None])[:, :, None]
            for corners, mine, theirs in zip((self.pieces.x, self.pieces.y), self.at, self.other_at, strict=True)
        )
        count, corners = len(x), x.shape[1] * x.shape[2]
        x, y = x.reshape(count, corners), y.reshape(count, corners)
        nearest = np.argmin(x * x + y * y, axis=1)
        pick = np.arange(count)
        x, y = x[pick, nearest], y[pick, nearest]
        length = lengths(x, y)
        across = np.divide(x, length, out=np.ones(count), where=length > 0)[:, None]
        up = np.divide(y, length, out=np.zeros(count), where=length > 0)[:, None]
        return self._best(across, up)

    def _best(self, across: Floats, up: Floats) -> Partings:
        """Of several directions for each pair, (pairs, directions), the one that parts it best."""
        forward, backward = self._reach(self.one, across, up), -self._reach(self.other, -across, -up)
        away_x, away_y = (theirs - mine for mine, theirs in zip(self.at, self.other_at, strict=True))
        still = self.fixed[:, None]
        growth = np.where(still, forward, forward - backward)
        limits = across * away_x[:, None] + up * away_y[:, None]
        limits = limits + np.where(still, backward, 0.0) - self.factor * growth - self.wanted[:, None]
        best = np.argmax(limits, axis=1)
        pick = np.arange(len(best))
        return Partings(across[pick, best], up[pick, best], growth[pick, best], limits[pick, best])

    def _reach(self, side: Numbers, across: Floats, up: Floats) -> Floats:
        """How far pieces reach along directions, (pairs, directions)."""
        x, y = self.pieces.x[side][:, None, :], self.pieces.y[side][:, None, :]
        reach: Floats = np.max(across[:, :, None] * x + up[:, :, None] * y, axis=2)
        return reach
