"""The case page and the lengths of cuts: to scale, complete, and nothing of them on the board."""

from __future__ import annotations

import pytest
import shapely
from shapely import Polygon

from boardmaker.case import BoardShape, CornerCut, InCase, Layer, Span, cut_triangle, shape_boards
from boardmaker.drawing import CutLine, Path, Text, draw_board
from boardmaker.figures.wording import length_text
from boardmaker.fonts import text_width
from boardmaker.inputs.model import BoardSetup, CaseSetup, KeepOut, Paper, Setup
from boardmaker.sheets import BoardInCase
from boardmaker.sheets.case_page import case_pages
from boardmaker.sheets.paper import lay_page

CASE = CaseSetup((560.0, 400.0), (), 70.0, 120.0, (520.0, 360.0), 4.0, (KeepOut((0.0, 180.0), (30.0, 60.0)),))


def boards_in(setup, count):
    spans = [Span(20.0 + 34.0 * number, 35.0 + 34.0 * number) for number in range(count)]
    return [BoardInCase(shape, Layer(8.0, 20.0), 5.0) for shape in shape_boards(setup, spans)]


@pytest.mark.parametrize("paper", [("A4", 210.0, 297.0), ("A5", 148.0, 210.0), ("letter", 215.9, 279.4)])
@pytest.mark.parametrize("count", [1, 2, 4])
def test_everything_stays_on_the_page_and_every_cut_is_listed(paper, count):
    """No mark beyond the picture's sides, and as many lines of cuts as there are cuts."""
    setup = Setup(case=CASE, paper=Paper(*paper))
    layout, boards = lay_page(setup), boards_in(setup, count)
    pages = case_pages(layout, setup, boards)
    texts = [item.text for page in pages for item in page.items if isinstance(item, Text)]
    assert sum(text.startswith("Cut ") and "along x" in text for text in texts) == sum(
        len(board.shape.corner_cuts) for board in boards
    )
    for page in pages:
        for item in page.items:
            if isinstance(item, Path):
                assert all(0.0 <= x <= page.width and 0.0 <= y <= page.height for x, y in item.points)


def test_the_plan_is_to_scale():
    """The heaviest line of the plan is the rim: its drawn width times the reduction is the case's inside."""
    setup = Setup(case=CASE)
    (page, *_) = case_pages(lay_page(setup), setup, boards_in(setup, 1))
    rim = next(item for item in page.items if isinstance(item, Path) and item.line_width == 0.7 and item.closed)
    x0, y0, x1, y1 = Polygon(rim.points).bounds
    reduction = next(item.text for item in page.items if isinstance(item, Text) and item.text.startswith("Plan"))
    factor = float(reduction.rpartition("1:")[2])
    assert ((x1 - x0) * factor, (y1 - y0) * factor) == pytest.approx((560.0, 400.0), abs=0.01)


def test_without_a_case_there_is_no_case_page():
    """Nothing to draw."""
    setup = Setup()
    assert case_pages(lay_page(setup), setup, ()) == ()


@pytest.mark.parametrize(
    "cuts",
    [
        (CornerCut("lower left", 40.0, 40.0),),
        (CornerCut("lower left", 70.0, 29.0), CornerCut("lower left", 29.0, 70.0)),
        (CornerCut("upper right", 70.0, 29.0), CornerCut("upper right", 29.0, 70.0)),
        (CornerCut("lower right", 9.0, 9.0), CornerCut("upper left", 120.0, 35.0)),
    ],
)
def test_lengths_of_cuts_lie_in_what_is_cut_away(cuts):
    """Words that would reach onto the board are left to the list; the others touch no cut line and no other words."""
    stock = (400.0, 300.0)
    board = shapely.box(0.0, 0.0, *stock)
    lines = []
    for cut in cuts:
        corner, on_x, on_y = cut_triangle(stock, cut)
        board = board.difference(Polygon([corner, on_x, on_y]))
        lines.append(CutLine(corner, on_x, on_y, *(length_text(leg, False) for leg in (cut.along_x, cut.along_y))))
    drawing = draw_board((), tuple(board.exterior.coords)[:-1], stock, lines)
    words = [item for item in drawing.print if isinstance(item, Text)]
    boxes = [_box(item) for item in words]
    assert all(shapely.box(0.0, 0.0, *stock).covers(box) and board.distance(box) > 0.1 for box in boxes)
    assert all(not one.intersects(other) for i, one in enumerate(boxes) for other in boxes[:i])
    if max(cut.along_x for cut in cuts) >= 30.0:
        assert words


def _box(item):
    width, (x, y) = text_width(item.text, item.height), item.at
    return (
        shapely.box(x, y, x + width, y + item.height)
        if not item.angle_deg
        else shapely.box(x - item.height, y, x, y + width)
    )


@pytest.mark.parametrize(
    ("length", "inches", "words"),
    [
        (66.0, False, "66 mm"),
        (12.5, False, "12.5 mm"),
        (25.4, True, "1 in"),
        (3 * 25.4 + 25.4 * 7 / 16, True, "3 7/16 in"),
        (25.4 / 8, True, "1/8 in"),
        (762.0, True, "30 in"),
    ],
)
def test_lengths_read_as_on_a_ruler(length, inches, words):
    """Sixteenths are reduced; 1 in = 25.4 mm exactly (international yard and pound agreement, 1959)."""
    assert length_text(length, inches) == words


def test_in_inches_legs_are_whole_sixteenths():
    """Rounded to the safe side: no side and no leg needs a finer ruler."""
    setup = Setup(board=BoardSetup((762.0, 508.0)), case=CASE, inches=True)
    (board,) = shape_boards(setup, [Span(20.0, 40.0)])
    lengths = [*board.stock, *(leg for cut in board.corner_cuts for leg in (cut.along_x, cut.along_y))]
    assert all(abs(length / 25.4 * 16 - round(length / 25.4 * 16)) < 1e-6 for length in lengths)
    assert isinstance(board, BoardShape)
    assert isinstance(board.in_case, InCase)
