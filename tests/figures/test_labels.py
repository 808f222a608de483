"""Label placement: nothing is hidden, near beats far, beside beats below."""

from __future__ import annotations

import itertools
import math
import random

import pytest
import shapely

from boardmaker.figures.labels import Surroundings, WantedLabel, place_labels


def distance_to_box(point, box):
    return shapely.box(*box).distance(shapely.Point(point))


def heads(count, seed, room=100.0):
    """Heads of 14 mm with finger room, anywhere."""
    dice = random.Random(seed)
    places = []
    while len(places) < count:
        place = (dice.uniform(0, room), dice.uniform(0, room))
        if all(math.dist(place, other) >= 18.0 for other in places):
            places.append(place)
    return places


def test_a_lone_label_stands_beside_its_pocket_on_the_right():
    """First choice: to the right, on the middle line, no leader."""
    (spot,) = place_labels([WantedLabel((0.0, 0.0), 7.0, (8.0, 3.0))], Surroundings(circles=(((0.0, 0.0), 7.0),)))
    assert spot.leader == ()
    assert spot.box[0] == pytest.approx(7.3)
    assert (spot.box[1] + spot.box[3]) / 2 == pytest.approx(0.0)


@pytest.mark.parametrize("seed", range(10))
def test_no_label_covers_a_head_or_another_label(seed):
    """Labels keep off: at the densest that finger room allows."""
    places = heads(14, seed)
    around = Surroundings(circles=tuple((place, 7.0) for place in places))
    spots = place_labels([WantedLabel(place, 7.0, (9.0, 3.3)) for place in places], around)
    for spot, place in itertools.product(spots, places):
        assert distance_to_box(place, spot.box) >= 7.0
    for one, other in itertools.combinations(spots, 2):
        assert shapely.box(*one.box).intersection(shapely.box(*other.box)).area == 0.0


def test_a_label_keeps_off_points_and_boxes():
    """Leaders' ends and the title are never covered."""
    around = Surroundings(circles=(((0.0, 0.0), 7.0),), points=((11.0, 0.0),), boxes=((-30.0, -4.0, -8.0, 4.0),))
    (spot,) = place_labels([WantedLabel((0.0, 0.0), 7.0, (8.0, 3.0))], around)
    assert distance_to_box((11.0, 0.0), spot.box) > 0.0
    assert shapely.box(*spot.box).intersection(shapely.box(-30, -4, -8, 4)).area == 0.0


def test_a_walled_in_label_goes_out_and_has_a_leader():
    """Six heads around one leave no room beside it."""
    ring = [(18.0 * math.cos(k * math.pi / 3), 18.0 * math.sin(k * math.pi / 3)) for k in range(6)]
    circles = tuple((place, 7.0) for place in [(0.0, 0.0), *ring])
    (spot,) = place_labels([WantedLabel((0.0, 0.0), 7.0, (16.0, 6.0))], Surroundings(circles=circles))
    assert spot.leader
    assert math.hypot(*spot.leader[0]) == pytest.approx(7.0)
    assert all(distance_to_box(place, spot.box) >= 7.0 for place, _ in circles)


def test_an_outline_is_avoided_where_there_is_room():
    """A label would rather stand on the other side than over a line."""
    line = shapely.LineString([(10.0, -50.0), (10.0, 50.0)])
    (spot,) = place_labels(
        [WantedLabel((0.0, 0.0), 7.0, (8.0, 3.0))], Surroundings(circles=(((0.0, 0.0), 7.0),), outline=line)
    )
    assert not line.intersects(shapely.box(*spot.box))
