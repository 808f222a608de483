"""Boards in a case against closed answers of geometry and against a slow judge that tries many boards."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
import shapely
from shapely import Polygon, affinity

from boardmaker.case.cuts import apply_cuts, entries, kept_area, least_cuts
from boardmaker.case.fitting import Blank, InCase, lies_in
from boardmaker.case.placement import best_spots
from boardmaker.case.section import rounded_rectangle


def ring_of(polygon):
    return np.asarray(shapely.get_coordinates(shapely.orient_polygons(polygon).exterior)[:-1])


@pytest.mark.parametrize("radius", [10.0, 35.0, 70.0, 120.0])
def test_cuts_at_a_round_corner_have_their_closed_lengths(radius):
    """Against both walls: one cut of legs r takes r²/2; two meet at r(1 - 1/√2) from both walls and take
    r²(1 - 1/√2) (the arc's chords; plane geometry, any textbook)."""
    ring = ring_of(rounded_rectangle(0.0, 0.0, 560.0, 400.0, radius))
    for entry in entries(ring, (0.0, 0.0, 560.0, 400.0)):
        assert (entry.leg_x, entry.leg_y) == pytest.approx((radius, radius), abs=1e-3)
        assert entry.knee == pytest.approx((radius * (1 - 1 / math.sqrt(2)),) * 2, abs=1e-3)
        assert entry.lost_by_one == pytest.approx(radius**2 / 2, rel=1e-3)
        assert entry.lost_by_two == pytest.approx(radius**2 * (1 - 1 / math.sqrt(2)), rel=1e-3)


def test_a_board_with_air_around_it_needs_less():
    """With a gap of g at both walls an arc of radius r is entered at r - √(r² - (r - g)²) from the wall
    (plane geometry), so the legs are shorter by that much and the gap."""
    radius, gap = 70.0, 5.0
    ring = ring_of(rounded_rectangle(0.0, 0.0, 560.0, 400.0, radius))
    leg = radius - math.sqrt(radius**2 - (radius - gap) ** 2) - gap
    for entry in entries(ring, (gap, gap, 560.0 - gap, 400.0 - gap)):
        assert entry.leg_x == pytest.approx(leg, abs=0.05)
        assert entry.leg_y == pytest.approx(leg, abs=0.05)


@pytest.mark.parametrize(("a", "b"), [(200.0, 200.0), (300.0, 200.0), (400.0, 150.0)])
@pytest.mark.slow
def test_the_largest_rectangle_in_an_ellipse(a, b):
    """Without cuts: area 2ab, sides a√2 and b√2 (calculus textbooks, e.g. by Lagrange multipliers)."""
    ellipse = affinity.scale(shapely.Point(500, 500).buffer(1.0, quad_segs=128), a, b)
    (best, *_) = best_spots(ellipse, (5000.0, 5000.0), most_cuts=0)
    assert best.area == pytest.approx(2 * a * b, rel=5e-3)
    sides = sorted([best.box[2] - best.box[0], best.box[3] - best.box[1]])
    assert sides == pytest.approx(sorted([a * math.sqrt(2), b * math.sqrt(2)]), rel=0.05)


def fits_turned(p, q, a, b):
    """Whether a p x q rectangle (p >= q) fits into an a x b one: W. B. Carver, Amer. Math. Monthly 64 (1957), 114;
    the condition is written here from memory of J. E. Wetzel, Math. Magazine 73 (2000), 204."""
    if p <= a and q <= b:
        return True
    return p > a and q <= b and b >= (2 * p * q * a + (p**2 - q**2) * math.sqrt(p**2 + q**2 - a**2)) / (p**2 + q**2)


@pytest.mark.parametrize("q", [20.0, 40.0, 60.0, 80.0, 90.0])
@pytest.mark.slow
def test_a_long_board_lies_askew_where_the_closed_condition_lets_it(q):
    """A board longer than the case is kept whole up to the length that the condition gives."""
    a, b = 500.0, 350.0
    longest = max(p for p in np.arange(a, math.hypot(a, b), 0.5) if fits_turned(p, q, a, b))
    case = shapely.box(0.0, 0.0, a, b)
    fitting, too_long = (float(longest) - 1.5, q), (float(longest) + 6.0, q)
    assert best_spots(case, fitting)[0].area == pytest.approx(fitting[0] * q, rel=2e-3)
    assert best_spots(case, too_long)[0].area < too_long[0] * q * (1 - 1e-4)


def tried_area(region, stock, dice, tries):
    """The best of many boards: random turns, boxes and legs in whole millimetres, judged by shapely alone."""
    best = 0.0
    for _ in range(tries):
        turn = dice.choice([0.0, 0.0, 90.0, dice.uniform(0.0, 180.0)])
        here = affinity.rotate(region, -turn, origin=(0, 0))
        x0, y0, x1, y1 = here.bounds
        width, height = min(stock[0], x1 - x0) * dice.uniform(0.8, 1), min(stock[1], y1 - y0) * dice.uniform(0.8, 1)
        x, y = dice.uniform(x0, x1 - width), dice.uniform(y0, y1 - height)
        corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
        kept = here.intersection(Polygon(corners))
        if not isinstance(kept, Polygon) or kept.area <= best:
            continue
        # the largest polygon of one cut a corner that lies in the region, of some with all legs alike
        best = max(best, octagon_area(here, x, y, width, height))
    return best


def octagon_area(region, x, y, width, height):
    region = region.buffer(1e-6)
    shapely.prepare(region)
    for share in (0.0, 0.05, 0.1, 0.15, 0.2, 0.25, 0.3):
        leg = share * min(width, height)
        ring = [
            (x + leg, y),
            (x + width - leg, y),
            (x + width, y + leg),
            (x + width, y + height - leg),
            (x + width - leg, y + height),
            (x + leg, y + height),
            (x, y + height - leg),
            (x, y + leg),
        ]
        board = Polygon(ring) if leg else shapely.box(x, y, x + width, y + height)
        if region.covers(board):
            return board.area  # the next ones are smaller
    return 0.0


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.slow
def test_no_tried_board_is_more_than_a_hundredth_larger(seed):
    """Before rounding, against many hundred tried boards."""
    dice = random.Random(seed)
    inside = dice.uniform(200, 600), dice.uniform(150, 450)
    region = rounded_rectangle(0.0, 0.0, *inside, dice.uniform(0, min(inside) / 3))
    for _ in range(dice.randint(0, 2)):
        x, y = dice.uniform(0, inside[0]), dice.choice([0.0, inside[1] - 40.0])
        region = region.difference(shapely.box(x, y, x + dice.uniform(10, 60), y + 40.0))
    stock = dice.uniform(150, 700), dice.uniform(120, 500)
    found = best_spots(region, stock)[0].area
    assert found >= 0.99 * tried_area(region, stock, dice, 1500)


@pytest.mark.parametrize("seed", range(30))
def test_kept_area_is_the_area_of_the_board_that_its_cuts_leave(seed):
    """The sum over corners against shapely's area of the cut board, which lies in the region."""
    dice = random.Random(seed)
    points = [(dice.gauss(0, 1), dice.gauss(0, 1)) for _ in range(12)]
    region = affinity.scale(shapely.MultiPoint(points).convex_hull, 120.0, 90.0, origin=(0, 0))
    ring = ring_of(region)
    low, high = ring.min(axis=0), ring.max(axis=0)
    inset = dice.uniform(0.05, 0.3)
    box = (*(low + (high - low) * inset), *(high - (high - low) * inset))
    cuts = least_cuts(ring, box, 0.0)
    if cuts is None:
        assert kept_area(ring, box) == -1.0
        return
    size = box[2] - box[0], box[3] - box[1]
    board = apply_cuts(size, cuts)
    assert lies_in(Blank(size, tuple(board.exterior.coords)[:-1], cuts, InCase(0, (box[0], box[1]))), region)
    assert board.area <= kept_area(ring, box) + 1e-6
    assert board.area >= kept_area(ring, box) - 4 * 0.0012 * size[0] * size[1] - 1e-6
