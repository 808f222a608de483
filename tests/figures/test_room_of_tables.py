"""The tables of a board take room from its panels: how much is measured, so that none grows unseen.

Shares of the usual stock, as measured when the tables were drawn together (18.4, 8.7 and 7.8 %; before that 25.1, 12.3
and 10.9 %), with a twentieth to spare for other words.
"""

from __future__ import annotations

import pytest
from shapely import Polygon

from boardmaker.figures import draw_figures
from boardmaker.model import BoardSetup
from boardmaker.service import plan_work


def room_of(figures):
    return min(Polygon(figure.zone).area for figure in figures)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("stem", "share"),
    [("fjellvik-820-tourer", 0.194), ("kestmark-590-naked", 0.091), ("murmelo-140-scooter", 0.082)],
)
def test_tables_leave_the_board_to_the_panels(demo_bike, stem, share):
    """Each in its smallest form, without the picture of the bike, which takes only what is left over."""
    board = BoardSetup()
    tables = [
        one
        for one in draw_figures(plan_work(demo_bike(stem)), 1 / 3.9, board)
        if one[0].kind not in ("panel", "bike map")
    ]
    taken = sum(map(room_of, tables)) / (board.size[0] * board.size[1])
    assert 0.5 * share < taken < share


@pytest.mark.slow
@pytest.mark.parametrize("stem", ["fjellvik-820-tourer", "kestmark-590-naked", "murmelo-140-scooter"])
def test_no_words_reach_beyond_their_table(demo_bike, stem):
    """In every form: words stay in their frame and off each other."""
    for forms in draw_figures(plan_work(demo_bike(stem)), 1 / 3.9, BoardSetup()):
        for figure in forms:
            if figure.kind == "panel":
                continue
            zone = Polygon(figure.zone)
            boxes = [Polygon(_corners(label.box)) for label in figure.labels]
            assert all(zone.covers(box) for box in boxes), figure.key
            for number, box in enumerate(boxes):
                assert all(box.intersection(other).area < 1e-6 for other in boxes[number + 1 :]), figure.key


def _corners(box):
    x0, y0, x1, y1 = box
    return (x0, y0), (x1, y0), (x1, y1), (x0, y1)
