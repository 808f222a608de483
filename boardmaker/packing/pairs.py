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
from boardmaker.packing.convex_pieces import ConvexPieces, farthest
from boardmaker.packing.shapes import Floats

Numbers = NDArray[np.int64]


def strangers_in_contact(
    across: tuple[Floats, Floats], up: tuple[Floats, Floats], owner: Numbers
) -> tuple[Numbers, Numbers]:
    """The numbers of all two boxes of different owners that overlap, from their (low, high) both ways.

    The smaller number first, in order. Boxes of an owner stand one after the other. Only boxes that each overlap the
    box around all of the other's owner are looked at.
    """
    first = np.flatnonzero(np.diff(owner, prepend=owner[:1] - 1))
    counts = np.diff(first, append=len(owner))
    groups = np.arange(len(first))
    group = np.repeat(groups, counts)
    near = np.ones((len(owner), len(first)), dtype=bool)
    for low, high in (across, up):
        lowest, highest = np.minimum.reduceat(low, first), np.maximum.reduceat(high, first)
        near &= (low[:, None] < highest) & (lowest < high[:, None])
    one, theirs = np.nonzero(near & (group[:, None] < groups))
    sizes = counts[theirs]
    other = np.arange(int(sizes.cumsum()[-1]) if len(sizes) else 0) + np.repeat(
        first[theirs] - (sizes.cumsum() - sizes), sizes
    )
    one = np.repeat(one, sizes)
    likely = near[other, group[one]]
    one, other = one[likely], other[likely]
    touch = np.ones(len(one), dtype=bool)
    for low, high in (across, up):
        touch &= (low[one] < high[other]) & (low[other] < high[one])
    return one[touch], other[touch]


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
        sides = self.pieces.by_corner
        across, up = sides.across[:, self.one], sides.up[:, self.one]
        return self._best(across, up, sides.reach[:, self.one], self._nearest(self.other, across, up))

    def along_sides_of_other(self) -> Partings:
        """Along the best normal of a side of the second piece, turned round."""
        sides = self.pieces.by_corner
        across, up = -sides.across[:, self.other], -sides.up[:, self.other]
        return self._best(across, up, self._farthest(self.one, across, up), -sides.reach[:, self.other])

    def along_shortest_way(self) -> Partings:
        """From nearest corner to nearest corner, as they lie now; along x where the two meet."""
        size, corners = np.where(self.fixed, 1.0, self.factor), self.pieces.by_corner
        own_x, own_y = (
            of[:, self.one] * self.factor + mine for of, mine in zip((corners.x, corners.y), self.at, strict=True)
        )
        their_x, their_y = (
            of[:, self.other] * size + at for of, at in zip((corners.x, corners.y), self.other_at, strict=True)
        )
        squares = np.empty((len(own_x), *their_x.shape))
        for corner in range(len(own_x)):
            x, y = their_x - own_x[corner], their_y - own_y[corner]
            np.add(x * x, y * y, out=squares[corner])
        count = len(self.one)
        nearest, pick = np.argmin(squares.reshape(squares.shape[0] * squares.shape[1], count), axis=0), np.arange(count)
        mine, theirs = np.divmod(nearest, len(their_x))
        x, y = their_x[theirs, pick] - own_x[mine, pick], their_y[theirs, pick] - own_y[mine, pick]
        length = lengths(x, y)
        across = np.divide(x, length, out=np.ones(count), where=length > 0)[None]
        up = np.divide(y, length, out=np.zeros(count), where=length > 0)[None]
        return self._best(across, up, self._farthest(self.one, across, up), self._nearest(self.other, across, up))

    def _best(self, across: Floats, up: Floats, forward: Floats, backward: Floats) -> Partings:
        """Of several directions for each pair, (directions, pairs), the one that parts it best.

        `forward` is how far the first piece reaches along each, `backward` where the second one begins.
        """
        away_x, away_y = (theirs - mine for mine, theirs in zip(self.at, self.other_at, strict=True))
        growth = np.where(self.fixed, forward, forward - backward)
        limits = across * away_x + up * away_y
        limits = limits + np.where(self.fixed, backward, 0.0) - self.factor * growth - self.wanted
        best = np.argmax(limits, axis=0)
        pick = np.arange(len(best))
        return Partings(across[best, pick], up[best, pick], growth[best, pick], limits[best, pick])

    def _farthest(self, side: Numbers, across: Floats, up: Floats) -> Floats:
        """How far pieces reach along directions, (directions, pairs)."""
        corners = self.pieces.by_corner
        return farthest(across, up, corners.x[:, side], corners.y[:, side])

    def _nearest(self, side: Numbers, across: Floats, up: Floats) -> Floats:
        """Where pieces begin along directions, (directions, pairs)."""
        return -self._farthest(side, -across, -up)
