"""Compaction: grow a layout to the last hundredth by sliding all bodies at once until nothing gives any more.

In: bodies, a layout that nearly fits, containers and clearance. Out: a layout of the same arrangement and the factor by
which all bodies can be multiplied (about their middles) so that it fits exactly; below 1 if they have to shrink. Apart
because it is continuous and exact where the separation is coarse. Each step finds, for all convex pieces that are near
one another, the direction that keeps them apart best, and solves a linear program: the largest factor, with every pair
kept apart in its direction. Such a step can only err towards too small, so every layout on the way fits. The prices of
the last program tell which items stand in the way of a larger factor.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from boardmaker.packing.bodies import Bodies, Body, Layout
from boardmaker.packing.container import Container
from boardmaker.packing.linear_program import SparseRows, maximise
from boardmaker.packing.settings import COMPACTION
from boardmaker.packing.shapes import Floats, padded

Numbers = NDArray[np.int64]

_RowsOfPairs = tuple[Numbers, Floats, Floats]  # columns, values and limits of some rows


@dataclass(frozen=True)
class ConvexPieces:
    """All convex pieces of a container's bodies and forbidden areas.

    `owner` is the number of an item, or -1 for what stands still; its corners are relative to that item's middle.
    """

    corners: Floats  # (pieces, corners, 2)
    normals: Floats  # of the side after each corner, (pieces, corners, 2); nan where the side has no length
    owner: Numbers  # (pieces,)
    extent: Floats  # how far a piece reaches from its item's middle along an axis, (pieces,); 0 where it stands still
    strangers: NDArray[np.bool_]  # of which two pieces the places count, each two once, (pieces, pieces)


class Compacted(NamedTuple):
    """A layout, the factor at which it fits (0: not at all), and the items in the way of a larger one."""

    layout: Layout
    factor: float
    critical: tuple[int, ...]


def compact(
    bodies: Bodies,
    layout: Layout,
    containers: Sequence[Container],
    clearance: float,
    *,
    first: float = 1.0,
    ceiling: float = np.inf,
    wanted: float = 0.0,
) -> Compacted:
    """Slide and grow, beginning with the factor `first`, until nothing gives or the factor is `ceiling`.

    It gives up where a factor above `wanted` is not in sight.
    """
    model = _Model(bodies, layout, containers, clearance, ceiling, wanted)
    state = _CompactionState(layout.middles, min(first, ceiling), COMPACTION.first_step)
    for _ in range(COMPACTION.steps):
        state = model.step(state)
        if state.over:
            break
    compacted = Layout(layout.containers, layout.poses, state.middles)
    return Compacted(compacted, state.factor if state.fits else 0.0, state.critical)


@dataclass(frozen=True)
class _CompactionState:
    """How far a compaction has come: places, factor, length of the next step (mm), and whether all fits so."""

    middles: Floats
    factor: float
    step: float
    fits: bool = False
    critical: tuple[int, ...] = ()
    over: bool = False


class _Model:
    """What does not change during a compaction: pieces, containers, clearance and what is asked for."""

    def __init__(
        self,
        bodies: Bodies,
        layout: Layout,
        containers: Sequence[Container],
        clearance: float,
        ceiling: float,
        wanted: float,
    ) -> None:
        self._containers, self._clearance = containers, clearance
        self._ceiling, self._wanted = ceiling, wanted
        self._bodies = [bodies[item][pose] for item, pose in enumerate(layout.poses)]
        self._inside = [
            np.array([item for item, where in enumerate(layout.containers) if where == number], dtype=np.int64)
            for number in range(len(containers))
        ]
        inside = list(zip(containers, self._inside, strict=True))
        self._fine = [_pieces_in(container, items, self._bodies, rough=False) for container, items in inside]
        self._rough = [_pieces_in(container, items, self._bodies, rough=True) for container, items in inside]

    def step(self, state: _CompactionState) -> _CompactionState:
        """Slide once; from smaller bodies where a step's rows cannot all hold and nothing fits yet."""
        rows, ceiling = self._rows(state), self._ceiling
        if state.factor >= ceiling - COMPACTION.enough and np.all(rows.limits >= 0):
            return replace(state, fits=True, over=True)
        slide, change, holds, critical = self._solved(rows, state)
        state = replace(state, critical=critical)
        if not holds and not state.fits:
            factor = state.factor * COMPACTION.shrink
            return replace(state, factor=factor, over=factor < self._wanted * COMPACTION.hopeless)
        if holds:
            state = replace(state, middles=state.middles + slide, factor=state.factor + change, fits=True)
        no_gain = COMPACTION.gain * state.step
        step = state.step / 4 if not holds or abs(change) < no_gain else state.step
        factor = ceiling if state.factor >= ceiling - COMPACTION.enough else state.factor
        hoped = factor + COMPACTION.hope * max(abs(change), COMPACTION.gain * step)
        over = step < COMPACTION.last_step or factor == ceiling or hoped <= self._wanted
        return replace(state, factor=factor, step=step, over=over)

    def _solved(self, rows: SparseRows, state: _CompactionState) -> tuple[Floats, float, bool, tuple[int, ...]]:
        """The slide of all items, the change of the factor, whether all rows hold then, and who is in the way."""
        count = len(state.middles)
        rows = _capped(rows, 2 * count, min(COMPACTION.growth * state.step, self._ceiling - state.factor))
        gain = np.zeros(2 * count + 1)
        gain[-1] = 1.0
        box = np.full(2 * count + 1, state.step)
        box[-1] = COMPACTION.loss
        best, prices = maximise(gain, rows, box)
        holds = bool(np.all(rows.times(best) <= rows.limits + COMPACTION.true))
        return best[:-1].reshape(count, 2), float(best[-1]), holds, _held_by(rows, prices, count)

    def _rows(self, state: _CompactionState) -> SparseRows:
        parts = [self._wall_rows(number, state) for number in range(len(self._containers))]
        parts += [self._pair_rows(number, state) for number in range(len(self._containers))]
        return SparseRows(*(np.concatenate(column) for column in zip(*parts, strict=True)))

    def _wall_rows(self, number: int, state: _CompactionState) -> _RowsOfPairs:
        """Every item's support within every wall that it can reach."""
        container, items = self._containers[number], self._inside[number]
        support = np.array([np.max(self._bodies[item].ring @ container.normals.T, axis=0) for item in items])
        support = support.reshape(-1, len(container.normals))
        limits = container.offsets - state.middles[items] @ container.normals.T - state.factor * support
        item, wall = np.nonzero(limits < _slack(state.step, support))
        still = np.full(len(item), -1)
        count = len(state.middles)
        return _rows_of(items[item], still, container.normals[wall], support[item, wall], limits[item, wall], count)

    def _pair_rows(self, number: int, state: _CompactionState) -> _RowsOfPairs:
        """Every two near pieces apart in the direction that parts them best."""
        pieces = (self._rough if state.step > COMPACTION.fine_step else self._fine)[number]
        one, other = self._near(pieces, state)
        fixed = pieces.owner[other] < 0
        wanted = np.where(fixed, self._containers[number].margin, self._clearance)
        normals = _directions(pieces, one, other, *(_corners(pieces, side, state) for side in (one, other)))
        forward = np.max(np.einsum("nkd,nvd->nkv", normals, pieces.corners[one]), axis=2)
        backward = np.min(np.einsum("nkd,nvd->nkv", normals, pieces.corners[other]), axis=2)
        growth = np.where(fixed[:, None], forward, forward - backward)
        still = np.where(fixed[:, None], backward, 0.0)
        away = _middles(pieces, other, state) - _middles(pieces, one, state)
        limits = np.einsum("nkd,nd->nk", normals, away) + still - state.factor * growth - wanted[:, None]
        best = np.argmax(np.nan_to_num(limits, nan=-np.inf), axis=1)
        pick = np.arange(len(best))
        limits, growth, normals = limits[pick, best], growth[pick, best], normals[pick, best]
        near = limits < _slack(state.step, growth)
        mine, theirs = pieces.owner[one][near], pieces.owner[other][near]
        return _rows_of(mine, theirs, normals[near], growth[near], limits[near], len(state.middles))

    def _near(self, pieces: ConvexPieces, state: _CompactionState) -> tuple[Numbers, Numbers]:
        """Numbers of all pairs of pieces of different owners whose boxes could come too close in one step."""
        corners = _corners(pieces, np.arange(len(pieces.owner)), state)
        wanted = max(self._clearance, *(container.margin for container in self._containers))
        reach = (wanted / 2 + state.step + COMPACTION.growth * state.step * pieces.extent)[:, None]
        low, high = corners.min(axis=1) - reach, corners.max(axis=1) + reach
        near = pieces.strangers.copy()
        for axis in (0, 1):
            near &= low[:, axis] < high[:, axis, None]
            near &= low[:, axis, None] < high[:, axis]
        one, other = np.nonzero(near)
        return one, other


def _pieces_in(container: Container, items: Numbers, bodies: Sequence[Body], *, rough: bool) -> ConvexPieces:
    chosen = ((item, bodies[item]) for item in items.tolist())
    pairs = [(item, piece) for item, body in chosen for piece in (body.rough_pieces if rough else body.pieces)]
    pairs += [(-1, piece) for area in container.forbidden for piece in area.pieces]
    corners = padded([piece for _, piece in pairs]) if pairs else np.zeros((0, 3, 2))
    sides = np.roll(corners, -1, axis=1) - corners
    lengths = np.hypot(sides[..., 0], sides[..., 1])[..., None]
    with np.errstate(invalid="ignore"):
        normals = np.stack([sides[..., 1], -sides[..., 0]], axis=-1) / lengths
    owner = np.array([owner for owner, _ in pairs], dtype=np.int64)
    extent = np.where(owner < 0, 0.0, np.max(np.abs(corners), axis=(1, 2)))
    strangers = (owner[:, None] >= 0) & ((owner[:, None] < owner[None, :]) | (owner[None, :] < 0))
    return ConvexPieces(corners, normals, owner, extent, strangers)


def _middles(pieces: ConvexPieces, chosen: Numbers, state: _CompactionState) -> Floats:
    """Where the items of chosen pieces are; the origin for what stands still."""
    owner = pieces.owner[chosen]
    return np.where(owner[:, None] < 0, 0.0, state.middles[owner])


def _corners(pieces: ConvexPieces, chosen: Numbers, state: _CompactionState) -> Floats:
    """The corners of chosen pieces where they lie now."""
    size = np.where(pieces.owner[chosen] < 0, 1.0, state.factor)
    return pieces.corners[chosen] * size[:, None, None] + _middles(pieces, chosen, state)[:, None, :]


def _rows_of(one: Numbers, other: Numbers, normals: Floats, growth: Floats, limits: Floats, items: int) -> _RowsOfPairs:
    """Rows `normal @ (slide of one - slide of other) + growth * change <= limit`; `other` -1 stands still."""
    moves = (other >= 0)[:, None]
    other = np.maximum(other, 0)
    last = np.full(len(one), 2 * items)
    columns = np.stack([2 * one, 2 * one + 1, 2 * other, 2 * other + 1, last], axis=1).astype(np.int64)
    values = np.concatenate([normals, np.where(moves, -normals, 0.0), growth[:, None]], axis=1)
    return columns, values, limits


def _held_by(rows: SparseRows, prices: Floats, items: int) -> tuple[int, ...]:
    """The items in the rows that cost something."""
    dear = prices > COMPACTION.priced * np.max(prices, initial=0.0)
    moved = rows.columns[dear][rows.values[dear] != 0.0]
    return tuple(np.unique(moved[moved < 2 * items] // 2).tolist())


def _capped(rows: SparseRows, column: int, most: float) -> SparseRows:
    """The rows and one more: that column at most so much."""
    width = rows.columns.shape[1]
    last = np.zeros((1, width))
    last[0, 0] = 1.0
    columns = np.concatenate([rows.columns, np.full((1, width), column)])
    return SparseRows(columns, np.concatenate([rows.values, last]), np.append(rows.limits, most))


def _directions(pieces: ConvexPieces, one: Numbers, other: Numbers, corners: Floats, others: Floats) -> Floats:
    """Unit directions that may part two pieces: their sides' normals, and from nearest corner to nearest corner."""
    across = others[:, None, :, :] - corners[:, :, None, :]
    across = across.reshape(len(one), corners.shape[1] * others.shape[1], 2)
    squares = np.sum(across * across, axis=-1)
    nearest = np.argmin(squares, axis=1)
    between = across[np.arange(len(one)), nearest]
    with np.errstate(invalid="ignore"):
        between = between / np.hypot(between[:, 0], between[:, 1])[:, None]
    return np.concatenate([pieces.normals[one], -pieces.normals[other], between[:, None, :]], axis=1)


def _slack(step: float, growth: Floats) -> Floats:
    """The most that the left side of a row can become: beyond it, the row cannot bind in this step."""
    slack: Floats = 3 * step + COMPACTION.growth * step * np.abs(growth)
    return slack
