"""Many locks, hinges and bays in one case: an answer all the same, and a good one."""

from __future__ import annotations

import random
from itertools import product

import numpy as np
import pytest
import shapely

from boardmaker.case.convex import LEAST_AREA, area_of, hull_and_obstacles, part_for, ways_past
from boardmaker.case.section import free_region
from boardmaker.model import CaseSetup, KeepOut


def parted(case):
    """Hull and obstacles of the case's one piece."""
    (found,) = hull_and_obstacles(free_region(case))
    return found


def test_past_every_post_of_a_grid():
    """A post every 60 mm: three directions past each of 63 would be 10³⁰ choices."""
    posts = tuple(KeepOut((x, y), (5.0, 5.0)) for x in range(20, 560, 60) for y in range(20, 400, 60))
    hull, obstacles = parted(CaseSetup((560.0, 400.0), keep_out=posts))
    ways = ways_past(hull, obstacles)
    assert len(obstacles) == 63
    assert 0 < len(ways) < 1000
    best = shapely.Polygon(part_for(hull, obstacles, ways[0]))
    assert best.area > LEAST_AREA
    assert all(best.intersection(shapely.Polygon(post)).area < 1e-6 for post in obstacles)


@pytest.mark.parametrize("seed", range(6))
def test_what_is_left_out_is_no_loss(seed):
    """Held against all choices of four directions past each of six obstacles at the walls."""
    dice = random.Random(seed)
    walls = [(x, y) for x in (0.0, 250.0, 530.0) for y in (0.0, 360.0)]
    locks = tuple(KeepOut(at, (dice.uniform(10, 30), dice.uniform(10, 40))) for at in walls)
    hull, obstacles = parted(CaseSetup((560.0, 400.0), keep_out=locks))
    best = area_of(part_for(hull, obstacles, ways_past(hull, obstacles)[0]))
    square = product((0.0, 90.0, 180.0, 270.0), repeat=len(obstacles))
    others = max(area_of(part_for(hull, obstacles, angles)) for angles in square)
    assert best >= 0.98 * others
    assert np.isfinite(best)
