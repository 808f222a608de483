"""Where panels would like to lie on boards that are an exploded view of the bike."""

from __future__ import annotations

import pytest
from bikes import bike_text

from boardmaker.boards.homes import Width, homes_on_boards, kept_in, of_a_side, too_wide, windowed, windows_around
from boardmaker.packing.problem import CLOSED, Item, Placement, Pose
from boardmaker.service import plan_work

WIDE = Width(0.2, 0.1, 0.15)


def panel(key, side, x, y, size=100, more=""):
    view = "view: top, " if side == "centre" else ""
    square = f"[[0, 0], [{size}, 0], [{size}, {size}], [0, {size}]]"
    hole = "holes: [ { at: [10, 10], fastener: A } ]"
    return f"  {key}: {{ name: {key}, side: {side}, {view}on_bike: [{x}, {y}], outline: {square}, {hole}{more} }}"


FRONT, REAR, TOP = panel("front", "left", 1400, 300), panel("rear", "left", 200, 700), panel("top", "centre", 600, 900)
OTHER = "  front-right: { mirrors: front, side: right }"
UNPLACED = "  loose: { name: Loose, side: right, holes: [ { at: [0, 0], fastener: A } ] }"


@pytest.fixture
def work(bike_from):
    return plan_work(bike_from(bike_text("\n".join([FRONT, REAR, TOP, OTHER, UNPLACED]))))


NAMES = {key: f"item-{key}" for key in ("front", "rear", "top", "front-right", "loose")}


def test_front_ones_are_outermost_and_high_ones_high(work):
    """By shares of the bike; mirrored on the other side; where nothing is known, no home."""
    homes = homes_on_boards(work, NAMES, [1.0])
    assert homes["front"].across == pytest.approx(0.06)
    assert homes["rear"].across == pytest.approx(0.44)
    assert homes["front-right"].across == pytest.approx(0.94)
    assert homes["top"].across == 0.5
    assert (homes["front"].up, homes["top"].up) == (pytest.approx(0.1), pytest.approx(0.9))
    assert 0.1 < homes["rear"].up < homes["top"].up
    assert (homes["loose"].across, homes["loose"].up, homes["loose"].wish) == (None, None, (0.75, 0.5))


def test_windows_reach_from_the_home_and_not_past_the_middle(work):
    """The rear one's home is near the middle line, which no left panel passes."""
    homes = homes_on_boards(work, NAMES, [1.0])
    items = windowed([Item(key, (Pose(0, ()),)) for key in (*NAMES.values(), "table")], NAMES, homes, WIDE)
    by_key = {item.key: item for item in items}
    front, rear, top = (by_key[f"item-{key}"].windows[0] for key in ("front", "rear", "top"))
    assert (front.low[0], front.high[0]) == (0.0, pytest.approx(0.16))
    assert (rear.low[0], rear.high[0]) == (pytest.approx(0.34), pytest.approx(0.488))
    assert (top.low[0], top.high[0]) == (pytest.approx(0.35), pytest.approx(0.65))
    assert (top.low[1], top.high[1]) == (pytest.approx(0.7), pytest.approx(1.1))
    loose = by_key["item-loose"].windows[0]
    assert (loose.low, loose.high) == ((0.512, 0.0), (1.0, 1.0))
    assert all(item.turn_deg == 0 for item in items)
    assert by_key["table"].windows == ()


def test_of_two_boards_each_takes_a_stretch_of_the_bike(work):
    """The front pair on the first, mirror images together; where nobody knows where a panel is, behind the others."""
    homes = homes_on_boards(work, NAMES, [1.0, 1.0])
    assert (homes["front"].board, homes["front-right"].board) == (0, 0)
    assert homes["rear"].board == 1
    (front,) = windowed([Item("item-front", (Pose(0, ()),))], NAMES, homes, WIDE)
    assert front.windows[1] == CLOSED
    assert front.windows[0] != CLOSED


def test_a_small_board_takes_a_short_stretch(bike_from):
    """By area: a quarter of the board's area gets about a quarter of the panels."""
    work = plan_work(bike_from(bike_text("\n".join(panel(f"p{n}", "left", 1000 - 100 * n, 500) for n in range(8)))))
    names = {f"p{n}": str(n) for n in range(8)}
    boards = [home.board for home in homes_on_boards(work, names, [1.0, 3.0]).values()]
    assert boards == [0, 0, 1, 1, 1, 1, 1, 1]


def test_windows_around_where_something_lies():
    """Everything stays within some per cent of its board, and as it is turned."""
    box = ((0.0, 0.0), (40.0, 0.0), (40.0, 20.0), (0.0, 20.0))
    items = (Item("a", (Pose(0, box), Pose(90, box))), Item("b", (Pose(0, box, (30.0, 5.0)),)))
    lies = (Placement("a", 0, 1, (80.0, 90.0)), Placement("b", 1, 0, (0.0, 0.0)))
    around = windows_around(items, lies, [(200.0, 100.0), (100.0, 50.0)], 0.1)
    first, second = kept_in(items, around)
    assert (first.windows[0].low, first.windows[0].high) == (pytest.approx((0.4, 0.9)), pytest.approx((0.6, 1.1)))
    assert first.windows[1] == CLOSED
    assert first.turn_deg == 90
    assert second.windows[1].low == (pytest.approx(0.2), pytest.approx(0.0))
    assert second.turn_deg == 0


@pytest.mark.parametrize(("across", "low", "high"), [(0.45, 0.35, 0.498), (0.499, 0.399, 0.499), (0.55, 0.502, 0.65)])
def test_a_side_panel_stays_in_its_half(across, low, high):
    """Where it is near the middle line its window ends there; any other item may cross it."""
    box = ((0.0, 0.0), (40.0, 0.0), (40.0, 20.0), (0.0, 20.0))
    items = (Item("a", (Pose(0, box),)),)
    lies = (Placement("a", 0, 0, (across * 200.0 - 20.0, 30.0)),)
    (held,) = windows_around(items, lies, [(200.0, 100.0)], 0.1, {"a"})["a"].windows
    assert (held.low[0], held.high[0]) == (pytest.approx(low), pytest.approx(high))
    (free,) = windows_around(items, lies, [(200.0, 100.0)], 0.1, {"b"})["a"].windows
    assert (free.low[0], free.high[0]) == (pytest.approx(across - 0.1), pytest.approx(across + 0.1))


def test_left_and_right_panels_are_of_a_side(work):
    """By their items' keys; centre ones are not."""
    assert of_a_side(work, NAMES) == {"item-front", "item-rear", "item-front-right", "item-loose"}


def square(size, turn_deg=0):
    return Pose(turn_deg, ((0.0, 0.0), (size, 0.0), (size, 1.0), (0.0, 1.0)))


def test_pairs_without_room_beside_each_other_may_lie_turned(work):
    """By the width of both as they stand upright; panels without a mirror image stay upright however wide."""
    items = [Item(key, (square(300.0, 90), square(200.0))) for key in NAMES.values()]
    assert too_wide(work, NAMES, items, 400.0) == frozenset()
    turning = too_wide(work, NAMES, items, 399.0)
    assert turning == {"front", "front-right"}
    placed = windowed(items, NAMES, homes_on_boards(work, NAMES, [1.0]), WIDE, turning)
    assert {item.key for item in placed if item.turn_deg is None} == {"item-front", "item-front-right"}


def test_a_pair_of_which_one_stays_on_the_bike_is_none(work):
    """Only what lies on the boards needs room there."""
    names = {key: item for key, item in NAMES.items() if key != "front-right"}
    assert too_wide(work, names, [Item(key, (square(900.0),)) for key in names.values()], 100.0) == frozenset()
