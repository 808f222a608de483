"""Which hole is which: nearest, one to one, within 3 mm, and nothing guessed."""

from __future__ import annotations

import itertools
import random

import numpy as np
import pytest
from scipy.optimize import linear_sum_assignment

from boardmaker.geometry import distance
from boardmaker.tracing.matching import REACH, drawn_twice, match_holes, shift_to


def test_near_ones_are_paired_and_far_ones_are_not():
    """3 mm is near, 3.01 mm is not."""
    assert match_holes([(0, 0), (50, 0)], [(50, 3), (3.01, 0)]).pairs == ((1, 0),)


def test_two_equally_near_are_unclear():
    """Nothing is guessed, and the others are paired all the same."""
    matching = match_holes([(0, 0), (100, 0)], [(-1, 0), (1, 0.05), (100, 1)])
    assert matching.pairs == ((1, 2),)
    assert matching.unclear == (((0,), (0, 1)),)


def test_a_square_can_be_paired_in_two_ways():
    """Two found ones on one diagonal, two old ones on the other."""
    assert match_holes([(0, 0), (2, 2)], [(2, 0), (0, 2)]).unclear == (((0, 1), (0, 1)),)


def test_a_nearest_one_gives_way_where_both_find_a_partner_then():
    """Taking the shortest first would leave one of each without a partner."""
    assert match_holes([(0, 0), (-2.6, 0)], [(-1.2, 0), (1.4, 0)]).pairs == ((0, 1), (1, 0))


def test_too_many_holes_in_reach_of_each_other_are_unclear():
    """A row of twenty, 2 mm apart, is nothing that can be told."""
    row = [(2.0 * i, 0.0) for i in range(20)]
    assert match_holes(row, row).unclear


def test_the_pairs_are_the_cheapest_there_are():
    """Held against the Hungarian method on random places, where a hole without a partner costs 3 mm."""
    chance = random.Random(7)
    clear = 0
    for _ in range(60):
        found = [(chance.uniform(0, 12), chance.uniform(0, 12)) for _ in range(5)]
        there = [(chance.uniform(0, 12), chance.uniform(0, 12)) for _ in range(5)]
        matching = match_holes(found, there)
        gains = np.array(
            [[2 * REACH - distance(a, b) if distance(a, b) <= REACH else 0.0 for b in there] for a in found]
        )
        best = gains[linear_sum_assignment(gains, maximize=True)].sum()
        ours = sum(2 * REACH - distance(found[i], there[j]) for i, j in matching.pairs)
        assert ours <= best + 1e-9
        if not matching.unclear:
            clear += 1
            assert ours == pytest.approx(best)
    assert clear > 45


def test_one_hole_drawn_twice_is_seen():
    """Circle of the head and circle of the thread."""
    assert drawn_twice([(0, 0), (40, 0), (0.2, 0.1)]) == ((0, 2),)


def test_the_frame_is_found_from_the_holes():
    """Also where one has moved, one is new and one is gone."""
    there = [(-38.0, 0.0), (38.0, 0.0), (10.0, 55.0), (-20.0, 90.0)]
    found = [(0.0, 0.0), (76.0, 0.0), (48.5, 55.5), (100.0, 20.0)]
    way = shift_to(found, there)
    assert way is not None
    assert way == pytest.approx((-38.0, 0.0), abs=0.3)


@pytest.mark.parametrize(
    ("found", "there"),
    [([(0, 0), (50, 0)], [(5, 5)]), ([(0, 0), (20, 0), (40, 0)], [(0, 0), (20, 0)]), ([], [(0, 0)])],
)
def test_a_frame_that_could_be_two_is_none(found, there):
    """One hole says nothing; of a row of three, two can be any two."""
    assert shift_to(found, there) is None


def test_the_order_of_the_lists_does_not_matter():
    """The same pairs for every order."""
    found, there = [(0, 0), (10, 0), (20, 1)], [(0.5, 0), (11, 0), (19, 0)]
    for order in itertools.permutations(range(3)):
        pairs = match_holes([found[i] for i in order], there).pairs
        assert {(order[i], j) for i, j in pairs} == {(0, 0), (1, 1), (2, 2)}
