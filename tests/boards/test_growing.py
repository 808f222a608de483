"""Words grow where there is room: a table to any side, over nothing, and never further than the margin."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely import Polygon

from boardmaker.boards import growing
from boardmaker.boards.candidate import Candidate
from boardmaker.boards.growing import STEPS, with_larger_words
from boardmaker.boards.poses import placed_at
from boardmaker.boards.stack import BoardStack
from boardmaker.case import Blank
from boardmaker.figures import Figure
from boardmaker.model import Setup
from boardmaker.packing.problem import Packing, Placement

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
