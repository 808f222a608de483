"""Items kept to windows and upright poses, and what happens where a window has no room."""

from __future__ import annotations

import pytest

from boardmaker.packing import largest_scale, pack, violations
from boardmaker.packing.problem import CLOSED, HomeWindow, Item, Packing, Placement, Pose, Region

BOARD = Region(((0.0, 0.0), (400.0, 0.0), (400.0, 300.0), (0.0, 300.0)), margin=8.0)
SLACK = 0.01  # mm


def box(width, height):
    return ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height))


def item(key, width, height, *windows, turn_deg=None, middle=None):
    poses = (Pose(0, box(width, height), middle), Pose(90, box(height, width)))
    return Item(key, poses, windows=windows, turn_deg=turn_deg)


def placed(items, regions=(BOARD,), **more):
    found = pack(items, list(regions), clearance=6.0, effort=2e8, **more)
    assert found is not None
    assert not violations(items, found, list(regions), 6.0)
    return {one.key: one for one in found}


LEFT, RIGHT = HomeWindow((0.0, 0.0), (0.5, 1.0)), HomeWindow((0.5, 0.0), (1.0, 1.0))
LOW = HomeWindow((0.0, 0.0), (1.0, 0.4))


@pytest.mark.parametrize("seed", range(3))
def test_items_lie_in_their_windows(seed):
    """Six on each side, two of which low, wherever the search begins."""
    items = [item(f"{side}{n}", 70, 60, window) for side, window in (("l", LEFT), ("r", RIGHT)) for n in range(5)]
    items += [item("low", 60, 50, LOW)]
    found = placed(items, seed=seed)
    for one in items[:-1]:
        middle = found[one.key].at[0] + (one.poses[found[one.key].pose].zone[1][0]) / 2
        assert middle <= 200 + SLACK if one.key.startswith("l") else middle >= 200 - SLACK
    assert found["low"].at[1] + 25 <= 120 + SLACK


def test_the_middle_is_the_one_that_the_pose_names():
    """The zone reaches far to the right of it; the window asks for the named point."""
    narrow = HomeWindow((0.0, 0.0), (0.12, 1.0))
    found = placed([item("a", 200, 60, narrow, middle=(20.0, 30.0))])["a"]
    assert found.pose == 0
    assert found.at[0] + 20.0 <= 0.12 * 400 + SLACK


def test_upright_items_do_not_stay_turned():
    """Two that lie turned at the beginning: one asks to be upright."""
    items = [item("asks", 60, 40, turn_deg=0), item("does not", 60, 40)]
    start = (Placement("asks", 0, 1, (100.0, 100.0)), Placement("does not", 0, 1, (250.0, 100.0)))
    found = placed(items, start=start)
    assert (found["asks"].pose, found["does not"].pose) == (0, 1)


def test_an_item_that_cannot_stand_upright_lies():
    """350 mm high on a board of 300: rather lying than nowhere."""
    found = placed([item("tall", 60, 350, turn_deg=0), item("other", 60, 50, turn_deg=0)])
    assert (found["tall"].pose, found["other"].pose) == (1, 0)


def test_an_item_that_its_window_cannot_hold_stands_as_near_as_it_can():
    """300 mm wide, its middle asked for at 40 mm: the nearest it can be to the edge is 158 mm."""
    found = placed([item("wide", 300, 60, HomeWindow((0.0, 0.0), (0.1, 1.0)), turn_deg=0)])["wide"]
    assert found.at[0] <= 8.0 + 25.0


def test_a_closed_region_stays_empty():
    """Two boards, all on the second."""
    items = [item(str(n), 70, 60, CLOSED, HomeWindow()) for n in range(4)]
    assert {one.region for one in placed(items, (BOARD, BOARD)).values()} == {1}


def test_a_packing_outside_of_its_windows_is_only_a_beginning():
    """It fits as it is, and is moved all the same; one inside stays where it slides to."""
    items = [item("a", 100, 80, LEFT), item("b", 100, 80, RIGHT)]
    wrong = (Placement("a", 0, 0, (280.0, 100.0)), Placement("b", 0, 0, (20.0, 100.0)))
    right = (Placement("a", 0, 0, (20.0, 100.0)), Placement("b", 0, 0, (280.0, 100.0)))
    found = placed(items, start=wrong)
    assert found["a"].at[0] < 150 < found["b"].at[0]
    kept = placed(items, start=right)
    assert [kept[one.key].at for one in right] == [pytest.approx(one.at, abs=1.0) for one in right]


@pytest.mark.slow
def test_windows_make_the_drawing_smaller_and_never_break_it():
    """Twelve squares on one half of a board: 3 x 4 of them instead of 4 x 3 on the whole."""
    scales = []
    for windows in ((), (LEFT,)):
        found = largest_scale(
            lambda scale, windows=windows: [item(str(n), 60 * scale, 60 * scale, *windows) for n in range(12)],
            [BOARD], clearance=6.0, lowest=0.1, highest=3.0, effort=6e8,
        )  # fmt: skip
        assert isinstance(found, Packing)
        scales.append(found.scale)
    assert scales[1] < 0.95 * scales[0]
