"""Boards are read at arm's length, in bad light, in a hurry: what of that can be measured.

Numbers in brackets: Degani, On the typography of flight-deck documentation, NASA Contractor Report 177605 (1992), list
of recommendations, from memory. Heights: ISO 3098-1 (2.5, 3.5, 5 mm).
"""

from __future__ import annotations

import io
import itertools

import numpy as np
import pytest
import resvg_py
from bikes import bike_text
from PIL import Image

from boardmaker.display_list import Circle, Path, Text
from boardmaker.drawing import draw_board, place_figure
from boardmaker.figures import draw_figures
from boardmaker.figures.style import TINTS, board_style
from boardmaker.fonts import x_height
from boardmaker.model import BoardSetup
from boardmaker.render.svg import render_svg
from boardmaker.service import plan_work
from boardmaker.typeset.label import Words
from boardmaker.typeset.lettering import lead_between

PANELS = """
  left: { name: Left cover, side: left, outline: [[0, 0], [300, 0], [300, 200], [0, 200]],
          holes: [ { at: [60, 60], fastener: A, behind: fuel tank, room: 12, stack: 10.5, depth: 10 },
                   { at: [240, 140], fastener: A } ] }
  right: { mirrors: left, side: right }
  lid: { name: Lid, side: centre, outline: [[0, 0], [300, 0], [300, 200], [0, 200]],
         holes: [ { at: [60, 60], fastener: A } ] }"""
DPI = 254  # 10 pixels to the mm
AT = (90.0, 30.0)  # mm, of a panel in its drawing; a mirrored one reaches to the left


@pytest.fixture
def work(bike_from):
    return plan_work(bike_from(bike_text(PANELS)))


def panels_of(work, board):
    return [figures[0] for figures in draw_figures(work, 0.25, board) if figures[0].kind == "panel"]


def drawn(figure, board):
    return draw_board(
        [place_figure(figure, AT, 0)],
        ((0, 0), (200, 0), (200, 110), (0, 110)),
        (200, 110),
        style=board_style(board),
    )


@pytest.mark.parametrize(("large", "times"), [(False, 1.0), (True, 1.5)])
def test_heights_of_type(demo_bike, large, times):
    """Hole labels and torques 3.5 mm, names 5, nothing below 2.5; `large` half as large again."""
    board = BoardSetup(large=large)
    work = plan_work(demo_bike("kestmark-590-naked"))
    figures = [alternatives[0] for alternatives in draw_figures(work, 0.4, board)]
    heights = [line.height for figure in figures for label in figure.labels for line in label.lines]
    # the gauge's numbers stand at its ticks, which are true to size
    gauge = {2.5} if large else set()
    assert min({*heights} - gauge) >= 2.5 * times - 1e-9
    for figure in figures:
        if figure.kind == "panel":
            tag, name, *labels = figure.labels
            assert tag.lines[0].height == pytest.approx(5.0 * times)
            assert name.lines[0].height >= 3.5 * times - 1e-9
            assert all(one.lines[0].height == pytest.approx(3.5 * times) for one in labels if one.ticked)
    torques = [
        line for figure in figures for label in figure.labels for line in label.lines if line.text.endswith("N·m")
    ]
    assert torques
    assert all(line.height >= 3.5 * times - 1e-9 for line in torques)


def test_the_small_letters_are_what_counts():
    """[6] Not the capitals but the x-height is read: 1.9 mm in a remark, 2.6 at a pocket."""
    assert x_height(2.5) > 1.85
    assert x_height(3.5) > 2.55


def test_lines_do_not_run_into_each_other():
    """[8] A quarter of the type's height or more between the ink of two lines."""
    for upper, lower in itertools.product((2.5, 3.5), repeat=2):
        assert lead_between(Words("a", upper), Words("b", lower)) >= 0.25 * max(upper, lower)


def test_danger_is_seen_with_the_screw_in(work):
    """The collar lies outside of the head, the word beside it in red; nothing else on a panel is red."""
    board = BoardSetup()
    (panel, *_) = panels_of(work, board)
    red = board_style(board).danger
    dangerous, other = sorted(panel.pockets, key=lambda pocket: not pocket.behind)
    assert "FUEL TANK" in [line.text for label in panel.labels for line in label.lines if line.ink == red]
    marks = [
        item for item in drawn(panel, board).items if getattr(item, "ink", 0.0) == red and not isinstance(item, Text)
    ]
    at = np.add(dangerous.at, AT)
    far = [np.hypot(*np.subtract(point, at)) for item in marks for point in _points(item, at)]
    assert len(marks) > 10
    assert min(far) >= dangerous.head_diameter / 2 - 1e-6
    assert max(far) <= dangerous.rim + 1e-6
    assert not other.behind


def _points(item, at):
    if isinstance(item, Circle):
        assert np.allclose(item.centre, at)
        return [(at[0] + item.diameter / 2, at[1])]
    return item.points


@pytest.mark.slow
def test_sides_stay_apart_in_greyscale_and_without_colour(work):
    """By another renderer (resvg), turned to grey by ITU-R BT.601 (Pillow): the grounds of tags differ by a tenth."""
    grounds = {}
    for panel in panels_of(work, BoardSetup()):
        file = render_svg(drawn(panel, BoardSetup()), title="panel").decode()
        picture = Image.open(io.BytesIO(bytes(resvg_py.svg_to_bytes(svg_string=file, dpi=DPI, background="white"))))
        grey = np.asarray(picture.convert("L")) / 255
        x0, y0, x1, y1 = np.add(panel.labels[0].box, AT * 2)
        tag = grey[int((110 - y1) * 10) : int((110 - y0) * 10), int(x0 * 10) : int(x1 * 10)]
        grounds[panel.side] = float(np.median(tag[tag > 0.3]))
    assert grounds["centre"] == 1.0
    assert grounds["centre"] - grounds["left"] > 0.1
    assert grounds["left"] - grounds["right"] > 0.1


def test_black_ink_is_black(work):
    """`ink: black`: no colour in the drawing, and the tags still have three shapes."""
    board = BoardSetup(ink="black")
    shapes = {}
    for panel in panels_of(work, board):
        items = drawn(panel, board).items
        assert not [
            one
            for one in items
            if isinstance(getattr(one, "ink", 0), tuple) or isinstance(getattr(one, "fill", 0), tuple)
        ]
        tag = panel.labels[0].box
        ring = next(
            one for one in items if isinstance(one, Path) and one.closed and one.fill == 1.0 and one.line_width == 0.35
        )
        shapes[panel.side] = tuple((round(x - tag[0] - AT[0], 3), round(y - tag[1] - AT[1], 3)) for x, y in ring.points)
    assert len({len(shapes["left"]), len(shapes["centre"])}) == 2
    assert min(x for x, _ in shapes["left"]) == 0.0 < min(x for x, _ in shapes["right"])


def test_one_red_for_danger_and_no_dark_ground():
    """[13] No black on dark red, green or blue: the grounds are light."""
    assert all(0.299 * red + 0.587 * green + 0.114 * blue > 0.6 for red, green, blue in TINTS.values())


def test_the_screw_that_carries_a_panel_has_a_second_ring(work):
    """Last out, first in: one pocket of each panel that has several, and its ring is true to nothing but its place."""
    for panel in panels_of(work, BoardSetup()):
        carrying = [pocket for pocket in panel.pockets if pocket.carries]
        assert len(carrying) == (1 if len(panel.pockets) > 1 else 0)
        for pocket in carrying:
            assert pocket.number == len(panel.pockets)
            rings = [
                item.diameter
                for item in drawn(panel, BoardSetup()).items
                if isinstance(item, Circle)
                and np.allclose(item.centre, np.add(pocket.at, AT))
                and item.diameter > pocket.hole_diameter + 1.5
            ]
            assert len(rings) == 2
