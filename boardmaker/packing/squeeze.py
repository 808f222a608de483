"""Grow a layout to the last hundredth: slide all bodies at once until nothing gives any more.

In: bodies, a layout that nearly fits, rooms and clearance. Out: a layout of the same arrangement and the factor by
which all bodies can be multiplied (about their middles) so that it fits exactly; below 1 if they have to shrink. Apart
because it is continuous and exact where the search is coarse. Each step finds, for all convex pieces that are near one
another, the direction that keeps them apart best, and solves a linear programme: the largest factor, with every pair
kept apart in its direction. Such a step can only err towards too small, so every layout on the way fits. The prices of
the last programme tell which items stand in the way of a larger factor.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from boardmaker.packing.bodies import Bodies, Layout
from boardmaker.packing.programme import Rows, maximise
from boardmaker.packing.room import Room
from boardmaker.packing.shapes import Floats, padded

Numbers = NDArray[np.int64]

_FIRST_STEP, _LAST_STEP = 4.0, 0.05  # mm: how far a body may slide in one step
_FINE_STEP = 1.0  # mm; longer steps are taken with rough pieces: less to compute, and the next steps make up for it
_LOSS = 0.06  # by which the factor may fall in one step
_GROWTH = 0.02  # by which it may rise for each mm of step: little, so that few pieces can come near
_GAIN = 1e-4  # of the factor per mm of step: less is no progress at this length of step
_ENOUGH = 2e-7  # of the factor: so near to the ceiling is there; 0.0001 mm on half a metre
_TRUE = 1e-4  # mm by which a row may fail; the surplus of the clearance covers it
_SHRINK = 0.96
_STEPS = 40
_HOPE = 15  # times the last gain: more is not to be expected of all steps to come
_HOPELESS = 0.95  # of the wanted factor: where bodies that small do not fit yet

_PRICED = 0.02  # of the highest price: what costs less hardly stands in the way

_Part = tuple[Numbers, Floats, Floats]  # columns, values and limits of some rows


@dataclass(frozen=True)
class Pieces:
    """All convex pieces of a room's bodies and obstacles.

    `owner` is the number of an item, or -1 for what stands still; its corners are relative to that item's middle.
    """

    corners: Floats  # (pieces, corners, 2)
    normals: Floats  # of the side after each corner, (pieces, corners, 2); nan where the side has no length
    owner: Numbers  # (pieces,)
    extent: Floats  # how far a piece reaches from its item's middle along an axis, (pieces,); 0 where it stands still
    strangers: NDArray[np.bool_]  # of which two pieces the places count, each two once, (pieces, pieces)


class Squeezed(NamedTuple):
    """A layout, the factor at which it fits (0: not at all), and the items in the way of a larger one."""

    layout: Layout
    factor: float
    critical: tuple[int, ...]


def squeeze(
    bodies: Bodies,
    layout: Layout,
    rooms: Sequence[Room],
    clearance: float,
    *,
    first: float = 1.0,
    ceiling: float = np.inf,
    wanted: float = 0.0,
) -> Squeezed:
    """Slide and grow, beginning with the factor `first`, until nothing gives or the factor is `ceiling`.

    It gives up where a factor above `wanted` is not in sight.
    """
    return _Crowd(bodies, layout, rooms, clearance).grow(first, ceiling, wanted)


class _Crowd:
    """Pieces and positions on their way to the largest factor."""

    def __init__(self, bodies: Bodies, layout: Layout, rooms: Sequence[Room], clearance: float) -> None:
        self._layout, self._rooms, self._clearance = layout, rooms, clearance
        self._bodies = [bodies[item][pose] for item, pose in enumerate(layout.poses)]
        self._fine = [self._pieces_in(number, room, rough=False) for number, room in enumerate(rooms)]
        self._rough = [self._pieces_in(number, room, rough=True) for number, room in enumerate(rooms)]
        self._middles = layout.middles.copy()
        self._critical: tuple[int, ...] = ()

    def _pieces_in(self, number: int, room: Room, *, rough: bool) -> Pieces:
        inside = [item for item, where in enumerate(self._layout.rooms) if where == number]
        bodies = ((item, self._bodies[item]) for item in inside)
        pairs = [(item, piece) for item, body in bodies for piece in (body.rough_pieces if rough else body.pieces)]
        pairs += [(-1, piece) for obstacle in room.obstacles for piece in obstacle.pieces]
        corners = padded([piece for _, piece in pairs]) if pairs else np.zeros((0, 3, 2))
        sides = np.roll(corners, -1, axis=1) - corners
        with np.errstate(invalid="ignore"):
            normals = (
                np.stack([sides[..., 1], -sides[..., 0]], axis=-1) / np.hypot(sides[..., 0], sides[..., 1])[..., None]
            )
        owner = np.array([owner for owner, _ in pairs], dtype=np.int64)
        extent = np.where(owner < 0, 0.0, np.max(np.abs(corners), axis=(1, 2)))
        strangers = (owner[:, None] >= 0) & ((owner[:, None] < owner[None, :]) | (owner[None, :] < 0))
        return Pieces(corners, normals, owner, extent, strangers)

    def grow(self, first: float, ceiling: float, wanted: float) -> Squeezed:
        """Step until the steps are tiny; a step whose rows cannot all hold starts again from smaller bodies."""
        factor, step, fits = min(first, ceiling), _FIRST_STEP, False
        for _ in range(_STEPS):
            rows = self._rows(factor, step)
            if factor >= ceiling - _ENOUGH and np.all(rows.limits >= 0):
                fits = True
                break
            slide, change, holds = self._solve(rows, factor, step, ceiling)
            if not holds and not fits:
                factor *= _SHRINK
                if factor < wanted * _HOPELESS:
                    break
                continue
            if holds:
                self._middles, factor, fits = self._middles + slide, factor + change, True
            if not holds or abs(change) < _GAIN * step:
                step /= 4
            if fits and factor >= ceiling - _ENOUGH:
                factor = ceiling
            if step < _LAST_STEP or factor == ceiling or factor + _HOPE * max(abs(change), _GAIN * step) <= wanted:
                break
        layout = Layout(self._layout.rooms, self._layout.poses, self._middles)
        return Squeezed(layout, factor if fits else 0.0, self._critical)

    def _solve(self, rows: Rows, factor: float, step: float, ceiling: float) -> tuple[Floats, float, bool]:
        """The slide of all items and the change of the factor, and whether all rows hold then."""
        count = len(self._middles)
        rows = _capped(rows, 2 * count, min(_GROWTH * step, ceiling - factor))
        gain = np.zeros(2 * count + 1)
        gain[-1] = 1.0
        box = np.full(2 * count + 1, step)
        box[-1] = _LOSS
        best, prices = maximise(gain, rows, box)
        self._critical = _held_by(rows, prices, count)
        holds = bool(np.all(rows.times(best) <= rows.limits + _TRUE))
        return best[:-1].reshape(count, 2), float(best[-1]), holds

    def _rows(self, factor: float, step: float) -> Rows:
        parts = [self._wall_rows(number, factor, step) for number in range(len(self._rooms))]
        parts += [self._pair_rows(number, factor, step) for number in range(len(self._rooms))]
        return Rows(*(np.concatenate(column) for column in zip(*parts, strict=True)))

    def _wall_rows(self, number: int, factor: float, step: float) -> _Part:
        """Every item's support within every wall that it can reach."""
        room = self._rooms[number]
        items = np.array([item for item, where in enumerate(self._layout.rooms) if where == number], dtype=np.int64)
        support = np.array([np.max(self._bodies[item].ring @ room.normals.T, axis=0) for item in items])
        support = support.reshape(-1, len(room.normals))
        limits = room.offsets - self._middles[items] @ room.normals.T - factor * support
        item, wall = np.nonzero(limits < _slack(step, support))
        still = np.full(len(item), -1)
        return self._part(items[item], still, room.normals[wall], support[item, wall], limits[item, wall])

    def _pair_rows(self, number: int, factor: float, step: float) -> _Part:
        """Every two near pieces apart in the direction that parts them best."""
        pieces, room = (self._rough if step > _FINE_STEP else self._fine)[number], self._rooms[number]
        one, other = self._near(pieces, factor, step)
        fixed = pieces.owner[other] < 0
        wanted = np.where(fixed, room.margin, self._clearance)
        normals = _directions(pieces, one, other, *(self._corners(pieces, side, factor) for side in (one, other)))
        forward = np.max(np.einsum("nkd,nvd->nkv", normals, pieces.corners[one]), axis=2)
        backward = np.min(np.einsum("nkd,nvd->nkv", normals, pieces.corners[other]), axis=2)
        growth = np.where(fixed[:, None], forward, forward - backward)
        still = np.where(fixed[:, None], backward, 0.0)
        away = self._places(pieces, other) - self._places(pieces, one)
        limits = np.einsum("nkd,nd->nk", normals, away) + still - factor * growth - wanted[:, None]
        best = np.argmax(np.nan_to_num(limits, nan=-np.inf), axis=1)
        pick = np.arange(len(best))
        limits, growth, normals = limits[pick, best], growth[pick, best], normals[pick, best]
        near = limits < _slack(step, growth)
        mine, theirs = pieces.owner[one][near], pieces.owner[other][near]
        return self._part(mine, theirs, normals[near], growth[near], limits[near])

    def _near(self, pieces: Pieces, factor: float, step: float) -> tuple[Numbers, Numbers]:
        """Numbers of all pairs of pieces of different owners whose boxes could come too close in one step."""
        corners = self._corners(pieces, np.arange(len(pieces.owner)), factor)
        wanted = max(self._clearance, *(room.margin for room in self._rooms))
        reach = (wanted / 2 + step + _GROWTH * step * pieces.extent)[:, None]
        low, high = corners.min(axis=1) - reach, corners.max(axis=1) + reach
        near = pieces.strangers.copy()
        for axis in (0, 1):
            near &= low[:, axis] < high[:, axis, None]
            near &= low[:, axis, None] < high[:, axis]
        one, other = np.nonzero(near)
        return one, other

    def _places(self, pieces: Pieces, chosen: Numbers) -> Floats:
        owner = pieces.owner[chosen]
        return np.where(owner[:, None] < 0, 0.0, self._middles[owner])

    def _corners(self, pieces: Pieces, chosen: Numbers, factor: float) -> Floats:
        """The corners of chosen pieces where they lie now."""
        size = np.where(pieces.owner[chosen] < 0, 1.0, factor)
        return pieces.corners[chosen] * size[:, None, None] + self._places(pieces, chosen)[:, None, :]

    def _part(self, one: Numbers, other: Numbers, normals: Floats, growth: Floats, limits: Floats) -> _Part:
        """Rows `normal @ (slide of one - slide of other) + growth * change <= limit`; `other` -1 stands still."""
        moves = (other >= 0)[:, None]
        other = np.maximum(other, 0)
        last = np.full(len(one), 2 * len(self._middles))
        columns = np.stack([2 * one, 2 * one + 1, 2 * other, 2 * other + 1, last], axis=1).astype(np.int64)
        values = np.concatenate([normals, np.where(moves, -normals, 0.0), growth[:, None]], axis=1)
        return columns, values, limits


def _held_by(rows: Rows, prices: Floats, items: int) -> tuple[int, ...]:
    """The items in the rows that cost something."""
    dear = prices > _PRICED * np.max(prices, initial=0.0)
    moved = rows.columns[dear][rows.values[dear] != 0.0]
    return tuple(np.unique(moved[moved < 2 * items] // 2).tolist())


def _capped(rows: Rows, column: int, most: float) -> Rows:
    """The rows and one more: that column at most so much."""
    width = rows.columns.shape[1]
    last = np.zeros((1, width))
    last[0, 0] = 1.0
    columns = np.concatenate([rows.columns, np.full((1, width), column)])
    return Rows(columns, np.concatenate([rows.values, last]), np.append(rows.limits, most))


def _directions(pieces: Pieces, one: Numbers, other: Numbers, corners: Floats, others: Floats) -> Floats:
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
    slack: Floats = 3 * step + _GROWTH * step * np.abs(growth)
    return slack
