"""Rings, pieces, cells and no-fit rasters against shapely."""

import numpy as np
import pytest
import shapely

from boardmaker.packing.no_fit import NoFitRasters, correlated, footprint_of
from boardmaker.packing.settings import RasterSettings
from boardmaker.packing.shapes import array_of, coarsened, convex_rings, covered_cells, is_convex, sliced

SEEDS = range(12)


def star(seed, corners=17):
    """A nonconvex simple polygon around the origin."""
    random = np.random.default_rng(seed)
    angles = np.arange(corners) * 2 * np.pi / corners
    radii = random.uniform(20, 60, corners)
    return np.stack([radii * np.cos(angles), radii * np.sin(angles)], axis=1)


def smooth(seed):
    """A rounded outline with many corners."""
    rounded = shapely.Polygon(star(seed, 9)).buffer(12).buffer(-12).buffer(5)
    return array_of(shapely.get_coordinates(rounded.exterior)[:-1])


@pytest.mark.parametrize("seed", SEEDS)
def test_convex_pieces_make_up_the_polygon(seed):
    """Convex pieces are convex, do not overlap and add up to the polygon."""
    ring = star(seed) if seed % 2 else smooth(seed)
    pieces = convex_rings(ring)
    polygons = [shapely.Polygon(piece) for piece in pieces]
    assert all(is_convex(piece) for piece in pieces)
    assert sum(polygon.area for polygon in polygons) == pytest.approx(shapely.Polygon(ring).area, rel=1e-9)
    assert shapely.symmetric_difference(shapely.union_all(polygons), shapely.Polygon(ring)).area < 1e-6


def test_convex_pieces_are_few():
    """An L needs two convex pieces, a convex ring one."""
    assert len(convex_rings(np.array([[0, 0], [4, 0], [4, 1], [1, 1], [1, 3], [0, 3.0]]))) == 2
    assert len(convex_rings(np.array([[0, 0], [4, 0], [4, 1.0]]))) == 1


def test_slices_of_a_convex_ring():
    """A fan of small rings covers the ring exactly."""
    ring = array_of(shapely.get_coordinates(shapely.Point(0, 0).buffer(10))[:-1])
    slices = sliced(ring, 8)
    assert max(len(part) for part in slices) <= 8
    assert sum(shapely.Polygon(part).area for part in slices) == pytest.approx(shapely.Polygon(ring).area)


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("tolerance", [0.1, 1.0])
def test_coarser_ring_holds_the_ring(seed, tolerance):
    """A coarser ring covers the given one, stays within the tolerance, and has fewer corners where it was smooth."""
    ring = smooth(seed)
    coarse = coarsened(ring, tolerance)
    assert shapely.Polygon(coarse).buffer(1e-9).covers(shapely.Polygon(ring))
    assert shapely.Polygon(ring).buffer(tolerance + 1e-6, quad_segs=64).covers(shapely.Polygon(coarse))
    assert len(coarse) < len(ring)


@pytest.mark.parametrize("seed", SEEDS)
def test_covered_cells_are_the_nodes_inside(seed):
    """The cells of a ring are the raster nodes that shapely finds inside it."""
    ring = star(seed) + 0.123
    cells, (column, row) = covered_cells([ring], 2.5)
    rows, columns = np.indices(cells.shape)
    inside = shapely.contains_xy(shapely.Polygon(ring), (columns + column) * 2.5, (rows + row) * 2.5)
    assert np.array_equal(cells, inside)
    assert cells.sum() * 2.5**2 == pytest.approx(shapely.Polygon(ring).area, rel=0.05)


@pytest.mark.parametrize("seed", SEEDS)
def test_no_fit_rasters_count_common_cells(seed):
    """At any displacement the overlap's square counts the common cells, about the area that shapely finds in common."""
    one, other, pitch = star(seed), star(seed + 100), 2.0
    rasters = NoFitRasters([footprint_of(ring, 0.0, pitch) for ring in (one, other)])
    raster = rasters.between(0, 1)
    for row, column in ((0, 0), (20, 31), (35, 30), (44, 52)):
        shift = np.array([column + raster.column, row + raster.row]) * pitch
        common = shapely.Polygon(one).intersection(shapely.Polygon(other + shift)).area
        assert raster.overlap[row, column] ** 2 * pitch**2 == pytest.approx(common, rel=0.1, abs=120)


def test_no_fit_rasters_are_the_same_seen_from_either_body():
    """Moving A past B or B past A is one raster, turned around; equal footprints share it."""
    prints = [footprint_of(star(seed), 3.0, 2.0) for seed in (1, 2, 1)]
    rasters = NoFitRasters(prints)
    forth, back = rasters.between(0, 1), rasters.between(1, 0)
    assert np.array_equal(forth.overlap, back.overlap[::-1, ::-1])
    assert np.array_equal(forth.overlap, correlated(prints[0], prints[1]).overlap)
    assert rasters.between(2, 1) is forth
    height, width = forth.overlap.shape
    assert (forth.column + width - 1, forth.row + height - 1) == (-back.column, -back.row)


def test_turned_bodies_overlap_like_the_bodies_that_they_are_turned_from():
    """Rasters of bodies turned by quarters, made from one another or not, are those made from nothing."""
    prints = [footprint_of(star(seed), 3.0, 2.0).turned(quarters) for seed in (1, 2) for quarters in range(4)]
    rasters = NoFitRasters(prints)
    for still, one in enumerate(prints):
        for moving, other in enumerate(prints):
            found, expected = rasters.between(still, moving), correlated(one, other)
            assert np.array_equal(found.overlap, expected.overlap)
            assert found[1:] == expected[1:]


def test_rasters_count_as_work_once(monkeypatch):
    """What is made again because memory was short is the same, and is not counted again."""
    rasters, short = (NoFitRasters([footprint_of(star(seed), 3.0, 2.0) for seed in range(4)]) for _ in range(2))
    pairs = [(one, other) for one in range(4) for other in range(4)] * 2
    plenty = [rasters.between(*pair).overlap for pair in pairs]
    monkeypatch.setattr("boardmaker.packing.no_fit.RASTER", RasterSettings(most_cells=1.0, most_spectra=1))
    for pair, expected in zip(pairs, plenty, strict=True):
        assert np.array_equal(short.between(*pair).overlap, expected)
    assert short.made == rasters.made > 0


def test_searches_that_share_rasters_count_them_alike(monkeypatch):
    """What one search made is the other's too, and counts there as if it had made it; so where memory is short."""
    prints = [footprint_of(star(seed), 3.0, 2.0) for seed in range(4)]
    one, other = NoFitRasters(prints), NoFitRasters(prints)
    first = one.between(0, 1)
    assert other.made == 0
    assert other.between(0, 1) is first
    assert other.made == one.made == first.overlap.size
    other.between(1, 0)
    assert other.made == one.made
    monkeypatch.setattr("boardmaker.packing.no_fit.RASTER", RasterSettings(most_cells=1.0))
    assert other.between(2, 3) is other.known[3][2]
    assert other.known[1][0] is None  # forgotten
    assert np.array_equal(other.between(0, 1).overlap, first.overlap)
    assert other.made == one.made + one.between(2, 3).overlap.size


def test_a_turned_footprint_is_the_footprint_of_the_turned_body():
    """Four quarters are none, and one is what a turned ring covers."""
    ring = star(5)
    own = footprint_of(ring, 0.0, 2.0)
    assert own.turned(4).key() == own.key()
    turned = footprint_of(np.stack([-ring[:, 1], ring[:, 0]], axis=1), 0.0, 2.0)
    assert own.turned(1).first == turned.first
    assert np.array_equal(own.turned(1).cells, turned.cells)
