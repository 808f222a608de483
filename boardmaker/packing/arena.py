"""The grid on which the search moves: where each body may stand, and how much any two overlap.

In come bodies, rooms, the clearance and a pitch; out come spaces and tables. Apart because none of it changes while
bodies move. `rescale` makes bodies and cells larger together, so that the tables stay true and only the spaces are made
anew: the clearance grows along, which errs outward by a hair.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from boardmaker.packing.bodies import Bodies
from boardmaker.packing.room import Room
from boardmaker.packing.shapes import Cells, Floats
from boardmaker.packing.tables import Costs, Footprint, Table, Tables, correlated, footprint_of

FORBIDDEN = np.float32(1e12)
Node = tuple[int, int]  # column and row

_FINEST = 0.5  # mm


@dataclass(frozen=True)
class Space:
    """Where a body's middle may stand in a room: 0 or FORBIDDEN by row and column; `first` is the node of [0, 0]."""

    blocked: Costs
    first: Node


class Arena:
    """Spaces and tables of all bodies in all rooms; `numbers` is by item and pose the number of a body's footprint."""

    def __init__(self, bodies: Bodies, rooms: Sequence[Room], clearance: float, pitch: float) -> None:
        self.bodies, self.rooms, self.clearance, self.pitch = bodies, tuple(rooms), clearance, pitch
        self.factor = 1.0
        self._footprints = [[footprint_of(body.ring, clearance / 2, pitch) for body in poses] for poses in bodies]
        firsts = np.cumsum([0] + [len(poses) for poses in bodies])
        self.numbers = [list(range(first, first + len(poses))) for first, poses in zip(firsts, bodies, strict=False)]
        self.tables = Tables([footprint for poses in self._footprints for footprint in poses])
        self.spaces: list[list[list[Space | None]]] = []  # by room, item and pose; None where the body is too large
        self.rescale(1.0)

    def rescale(self, factor: float) -> None:
        """Take bodies and cells `factor` times as large as they were given."""
        self.factor = factor
        self.spaces = [self._spaces_in(room) for room in self.rooms]

    def seats_all(self) -> bool:
        """Whether every item, taken alone, has room somewhere."""
        return all(any(space for room in self.spaces for space in room[item]) for item in range(len(self.bodies)))

    @property
    def cell(self) -> float:
        """The distance of two nodes now, mm."""
        return self.pitch * self.factor

    def _spaces_in(self, room: Room) -> list[list[Space | None]]:
        growth = max(0.0, room.margin - self.factor * self.clearance / 2)
        barriers = [footprint_of(obstacle.ring - room.low, growth, self.cell) for obstacle in room.obstacles]
        return [
            [
                self._space(room, barriers, body.ring * self.factor, footprint)
                for body, footprint in zip(poses, footprints, strict=True)
            ]
            for poses, footprints in zip(self.bodies, self._footprints, strict=True)
        ]

    def _space(self, room: Room, barriers: Sequence[Footprint], ring: Floats, footprint: Footprint) -> Space | None:
        first, last = (
            np.floor(bound / self.cell).astype(int) for bound in (-ring.min(axis=0), room.size - ring.max(axis=0))
        )
        last += 1
        if np.any(last < first):
            return None
        columns, rows = (np.arange(first[axis], last[axis] + 1) * self.cell for axis in (0, 1))
        limits = room.offsets - np.max(ring @ room.normals.T, axis=0) - room.normals @ room.low
        free = np.ones((len(rows), len(columns)), dtype=bool)
        for (across, up), limit in zip(room.normals, limits + self.cell / 2, strict=True):
            free &= across * columns + up * rows[:, None] <= limit
        for barrier in barriers:
            _block(free, (int(first[0]), int(first[1])), correlated(barrier, footprint))
        return _trimmed(free, (int(first[0]), int(first[1])))


def _block(free: Cells, first: Node, table: Table) -> None:
    """Take away the nodes at which a table shows any overlap with a barrier that stands at node (0, 0)."""
    window = overlap_of_windows(free.shape, first, table.overlap.shape, (table.column, table.row))
    if window is not None:
        mine, theirs = window
        free[mine] &= table.overlap[theirs] == 0


def _trimmed(free: Cells, first: Node) -> Space | None:
    """The space without its blocked edges."""
    rows, columns = np.flatnonzero(free.any(axis=1)), np.flatnonzero(free.any(axis=0))
    if not len(rows):
        return None
    free = free[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
    return Space(np.where(free, np.float32(0), FORBIDDEN), (first[0] + int(columns[0]), first[1] + int(rows[0])))


def overlap_of_windows(
    shape: tuple[int, ...], first: Node, other_shape: tuple[int, ...], other_first: Node
) -> tuple[tuple[slice, slice], tuple[slice, slice]] | None:
    """Where two arrays of nodes lie over one another: slices (rows, columns) of the one and of the other."""
    left, down = other_first[0] - first[0], other_first[1] - first[1]
    x0, x1 = max(left, 0), min(left + other_shape[1], shape[1])
    y0, y1 = max(down, 0), min(down + other_shape[0], shape[0])
    if x0 >= x1 or y0 >= y1:
        return None
    mine = slice(y0, y1), slice(x0, x1)
    return mine, (slice(y0 - down, y1 - down), slice(x0 - left, x1 - left))


def nearest_free(space: Space, node: Node) -> Node:
    """The free node of a space that is nearest to a given one."""
    rows, columns = np.nonzero(space.blocked == 0)
    squares = (columns + space.first[0] - node[0]) ** 2 + (rows + space.first[1] - node[1]) ** 2
    nearest = int(np.argmin(squares))
    return int(columns[nearest]) + space.first[0], int(rows[nearest]) + space.first[1]


def suitable_pitch(bodies: Bodies, rooms: Sequence[Room], clearance: float, nodes: float) -> float:
    """The pitch (mm) at which the rooms hold about so many nodes in all, and no body slips between nodes."""
    area = sum(float(room.size[0] * room.size[1]) for room in rooms)
    thinnest = min(float(np.min(np.ptp(body.ring, axis=0))) for poses in bodies for body in poses)
    return max(_FINEST, min(float(np.sqrt(area / nodes)), (thinnest + clearance) / 2))
