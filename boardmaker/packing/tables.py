"""How much two bodies overlap at every displacement, looked up instead of computed.

In come rings, the clearance and a grid pitch; out come tables of overlaps at displacements of whole cells. Apart because
the search only reads them. Every body is grown by half the clearance, laid on the grid, and two bodies' table is the
correlation of their cells: a count of the cells that both cover, exact because it is rounded to whole numbers (so the
same on every machine). A count of 0 may hide an overlap narrower than a cell; the squeeze settles that exactly.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from boardmaker.packing.shapes import Cells, Floats, covered_cells

Costs = NDArray[np.float32]


@dataclass(frozen=True)
class Footprint:
    """The cells that a body covers, and the column and row of the first one relative to the body's middle."""

    cells: Cells
    first: tuple[int, int]


@dataclass(frozen=True)
class Table:
    """Overlap of a still and a moving body, by the moving one's displacement; `first` is the displacement of [0, 0]."""

    overlap: Costs
    first: tuple[int, int]


def footprint_of(ring: Floats, growth: float, pitch: float) -> Footprint:
    """The cells of a body grown by `growth` mm."""
    grown = shapely.get_parts(shapely.Polygon(ring).buffer(growth, quad_segs=3))
    cells, first = covered_cells([shapely.get_coordinates(part.exterior)[:-1] for part in grown], pitch)
    return Footprint(cells, first)


class Tables:
    """Overlap tables of a set of footprints, made when first asked for."""

    def __init__(self, footprints: Sequence[Footprint]) -> None:
        self._footprints = tuple(footprints)
        shapes = np.array([footprint.cells.shape for footprint in self._footprints])
        rows, columns = (_fast_length(2 * int(longest)) for longest in shapes.max(axis=0))
        self._size = (rows, columns)
        self._spectra = [np.fft.rfft2(footprint.cells, self._size) for footprint in self._footprints]
        self._tables: dict[tuple[int, int], Table] = {}

    def between(self, still: int, moving: int) -> Table:
        """The table of two footprints by number."""
        table = self._tables.get((still, moving))
        return table if table is not None else self._make(still, moving)

    def _make(self, still: int, moving: int) -> Table:
        counts = np.fft.irfft2(self._spectra[still] * np.conj(self._spectra[moving]), self._size)
        table = _table(self._footprints[still], self._footprints[moving], counts)
        height, width = table.overlap.shape
        opposite = (1 - width - table.first[0], 1 - height - table.first[1])
        self._tables[moving, still] = Table(table.overlap[::-1, ::-1], opposite)
        self._tables[still, moving] = table
        return table


def correlated(still: Footprint, moving: Footprint) -> Table:
    """The table of two footprints that are needed only once."""
    rows, columns = (_fast_length(sum(sides)) for sides in zip(still.cells.shape, moving.cells.shape, strict=True))
    one, other = (np.fft.rfft2(footprint.cells, (rows, columns)) for footprint in (still, moving))
    return _table(still, moving, np.fft.irfft2(one * np.conj(other), (rows, columns)))


def _table(still: Footprint, moving: Footprint, counts: Floats) -> Table:
    """Cut the table out of a circular correlation and turn counted cells into an overlap."""
    rows = np.arange(1 - moving.cells.shape[0], still.cells.shape[0])
    columns = np.arange(1 - moving.cells.shape[1], still.cells.shape[1])
    whole = np.maximum(np.rint(counts[rows[:, None], columns]), 0.0)
    first = (int(columns[0]) + still.first[0] - moving.first[0], int(rows[0]) + still.first[1] - moving.first[1])
    return Table(np.sqrt(whole).astype(np.float32), first)


def _fast_length(least: int) -> int:
    """The smallest product of 2, 3 and 5 that is not below `least`: such transforms are quick."""
    return next(length for length in range(least, 2 * least + 2) if _is_smooth(length))


def _is_smooth(number: int) -> bool:
    for factor in (2, 3, 5):
        while number % factor == 0:
            number //= factor
    return number == 1
