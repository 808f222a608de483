"""Boards in cases: closed answers of geometry, and every board held against the case by shapely."""

from __future__ import annotations

import math
import random
from dataclasses import replace
from functools import cache

import pytest
import shapely
from case_judge import clear_of_all, inside_at, largest_rectangle
from shapely import Polygon, affinity

from boardmaker.case import Layer, Span, boards_from_sheet, layer_of, stack_heights, stack_problem
from boardmaker.case import shape_boards as shape_at_heights
from boardmaker.case.fitting import still_fits
from boardmaker.model import BoardSetup, CaseSetup, Fastener, Head, KeepOut, Setup, Shoulder
from boardmaker.problems import ProblemsFound
from boardmaker.standards import parse_thread


def in_case(board):
    outline = affinity.rotate(Polygon(board.outline), board.in_case.turn, origin=(0, 0))
    return affinity.translate(outline, *board.in_case.at)


def shape_boards(its_setup, count):
    """Boards that lie on the floor and reach up to the rim."""
    return shape_at_heights(its_setup, [Span()] * count)


def setup(size, case):
    return Setup(board=BoardSetup(size=size), case=case)


def test_without_a_case_the_board_is_the_stock():
    """No cuts, no trimming."""
    (board,) = shape_boards(Setup(), 1)
    assert board.stock == (762.0, 508.0)
    assert Polygon(board.outline).equals(shapely.box(0.0, 0.0, 762.0, 508.0))
    assert board.corner_cuts == ()
    assert board.in_case is None


def test_a_board_that_fits_is_not_touched():
    """A case with room to spare costs no board."""
    (board,) = shape_boards(setup((400.0, 300.0), CaseSetup((500.0, 400.0))), 1)
    assert board.stock == (400.0, 300.0)
    assert board.corner_cuts == ()


def test_sharp_corners_only_trim():
    """A 470 x 370 case takes a 470 x 370 board."""
    (board,) = shape_boards(setup((762.0, 508.0), CaseSetup((470.0, 370.0))), 1)
    assert board.stock == (470.0, 370.0)
    assert board.corner_cuts == ()


@pytest.mark.parametrize("radius", [20.0, 30.0])
@pytest.mark.slow
def test_one_cut_at_a_round_corner_has_legs_of_its_radius(radius):
    """A board against both walls of a corner of radius r: one 45 degree cut has legs r (the arc's chord; plane
    geometry, any textbook). Small radii are not worth a second cut."""
    (board,) = shape_boards(setup((762.0, 508.0), CaseSetup((470.0, 370.0), corner_radius=radius)), 1)
    assert [(cut.along_x, cut.along_y) for cut in board.corner_cuts] == [(radius, radius)] * 4


@pytest.mark.slow
def test_two_cuts_meet_on_the_arc():
    """They meet at r(1 - 1/sqrt 2) from both walls (plane geometry); rounded up to whole millimetres."""
    (board,) = shape_boards(setup((762.0, 508.0), CaseSetup((560.0, 400.0), corner_radius=70.0)), 1)
    knee = 70.0 * (1 - 1 / math.sqrt(2))
    lower_left = [cut for cut in board.corner_cuts if cut.corner == "lower left"]
    legs = sorted({leg for cut in lower_left for leg in (cut.along_x, cut.along_y)})
    assert legs == [math.ceil(knee * 70.0 / (70.0 - knee)), 70.0]
    assert inside_at(CaseSetup((560.0, 400.0), corner_radius=70.0), 0).buffer(1e-6).contains(in_case(board))


def test_a_leaning_wall_counts_where_it_is_narrowest():
    """The board must fit at the floor as well as at the rim."""
    case = CaseSetup((560.0, 400.0), height=120.0, floor=(520.0, 360.0), clearance=4.0)
    (board,) = shape_boards(setup((762.0, 508.0), case), 1)
    assert board.stock == (512.0, 352.0)


def test_a_board_may_lie_turned():
    """A tall case takes the board standing on its short side."""
    (board,) = shape_boards(setup((400.0, 300.0), CaseSetup((310.0, 420.0))), 1)
    assert board.stock == (400.0, 300.0)
    assert repr(board.in_case.turn) == "90"  # as it is written: a whole number of degrees without a decimal point
    assert shapely.box(0, 0, 310, 420).buffer(1e-6).contains(in_case(board))


@pytest.mark.parametrize(
    ("case", "message", "hint"),
    [
        (CaseSetup((59.9, 300.0)), "of 59.9 x 300 mm inside with 0 mm clearance: 59 x 300 mm are free of walls",
            "the case would have to be 60 mm wide inside"),
        (CaseSetup((30.0, 300.0)), "30 x 300 mm are free of walls", "the case would have to be 60 mm wide inside"),
        (CaseSetup((50.0, 50.0), clearance=4.5), "of 50 x 50 mm inside with 4.5 mm clearance: 41 x 41 mm are free",
            "the case would have to be 69 mm wide inside"),
        (CaseSetup((50.0, 50.0), clearance=30.0), "0 x 0 mm are free of walls, and a board needs 60 x 60 mm",
            "the case would have to be 120 mm wide inside"),
        (CaseSetup((200.0, 100.0), keep_out=(KeepOut((50.0, 0.0), (100.0, 100.0)),)), "200 x 100 mm are free of walls",
            "look at `keep_out`, `floor` and `clearance` of the case; the stock is 762 x 508 mm"),
        (CaseSetup((68.0, 200.0), clearance=4.0, keep_out=(KeepOut((20.0, 0.0), (20.0, 200.0)),)),
            "60 x 192 mm are free of walls", "look at `keep_out`"),  # wide enough, to the millimetre
    ],
)  # fmt: skip
def test_a_case_that_takes_nothing_is_refused(case, message, hint):
    """60 x 60 mm are needed: what is free, and what would help."""
    with pytest.raises(ProblemsFound) as found:
        shape_boards(setup((762.0, 508.0), case), 1)
    (problem,) = found.value.problems
    assert problem.message.startswith("no board fits into a case of ")
    assert message in problem.message
    assert hint in problem.hint


def test_the_smallest_case_takes_the_smallest_board():
    """60 x 60 mm, to the millimetre."""
    (board,) = shape_boards(setup((762.0, 508.0), CaseSetup((60.0, 60.0))), 1)
    assert (board.stock, board.corner_cuts, board.area) == ((60.0, 60.0), (), 3600.0)


def test_in_inches_sides_are_whole_sixteenths():
    """470 x 370 mm are 296 and 233 sixteenths of an inch and a rest (1 in = 25.4 mm)."""
    its_setup = Setup(board=BoardSetup(size=(762.0, 508.0)), case=CaseSetup((470.0, 370.0), inches=True))
    (board,) = shape_boards(its_setup, 1)
    assert board.stock == pytest.approx((296 * 25.4 / 16, 233 * 25.4 / 16))


def test_a_side_of_the_stock_is_never_rounded():
    """A stock of 400.5 x 300.7 mm is taken whole, in the middle of what is free."""
    (board,) = shape_boards(setup((400.5, 300.7), CaseSetup((500.0, 400.0))), 1)
    assert (board.stock, board.corner_cuts) == ((400.5, 300.7), ())
    assert (board.in_case.turn, board.in_case.at) == (0, pytest.approx((49.75, 49.65)))


def test_a_board_fits_wherever_walls_leave_more():
    """Walls lean out from the floor up: what is made for the floor fits above, and not the other way round."""
    case = CaseSetup((560.0, 400.0), height=120.0, floor=(520.0, 360.0), clearance=4.0)
    low, high = shape_at_heights(setup((762.0, 508.0), case), [Span(0.0, 20.0), Span(40.0, 60.0)])
    assert [still_fits(low, case, span) for span in (Span(0.0, 20.0), Span(40.0, 60.0), Span())] == [True] * 3
    assert [still_fits(high, case, span) for span in (Span(40.0), Span(38.0, 60.0), Span())] == [True, False, False]


OUTLINES = (  # of 100 x 100: a wedge, one with a bay, one with a step, a hexagon
    ((0.0, 0.0), (100.0, 0.0), (80.0, 100.0), (10.0, 100.0)),
    ((0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (60.0, 100.0), (60.0, 80.0), (40.0, 80.0), (40.0, 100.0), (0.0, 100.0)),
    ((0.0, 0.0), (100.0, 0.0), (100.0, 70.0), (70.0, 70.0), (70.0, 100.0), (0.0, 100.0)),
    ((25.0, 0.0), (75.0, 0.0), (100.0, 50.0), (75.0, 100.0), (25.0, 100.0), (0.0, 50.0)),
)


def random_case(dice):
    """Rounded or of any outline, upright, narrower or wider at the floor, with keep-outs at the walls and within."""
    small = dice.random() < 0.2
    inside = (
        (dice.uniform(60, 110), dice.uniform(55, 90)) if small else (dice.uniform(250, 700), dice.uniform(200, 500))
    )
    outline = dice.choice(OUTLINES) if dice.random() < 0.3 else ()
    leaning = dice.random() < 0.5
    sizes = [(dice.uniform(5, 60), dice.uniform(5, 60)) for _ in range(dice.choice([0, 0, 1, 2]))]
    return CaseSetup(
        inside,
        tuple((x / 100 * inside[0], y / 100 * inside[1]) for x, y in outline),
        corner_radius=0.0 if outline else dice.choice([0.0, dice.uniform(5, min(95, inside[1] / 2))]),
        height=120.0,
        floor=tuple(side * dice.choice([0.9, 0.95, 1.03]) for side in inside) if leaning else None,
        clearance=dice.choice([0.0, 4.0]),
        keep_out=tuple(
            KeepOut(
                (dice.choice([0.0, dice.uniform(0, inside[0] - wide)]), dice.uniform(0, inside[1] - deep)), (wide, deep)
            )
            for wide, deep in sizes
        ),
    )


def board_or_none(its_setup, span):
    """The board, or None where it is said that none fits."""
    try:
        return shape_at_heights(its_setup, [span])[0]
    except ProblemsFound as found:
        (problem,) = found.problems
        assert "no board fits into a case" in problem.message
        return None


def random_problem(seed):
    """A case, a stock, and the heights between which its board lies."""
    dice = random.Random(seed)
    stock = tuple(sorted((dice.uniform(200, 800), dice.uniform(150, 600)), reverse=True))
    return random_case(dice), stock, dice.choice([Span(), Span(0.0, 20.0), Span(30.0, 55.0), Span(70.0)])


@cache
def random_board(seed):
    case, stock, span = random_problem(seed)
    return board_or_none(setup(stock, case), span)


def narrowest(board):
    """The least width of a board, looked at from every half degree."""
    outline = Polygon(board.outline)
    boxes = [affinity.rotate(outline, turn / 2, origin=(0, 0)).bounds for turn in range(360)]
    return min(x1 - x0 for x0, _, x1, _ in boxes)


@pytest.mark.parametrize("seed", range(25))
@pytest.mark.slow
def test_every_board_lies_in_its_case_and_no_room_is_given_away(seed):
    """Held against a judge with no code in common: the board keeps clear of walls and keep-outs at all its heights, and
    is no smaller than the largest uncut one on a grid, but for the millimetre a side that rounding may take. Where
    none is said to fit, none of 61 x 61 mm does on the grid: 60 mm are needed, and rounding.
    """
    (case, stock, span), board = random_problem(seed), random_board(seed)
    if board is None:
        assert min(largest_rectangle(case, (62.0, 62.0), span.low, span.high)) < 61.0
        return
    wide, deep = largest_rectangle(case, stock, span.low, span.high)
    assert board.in_case.floor_height == span.low
    assert clear_of_all(in_case(board), case, span.low, span.high)
    assert board.stock[0] <= stock[0] + 1e-9
    assert board.stock[1] <= stock[1] + 1e-9
    assert board.area >= (wide - 1.0) * (deep - 1.0)
    assert narrowest(board) >= 60.0 - 0.01


@pytest.mark.slow
def test_the_random_cases_are_of_every_kind():
    """Among the seeds above: cases that take no board, boards that are trimmed, cut, turned askew and left whole."""
    kinds = set()
    for seed in range(25):
        stock, board = random_problem(seed)[1], random_board(seed)
        if board is None:
            kinds.add("none")
            continue
        kinds.add("whole" if board.area == pytest.approx(stock[0] * stock[1]) else "trimmed")
        kinds.add("cut" if board.corner_cuts else "uncut")
        kinds.add("square" if board.in_case.turn in (0, 90) else "askew")
    assert kinds == {"none", "whole", "trimmed", "cut", "uncut", "square", "askew"}


def test_a_board_that_lies_higher_is_larger_where_walls_lean_in():
    """A wall leans in 20 mm over 120 mm of height on either side: 6.67 mm more room 40 mm above the floor."""
    case = CaseSetup((560.0, 400.0), height=120.0, floor=(520.0, 360.0), clearance=4.0)
    low, high = shape_at_heights(setup((762.0, 508.0), case), [Span(0.0, 20.0), Span(40.0, 60.0)])
    assert low.stock == (512.0, 352.0)
    assert high.stock == (math.floor(512.0 + 40.0 / 3), math.floor(352.0 + 40.0 / 3))


def test_boards_from_one_sheet():
    """Divisions that can be drawn: two by two, and three that only go in when one lies the other way."""
    assert boards_from_sheet((762.0, 508.0), (381.0, 254.0)) == 4
    assert boards_from_sheet((762.0, 508.0), (400.0, 300.0)) == 2
    assert boards_from_sheet((500.0, 300.0), (200.0, 150.0)) == 4
    assert boards_from_sheet((500.0, 200.0), (200.0, 150.0)) == 3
    assert boards_from_sheet((500.0, 300.0), (500.0, 300.0)) == 1
    assert boards_from_sheet((500.0, 300.0), (500.1, 300.0)) == 0
    assert boards_from_sheet((500.0, 300.0), (100.0, 100.0)) == 15
    # one upright strip of two, and three the other way above it; and the same sheet held the other way
    assert boards_from_sheet((600.0, 500.0), (300.0, 200.0)) == boards_from_sheet((500.0, 600.0), (200.0, 300.0)) == 5


@pytest.mark.parametrize(
    ("sheet", "board", "count"),
    [
        ((300.0, 90.0), (100.0002, 90.0), 3),  # less than a thousandth too long: sizes in inches come out so
        ((300.0, 90.0), (100.001, 90.0), 2),
        ((90.0, 300.0), (90.0, 100.0002), 3),
        ((90.0, 300.0), (90.0, 100.001), 2),
        ((100.0, 300.0), (150.0002, 100.0), 2),  # the other way round
        ((100.0, 300.0), (150.001, 100.0), 1),
        ((100.0, 300.0), (300.0, 100.0005), 1),
        ((100.0, 300.0), (300.0, 100.002), 0),
    ],
)
def test_a_thousandth_of_a_millimetre_costs_no_board(sheet, board, count):
    """What rounding loses, a saw loses a thousandfold."""
    assert boards_from_sheet(sheet, board) == count


def test_of_two_ways_to_lie_that_are_as_good_the_straight_one_is_taken():
    """A square case takes 400 x 300 mm either way."""
    (board,) = shape_boards(setup((400.0, 300.0), CaseSetup((500.0, 500.0))), 1)
    assert repr(board.in_case.turn) == "0"


SCREW = Fastener("A", "screw", 16.0, Head("button", 14.0, 3.0), parse_thread("M6"))
SHOULDER = Fastener(
    "B", "shoulder screw", 21.0, Head("button", 14.0, 3.3), parse_thread("M6"), shoulder=Shoulder(11.0, 9.0)
)


def test_layers_reach_as_far_as_their_screws():
    """Above: head, or shoulder and head; below: what is left of the length under the board."""
    layer = layer_of([SCREW, SHOULDER], thickness=5.0)
    assert layer.above == pytest.approx(14.3)
    assert layer.below == pytest.approx(11.0)


def test_a_long_bolt_lies_on_its_board_by_its_head():
    """80 mm would ask for spacers of 75 mm for its sake alone; 45 mm stand, and so does a long shoulder."""
    long = Fastener("L", "bolt", 80.0, Head("flanged hex", 17.9, 8.0), parse_thread("M8"))
    assert long.lies_flat
    assert layer_of([long, SCREW], thickness=5.0) == Layer(17.9, 11.0)
    assert layer_of([replace(long, length=45.0)], thickness=5.0) == Layer(8.0, 40.0)
    assert not replace(long, shoulder=Shoulder(60.0, 9.0)).lies_flat
    assert layer_of([replace(long, shoulder=Shoulder(20.0, 19.0))], thickness=5.0) == Layer(19.0, 0.0)


def test_boards_stand_clear_of_each_other():
    """Underside at the longest tip; each next one above the highest part, its own tips and 1 mm."""
    layers = [layer_of([SCREW], 5.0), layer_of([SHOULDER], 5.0)]
    assert stack_heights(layers, 5.0) == pytest.approx((11.0, 11.0 + 5.0 + 3.0 + 5.0 + 1.0))


def test_a_stack_that_is_too_high_is_refused_with_what_is_missing():
    """The last one's highest part stays the clearance under the height."""
    layers = [layer_of([SCREW], 5.0)]
    assert stack_problem(CaseSetup((500.0, 400.0), height=23.0, clearance=4.0), layers, 5.0) is None
    problem = stack_problem(CaseSetup((500.0, 400.0), height=22.0, clearance=4.0), layers, 5.0)
    assert problem is not None
    assert problem.message.startswith("1 board with its screws stands 19.0 mm high; ")
    assert "1.0 mm are missing" in problem.message
    two = stack_problem(CaseSetup((500.0, 400.0), height=22.0, clearance=4.0), layers * 2, 5.0)
    assert two is not None
    assert two.message.startswith("2 boards with their screws stand ")
