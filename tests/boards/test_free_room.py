"""Where a rectangle still fits on a packed board, held against shapely and against a search place by place."""

from __future__ import annotations

import random

import pytest
import shapely
from shapely import Polygon, affinity

from boardmaker.boards.free_room import FreeRoom

CUT_CORNER = ((0, 0), (300, 0), (300, 150), (250, 200), (0, 200))
MARGIN, CLEARANCE = 8.0, 6.0


def random_zones(seed):
    """Stars that lie apart from each other, as a packing leaves them."""
    dice = random.Random(seed)
    zones = []
    for _ in range(60):
        ways = sorted(dice.uniform(0, 360) for _ in range(dice.randint(5, 9)))
        arms = [affinity.rotate(shapely.Point(dice.uniform(8, 40), 0), way, origin=(0, 0)) for way in ways]
        zone = affinity.translate(Polygon(arms), dice.uniform(20, 280), dice.uniform(20, 180))
        if zone.is_valid and all(zone.distance(other) > CLEARANCE for other in zones):
            zones.append(zone)
    return tuple(tuple(zone.exterior.coords[:-1]) for zone in zones)


def rectangle(at, size):
    return shapely.box(at[0], at[1], at[0] + size[0], at[1] + size[1])


def keeps_off(room, at, size):
    """Whether it keeps margin and clearance there."""
    inside = Polygon(room.outline).buffer(-room.margin, join_style="mitre")
    own = rectangle(at, size)
    return inside.covers(own) and all(own.distance(Polygon(zone)) >= room.clearance for zone in room.zones)


def keeps_off_squarely(room, at, size):
    """The same for the larger rectangle that stands for the clearance, with a hair to spare."""
    wide = room.clearance + 0.01
    larger = rectangle((at[0] - wide, at[1] - wide), (size[0] + 2 * wide, size[1] + 2 * wide))
    inside = Polygon(room.outline).buffer(-room.margin - 0.01, join_style="mitre")
    return inside.covers(rectangle(at, size)) and not any(larger.intersects(Polygon(zone)) for zone in room.zones)


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("size", [(20, 12), (60, 20), (25, 60), (90, 70)])
def test_a_place_is_right_and_found_where_there_is_one(seed, size):
    """No place on a grid of 2 mm is free where none is said to be, nor higher than the one that is."""
    room = FreeRoom(CUT_CORNER, MARGIN, random_zones(seed), CLEARANCE)
    found = room.place_for(size)
    free = [(x, y) for x in range(0, 300, 2) for y in range(0, 200, 2) if keeps_off_squarely(room, (x, y), size)]
    if found is None:
        assert free == []
    else:
        assert keeps_off(room, found, size)
        assert all(y <= found[1] + 0.01 for _, y in free)


def test_a_gap_takes_what_is_just_as_wide():
    """Two blocks 40 mm apart, less the clearance to each."""
    left, right = ((0, 0), (100, 0), (100, 200), (0, 200)), ((140, 0), (300, 0), (300, 200), (140, 200))
    room = FreeRoom(CUT_CORNER, MARGIN, (left, right), CLEARANCE)
    at = room.place_for((27.99, 30.0))
    assert at == pytest.approx((106.0, 200 - MARGIN - 30.0), abs=0.01)
    assert room.place_for((28.01, 30.0)) is None


def test_a_cut_corner_holds_nothing():
    """Up to the margin from the cut, however wide."""
    room = FreeRoom(CUT_CORNER, MARGIN, (), CLEARANCE)
    assert room.place_for((300 - 2 * MARGIN - 0.01, 200 - 2 * MARGIN - 0.01)) is None
    at = room.place_for((200.0, 30.0))
    assert at == pytest.approx((MARGIN, 200 - MARGIN - 30.0), abs=0.01)


def test_what_is_put_there_is_in_the_way_of_the_next():
    """Twice into a room for one."""
    room = FreeRoom(CUT_CORNER, MARGIN, (), CLEARANCE)
    x, y = room.place_for((250.0, 100.0))
    assert (
        room.with_zone(tuple(rectangle((x, y), (250.0, 100.0)).exterior.coords[:-1])).place_for((250.0, 100.0)) is None
    )
