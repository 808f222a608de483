"""The judge sees every planted fault and nothing else."""

import math
from dataclasses import replace

import pytest

from boardmaker.packing import TooLarge, crowding, items_too_large, violations
from boardmaker.packing.problem import Item, Placement, Pose, Region

SQUARE = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))
ITEMS = (Item("a", (Pose(0, SQUARE),)), Item("b", (Pose(0, SQUARE),)))
L_SHAPE = ((0.0, 0.0), (60.0, 0.0), (60.0, 20.0), (30.0, 20.0), (30.0, 40.0), (0.0, 40.0))
REGION = Region(L_SHAPE, margin=2.0, keep_outs=(((40.0, 2.0), (44.0, 2.0), (44.0, 6.0), (40.0, 6.0)),))
SOUND = (Placement("a", 0, 0, (2.0, 2.0)), Placement("b", 0, 0, (15.0, 25.0)))


def moved(key, at):
    """The sound layout with one item elsewhere."""
    return tuple(replace(place, at=at) if place.key == key else place for place in SOUND)


def test_sound_layout_has_no_violation():
    """A sound layout passes."""
    assert violations(ITEMS, SOUND, [REGION], 3.0) == ()


@pytest.mark.parametrize(
    ("placements", "clearance", "word"),
    [
        (moved("b", (14.9, 2.0)), 3.0, "apart"),
        (moved("b", (15.0, 2.0)), 3.00001, "apart"),
        (moved("b", (4.0, 4.0)), 0.0, "apart"),
        (moved("a", (1.99, 2.0)), 0.0, "from the edge"),
        (moved("a", (-3.0, 2.0)), 0.0, "beyond the outline"),
        (moved("a", (35.0, 25.0)), 0.0, "beyond the outline"),
        (moved("a", (25.0, 8.5)), 0.0, "from the edge"),
        (moved("a", (45.9, 4.0)), 0.0, "keep-out 0"),
        (moved("a", (38.0, 2.0)), 0.0, "keep-out 0"),
        (SOUND[:1], 0.0, "placed 0 times"),
        ((*SOUND, SOUND[0]), 0.0, "placed 2 times"),
        ((*SOUND, Placement("c", 0, 0, (2.0, 2.0))), 0.0, "is no item"),
        ((replace(SOUND[0], pose=1), SOUND[1]), 0.0, "no pose 1"),
        ((replace(SOUND[0], region=1), SOUND[1]), 0.0, "region 1"),
    ],
)
def test_planted_fault_is_found(placements, clearance, word):
    """Each planted fault is reported in words that name it."""
    faults = violations(ITEMS, placements, [REGION], clearance)
    assert any(word in fault for fault in faults)


def test_just_the_clearance_is_enough():
    """3 mm between two zones where 3 mm are wanted."""
    assert violations(ITEMS, moved("b", (15.0, 2.0)), [REGION], 3.0) == ()


def test_zones_on_two_boards_do_not_meet():
    """The same place, on another board."""
    placements = (SOUND[0], Placement("b", 1, 0, SOUND[0].at))
    assert violations(ITEMS, placements, [REGION, REGION], 3.0) == ()


def test_touching_is_no_overlap_at_clearance_zero():
    """With no clearance wanted, zones may touch."""
    assert violations(ITEMS, moved("b", (12.0, 2.0)), [REGION], 0.0) == ()


def test_items_that_fit_nowhere_are_named_with_what_is_missing():
    """An item larger than the board less its margins is named with its excess; one that fits when turned is not."""
    long = ((0.0, 0.0), (50.0, 0.0), (50.0, 20.0), (0.0, 20.0))
    high = tuple((-y, x) for x, y in long)
    board = Region(((0.0, 0.0), (54.0, 0.0), (54.0, 34.0), (0.0, 34.0)), margin=3.0)
    items = (Item("long", (Pose(0, long),)), Item("turned", (Pose(0, high), Pose(90, SQUARE))), ITEMS[0])
    assert items_too_large(items, [board]) == (TooLarge("long", pytest.approx(2.0), (50.0, 20.0)),)


def test_corner_cuts_can_make_an_item_too_large():
    """A square as large as a board with cut corners is too large, though its sides are not."""
    cut = ((10.0, 0.0), (30.0, 0.0), (40.0, 10.0), (40.0, 30.0), (30.0, 40.0), (10.0, 40.0), (0.0, 30.0), (0.0, 10.0))
    square = ((0.0, 0.0), (35.0, 0.0), (35.0, 35.0), (0.0, 35.0))
    (found,) = items_too_large([Item("square", (Pose(0, square),))], [Region(cut)])
    assert found.missing == pytest.approx(5.0, abs=0.01)


def test_crowding_is_the_share_of_what_zones_and_half_their_clearance_claim():
    """Two squares of 10 mm, 2 mm apart, fill 22 x 10 mm: grown by 1 mm they take up nearly as much as the grown board.

    A third one is too much. A board that is all margin holds nothing.
    """
    region = Region(((0.0, 0.0), (22.0, 0.0), (22.0, 10.0), (0.0, 10.0)))
    share = crowding(ITEMS, [region], 2.0)
    assert share == pytest.approx(2 * (100 + 40 + math.pi) / (220 + 64 + math.pi), abs=0.01)
    assert crowding((*ITEMS, Item("third", (Pose(0, SQUARE),))), [region], 2.0) > 1
    assert crowding(ITEMS, [Region(region.outline, margin=5.0)], 0.0) == math.inf


def test_item_that_fits_beside_a_keep_out_is_not_too_large():
    """A keep-out in the middle leaves room at the side; where it does not, what is missing is what is missing there."""
    board = ((0.0, 0.0), (100.0, 0.0), (100.0, 50.0), (0.0, 50.0))
    keep_out = ((48.0, 10.0), (52.0, 10.0), (52.0, 40.0), (48.0, 40.0))
    fits, not_quite = (tuple((x * side / 10, y * side / 10) for x, y in SQUARE) for side in (47.9, 49.0))
    items = [Item("fits", (Pose(0, fits),)), Item("not quite", (Pose(0, not_quite),))]
    assert items_too_large(items, [Region(board, 0.0, (keep_out,))]) == (
        TooLarge("not quite", pytest.approx(1.0, abs=0.1), pytest.approx((49.0, 49.0))),
    )
