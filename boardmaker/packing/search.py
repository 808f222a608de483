"""Guided local search on a grid: move one item at a time to where it overlaps least, and learn which overlaps are stubborn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from boardmaker.packing.room import Room
from boardmaker.packing.shapes import Floats
from boardmaker.packing.tables import Costs, Footprint, Tables, footprint_of

FORBIDDEN = np.float32(1e12)


@dataclass(frozen=True)
class Spot:
    room: int
    pose: int
    node: tuple[int, int]


@dataclass(frozen=True)
class Space:
    """Where the middle of one pose may be in one room."""

    blocked: Costs
    first: tuple[int, int]


class Arena:
    """All that stays the same while items move."""

    def __init__(self, bodies: Sequence[Sequence[Floats]], rooms: Sequence[Room], clearance: float, pitch: float) -> None:
        self.rooms, self.pitch, self.clearance = tuple(rooms), pitch, clearance
        self.bodies = bodies
        self.numbers: list[tuple[int, ...]] = []
        prints: list[Footprint] = []
        for poses in bodies:
            self.numbers.append(tuple(range(len(prints), len(prints) + len(poses))))
            prints += [footprint_of(ring, clearance / 2, pitch) for ring in poses]
        self.tables = Tables(prints)
        self.prints = prints
        self.factor = 1.0
        self.rescale(1.0)

    def rescale(self, factor: float) -> None:
        """Bodies and cells `factor` times as large in the same rooms."""
        self.factor = factor
        self.spaces = [
            [[_space(room, ring * factor, self.pitch * factor) for ring in poses] for poses in self.bodies]
            for room in self.rooms
        ]


def _space(room: Room, ring: Floats, pitch: float) -> Space | None:
    reach = room.offsets - np.max(ring @ room.normals.T, axis=0) - room.normals @ room.low  # n @ p <= reach
    low, high = ring.min(axis=0), ring.max(axis=0)
    first = np.ceil((-low) / pitch - .5).astype(int)
    last = np.floor((room.size - high) / pitch + .5).astype(int)
    if np.any(last < first):
        return None
    columns, rows = np.arange(first[0], last[0] + 1) * pitch, np.arange(first[1], last[1] + 1) * pitch
    free = np.ones((len(rows), len(columns)), dtype=bool)
    for normal, most in zip(room.normals, reach, strict=True):
        free &= normal[0] * columns + normal[1] * rows[:, None] <= most + pitch * 0.5
    if not free.any():
        return None
    r, c = np.flatnonzero(free.any(axis=1)), np.flatnonzero(free.any(axis=0))
    free = free[r[0]:r[-1] + 1, c[0]:c[-1] + 1]
    return Space(np.where(free, np.float32(0), FORBIDDEN), (int(first[0] + c[0]), int(first[1] + r[0])))


class Search:
    def __init__(self, arena: Arena, spots: Sequence[Spot], rng: np.random.Generator) -> None:
        self.arena, self.rng = arena, rng
        self.spots = list(spots)
        n = len(spots)
        self.weights = np.ones((n, n))
        self.scratch = np.empty(200000, dtype=np.float32)
        self.maps = np.empty(200000, dtype=np.float32)
        self.work = 0
        self.remeasure()

    def remeasure(self) -> None:
        n = len(self.spots)
        self.overlaps = np.zeros((n, n))
        for i in range(n):
            self.measure(i)

    def measure(self, i: int) -> None:
        spot = self.spots[i]
        me = self.arena.numbers[i][spot.pose]
        for j, other in enumerate(self.spots):
            value = 0.0
            if j != i and other.room == spot.room:
                table = self.arena.tables.between(self.arena.numbers[j][other.pose], me)
                x = spot.node[0] - other.node[0] - table.first[0]
                y = spot.node[1] - other.node[1] - table.first[1]
                if 0 <= y < table.overlap.shape[0] and 0 <= x < table.overlap.shape[1]:
                    value = float(table.overlap[y, x])
            self.overlaps[i, j] = self.overlaps[j, i] = value

    def cost_map(self, i: int, room: int, pose: int) -> Costs | None:
        space = self.arena.spaces[room][i][pose]
        if space is None:
            return None
        me = self.arena.numbers[i][pose]
        rows, columns = space.blocked.shape
        total = self.maps[: rows * columns].reshape(rows, columns)
        np.copyto(total, space.blocked)
        fx, fy = space.first
        for j, spot in enumerate(self.spots):
            if j == i or spot.room != room:
                continue
            table = self.arena.tables.between(self.arena.numbers[j][spot.pose], me)
            x0 = spot.node[0] + table.first[0] - fx
            y0 = spot.node[1] + table.first[1] - fy
            height, width = table.overlap.shape
            l, r = max(x0, 0), min(x0 + width, columns)
            b, t = max(y0, 0), min(y0 + height, rows)
            if l >= r or b >= t:
                continue
            part = self.scratch[: (r - l) * (t - b)].reshape(t - b, r - l)
            np.multiply(table.overlap[b - y0 : t - y0, l - x0 : r - x0], np.float32(self.weights[i, j]), out=part)
            total[b:t, l:r] += part
            self.work += (r - l) * (t - b)
        self.work += rows * columns
        return total

    def move(self, i: int) -> None:
        best = None
        for room in range(len(self.arena.rooms)):
            for pose in range(len(self.arena.numbers[i])):
                total = self.cost_map(i, room, pose)
                if total is None:
                    continue
                at = int(total.argmin())
                value = float(total.flat[at])
                if best is None or value < best[0]:
                    if value == 0:
                        zeros = np.flatnonzero(total.ravel() == 0)
                        at = int(zeros[self.rng.integers(len(zeros))])
                    y, x = divmod(at, total.shape[1])
                    first = self.arena.spaces[room][i][pose].first
                    best = value, Spot(room, pose, (x + first[0], y + first[1]))
        if best is not None:
            self.spots[i] = best[1]
            self.measure(i)

    def separate(self, work: int, patience: int = 60) -> bool:
        n = len(self.spots)
        limit = self.work + work
        best, stale = np.inf, 0
        self.best = list(self.spots)
        while self.work < limit:
            troubled = np.flatnonzero(self.overlaps.sum(axis=1) > 0)
            for i in self.rng.permutation(troubled).tolist():
                if self.overlaps[i].sum() > 0:
                    self.move(i)
            total = self.overlaps.sum()
            if total == 0:
                self.best = list(self.spots)
                return True
            if total < best * 0.999:
                best, stale = total, 0
                self.best = list(self.spots)
            else:
                stale += 1
                if stale > patience:
                    return False
            top = self.overlaps.max()
            self.weights = np.where(self.overlaps > 0, self.weights * (1.2 + 0.8 * self.overlaps / top), np.maximum(1, self.weights * 0.95))
        return False
