"""Pairs of convex pieces and their boxes against slow, obvious answers."""

from itertools import combinations

import numpy as np
import pytest
import shapely

from boardmaker.packing.convex_pieces import joined, pieces_of
from boardmaker.packing.pairs import Pairs, strangers_in_contact
from boardmaker.packing.shapes import array_of, is_convex


def convex_ring(random, corners):
    """A convex ring around the origin."""
    hull = shapely.MultiPoint(random.uniform(-30, 30, (corners, 2))).convex_hull
    return array_of(shapely.get_coordinates(hull)[:-1])


@pytest.mark.parametrize("seed", range(10))
@pytest.mark.parametrize("of_one", [1, 3, 40])
def test_strangers_in_contact_are_those_that_overlap(seed, of_one):
    """What is found is what looking at all two boxes finds, in order; boxes of one owner are none of it."""
    random = np.random.default_rng(seed)
    low = random.integers(0, 30, (2, 40)).astype(float)  # whole numbers, so that some boxes only touch
    high = low + random.integers(1, 9, (2, 40))
    owner = np.arange(40) // of_one
    expected = [
        (one, other)
        for one, other in combinations(range(40), 2)
        if owner[one] != owner[other]
        and all(low[axis, one] < high[axis, other] and low[axis, other] < high[axis, one] for axis in (0, 1))
    ]
    one, other = strangers_in_contact((low[0], high[0]), (low[1], high[1]), owner)
    assert list(zip(one.tolist(), other.tolist(), strict=True)) == expected
    assert expected or of_one == 40


def test_where_there_is_nothing_nothing_is_in_contact():
    nothing = np.zeros(0), np.zeros(0)
    assert [len(found) for found in strangers_in_contact(nothing, nothing, np.zeros(0, dtype=int))] == [0, 0]


@pytest.mark.parametrize("seed", range(20))
def test_along_the_best_direction_a_pair_is_as_far_apart_as_it_is(seed):
    """What a pair may slide towards each other is the distance that shapely finds."""
    random = np.random.default_rng(seed)
    rings = [convex_ring(random, 8) for _ in range(2)]
    assert all(is_convex(ring) and len(ring) <= 8 for ring in rings)
    at, other_at = random.uniform(-5, 5, 2), random.uniform(60, 90, 2)
    distance = shapely.Polygon(rings[0] + at).distance(shapely.Polygon(rings[1] + other_at))
    pairs = Pairs(
        pieces_of(rings),
        np.array([0]),
        np.array([1]),
        np.array([False]),
        (at[:1], at[1:]),
        (other_at[:1], other_at[1:]),
        np.array([0.0]),
        1.0,
    )
    best = pairs.along_sides_of_one().or_better(pairs.along_sides_of_other()).or_better(pairs.along_shortest_way())
    assert best.limits[0] == pytest.approx(distance, abs=1e-9)
    assert np.hypot(best.across[0], best.up[0]) == pytest.approx(1.0)


def test_pieces_have_unit_normals_and_few_corners():
    """A ring of many corners becomes several pieces; every normal is outward and of length 1."""
    circle = array_of(shapely.get_coordinates(shapely.Point(0, 0).buffer(10))[:-1])
    pieces = joined([pieces_of([circle]), pieces_of([]), pieces_of([circle + 50])])
    assert len(pieces) == 2 * len(pieces_of([circle])) > 2
    assert np.allclose(np.hypot(pieces.across, pieces.up), 1.0)
    middle_x, middle_y = pieces.x.mean(axis=1)[:, None], pieces.y.mean(axis=1)[:, None]
    assert np.all(pieces.across * (pieces.x - middle_x) + pieces.up * (pieces.y - middle_y) >= -1e-9)
