"""Words grow where there is room: a table to any side, over nothing, and never further than the margin."""

from __future__ import annotations

from dataclasses import replace

import pytest
from bikes import bike_text
from shapely import Point, Polygon

from boardmaker.boards import growing
from boardmaker.boards.candidate import Candidate
from boardmaker.boards.figure_items import figure_items
from boardmaker.boards.growing import STEPS, with_larger_words, with_level_words
from boardmaker.boards.poses import placed_at
from boardmaker.boards.stack import BoardStack
from boardmaker.case import Blank
from boardmaker.figures import Figure
from boardmaker.model import Setup
from boardmaker.packing.problem import Packing, Placement
from boardmaker.service import plan_work

CLEARANCE = 6.0
WIDE, HIGH = 300.0, 200.0
MARGIN = Setup().board.margin


@pytest.fixture(scope="module", autouse=True)
def every_size():
    """Words are tried at every size of the program's own, not at few as in the other tests (`brief`)."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(growing, "STEPS", STEPS)
        yield


def table(wide, high, times):
    wide, high = wide * times, high * times
    return (replace(Figure("title", "", ((0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high))), times=times),)


def grown(*boxes):
    """Tables of these corners and sizes on one board, in words as large as there is room for."""
    blank = Blank((WIDE, HIGH), ((0.0, 0.0), (WIDE, 0.0), (WIDE, HIGH), (0.0, HIGH)))
    placements = tuple(Placement(f"{number}", 0, 0, at) for number, (at, _) in enumerate(boxes))

    def things(times):
        return [table(*size, times) for _, size in boxes]

    placed = tuple(placed_at(one, where) for one, where in zip(things(1.0), placements, strict=True))
    stack = BoardStack((), (blank,), ((),), MARGIN)
    start = Candidate(Setup(), stack, Packing(0.25, placements), (placed,), ())
    found = with_larger_words(start, lambda _: (), lambda times, _: things(times), CLEARANCE)
    return [(one.figure.times, Polygon(one.figure.zone)) for one in found.placed[0]]


@pytest.mark.parametrize("x", [MARGIN, 100.0, WIDE - MARGIN - 60.0])
@pytest.mark.parametrize("y", [MARGIN, 80.0, HIGH - MARGIN - 40.0])
def test_a_table_grows_to_whichever_side_is_free(x, y):
    """Alone on its board it grows all the way, from every corner and edge."""
    [(times, zone)] = grown(((x, y), (60.0, 40.0)))
    assert times == STEPS[-1]
    assert Polygon(((0, 0), (WIDE, 0), (WIDE, HIGH), (0, HIGH))).buffer(1e-6 - MARGIN).covers(zone)


def test_neighbours_keep_their_clearance():
    """A band between two walls, just wide enough for the second step; and no room at all."""
    need = 40.0 * STEPS[1] + 2 * CLEARANCE
    low = (((MARGIN, MARGIN), (WIDE - 2 * MARGIN, 50.0)), MARGIN + 50.0)
    walls = [low[0], ((MARGIN, low[1] + need), (WIDE - 2 * MARGIN, HIGH - MARGIN - low[1] - need))]
    *others, (times, zone) = grown(*walls, ((100.0, low[1] + CLEARANCE + 3.0), (60.0, 40.0)))
    assert [one for one, _ in others] == [1.0, 1.0]
    assert times <= STEPS[1]
    assert times > 1.0
    assert min(zone.distance(other) for _, other in others) >= CLEARANCE - 1e-6
    full = [((MARGIN, MARGIN), (WIDE - 2 * MARGIN, HIGH - 2 * MARGIN))]
    assert [one for one, _ in grown(*full)] == [1.0]


COWL = """  cowl:
    name: Left side cowl
    side: left
    on_bike: [600, 400]
    outline: [[0, 0], [500, 0], [500, 220], [0, 220]]
    holes:
      - { at: [40, 40], fastener: A }
      - { at: [460, 180], fastener: C, note: long way down }
"""


def leveled(work, turn_deg, room=WIDE):
    """The cowl at a turn in the middle of a board, the title in a corner, before and after words were made level."""
    figures = figure_items(work, Setup().board)
    drawn = figures.figures_at(0.25)
    blank = Blank((room, HIGH), ((0.0, 0.0), (room, 0.0), (room, HIGH), (0.0, HIGH)))
    kinds = [one[0].kind for one in drawn]
    pose = drawn[0][0].turns_deg.index(turn_deg)
    placements = (
        Placement("0", 0, pose, (room / 2, HIGH / 2 - 60.0 if turn_deg == 90 else HIGH / 2 + 60.0)),
        Placement("1", 0, 0, (MARGIN, MARGIN)),
    )
    things = (drawn[0], drawn[kinds.index("title")])
    placed = tuple(placed_at(one, where) for one, where in zip(things, placements, strict=True))
    start = Candidate(Setup(), BoardStack((), (blank,), ((),), MARGIN), Packing(0.25, placements), (placed,), ())
    found, level = with_level_words(
        start,
        lambda turns: figures.panels_grown(0.25, 1.0, turns),
        lambda turns: figures.tables_grown(0.25, 1.0, turns, {"title"}),
        CLEARANCE,
    )
    return start.placed[0][0], found.placed[0][0], level


@pytest.mark.parametrize("turn_deg", [90, 270])
def test_words_run_level_on_a_panel_that_lies_turned(bike_from, turn_deg):
    """All of them, off its pockets and within its zone; pockets, outline and the arrow's way stay as they were."""
    before, after, level = leveled(plan_work(bike_from(bike_text(COWL))), turn_deg)
    assert (before.reading_deg, after.reading_deg, level) == (90, 0, {"cowl": turn_deg})
    assert after.figure.pockets == before.figure.pockets
    assert after.figure.outline == before.figure.outline
    zone = Polygon(after.figure.zone)
    for label in after.figure.labels:
        x0, y0, x1, y1 = label.box
        assert zone.buffer(1e-3).covers(Polygon(((x0, y0), (x1, y0), (x1, y1), (x0, y1))))
        assert all(
            Polygon(((x0, y0), (x1, y0), (x1, y1), (x0, y1))).distance(Point(one.at)) >= one.rim - 0.01
            for one in after.figure.pockets
        )
    name = after.figure.labels[1].box
    assert name[2] - name[0] > name[3] - name[1]
    shaft = [
        [mark.points[-1][1] - mark.points[0][1] for mark in one.figure.marks if len(mark.points) == 2]
        for one in (before, after)
    ]
    assert shaft[0] == pytest.approx(shaft[1])


def test_words_of_an_upright_panel_are_left_alone(bike_from):
    """And nothing is drawn for that."""
    before, after, level = leveled(plan_work(bike_from(bike_text(COWL))), 0, 400.0)
    assert after is before
    assert level == {}
