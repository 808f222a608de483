"""How well an arrangement reads, by hand; and that arranging reads better and never breaks anything."""

from __future__ import annotations

import itertools
import math
import random
from dataclasses import replace

import numpy as np
import pytest

from boardmaker.packing import arrange, pack, read_packing, violations
from boardmaker.packing.problem import Enough, Instance, Item, Packing, Placement, Pose, Region, Relations
from boardmaker.packing.reading import RelationsReader, Spread

BOARD = Region(((0.0, 0.0), (400.0, 0.0), (400.0, 300.0), (0.0, 300.0)), margin=8.0)


def read(relations, *middles, regions=None, turns=None):
    keys = [str(number) for number in range(len(middles))]
    regions = regions or [0] * len(keys)
    spread = Spread(
        regions, np.array(middles, dtype=float), [(400.0, 300.0)] * (1 + max(regions)), turns or [0] * len(keys)
    )
    return RelationsReader(keys, relations).read(spread)


def test_ends_and_heights_are_shares_of_pairs():
    """Two of three pairs stand the right way round."""
    pairs = (("0", "1"), ("1", "2"), ("0", "2"))
    reading = read(Relations(left_of=pairs, below=pairs), (10, 10), (300, 20), (200, 90))
    assert reading.ends == pytest.approx(2 / 3)
    assert reading.height == 1.0
    assert reading.shares == {"height": 1.0, "ends": pytest.approx(2 / 3)}
    assert reading.total == pytest.approx((2 / 3 + 1) / 2)


@pytest.mark.parametrize(
    ("half", "across", "share"),
    [("left", 199, 1.0), ("left", 200, 1.0), ("left", 201, 0.0), ("right", 201, 1.0), ("right", 199, 0.0),
     ("middle", 101, 1.0), ("middle", 99, 0.0), ("middle", 299, 1.0), ("middle", 301, 0.0)],
)  # fmt: skip
def test_halves_of_a_board(half, across, share):
    """The left, the right and the middle half of 400 mm."""
    assert read(Relations(halves=(("0", half),)), (across, 10)).side == share


def test_a_side_that_has_a_board_to_itself_may_lie_anywhere_on_it():
    """The right one is alone on the second board, the left one too on the first; a single board has both."""
    relations = Relations(halves=(("0", "left"), ("1", "right"), ("2", "middle")))
    middles = (390, 10), (10, 10), (200, 10)
    assert read(relations, *middles, regions=[0, 1, 1]).side == 1.0
    assert read(relations, *middles).side == pytest.approx(1 / 3)
    assert read(Relations(halves=(("0", "left"),)), (390, 10)).side == 0.0


def test_pairs_on_two_boards_are_no_pairs():
    """Nobody compares left and right across boards; twins that are parted do not read as twins."""
    relations = Relations(left_of=(("0", "1"),), twins=(("0", "1"),))
    reading = read(relations, (10, 10), (300, 20), regions=[0, 1])
    assert (reading.ends, reading.twins) == (None, 0.0)


def test_twins_are_measured_from_their_mirrored_place():
    """Exactly mirrored: 1; half the board's height off: 0; a quarter: one half."""
    twins = Relations(twins=(("0", "1"),))
    assert read(twins, (50, 100), (350, 100)).twins == 1.0
    assert read(twins, (50, 100), (350, 250)).twins == 0.0
    assert read(twins, (50, 100), (350, 175)).twins == pytest.approx(0.5)


def test_turned_items_are_counted():
    """Of those that should be upright alone."""
    relations = Relations(upright=("0", "1", "2"))
    assert read(relations, *[(0, 0)] * 4, turns=[0, 90, 270, 90]).upright == pytest.approx(1 / 3)


def test_a_reading_goes_by_the_middle_that_a_pose_names():
    """A zone with a long label on the right: its own middle is in the right half, that of the outline in the left."""
    zone = ((0.0, 0.0), (150.0, 0.0), (150.0, 50.0), (0.0, 50.0))
    for middle, share in (((25.0, 25.0), 1.0), (None, 0.0)):
        items = [Item("a", (Pose(0, zone, middle),))]
        reading = read_packing(
            items, [BOARD], (Placement("a", 0, 0, (150.0, 50.0)),), Relations(halves=(("a", "left"),))
        )
        assert reading.side == share


def test_nothing_asked_is_all_granted():
    """No relations: the mean is 1."""
    assert read(Relations(), (0, 0)).total == 1.0


def rectangles(count, seed):
    dice = random.Random(seed)
    sizes = [(dice.uniform(40, 70), dice.uniform(30, 60)) for _ in range(count)]
    return [
        Item(str(number), (Pose(0, ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height))),))
        for number, (width, height) in enumerate(sizes)
    ]


def some_relations(count, seed):
    """Everything a board can be asked: halves, the first half left of the others, ranks of height, twins."""
    order = list(range(count))
    random.Random(seed).shuffle(order)
    half = count // 2
    return Relations(
        left_of=tuple((str(a), str(b)) for a in order[:half] for b in order[half:]),
        below=tuple((str(a), str(b)) for a in range(count) for b in range(a + 3, count)),
        twins=tuple((str(a), str(b)) for a, b in zip(order[:half], order[half:], strict=False)),
        halves=tuple((str(a), "left" if a in order[:half] else "right") for a in range(count)),
    )


@pytest.fixture(params=[1, 2, 3])
def packed(request):
    """16 rectangles on a board with room to spare, and what they would like of each other."""
    items = rectangles(16, request.param)
    placements = pack(items, [BOARD], clearance=6.0, effort="quick")
    return items, Packing(0.25, placements), some_relations(16, request.param)


def test_arranging_reads_better_and_stays_a_packing(packed):
    """By a good deal, at the same scale, by the judge's word."""
    items, start, relations = packed
    found = arrange(Instance(tuple(items), (BOARD,), 6.0), start, relations, effort="quick")
    before, after = (read_packing(items, [BOARD], one.placements, relations).total for one in (start, found))
    assert after > before + 0.1
    assert found.scale == start.scale
    assert not violations(items, found.placements, [BOARD], 6.0)
    assert arrange(Instance(tuple(items), (BOARD,), 6.0), start, relations, effort="quick") == found


def box(width, height):
    return ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height))


def test_a_full_board_is_left_as_it_is():
    """Four rectangles that leave no play: nothing can change, nothing is lost."""
    items = [Item(str(number), (Pose(0, box(189.0, 139.0)),)) for number in range(4)]  # 6 mm between, 8 mm to the edge
    at = [(8.0, 8.0), (203.0, 8.0), (8.0, 153.0), (203.0, 153.0)]
    start = Packing(1.0, tuple(Placement(item.key, 0, 0, place) for item, place in zip(items, at, strict=True)))
    assert not violations(items, start.placements, [BOARD], 6.0)
    relations = Relations(left_of=(("1", "0"),))
    assert arrange(Instance(tuple(items), (BOARD,), 6.0), start, relations, effort="quick") == start


def test_a_layout_is_left_as_it_is_where_nothing_is_asked_or_all_is_granted(packed):
    """The very same placements, of a board with room to change them."""
    items, start, _ = packed
    middles = {
        item.key: place.at[0] + max(x for x, _ in item.poses[0].zone) / 2
        for item, place in zip(items, start.placements, strict=True)
    }
    pairs = itertools.permutations(middles, 2)
    granted = Relations(left_of=tuple((one, other) for one, other in pairs if middles[one] < middles[other]))
    assert read_packing(items, [BOARD], start.placements, granted).total == 1.0
    for relations in (granted, Relations()):
        assert arrange(Instance(tuple(items), (BOARD,), 6.0), start, relations, effort="quick") == start


def test_a_layout_is_left_as_it_is_where_what_is_asked_does_not_fit():
    """A board in the shape of an L: the wide item is asked to lie above the narrow one, and fits at the foot only."""
    foot = Region(((0.0, 0.0), (400.0, 0.0), (400.0, 160.0), (200.0, 160.0), (200.0, 300.0), (0.0, 300.0)), margin=8.0)
    items = [Item("wide", (Pose(0, box(380.0, 140.0)),)), Item("narrow", (Pose(0, box(180.0, 120.0)),))]
    start = Packing(1.0, (Placement("wide", 0, 0, (10.0, 10.0)), Placement("narrow", 0, 0, (10.0, 165.0))))
    assert not violations(items, start.placements, [foot], 6.0)
    relations = Relations(below=(("narrow", "wide"),))
    assert arrange(Instance(tuple(items), (foot,), 6.0), start, relations, effort="quick") == start


def test_tables_go_to_the_rim_upright_and_panels_lose_nothing():
    """One lies turned in the middle, one stands there; six panels that read as they should lie around them."""
    panels = [Item(str(number), (Pose(0, box(70.0, 60.0)),)) for number in range(6)]
    tables = [Item(key, (Pose(0, box(70.0, 40.0)), Pose(90, box(40.0, 70.0)))) for key in ("turned", "inside")]
    at = [(20.0, 20.0), (160.0, 12.0), (300.0, 20.0), (20.0, 215.0), (160.0, 220.0), (300.0, 215.0)]
    lie = [Placement(item.key, 0, 0, place) for item, place in zip(panels, at, strict=True)]
    lie += [Placement("turned", 0, 1, (140.0, 110.0)), Placement("inside", 0, 0, (200.0, 130.0))]
    start = Packing(1.0, tuple(lie))
    items = (*panels, *tables)
    assert not violations(items, start.placements, [BOARD], 6.0)
    relations = Relations(below=(("0", "3"), ("1", "4"), ("2", "5")), left_of=(("0", "1"), ("1", "2"), ("3", "5")))
    assert read_packing(items, [BOARD], start.placements, relations).total == 1.0
    asked = replace(relations, aside=("turned", "inside"))
    found = start
    for _ in range(2):  # as boards do it
        found = arrange(Instance(items, (BOARD,), 6.0), found, asked, effort="quick")
    assert not violations(items, found.placements, [BOARD], 6.0)
    assert read_packing(items, [BOARD], found.placements, relations).total == 1.0
    for placement in found.placements[-2:]:
        x, y = placement.at
        assert placement.pose == 0
        assert min(x, y, 400.0 - x - 70.0, 300.0 - y - 40.0) < 20.0


def test_arranging_stopped_midway_keeps_what_it_has(packed):
    """Marked as cut short, and a packing all the same."""
    items, start, relations = packed
    calls = []

    def stop_soon(progress):
        calls.append(progress)
        if len(calls) > 1:
            raise Enough

    found = arrange(Instance(tuple(items), (BOARD,), 6.0), start, relations, effort="normal", report=stop_soon)
    assert found.cut_short
    assert not violations(items, found.placements, [BOARD], 6.0)
    assert math.isclose(calls[0].best_scale, 0.25)
