"""Where pockets go: apart, near their true places, leaders that cross nothing."""

from __future__ import annotations

import itertools
import math
import random

import pytest
from shapely import Point, Polygon

from boardmaker.figures.pockets import Spot, leader_faults, spread_pockets
from boardmaker.figures.ring import ring_pockets


def gaps(spots, places):
    return [
        math.dist(a, b) - one.radius - other.radius
        for (one, a), (other, b) in itertools.combinations(zip(spots, places, strict=True), 2)
    ]


def random_spots(seed, count, width, height):
    dice = random.Random(seed)
    return [
        Spot((dice.uniform(0, width), dice.uniform(0, height)), dice.choice([4.0, 5.0, 7.0, 9.0])) for _ in range(count)
    ]


@pytest.mark.parametrize("seed", range(12))
def test_heads_keep_finger_room(seed):
    """Room for fingers: whatever the true places, at any density."""
    spots = random_spots(seed, 3 + seed, 60, 30)
    assert min(gaps(spots, spread_pockets(spots, 4.0))) >= 4.0


def test_a_pocket_with_room_stays_exactly_where_it_is():
    """Nothing moves that need not."""
    spots = [Spot((0.0, 0.0), 7.0), Spot((40.0, 0.0), 7.0), Spot((41.0, 2.0), 7.0)]
    places = spread_pockets(spots, 4.0)
    assert places[0] == (0.0, 0.0)
    assert places[1] != (40.0, 0.0)


def test_two_that_clash_moderately_move_one():
    """The true place of the mover stays clear of the other head, so one move is enough."""
    spots = [Spot((0.0, 0.0), 7.0), Spot((12.0, 0.0), 7.0)]
    places = spread_pockets(spots, 4.0)
    assert sum(place != spot.true_at for place, spot in zip(places, spots, strict=True)) == 1
    assert math.dist(*places) == pytest.approx(18.0, abs=0.1)


def test_two_on_one_place_move_both_and_show_the_place():
    """A head that stayed would hide where the other belongs."""
    spots = [Spot((0.0, 0.0), 7.0), Spot((0.0, 0.0), 7.0)]
    places = spread_pockets(spots, 4.0)
    assert all(math.hypot(*place) > 7.0 for place in places)
    assert leader_faults(spots, places) == 0


@pytest.mark.parametrize("seed", range(12))
def test_leaders_of_screws_around_an_edge_cross_nothing(seed):
    """Screws as panels have them: along the edge of a small panel."""
    dice = random.Random(seed)
    around = Polygon([(0, 0), (60, 0), (60, 35), (0, 35)]).exterior
    count = 8
    ends = [around.interpolate((i + dice.uniform(-0.2, 0.2)) / count, normalized=True) for i in range(count)]
    spots = [Spot((p.x, p.y), 7.0) for p in ends]
    places = spread_pockets(spots, 4.0)
    assert leader_faults(spots, places) == 0
    assert min(gaps(spots, places)) >= 4.0


def test_pockets_stay_inside_their_outline_where_they_fit():
    """Two that clash near an edge go inwards."""
    outline = Polygon([(0, 0), (80, 0), (80, 60), (0, 60)])
    spots = [Spot((2.0, 30.0), 7.0), Spot((2.0, 31.0), 7.0), Spot((3.0, 55.0), 7.0), Spot((4.0, 56.0), 7.0)]
    within = outline.buffer(1e-3)
    assert all(within.contains(Point(place)) for place in spread_pockets(spots, 4.0, outline))


@pytest.mark.parametrize("count", [3, 9, 18, 30])
def test_a_ring_has_room_for_all_and_crosses_no_leaders(count):
    """The way out for a small panel with many screws."""
    spots = [Spot(spot.true_at, 7.0) for spot in random_spots(3, count, 30, 18)]
    places = ring_pockets([spot.true_at for spot in spots], [spot.radius for spot in spots], 4.0)
    assert min(gaps(spots, places)) >= 4.0 - 1e-9
    assert leader_faults(spots, places) == 0
