"""Which parts of the bike's picture go where on packed boards: whole where it can be, else in parts, else nowhere."""

from __future__ import annotations

import itertools

import pytest
from bikes import bike_text

from boardmaker.boards.map_place import with_bike_map
from boardmaker.case import Blank
from boardmaker.drawing import place_figure
from boardmaker.figures import Figure
from boardmaker.geometry import bounds, box_ring
from boardmaker.model import BoardSetup
from boardmaker.service import plan_work

PANELS = """
  nose: { name: Nose, side: left, on_bike: [1400, 500], outline: [[0, 0], [300, 0], [300, 200], [0, 80]],
          holes: [ { at: [20, 20], fastener: A } ] }
  nose-right: { mirrors: nose, side: right }
  tail: { name: Tail, side: left, on_bike: [300, 600], outline: [[0, 0], [300, 0], [300, 200], [0, 80]],
          holes: [ { at: [20, 20], fastener: A } ] }
  tail-right: { mirrors: tail, side: right }
  lid: { name: Lid, side: centre, on_bike: [500, 900], outline: [[0, 0], [200, 0], [160, 300], [0, 300]],
         holes: [ { at: [20, 20], fastener: A } ] }
"""
SETUP = BoardSetup(size=(400.0, 300.0))
BLANK = Blank((400.0, 300.0), box_ring(0.0, 0.0, 400.0, 300.0))


@pytest.fixture
def work(bike_from):
    return plan_work(bike_from(bike_text(PANELS)))


def around(*holes):
    """What lies on a board of which only these rectangles are free, clearance and margin taken off."""
    xs = sorted({0.0, 400.0, *(x for hole in holes for x in (hole[0] - 6, hole[2] + 6))})
    ys = sorted({0.0, 300.0, *(y for hole in holes for y in (hole[1] - 6, hole[3] + 6))})
    boxes = []
    for (x0, x1), (y0, y1) in itertools.product(itertools.pairwise(xs), itertools.pairwise(ys)):
        inside = any(h[0] - 6 <= x0 and x1 <= h[2] + 6 and h[1] - 6 <= y0 and y1 <= h[3] + 6 for h in holes)
        if not inside:
            boxes.append(box_ring(x0, y0, x1, y1))
    return tuple(place_figure(Figure("panel", "", ring), (0.0, 0.0), 0) for ring in boxes)


def maps(work, *boards):
    found = with_bike_map(work, [BLANK] * len(boards), boards, SETUP)
    return [[one.figure for one in on_board if one.figure.kind == "bike map"] for on_board in found]


def within(figure, hole):
    x0, y0, x1, y1 = bounds(figure.zone)
    return hole[0] <= x0 and hole[1] <= y0 and x1 <= hole[2] and y1 <= hole[3]


def names(figures):
    return [figure.key for figure in figures]


def test_where_there_is_room_for_all_it_is_whole(work):
    """As large as there is room, not larger than is taken in at a glance."""
    (wide,) = maps(work, around((20, 20, 380, 280)))
    (narrow,) = maps(work, around((20, 20, 110, 120)))
    assert names(wide) == names(narrow) == [""]
    assert within(narrow[0], (20, 20, 110, 120))
    sizes = [bounds(one.zone)[2] - bounds(one.zone)[0] for one in (*narrow, *wide)]
    assert sizes[0] < sizes[1] < 160


@pytest.mark.parametrize(("hole", "tall"), [((20, 20, 300, 45), False), ((20, 20, 62, 280), True)])
def test_it_takes_the_form_of_the_room(work, hole, tall):
    """In a row, in a column."""
    ((figure,),) = maps(work, around(hole))
    assert within(figure, hole)
    x0, y0, x1, y1 = bounds(figure.zone)
    assert (y1 - y0 > x1 - x0) is tall


def test_in_smaller_rooms_it_comes_in_parts(work):
    """Both sides together and the view from above apart; each on its own."""
    (two,) = maps(work, around((20, 20, 100, 42), (200, 100, 240, 120)))
    assert names(two) == ["sides", "above"]
    (three,) = maps(work, around((20, 20, 62, 42), (200, 100, 242, 122), (300, 200, 330, 222)))
    assert sorted(names(three)) == ["above", "left", "right"]


def test_the_view_from_above_alone_may_be_missing_but_no_side(work):
    """Half a picture of the sides would lead astray."""
    (two,) = maps(work, around((20, 20, 100, 42)))
    assert names(two) == ["sides"]
    assert maps(work, around((20, 20, 62, 42))) == [[]]


def test_of_several_boards_it_goes_on_the_one_with_the_most_panels(work):
    """Where both have room for it at the same size."""
    few, many = around((20, 20, 120, 120)), (*around((20, 20, 120, 120)), *around((20, 20, 120, 120)))
    assert [len(one) for one in maps(work, few, many)] == [0, 1]
    assert [len(one) for one in maps(work, many, few)] == [1, 0]
    assert [len(one) for one in maps(work, around((20, 20, 21, 21)), few)] == [0, 1]


def test_without_on_bike_or_room_boards_stay_as_they_are(work, bike_from):
    """The very same."""
    full = around((20, 20, 21, 21))
    assert with_bike_map(work, [BLANK], [full], SETUP) == (full,)
    unplaced = plan_work(bike_from(bike_text("  lid: { name: L, side: left, holes: [ { at: [0, 0], fastener: A } ] }")))
    free = around((20, 20, 380, 280))
    assert with_bike_map(unplaced, [BLANK], [free], SETUP) == (free,)
