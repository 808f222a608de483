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

from boardmaker.fixed_order import along, lengths
from boardmaker.packing.bodies import Bodies, Body, Layout
from boardmaker.packing.container import Container
from boardmaker.packing.convex_pieces import ConvexPieces, joined
from boardmaker.packing.linear_program import SparseRows, maximise
from boardmaker.packing.pairs import Numbers, Pairs, strangers_in_contact
from boardmaker.packing.settings import COMPACTION
from boardmaker.packing.shapes import Floats

_RowsOfPairs = tuple[Numbers, Floats, Floats]  # columns, values and limits of some rows
_OUTWARD = np.array([(-1.0, 0.0), (0.0, -1.0), (1.0, 0.0), (0.0, 1.0)])  # of the sides of a fence


@dataclass(frozen=True)
class _OwnedPieces:
    """All convex pieces of a container's bodies and forbidden areas, and whose they are.

    `owner` is the number of an item, or -1 for what stands still, which comes last; corners are relative to that item's
    middle.
    """

    pieces: ConvexPieces
    owner: Numbers  # (pieces,)
    extent: Floats  # how far a piece reaches from its item's middle along an axis, (pieces,); 0 where it stands still
    radius: Floats  # how far from what its corners are relative to, (pieces,)
    spans: tuple[tuple[Floats, Floats], tuple[Floats, Floats]]  # its lowest and highest x and y, each (pieces,)


class Compacted(NamedTuple):
    """A layout, the factor at which it fits (0: not at all), and the items in the way of a larger one, if it fits."""

    layout: Layout
    factor: float
    critical: tuple[int, ...]


def compact(  # noqa: PLR0913 - all but four by keyword
    bodies: Bodies,
    layout: Layout,
    containers: Sequence[Container],
    clearance: float,
    *,
    first: float = 1.0,
    ceiling: float = np.inf,
    wanted: float = 0.0,
    fences: Floats | None = None,
) -> Compacted:
    """Slide and grow, beginning with the factor `first`, until nothing gives or the factor is `ceiling`.

    It gives up where a factor above `wanted` is not in sight. `fences`, (items, 4) mm: the least x and y and the
    largest x and y that an item's read point may have; one that is beyond already is not held.
    """
    model = _Model(bodies, layout, containers, clearance, ceiling, wanted, fences)
    state = _CompactionState(layout.middles, min(first, ceiling), COMPACTION.first_step)
    for _ in range(COMPACTION.steps):
        state = model.step(state)
        if state.over:
            break
    compacted = Layout(layout.containers, layout.poses, state.middles)
    return Compacted(compacted, state.factor, state.critical) if state.fits else Compacted(compacted, 0.0, ())


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
        fences: Floats | None,
    ) -> None:
        self._containers, self._clearance = containers, clearance
        self._fences = fences
        self._ceiling, self._wanted = ceiling, wanted
        self._bodies = [bodies[item][pose] for item, pose in enumerate(layout.poses)]
        self._reads = np.array([body.read for body in self._bodies]).reshape(-1, 2)
        self._inside = [
            np.array([item for item, where in enumerate(layout.containers) if where == number], dtype=np.int64)
            for number in range(len(containers))
        ]
        inside = list(zip(containers, self._inside, strict=True))
        self._supports = [_supports_of(container, items, self._bodies) for container, items in inside]
        self._fine = [_parts_in(container, items, self._bodies, rough=False) for container, items in inside]
        self._rough = [_parts_in(container, items, self._bodies, rough=True) for container, items in inside]

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
        if self._fences is not None:
            parts.append(self._fence_rows(self._fences, state))
        return SparseRows(*(np.concatenate(column) for column in zip(*parts, strict=True)))

    def _fence_rows(self, fences: Floats, state: _CompactionState) -> _RowsOfPairs:
        """Every item's read point within its fence, where it is within it, but for rounding, and can reach it."""
        at = state.middles + state.factor * self._reads
        limits = np.concatenate([at - fences[:, :2], fences[:, 2:] - at], axis=1)
        growth = np.concatenate([-self._reads, self._reads], axis=1)
        item, side = np.nonzero((limits >= -COMPACTION.astray) & (limits < _slack(state.step, growth)))
        limits = np.maximum(limits, 0.0)
        still = np.full(len(item), -1)
        return _rows_of(item, still, _OUTWARD[side], growth[item, side], limits[item, side], len(state.middles))

    def _wall_rows(self, number: int, state: _CompactionState) -> _RowsOfPairs:
        """Every item's support within every wall that it can reach."""
        container, items = self._containers[number], self._inside[number]
        support = self._supports[number]
        limits = container.offsets - along(state.middles[items], container.normals) - state.factor * support
        item, wall = np.nonzero(limits < _slack(state.step, support))
        still = np.full(len(item), -1)
        count = len(state.middles)
        return _rows_of(items[item], still, container.normals[wall], support[item, wall], limits[item, wall], count)

    def _pair_rows(self, number: int, state: _CompactionState) -> _RowsOfPairs:
        """Every two near pieces apart in the direction that parts them best."""
        parts = (self._rough if state.step > COMPACTION.fine_step else self._fine)[number]
        pairs = self._near(parts, state, self._containers[number].margin)
        best = pairs.along_sides_of_one()
        reach = parts.radius[pairs.one] + parts.radius[pairs.other]
        near = np.flatnonzero(best.limits < _slack(state.step, reach))
        pairs, best = pairs.chosen(near), best.chosen(near)
        best = best.or_better(pairs.along_sides_of_other()).or_better(pairs.along_shortest_way())
        near = np.flatnonzero(best.limits < _slack(state.step, best.growth))
        pairs, best = pairs.chosen(near), best.chosen(near)
        normals = np.stack([best.across, best.up], axis=1)
        mine, theirs = parts.owner[pairs.one], parts.owner[pairs.other]
        return _rows_of(mine, theirs, normals, best.growth, best.limits, len(state.middles))

    def _near(self, parts: _OwnedPieces, state: _CompactionState, margin: float) -> Pairs:
        """All pairs of pieces of different owners whose boxes could come too close in one step."""
        widest = max(self._clearance, *(container.margin for container in self._containers))
        reach = widest / 2 + state.step + COMPACTION.growth * state.step * parts.extent
        size, middles = np.where(parts.owner < 0, 1.0, state.factor), _middles(parts.owner, state)
        across, up = (
            (low * size + middles[:, axis] - reach, high * size + middles[:, axis] + reach)
            for axis, (low, high) in enumerate(parts.spans)
        )
        one, other = strangers_in_contact(across, up, parts.owner)
        fixed = parts.owner[other] < 0
        wanted = np.where(fixed, margin, self._clearance)
        at, other_at = ((middles[side, 0], middles[side, 1]) for side in (one, other))
        return Pairs(parts.pieces, one, other, fixed, at, other_at, wanted, state.factor)


def _supports_of(container: Container, items: Numbers, bodies: Sequence[Body]) -> Floats:
    """How far each body reaches towards each wall from its middle, (items, walls)."""
    supports = [np.max(along(bodies[item].ring, container.normals), axis=0) for item in items]
    return np.array(supports).reshape(-1, len(container.normals))


def _parts_in(container: Container, items: Numbers, bodies: Sequence[Body], *, rough: bool) -> _OwnedPieces:
    moving = [bodies[item].rough_pieces if rough else bodies[item].pieces for item in items]
    still = [area.pieces for area in container.forbidden]
    pieces = joined([*moving, *still])
    owner = np.repeat(np.append(items, -1), [*(len(one) for one in moving), sum(len(one) for one in still)])
    (left, right), (low, high) = spans = _span_of(pieces.x), _span_of(pieces.y)
    reach = np.maximum(np.maximum(-left, right), np.maximum(-low, high))
    radius = lengths(pieces.x, pieces.y).max(axis=1, initial=0.0)
    return _OwnedPieces(pieces, owner, np.where(owner < 0, 0.0, reach), radius, spans)


def _span_of(corners: Floats) -> tuple[Floats, Floats]:
    return corners.min(axis=1), corners.max(axis=1)


def _middles(owner: Numbers, state: _CompactionState) -> Floats:
    """Where the owners of pieces are; the origin for what stands still."""
    return np.where(owner[:, None] < 0, 0.0, state.middles[owner])


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


def _slack(step: float, growth: Floats) -> Floats:
    """The most that the left side of a row can become: beyond it, the row cannot bind in this step."""
    slack: Floats = 3 * step + COMPACTION.growth * step * np.abs(growth)
    return slack
