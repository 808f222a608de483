"""No-fit rasters: how much two bodies overlap at every displacement, looked up instead of computed.

In come rings, the clearance and a raster pitch; out come overlaps at displacements of whole cells: above 0 inside the
two bodies' no-fit polygon, 0 outside. Apart because a separation only reads them. Every body is grown by half the
clearance and laid on the raster; a no-fit raster is the correlation of two bodies' cells: a count of the cells that
both cover, exact because it is rounded to whole numbers (so the same on every machine). A count of 0 may hide an
overlap narrower than a cell; the compaction removes that exactly.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from boardmaker.fixed_order import FINEST
from boardmaker.packing.settings import RASTER
from boardmaker.packing.shapes import Cells, Floats, covered_cells

Costs = NDArray[np.float32]
Spectrum = NDArray[np.complex64]


@dataclass(frozen=True, eq=False)
class Footprint:
    """The cells that a body covers, and the column and row of the first one relative to the body's middle."""

    cells: Cells
    first: tuple[int, int]

    def turned(self, quarters: int) -> Footprint:
        """The footprint turned about the body's middle, counter-clockwise by quarters."""
        cells, (column, row) = self.cells, self.first
        for _ in range(quarters % 4):
            column, row = 1 - row - cells.shape[0], column
            cells = cells.T[:, ::-1]
        return Footprint(np.ascontiguousarray(cells), (column, row))

    def key(self) -> tuple[object, ...]:
        """Equal for equal footprints alone."""
        return self.first, self.cells.shape, self.cells.tobytes()


class NoFitRaster(NamedTuple):
    """Overlap of a still and a moving body by the moving one's displacement, (height, width).

    `column` and `row` are the displacement of [0, 0].
    """

    overlap: Costs
    column: int
    row: int
    width: int
    height: int

    def seen_from_other(self) -> NoFitRaster:
        """The same two with the other one moving; a view: half of the memory."""
        column, row = 1 - self.width - self.column, 1 - self.height - self.row
        return NoFitRaster(self.overlap[::-1, ::-1], column, row, self.width, self.height)

    def turned(self, quarters: int) -> NoFitRaster:
        """The same two, both turned counter-clockwise by quarters; a copy, because a view is read a third slower."""
        overlap, column, row = self.overlap, self.column, self.row
        for _ in range(quarters % 4):
            column, row = 1 - row - overlap.shape[0], column
            overlap = overlap.T[:, ::-1]
        height, width = overlap.shape
        return NoFitRaster(np.ascontiguousarray(overlap), column, row, width, height)


def footprint_of(ring: Floats, growth: float, pitch: float) -> Footprint:
    """The cells of a body grown by `growth` mm."""
    grown = shapely.get_parts(shapely.Polygon(ring).buffer(growth, quad_segs=3))
    # Rounded, so that a corner of an arc that lies on a node lies there on every machine.
    rings = [shapely.get_coordinates(part.exterior)[:-1].round(FINEST) for part in grown]
    cells, first = covered_cells(rings, pitch)
    return Footprint(cells, first)


class NoFitRasters:
    """No-fit rasters of a set of footprints, made when first asked for, and how much work that is.

    Several searches with the same footprints share the rasters, and each counts them as if it had made them: how much
    work is left must not depend on what was looked for before.
    """

    def __init__(self, footprints: Sequence[Footprint]) -> None:
        self._memory = _memory_of(tuple(footprints))
        self._begun = self._memory.begun
        self.known: list[list[NoFitRaster | None]] = [[None] * len(footprints) for _ in footprints]  # moving and still
        self.made = 0  # cells made so far; each counts once, however often it is made again for want of memory
        self._counted: set[tuple[int, int]] = set()

    def between(self, still: int, moving: int) -> NoFitRaster:
        """The no-fit raster of two footprints by number: who asks often looks at `known` first."""
        memory = self._memory
        kinds = memory.kinds[still], memory.kinds[moving]
        raster = memory.between(*kinds)
        if self._begun != memory.begun:
            self._begun = memory.begun
            for row in self.known:
                row[:] = [None] * len(row)
        self.known[moving][still] = raster
        if kinds not in self._counted:
            self._counted.update((kinds, kinds[::-1]))
            self.made += raster.overlap.size
        return raster


class _Memory:
    """The no-fit rasters of a set of footprints as far as they were asked for.

    Equal footprints share theirs. So do those that are one another turned by quarters: two turned bodies overlap as the
    two do that they are turned from, so only what is turned differently against each other is correlated.
    """

    def __init__(self, footprints: Sequence[Footprint]) -> None:
        self.kinds, self._footprints = _kinds_of(footprints)
        self.begun = 0  # how often it was begun anew
        self._spectra: dict[tuple[int, int, int], Spectrum] = {}
        self._rasters: dict[tuple[int, int], NoFitRaster] = {}
        self._held = 0  # cells in memory

    def between(self, still: int, moving: int) -> NoFitRaster:
        """The no-fit raster of two kinds of footprints."""
        return self._rasters.get((still, moving)) or self._make(still, moving)

    def _make(self, still: int, moving: int) -> NoFitRaster:
        if self._held > RASTER.most_cells:
            self._forget()
        raster = self._turned(still, moving) or self._correlated(still, moving)
        self._rasters[moving, still] = raster.seen_from_other()
        self._rasters[still, moving] = raster
        self._held += raster.overlap.size
        return raster

    def _turned(self, still: int, moving: int) -> NoFitRaster | None:
        """From what is known of the two at another turn, if anything is."""
        for quarters in (1, 2, 3):
            known = self._rasters.get((_turned_kind(still, -quarters), _turned_kind(moving, -quarters)))
            if known is not None:
                return known.turned(quarters)
        return None

    def _correlated(self, still: int, moving: int) -> NoFitRaster:
        one, other = self._footprints[still], self._footprints[moving]
        size = _transform_size(one, other)
        return _counted(one, other, self._spectrum(still, size), self._spectrum(_turned_kind(moving, 2), size), size)

    def _forget(self) -> None:
        """Begin anew: of many items' rasters, most are of poses that nobody has any more."""
        self.begun += 1
        self._rasters.clear()
        self._spectra.clear()
        self._held = 0

    def _spectrum(self, kind: int, size: tuple[int, int]) -> Spectrum:
        key = (kind, *size)
        if key not in self._spectra:
            if len(self._spectra) >= RASTER.most_spectra:
                self._spectra.clear()
            self._spectra[key] = _spectrum_of(self._footprints[kind], size)
        return self._spectra[key]


_memory_of = lru_cache(maxsize=1)(_Memory)  # one search after the other asks for the same, and it is large


def _kinds_of(footprints: Sequence[Footprint]) -> tuple[list[int], tuple[Footprint, ...]]:
    """The kind of each footprint, and one footprint of each kind.

    Four kinds in a row are one another turned by quarters.
    """
    known: dict[tuple[object, ...], int] = {}
    kinds: list[int] = []
    every: list[Footprint] = []
    for footprint in footprints:
        if footprint.key() not in known:
            turned = [footprint.turned(quarters) for quarters in range(4)]
            for quarters in (3, 2, 1, 0):  # the least turn counts where several look the same
                known[turned[quarters].key()] = len(every) + quarters
            every += turned
        kinds.append(known[footprint.key()])
    return kinds, tuple(every)


def _turned_kind(kind: int, quarters: int) -> int:
    """The kind that is this one turned."""
    return kind - kind % 4 + (kind + quarters) % 4


def correlated(still: Footprint, moving: Footprint) -> NoFitRaster:
    """The no-fit raster of two footprints, needed only once."""
    size = _transform_size(still, moving)
    return _counted(still, moving, _spectrum_of(still, size), _spectrum_of(moving.turned(2), size), size)


def _spectrum_of(footprint: Footprint, size: tuple[int, int]) -> Spectrum:
    """Single precision where numpy has it (from 2.0): the counts are far below its 24 bits.

    What `rfft2` does, without what it takes to find that out for any number of axes.
    """
    rows, columns = size
    across = np.fft.rfft(footprint.cells.astype(np.float32), columns)
    return np.fft.fft(across, rows, axis=0).astype(np.complex64, copy=False)


def _transform_size(one: Footprint, other: Footprint) -> tuple[int, int]:
    rows, columns = (sum(sides) for sides in zip(one.cells.shape, other.cells.shape, strict=True))
    return _fast_length(rows), _fast_length(columns)


def _counted(
    still: Footprint, moving: Footprint, spectrum: Spectrum, turned: Spectrum, size: tuple[int, int]
) -> NoFitRaster:
    """Turn the product of two spectra, the moving one's turned by half, into counts of cells and these into overlaps.

    Correlating with a footprint is convolving with it turned by half.
    """
    (rows, columns), (own_rows, own_columns) = still.cells.shape, moving.cells.shape
    height, width = rows + own_rows - 1, columns + own_columns - 1
    columns_done = np.fft.ifft(spectrum * turned, axis=0)[:height]  # as `irfft2`, less the rows that nobody wants
    counts = np.rint(np.fft.irfft(columns_done, size[1])[:, :width])
    overlap = np.sqrt(np.maximum(counts, 0.0, out=counts), out=counts).astype(np.float32, copy=False)
    column, row = (still.first[axis] - moving.first[axis] for axis in (0, 1))
    return NoFitRaster(overlap, column + 1 - own_columns, row + 1 - own_rows, width, height)


def _fast_length(least: int) -> int:
    """The smallest quick length for a transform that is not below `least`: few lengths, so that spectra are shared."""
    power = 1 << max(4, (least - 1).bit_length() - 1)
    return next(power * eighths // 8 for eighths in (8, 10, 12, 16) if power * eighths // 8 >= least)
