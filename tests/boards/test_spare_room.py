"""The picture of the bike on room that is left: clear of everything, near where it was, or not at all."""

from __future__ import annotations

from dataclasses import replace

import pytest
import shapely
from bikes import bike_text
from shapely import Polygon

from boardmaker.boards.candidate import Candidate
from boardmaker.boards.spare_room import CELL, with_picture
from boardmaker.boards.stack import BoardStack
from boardmaker.case import Blank
from boardmaker.drawing import place_figure
from boardmaker.figures import Figure, draw_pictures
from boardmaker.model import Setup
from boardmaker.packing.problem import Packing
from boardmaker.service import plan_work

PANELS = """
  left: { name: Left cover, side: left, outline: [[0, 0], [300, 0], [300, 200], [0, 200]], on_bike: [400, 600],
          holes: [ { at: [60, 60], fastener: A }, { at: [240, 140], fastener: A } ] }
  right: { mirrors: left, side: right }"""
CLEARANCE = 6.0


def boxes(kind, *sizes):
    return tuple(
        Figure(kind, f"{number}", ((0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high)))
        for number, (wide, high) in enumerate(sizes)
    )


def candidate(*boards, setup=None):
    """Boards of 300 x 200 mm, each with boxes given by corner and size."""
    setup = setup or Setup()
    blank = Blank((300.0, 200.0), ((0.0, 0.0), (300.0, 0.0), (300.0, 200.0), (0.0, 200.0)))
    placed = tuple(tuple(place_figure(boxes("title", size)[0], at, 0) for at, size in board) for board in boards)
    stack = BoardStack((), (blank,) * len(boards), ((),) * len(boards), setup.board.margin)
    return Candidate(setup, stack, Packing(0.25, ()), placed, ())


def pictures_on(found):
    return [(board, one) for board, on in enumerate(found.placed) for one in on if one.figure.kind == "bike map"]


def test_it_lies_clear_of_everything():
    """A band 62 mm high is free: 50 and twice the clearance go in, 51 and that do not."""
    margin = Setup().board.margin
    low, high = 60.0, 122.0
    full = [
        ((margin, margin), (300.0 - 2 * margin, low - margin)),
        ((margin, high), (300.0 - 2 * margin, 200.0 - margin - high)),
    ]
    start = candidate(full)
    found = with_picture(start, [boxes("bike map", (100.0, 46.0))], CLEARANCE)
    [(_, picture)] = pictures_on(found)
    zones = [Polygon(one.figure.zone) for one in start.placed[0]]
    assert min(Polygon(picture.figure.zone).distance(zone) for zone in zones) >= CLEARANCE
    assert Polygon(found.stack.blanks[0].outline).buffer(-margin).covers(Polygon(picture.figure.zone))
    assert found.placed[0][:2] == start.placed[0]
    assert with_picture(start, [boxes("bike map", (100.0, 51.0))], CLEARANCE) == start


def test_the_first_form_that_goes_in_is_taken_and_all_of_its_parts():
    """None of one of which a part has no place."""
    hall = candidate([((0.0, 0.0), (300.0, 120.0))])
    wide, parts = boxes("bike map", (150.0, 70.0)), boxes("bike map", (90.0, 50.0), (90.0, 48.0))
    found = with_picture(hall, [wide, parts], CLEARANCE)
    zones = [Polygon(one.figure.zone) for _, one in pictures_on(found)]
    assert len(zones) == 2
    assert zones[0].distance(zones[1]) >= CLEARANCE
    low = boxes("bike map", (150.0, 60.0))
    assert [one.figure.zone for _, one in pictures_on(with_picture(hall, [wide, low, parts], CLEARANCE))] == [
        one.figure.zone for _, one in pictures_on(with_picture(hall, [low], CLEARANCE))
    ]
    three = boxes("bike map", (90.0, 50.0), (90.0, 48.0), (110.0, 50.0))
    assert pictures_on(with_picture(hall, [three], CLEARANCE)) == []


def test_it_is_near_where_it_was():
    """On the same board, as far from its middle; elsewhere where there is no room."""
    wish = {"0": (1, (90.0, -50.0))}
    small = [boxes("bike map", (40.0, 30.0))]
    [(board, picture)] = pictures_on(with_picture(candidate([], []), small, CLEARANCE, wish))
    assert board == 1
    middle = shapely.centroid(Polygon(picture.figure.zone))
    assert (middle.x, middle.y) == pytest.approx((240.0, 50.0), abs=CELL)
    full = [((0.0, 0.0), (300.0, 200.0))]
    assert [board for board, _ in pictures_on(with_picture(candidate([], full), small, CLEARANCE, wish))] == [0]


def test_a_picture_is_whole_or_of_views(bike_from):
    """First whole in its forms, then each view alone with its name for a key; nothing where no place is known."""
    board = Setup().board
    pictures = draw_pictures(plan_work(bike_from(bike_text(PANELS))), board)
    assert [len(one) for one in pictures][-1] == 2
    assert {figure.key for one in pictures if len(one) == 1 for figure in one} == {""}
    assert [figure.key for figure in pictures[-1]] == ["left", "right"]
    assert all(figure.kind == "bike map" and figure.turns_deg == (0,) for one in pictures for figure in one)
    nowhere = PANELS.replace("on_bike: [400, 600],", "")
    assert draw_pictures(plan_work(bike_from(bike_text(nowhere))), board) == ()


def test_a_wide_margin_is_kept():
    """The margin of the setup counts, not one of its own."""
    setup = Setup()
    wide = replace(setup, board=replace(setup.board, margin=80.0))
    assert pictures_on(with_picture(candidate([], setup=wide), [boxes("bike map", (120.0, 30.0))], CLEARANCE))
    assert not pictures_on(with_picture(candidate([], setup=wide), [boxes("bike map", (120.0, 42.0))], CLEARANCE))


def named(*keys, size=(50.0, 40.0)):
    return tuple(replace(boxes("bike map", size)[0], key=key) for key in keys)


def middles(found):
    """How far to the right the middle of each view lies, by its name."""
    return {one.figure.key: shapely.centroid(Polygon(one.figure.zone)).x for _, one in pictures_on(found)}


def test_a_view_alone_stands_among_the_panels_of_its_side():
    """From the left in the left half, from the right in the right one, from above between."""
    at = middles(with_picture(candidate([]), [named("left", "right", "above")], CLEARANCE))
    assert at["left"] < 100.0 < at["above"] < 200.0 < at["right"]
    wrong = {"left": (0, (100.0, 0.0)), "right": (0, (-100.0, 0.0))}
    at = middles(with_picture(candidate([]), [named("left", "right")], CLEARANCE, wrong))
    assert at["left"] <= 150.0 <= at["right"]


def test_a_view_without_room_on_its_half_is_left_out():
    """It would show the right side of the bike among the panels of the left one."""
    right_full = candidate([((150.0, 0.0), (150.0, 200.0))])
    assert with_picture(right_full, [named("left", "right")], CLEARANCE) == right_full
    assert middles(with_picture(right_full, [named("left", "above")], CLEARANCE)).keys() == {"left", "above"}
