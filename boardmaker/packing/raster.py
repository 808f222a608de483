"""The raster on which a separation moves bodies: where each may stand, and how much any two overlap.

In come bodies, containers, the clearance and a pitch; out come inner-fit and no-fit rasters. Apart because none of it
changes while bodies move. A raster can be enlarged, bodies and cells together: the no-fit rasters stay true and only
the inner-fit rasters are made anew. The clearance grows along, which errs outward by a hair.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from boardmaker.fixed_order import along
from boardmaker.packing.bodies import Bodies, Body
from boardmaker.packing.container import Container
from boardmaker.packing.inner_fit import InnerFit, InnerFits, Node, trimmed
from boardmaker.packing.no_fit import Footprint, NoFitRaster, NoFitRasters, correlated, footprint_of
from boardmaker.packing.settings import RASTER
from boardmaker.packing.shapes import Cells, Floats, doubled_area
from boardmaker.packing.windows import Homes


class Raster:
    """Bodies laid on a raster; `numbers` is by item and pose the number of a body's footprint."""

    def __init__(
        self,
        bodies: Bodies,
        containers: Sequence[Container],
        clearance: float,
        pitch: float,
        homes: Homes | None = None,
    ) -> None:
        self.bodies, self.containers, self.clearance, self.pitch = bodies, tuple(containers), clearance, pitch
        self._homes = homes
        self.footprints = [[_footprint(body, clearance / 2, pitch) for body in poses] for poses in bodies]
        firsts = np.cumsum([0] + [len(poses) for poses in bodies])
        self.numbers = [list(range(first, first + len(poses))) for first, poses in zip(firsts, bodies, strict=False)]
        self.no_fits = NoFitRasters([footprint for poses in self.footprints for footprint in poses])
        areas = [doubled_area(poses[0].ring) for poses in bodies]
        self.by_size = sorted(range(len(areas)), key=lambda item: (areas[item], item))

    def enlarged(self, factor: float) -> ScaledRaster:
        """Bodies and cells `factor` times as large as they were given."""
        cell, barriers = self.pitch * factor, [self._barriers(container, factor) for container in self.containers]

        def fit_at(number: int, item: int, pose: int) -> InnerFit | None:
            ring, footprint = self.bodies[item][pose].ring * factor, self.footprints[item][pose]
            return _inner_fit(self.containers[number], barriers[number], ring, footprint, cell)

        if self._homes is not None:
            homes = self._homes.kept_to(fit_at, self.bodies, self.containers, cell, factor)
            return ScaledRaster(self, factor, homes)
        inner_fits = tuple(
            tuple(
                tuple(fit_at(number, item, pose) for pose in range(len(poses)))
                for item, poses in enumerate(self.bodies)
            )
            for number in range(len(self.containers))
        )
        return ScaledRaster(self, factor, inner_fits)

    def _barriers(self, container: Container, factor: float) -> list[Footprint]:
        """What a body's middle may not come to: the container's forbidden areas, grown by the margin."""
        growth = max(0.0, container.margin - factor * self.clearance / 2)
        return [footprint_of(area.ring - container.low, growth, self.pitch * factor) for area in container.forbidden]


@lru_cache(maxsize=1024)  # several searches lay the same bodies on the same raster
def _footprint(body: Body, growth: float, pitch: float) -> Footprint:
    return footprint_of(body.ring, growth, pitch)


@dataclass(frozen=True)
class ScaledRaster:
    """A raster with all bodies and cells enlarged by a factor, and where each body may stand then."""

    raster: Raster
    factor: float
    inner_fits: InnerFits

    def seats_all(self) -> bool:
        """Whether every item, taken alone, has a free node somewhere."""
        items = range(len(self.raster.bodies))
        return all(any(one for fits in self.inner_fits for one in fits[item]) for item in items)

    @property
    def cell(self) -> float:
        """The distance of two nodes, mm."""
        return self.raster.pitch * self.factor


def suitable_pitch(bodies: Bodies, containers: Sequence[Container], clearance: float, nodes: float) -> float:
    """The pitch (mm) at which the containers hold about so many nodes in all, and no body slips between nodes."""
    area = math.fsum(float(container.size[0] * container.size[1]) for container in containers)
    thinnest = min(float(np.min(np.ptp(body.ring, axis=0))) for poses in bodies for body in poses)
    return max(RASTER.finest, min(float(np.sqrt(area / nodes)), (thinnest + clearance) / 2))


def nearest_free(inner_fit: InnerFit, node: Node) -> Node:
    """The free node of an inner-fit raster that is nearest to a given one."""
    column, row = node[0] - inner_fit.first[0], node[1] - inner_fit.first[1]
    height, width = inner_fit.blocked.shape
    if 0 <= row < height and 0 <= column < width and inner_fit.blocked[row, column] == 0:
        return node
    rows, columns = np.nonzero(inner_fit.blocked == 0)
    squares = (columns + inner_fit.first[0] - node[0]) ** 2 + (rows + inner_fit.first[1] - node[1]) ** 2
    nearest = int(np.argmin(squares))
    return int(columns[nearest]) + inner_fit.first[0], int(rows[nearest]) + inner_fit.first[1]


def _inner_fit(
    container: Container, barriers: Sequence[Footprint], ring: Floats, footprint: Footprint, cell: float
) -> InnerFit | None:
    first, last = (
        np.floor(bound / cell).astype(int) for bound in (-ring.min(axis=0), container.size - ring.max(axis=0))
    )
    last += 1
    if np.any(last < first):
        return None
    columns, rows = (np.arange(first[axis], last[axis] + 1) * cell for axis in (0, 1))
    normals = container.normals
    lowest = normals[:, 0] * container.low[0] + normals[:, 1] * container.low[1]
    limits = container.offsets - np.max(along(ring, normals), axis=0) - lowest
    free = _within_walls(container, columns, rows, limits + cell / 2)
    for barrier in barriers:
        _block(free, (int(first[0]), int(first[1])), correlated(barrier, footprint))
    return trimmed(free, (int(first[0]), int(first[1])))


def _within_walls(container: Container, columns: Floats, rows: Floats, limits: Floats) -> Cells:
    """Which nodes are within all walls, by row and column; upright and level walls a whole row or column at a time."""
    across, up = container.normals.T
    in_columns = np.all(across[up == 0, None] * columns <= limits[up == 0, None], axis=0)
    in_rows = np.all(up[across == 0, None] * rows <= limits[across == 0, None], axis=0)
    free: Cells = in_rows[:, None] & in_columns
    for number in np.flatnonzero((across != 0) & (up != 0)):
        free &= across[number] * columns + up[number] * rows[:, None] <= limits[number]
    return free


def _block(free: Cells, first: Node, no_fit: NoFitRaster) -> None:
    """Take away the nodes at which there is any overlap with a barrier that stands at node (0, 0)."""
    windows = _windows_in_common(free.shape, first, no_fit.overlap.shape, (no_fit.column, no_fit.row))
    if windows is not None:
        mine, theirs = windows
        free[mine] &= no_fit.overlap[theirs] == 0


def _windows_in_common(
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
