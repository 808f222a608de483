"""A packing restored: sound, nowhere farther from home, and home where that is free."""

from __future__ import annotations

import math
import random

import pytest

from boardmaker.packing import restore, violations
from boardmaker.packing.problem import Item, Placement, Pose, Region


def box(width, height):
    return ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height))


@pytest.mark.parametrize("seed", range(20))
def test_no_item_ends_farther_from_home_and_the_judge_is_content(seed):
    """Random boxes on two boards with a keep-out, each with a random home."""
    dice = random.Random(seed)
    items, placements = [], []
    for number in range(8):
        width, height = dice.uniform(20, 60), dice.uniform(20, 60)
        poses = (Pose(0, box(width, height)), Pose(90, box(height, width)))
        items.append(Item(str(number), poses))
        # a grid of cells 90 mm wide keeps any two of these apart
        placements.append(
            Placement(str(number), number % 2, 0, (10 + 90.0 * (number // 2 % 2), 10 + 90.0 * (number // 4)))
        )
    regions = [Region(box(300.0, 260.0), 5.0, (box(1.0, 1.0),)), Region(box(300.0, 260.0), 5.0)]
    homes = {
        item.key: Placement(
            item.key, dice.randint(0, 1), dice.randint(0, 1), (dice.uniform(0, 250), dice.uniform(0, 200))
        )
        for item in items
    }
    assert violations(items, placements, regions, 6.0) == ()
    found = restore(items, regions, placements, homes, 6.0)
    assert violations(items, found, regions, 6.0) == ()
    for before, after in zip(placements, found, strict=True):
        home = homes[before.key]
        if (before.region, before.pose) == (home.region, home.pose):
            assert (after.region, after.pose) == (home.region, home.pose)
            assert math.dist(after.at, home.at) <= math.dist(before.at, home.at)
    assert found != tuple(placements)


def test_a_free_home_is_reached():
    """One item alone goes all the way."""
    item = Item("a", (Pose(0, box(20.0, 20.0)), Pose(90, box(20.0, 20.0))))
    home = Placement("a", 0, 1, (60.0, 40.0))
    assert restore([item], [Region(box(100.0, 100.0), 5.0)], [Placement("a", 0, 0, (5.1, 5.1))], {"a": home}, 6.0) == (
        home,
    )
