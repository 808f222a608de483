"""The legend of the title block: what is looked for together stands together, and every ring on the board is in it."""

from __future__ import annotations

import pytest
from bikes import bike_text

from boardmaker.display_list import Circle
from boardmaker.drawing import place_figure
from boardmaker.drawing.board import draw_board
from boardmaker.figures import draw_figures
from boardmaker.figures.figure import COLLAR
from boardmaker.figures.title_block import HEAD
from boardmaker.geometry import bounds
from boardmaker.model import BoardSetup
from boardmaker.service import plan_work
from boardmaker.typeset.lettering import baselines

PANEL = """  lid: {{ name: Lid, side: left, outline: [[0, 0], [300, 0], [300, 200], [0, 200]],
  holes: [ {{ at: [60, 60], fastener: A }}, {{ at: [240, 140], fastener: A, behind: {behind} }} ] }}"""


def drawn(work):
    return [figure for forms in draw_figures(work, 1 / 3.9, BoardSetup()) for figure in forms]


def titles(work):
    return [figure for figure in drawn(work) if figure.kind == "title"]


def label_of(figure, text):
    (label,) = (label for label in figure.labels if text in (words.text for words in label.lines))
    return label


def middle(figure, text):
    """How high the line with this word in a tag stands."""
    return (label_of(figure, text).box[1] + label_of(figure, text).box[3]) / 2


def line_of(figure, text):
    """How high the line with this word stands: its baseline."""
    label = label_of(figure, text)
    return label.box[3] - baselines(label.lines)[0]


@pytest.mark.slow
@pytest.mark.parametrize("stem", ["fjellvik-820-tourer", "kestmark-590-naked", "murmelo-140-scooter"])
def test_sides_stand_in_one_line_and_directions_in_one(demo_bike, stem):
    """Below the dangers, above what lets go by hand."""
    for title in titles(plan_work(demo_bike(stem))):
        sides = [middle(title, side) for side in ("left", "right", "centre")]
        assert max(sides) - min(sides) < 0.01
        assert abs(line_of(title, "front") - line_of(title, "up")) < 0.01
        assert line_of(title, "hook") <= max(sides) + 0.01
        assert min(label.box[1] for label in title.labels if label.text.startswith("hole, head")) > max(sides)


@pytest.mark.slow
def test_the_star_of_a_note_is_explained_where_notes_stand(demo_bike, bike_from):
    """Not on a board where all notes stand beside their holes."""
    assert all(line_of(title, "note above") for title in titles(plan_work(demo_bike("fjellvik-820-tourer"))))
    quiet = plan_work(bike_from(bike_text(PANEL.format(behind="hose"))))
    assert not any("note above" in label.text for title in titles(quiet) for label in title.labels)


@pytest.mark.slow
@pytest.mark.parametrize(("stem", "most"), [("fjellvik-820-tourer", 9154), ("kestmark-590-naked", 6062)])
def test_the_title_block_stays_small(demo_bike, stem, most):
    """At most 3 % over what it took when marks stood in any order, mm²."""
    boxes = [bounds(title.zone) for title in titles(plan_work(demo_bike(stem)))]
    assert min((x1 - x0) * (y1 - y0) for x0, y0, x1, y1 in boxes) <= 1.03 * most


def rings(work):
    """Diameters of the rings around the pocket that carries the panel, the largest first, and the pocket."""
    (panel,) = (figure for figure in drawn(work) if figure.kind == "panel")
    outline = ((0, 0), (300, 0), (300, 200), (0, 200))
    items = draw_board([place_figure(panel, (50.0, 50.0), 0)], outline, (300, 200)).items
    (pocket,) = (pocket for pocket in panel.pockets if pocket.carries)
    at = (pocket.at[0] + 50.0, pocket.at[1] + 50.0)
    found = [one for one in items if isinstance(one, Circle) and one.centre == pytest.approx(at) and not one.fill]
    return pocket, sorted((one.diameter for one in found), reverse=True)


def test_white_parts_the_second_ring_from_a_red_collar(bike_from):
    """1.5 mm and no hairline: it is to be told from the collar's own rim at arm's length."""
    pocket, found = rings(plan_work(bike_from(bike_text(PANEL.format(behind="fuel tank")))))
    assert found[:2] == pytest.approx([2 * pocket.rim, pocket.head_diameter + 2 * COLLAR])
    assert found[0] - found[1] >= 2 * 1.5 - 1e-9


def test_the_legend_shows_the_ring_as_it_is_drawn(bike_from):
    """Around a collar where the last screw of a panel has one."""
    for behind, rings_of_last in (('""', {1}), ("fuel tank", {2})):
        for title in titles(plan_work(bike_from(bike_text(PANEL.format(behind=behind))))):
            circles = [mark for mark in title.marks if isinstance(mark, Circle)]
            heads = [mark.centre for mark in circles if mark.diameter == HEAD]
            around = [[one for one in circles if one.centre == head and one.diameter > HEAD] for head in heads]
            assert max(map(len, around)) in rings_of_last
