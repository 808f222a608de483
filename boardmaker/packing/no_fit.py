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
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from boardmaker.packing.settings import RASTER
from boardmaker.packing.shapes import Cells, Floats, covered_cells

Costs = NDArray[np.float32]
Spectrum = NDArray[np.complex64]


@dataclass(frozen=True)
class Footprint:
    """The cells that a body covers, and the column and row of the first one relative to the body's middle."""

    cells: Cells
    first: tuple[int, int]


class NoFitRaster(NamedTuple):
    """Overlap of a still and a moving body by the moving one's displacement, (height, width).

    `column` and `row` are the displacement of [0, 0].
    """

    overlap: Costs
    column: int
    row: int
    width: int
    height: int


def footprint_of(ring: Floats, growth: float, pitch: float) -> Footprint:
    """The cells of a body grown by `growth` mm."""
    grown = shapely.get_parts(shapely.Polygon(ring).buffer(growth, quad_segs=3))
    cells, first = covered_cells([shapely.get_coordinates(part.exterior)[:-1] for part in grown], pitch)
    return Footprint(cells, first)


class NoFitRasters:
    """No-fit rasters of a set of footprints, made when first asked for; equal footprints share theirs."""

    def __init__(self, footprints: Sequence[Footprint]) -> None:
        kinds: dict[tuple[object, ...], int] = {}
        keys = [(footprint.first, footprint.cells.shape, footprint.cells.tobytes()) for footprint in footprints]
        self._kinds = [kinds.setdefault(key, number) for number, key in enumerate(keys)]
        self._footprints = tuple(footprints)
        self._spectra: dict[tuple[int, int, int], Spectrum] = {}
        self._rasters: dict[tuple[int, int], NoFitRaster] = {}
        self.known: list[list[NoFitRaster | None]] = [[None] * len(keys) for _ in keys]  # by moving and still number
        self.made = 0  # cells made so far
        self._held = 0  # of which are in memory

    def between(self, still: int, moving: int) -> NoFitRaster:
        """The no-fit raster of two footprints by number: who asks often looks at `known` first."""
        kinds = self._kinds[still], self._kinds[moving]
        raster = self.known[moving][still] = self._rasters.get(kinds) or self._make(*kinds)
        return raster

    def _make(self, still: int, moving: int) -> NoFitRaster:
        if self._held > RASTER.most_cells:
            self._forget()
        one, other = self._footprints[still], self._footprints[moving]
        size = _transform_size(one, other)
        spectrum = self._spectrum(still, size) * np.conj(self._spectrum(moving, size))
        raster = _cut_out(one, other, np.fft.irfft2(spectrum, size))
        width, height = raster.width, raster.height
        back = raster.overlap[::-1, ::-1]  # a view: half of the memory
        self._rasters[moving, still] = NoFitRaster(
            back, 1 - width - raster.column, 1 - height - raster.row, width, height
        )
        self._rasters[still, moving] = raster
        self.made += raster.overlap.size
        self._held += raster.overlap.size
        return raster

    def _forget(self) -> None:
        """Begin anew: of many items' rasters, most are of poses that nobody has any more."""
        for row in self.known:
            row[:] = [None] * len(row)
        self._rasters.clear()
        self._spectra.clear()
        self._held = 0

    def _spectrum(self, number: int, size: tuple[int, int]) -> Spectrum:
        key = (number, *size)
        if key not in self._spectra:
            self._spectra[key] = _spectrum_of(self._footprints[number], size)
        return self._spectra[key]


def correlated(still: Footprint, moving: Footprint) -> NoFitRaster:
    """The no-fit raster of two footprints, needed only once."""
    size = _transform_size(still, moving)
    spectrum = _spectrum_of(still, size) * np.conj(_spectrum_of(moving, size))
    return _cut_out(still, moving, np.fft.irfft2(spectrum, size))


def _spectrum_of(footprint: Footprint, size: tuple[int, int]) -> Spectrum:
    """Single precision where numpy has it (from 2.0): the counts are far below its 24 bits."""
    return np.fft.rfft2(footprint.cells.astype(np.float32), size).astype(np.complex64)


def _transform_size(one: Footprint, other: Footprint) -> tuple[int, int]:
    rows, columns = (sum(sides) for sides in zip(one.cells.shape, other.cells.shape, strict=True))
    return _fast_length(rows), _fast_length(columns)


def _cut_out(still: Footprint, moving: Footprint, counts: Floats) -> NoFitRaster:
    """Cut the raster out of a circular correlation and turn counted cells into an overlap."""
    rows = np.arange(1 - moving.cells.shape[0], still.cells.shape[0])
    columns = np.arange(1 - moving.cells.shape[1], still.cells.shape[1])
    whole = np.maximum(np.rint(counts[rows[:, None], columns]), 0.0)
    column, row = (int(nodes[0]) + still.first[axis] - moving.first[axis] for axis, nodes in enumerate((columns, rows)))
    return NoFitRaster(np.sqrt(whole).astype(np.float32), column, row, len(columns), len(rows))


def _fast_length(least: int) -> int:
    """The smallest quick length for a transform that is not below `least`: few lengths, so that spectra are shared."""
    power = 1 << max(4, (least - 1).bit_length() - 1)
    return next(power * eighths // 8 for eighths in (8, 10, 12, 16) if power * eighths // 8 >= least)
