"""Where pockets go: apart, near their true places, leaders that cross nothing."""

from __future__ import annotations

import itertools
import math
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon

from boardmaker.figures.pockets import WantedPocket, leader_faults, spread_pockets
from boardmaker.figures.ring import ring_pockets


def gaps(spots, places):
    return [
        math.dist(a, b) - one.radius - other.radius
        for (one, a), (other, b) in itertools.combinations(zip(spots, places, strict=True), 2)
    ]


def random_spots(seed, count, width, height):
    dice = random.Random(seed)
    return [
        WantedPocket((dice.uniform(0, width), dice.uniform(0, height)), dice.choice([4.0, 5.0, 7.0, 9.0]))
        for _ in range(count)
    ]


@pytest.mark.parametrize("seed", range(12))
def test_heads_keep_finger_room(seed):
    """Room for fingers: whatever the true places, at any density."""
    spots = random_spots(seed, 3 + seed, 60, 30)
    assert min(gaps(spots, spread_pockets(spots, 4.0))) >= 4.0


def test_a_pocket_with_room_stays_exactly_where_it_is():
    """Nothing moves that need not."""
    spots = [WantedPocket((0.0, 0.0), 7.0), WantedPocket((40.0, 0.0), 7.0), WantedPocket((41.0, 2.0), 7.0)]
    places = spread_pockets(spots, 4.0)
    assert places[0] == (0.0, 0.0)
    assert places[1] != (40.0, 0.0)


def test_two_that_clash_moderately_move_one():
    """The true place of the mover stays clear of the other head, so one move is enough."""
    spots = [WantedPocket((0.0, 0.0), 7.0), WantedPocket((12.0, 0.0), 7.0)]
    places = spread_pockets(spots, 4.0)
    assert sum(place != spot.true_at for place, spot in zip(places, spots, strict=True)) == 1
    assert math.dist(*places) == pytest.approx(18.0, abs=0.1)


def test_two_on_one_place_move_both_and_show_the_place():
    """A head that stayed would hide where the other belongs."""
    spots = [WantedPocket((0.0, 0.0), 7.0), WantedPocket((0.0, 0.0), 7.0)]
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
    spots = [WantedPocket((p.x, p.y), 7.0) for p in ends]
    places = spread_pockets(spots, 4.0)
    assert leader_faults(spots, places) == 0
    assert min(gaps(spots, places)) >= 4.0


def test_pockets_stay_inside_their_outline_where_they_fit():
    """Two that clash near an edge go inwards."""
    outline = Polygon([(0, 0), (80, 0), (80, 60), (0, 60)])
    spots = [
        WantedPocket((2.0, 30.0), 7.0),
        WantedPocket((2.0, 31.0), 7.0),
        WantedPocket((3.0, 55.0), 7.0),
        WantedPocket((4.0, 56.0), 7.0),
    ]
    within = outline.buffer(1e-3)
    assert all(within.contains(Point(place)) for place in spread_pockets(spots, 4.0, outline))


@pytest.mark.parametrize("count", [3, 9, 18, 30])
def test_a_ring_has_room_for_all_and_crosses_no_leaders(count):
    """The way out for a small panel with many screws."""
    spots = [WantedPocket(spot.true_at, 7.0) for spot in random_spots(3, count, 30, 18)]
    places = ring_pockets([spot.true_at for spot in spots], [spot.radius for spot in spots], 4.0)
    assert min(gaps(spots, places)) >= 4.0 - 1e-9
    assert leader_faults(spots, places) == 0


HEAD = 7.0


def layout(*moves):
    """Spots and places from pairs (true place, place) with heads of 14 mm."""
    return [WantedPocket(true_at, HEAD) for true_at, _ in moves], [place for _, place in moves]


STAYS = ((0.0, 0.0), (0.0, 0.0))
UNDER = ((-20.0, 0.0), (20.0, 0.0))  # its leader passes under a head that stays at the origin


@pytest.mark.parametrize(
    ("moves", "faults"),
    [
        ([STAYS, ((20.0, 0.0), (20.0, 0.0))], 0),  # nothing moved, nothing can be in the way
        ([STAYS, ((20.0, -30.0), (20.0, 30.0))], 0),  # a leader beside a head
        ([STAYS, ((7.01, 0.0), (40.0, 0.0))], 0),  # from its rim outwards
        ([STAYS, ((6.99, 0.0), (40.0, 0.0))], 1),  # a head over another's true place
        ([STAYS, UNDER], 1),
        ([STAYS, UNDER, ((50.0, 0.0), (50.0, 0.0))], 1),  # past its end a leader is in nobody's way
        ([STAYS, ((-40.0, 0.0), (60.0, 0.0)), ((30.0, 0.0), (30.0, 0.0))], 2),  # one leader under two heads
        (
            [STAYS, ((-20.0, 3.0), (20.0, 3.0)), ((-20.0, -3.0), (40.0, -3.0))],
            3,
        ),  # two under one head, one under the other
        ([((-20.0, 0.0), (20.0, 0.0)), ((0.0, -20.0), (0.0, 20.0))], 1),  # a crossing
        ([((-20.0, 0.0), (20.0, 0.0)), ((0.0, -20.0), (0.0, -1.0))], 1),  # no crossing, but a head over a leader
        ([((-20.0, 0.0), (20.0, 0.0)), ((-9.0, -20.0), (-9.0, 20.0)), ((9.0, -20.0), (9.0, 20.0))], 2),
        ([STAYS, UNDER, ((-30.0, -30.0), (30.0, 30.0))], 3),  # two under one head, and they cross
    ],
)
def test_faults_are_counted_one_by_one(moves, faults):
    """A leader under a head, a head over a true place and a crossing are one fault each."""
    assert leader_faults(*layout(*moves)) == faults


@pytest.mark.parametrize("turn", [0.4, 1.7, 3.0])
def test_faults_are_the_same_whichever_way_the_panel_is_turned(turn):
    """What is counted does not depend on the axes."""
    moves = [STAYS, UNDER, ((-30.0, -30.0), (30.0, 30.0))]
    turned = [
        tuple((x * math.cos(turn) - y * math.sin(turn), x * math.sin(turn) + y * math.cos(turn)) for x, y in one)
        for one in moves
    ]
    assert leader_faults(*layout(*turned)) == 3


LID = Polygon([(0, 0), (90, 0), (90, 40), (60, 55), (0, 55)])
PLACES = st.tuples(st.floats(1.0, 85.0), st.floats(1.0, 39.0))
CROWDS = st.lists(st.builds(WantedPocket, PLACES, st.sampled_from([4.0, 5.0, 7.0, 9.0])), min_size=1, max_size=16)
FEW = settings(max_examples=40, deadline=None, derandomize=True)


@pytest.mark.slow
@FEW
@given(spots=CROWDS, finger_room=st.sampled_from([0.0, 4.0, 6.5]), outline=st.sampled_from([None, LID]))
def test_any_crowd_comes_apart(spots, finger_room, outline):
    """Heads keep finger room; one far from all others stays exactly in place; asked again, the answer is the same."""
    alone = WantedPocket((400.1, 300.3), 9.0)
    spots = [*spots, alone]
    places = spread_pockets(spots, finger_room, outline)
    assert min(gaps(spots, places), default=finger_room) >= finger_room
    assert places[-1] == alone.true_at  # a ring around it too would be too wide
    assert spread_pockets(spots, finger_room, outline) == places


@FEW
@given(spots=CROWDS, others=CROWDS)
@pytest.mark.slow
def test_places_do_not_depend_on_what_was_asked_before(spots, others):
    """A board made again from its kept scale is the same board."""
    fresh = Polygon(LID.exterior.coords)
    before = spread_pockets(spots, 4.0, LID)
    spread_pockets(others, 4.0, LID)
    assert spread_pockets(spots, 4.0, fresh) == before


@FEW
@given(spots=CROWDS)
def test_nothing_moves_where_all_have_room(spots):
    """At ten times the size no two of them touch, or they were on one place."""
    wide = [WantedPocket((one.true_at[0] * 10.0, one.true_at[1] * 10.0), one.radius) for one in spots]
    if min(gaps(wide, [one.true_at for one in wide]), default=9.0) >= 4.1:
        assert spread_pockets(wide, 4.0, LID) == tuple(one.true_at for one in wide)


@FEW
@given(at=PLACES, by=st.tuples(st.integers(-256, 256), st.integers(-256, 256)), way=st.floats(0.0, 6.28))
def test_a_pair_moves_with_its_panel(at, by, way):
    """Shifting a panel shifts its pockets. (Of more than two a hair may decide which goes where.)"""
    spots = [WantedPocket(at, 7.0), WantedPocket((at[0] + 8.0 * math.cos(way), at[1] + 8.0 * math.sin(way)), 5.0)]
    shifted = [WantedPocket((one.true_at[0] + by[0], one.true_at[1] + by[1]), one.radius) for one in spots]
    for place, moved in zip(spread_pockets(spots, 4.0), spread_pockets(shifted, 4.0), strict=True):
        assert moved == pytest.approx((place[0] + by[0], place[1] + by[1]), abs=0.01)


@pytest.mark.parametrize("seed", range(8))
def test_a_crowd_of_twenty_stays_near(seed):
    """On a panel with room for twice as many: no leader in the way, and no pocket far off."""
    outline = Polygon([(0, 0), (150, 0), (150, 90), (0, 90)])
    spots = random_spots(seed, 20, 150, 90)
    places = spread_pockets(spots, 4.0, outline)
    assert leader_faults(spots, places) == 0
    assert max(math.dist(spot.true_at, place) for spot, place in zip(spots, places, strict=True)) < 40.0


@pytest.mark.parametrize("lacking", [0.02, 0.5, 2.0, 4.0])
def test_no_hole_is_punched_where_its_own_dot_is(lacking):
    """Heads that must give way by a little only: the true place comes out from under the hole all the same."""
    spots = [WantedPocket((0.0, 0.0), 7.0, 2.5), WantedPocket((14.0 + 12.0 - lacking, 0.0), 7.0, 2.5)]
    places = spread_pockets(spots, 12.0)
    moved = [math.dist(spot.true_at, place) for spot, place in zip(spots, places, strict=True) if spot.true_at != place]
    assert moved
    assert all(way >= 2.5 + 0.5 for way in moved)
    assert math.dist(*places) >= 26.0
