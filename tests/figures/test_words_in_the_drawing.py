"""No word of a board runs into anything: seen in the drawing, with the font's own measures."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from bikes import random_bike_text
from drawing_judge import conflicts

from boardmaker.display_list import Path, Text
from boardmaker.drawing import draw_board, place_figure
from boardmaker.figures import draw_figures
from boardmaker.figures.panel import draw_panel, panel_heights
from boardmaker.figures.style import board_style
from boardmaker.model import BoardSetup
from boardmaker.service import plan_work

TOURER = pytest.param("fjellvik-820-tourer", marks=pytest.mark.slow)
APART = 1000.0  # mm between figures that are drawn side by side


@pytest.fixture(scope="module")
def figures_of(demo_bike):
    """Return a function that draws all figures of a demo at a scale, once."""
    return cache(lambda stem, scale: draw_figures(plan_work(demo_bike(stem)), scale, BoardSetup()))


def drawing_of(work, scale, board=None):
    """All figures of a work in a row, none near another."""
    board = board or BoardSetup()
    return in_a_row(draw_figures(work, scale, board), board)


def in_a_row(things, board, turn_deg=0):
    figures = [alternatives[0] for alternatives in things]
    placed = [place_figure(figure, (APART * number, 0.0), turn_deg) for number, figure in enumerate(figures)]
    return draw_board(placed, ((0, 0), (1, 0), (1, 1)), (1, 1), style=board_style(board))


@pytest.mark.parametrize("turn_deg", [0, 90])
@pytest.mark.parametrize("scale", [1 / 5, 1 / 3.8, 1 / 2])
@pytest.mark.parametrize("stem", [TOURER, "kestmark-590-naked", "murmelo-140-scooter"])
def test_no_word_of_a_demo_runs_into_anything(figures_of, stem, scale, turn_deg):
    """Not even on a ground of its own: there is always another place."""
    assert conflicts(in_a_row(figures_of(stem, scale), BoardSetup(), turn_deg)) == []


@pytest.mark.slow
@pytest.mark.parametrize("stem", ["fjellvik-820-tourer", "murmelo-140-scooter"])
def test_large_type_runs_into_nothing_either(demo_bike, stem):
    """Half as large again, for reading glasses."""
    assert conflicts(drawing_of(plan_work(demo_bike(stem)), 1 / 4, BoardSetup(large=True))) == []


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(6))
def test_words_of_other_bikes_run_into_nothing_that_is_seen(bike_from, seed):
    """On a crowded panel a word may lie over an outline, on its ground."""
    found = conflicts(drawing_of(plan_work(bike_from(random_bike_text(seed, 8))), 1 / 5))
    assert [one for one in found if not one.grounded] == []


def test_a_label_among_leaders_goes_where_none_runs_through_it(bike_from):
    """Seven heads that all moved, and a label walled in by their leaders: it goes further out."""
    work = plan_work(bike_from(random_bike_text(5, 13)))
    board = BoardSetup()
    figure = draw_panel(work, work.bike.panel("panel-0"), 1 / 4, board, panel_heights(work), board_style(board))
    assert len(figure.pockets) == 7
    assert conflicts(draw_board([place_figure(figure, (APART, APART), 0)], ((0, 0), (1, 0), (1, 1)), (1, 1))) == []


@pytest.mark.slow
def test_the_judge_sees_what_is_in_the_way(demo_bike):
    """Planted: a line through a word, a word on a word; and a ground that hides the line."""
    drawing = drawing_of(plan_work(demo_bike("murmelo-140-scooter")), 1 / 4)
    word = next(item for item in drawing.print if isinstance(item, Text) and len(item.text) > 4 and item.angle_deg == 0)
    x, y = word.at
    through = Path(((x - 50, y + 1.0), (x + 50, y + 1.0)))
    assert [
        one.grounded for one in conflicts(replace(drawing, print=(*drawing.print, through))) if one.text == word.text
    ]
    assert any(
        "the word" in one.what for one in conflicts(replace(drawing, print=(*drawing.print, replace(word, text="xx"))))
    )
    ground = Path(
        ((x - 90, y - 9), (x + 90, y - 9), (x + 90, y + 9), (x - 90, y + 9)), closed=True, line_width=0, fill=1.0
    )
    hidden = conflicts(replace(drawing, print=(through, ground, *drawing.print)))
    assert [one.grounded for one in hidden if one.text == word.text] == [True]
