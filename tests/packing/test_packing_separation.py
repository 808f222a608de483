"""Rasters and separations: what is free, and overlapping items moved apart."""

import numpy as np
import pytest
import shapely

from boardmaker.packing.bodies import Layout, bodies_of
from boardmaker.packing.container import container_of
from boardmaker.packing.effort import Meter
from boardmaker.packing.inner_fit import FORBIDDEN
from boardmaker.packing.problem import Item, Pose, Region
from boardmaker.packing.raster import Raster, nearest_free
from boardmaker.packing.separation import Separation

BOARD = ((40.0, 0.0), (400.0, 0.0), (400.0, 300.0), (0.0, 300.0), (0.0, 60.0))
KEEP_OUT = ((180.0, 120.0), (220.0, 130.0), (210.0, 180.0))
REGION = Region(BOARD, 8.0, (KEEP_OUT,))
CLEARANCE, PITCH = 6.0, 4.0


def rectangle(width, height):
    """A rectangle from the origin."""
    return ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height))


@pytest.fixture
def raster():
    """Nine rectangles, each in two poses, on a board with a cut corner and a keep-out."""
    sizes = [(60.0 + 5 * number, 40.0 + 3 * number) for number in range(9)]
    items = [
        Item(str(number), (Pose(0, rectangle(width, height)), Pose(90, rectangle(height, width))))
        for number, (width, height) in enumerate(sizes)
    ]
    return Raster(bodies_of(items), [container_of(REGION)], CLEARANCE, PITCH)


def test_free_nodes_are_where_a_body_fits(raster):
    """Each free node of an inner-fit raster is one where shapely finds the body in the board, but for half a cell."""
    free_area = shapely.Polygon(BOARD).buffer(-8.0, join_style="mitre")
    free_area = free_area.difference(shapely.Polygon(KEEP_OUT).buffer(8.0, quad_segs=32)).buffer(PITCH)
    scaled = raster.enlarged(1.2)
    inner_fit = scaled.inner_fits[0][4][1]
    assert inner_fit is not None
    rows, columns = np.nonzero(inner_fit.blocked == 0)
    assert len(rows) > 100
    ring = raster.bodies[4][1].ring * 1.2
    for row, column in list(zip(rows.tolist(), columns.tolist(), strict=True))[::17]:
        at = (np.array([column, row]) + inner_fit.first) * scaled.cell
        assert free_area.covers(shapely.Polygon(ring + at))
    assert set(np.unique(inner_fit.blocked).tolist()) == {0.0, float(FORBIDDEN)}


def test_the_nearest_free_node(raster):
    """A free node is nearest to itself; far outside, the nearest is found by looking at all."""
    inner_fit = raster.enlarged(1.0).inner_fits[0][0][0]
    rows, columns = np.nonzero(inner_fit.blocked == 0)
    nodes = np.stack([columns, rows], axis=1) + inner_fit.first
    assert nearest_free(inner_fit, tuple(nodes[50].tolist())) == tuple(nodes[50].tolist())
    squares = np.sum((nodes - (-40, 300)) ** 2, axis=1)
    assert nearest_free(inner_fit, (-40, 300)) == tuple(nodes[np.argmin(squares)].tolist())


def test_enlarging_leaves_a_raster_as_it_was(raster):
    """A raster can be enlarged again and again, to any size, in any order; at some size no item has room."""
    before = raster.enlarged(1.0)
    assert before.seats_all()
    assert not raster.enlarged(20.0).seats_all()
    after = raster.enlarged(1.0)
    for one, other in zip(before.inner_fits[0], after.inner_fits[0], strict=True):
        assert all(np.array_equal(a.blocked, b.blocked) for a, b in zip(one, other, strict=True))


@pytest.mark.parametrize("seed", range(5))
def test_items_are_moved_apart(raster, seed):
    """Items that all lie on one heap are moved apart, but for what a cell can hide; shuffled, they are again."""
    heap = Layout((0,) * 9, (0,) * 9, np.full((9, 2), 200.0))
    separation = Separation(raster.enlarged(1.0), heap, np.random.default_rng(seed), Meter("quick"))
    assert separation.overlap() > 0
    for shake in (lambda: None, separation.shuffle, separation.disturb):
        shake()
        separation.separate(50, 1e9)
        layout = separation.layout()
        zones = [
            shapely.Polygon(raster.bodies[item][pose].ring + middle)
            for item, (pose, middle) in enumerate(zip(layout.poses, layout.middles, strict=True))
        ]
        gaps = [zones[one].distance(zones[other]) for one in range(9) for other in range(one)]
        assert separation.overlap() == 0
        assert separation.is_nearly_done()
        assert min(gaps) > CLEARANCE - 2 * PITCH
        assert not any(zones[one].buffer(-PITCH).intersects(zones[other]) for one in range(9) for other in range(one))
