"""The case page and the lengths of cuts: to scale, complete, and nothing of them on the board."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
import shapely
from shapely import Polygon

from boardmaker.case import CornerCut, Layer, Span, boards_from_sheet, cut_triangle, shape_boards
from boardmaker.drawing import CutLine, Path, Text, draw_board
from boardmaker.fonts import text_width
from boardmaker.model import BoardSetup, CaseSetup, Fastener, Head, KeepOut, Paper, Setup
from boardmaker.sheets import BoardInCase, cut_text
from boardmaker.sheets.case.cutting_list import numbered_alike
from boardmaker.sheets.case.page import case_pages
from boardmaker.sheets.case.stock_cuts import stock_cells
from boardmaker.sheets.paper import lay_page
from boardmaker.standards import parse_thread
from boardmaker.wording.numbers import length_text

pytestmark = pytest.mark.slow

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
    cuts = [(number, cut) for board in boards for number, cut in enumerate(board.shape.corner_cuts, start=1)]
    assert [text for text in texts if re.match(r"Cut \d", text)] == [
        f"Cut {n}: {cut_text(cut, False)}" for n, cut in cuts
    ]
    words = " ".join(texts)
    assert words.count("measure both from the square corner, and mark both cuts before you cut") == count
    for page in pages:
        for item in page.items:
            if isinstance(item, Path):
                assert all(0.0 <= x <= page.width and 0.0 <= y <= page.height for x, y in item.points)


@pytest.mark.parametrize(
    ("corner", "words"),
    [
        ("lower left", "46 mm along the lower edge, 26 mm up the left side"),
        ("lower right", "46 mm along the lower edge, 26 mm up the right side"),
        ("upper right", "46 mm along the upper edge, 26 mm down the right side"),
        ("upper left", "46 mm along the upper edge, 26 mm down the left side"),
    ],
)
def test_a_cut_is_said_from_its_corner(corner, words):
    """Along the edge it starts at, up or down the side it ends at: away from the corner."""
    assert cut_text(CornerCut(corner, 46.0, 26.0), False) == words


def texts_of(setup, boards):
    return [
        item for page in case_pages(lay_page(setup), setup, boards) for item in page.items if isinstance(item, Text)
    ]


@pytest.mark.parametrize("paper", [("A4", 210.0, 297.0), ("A5", 148.0, 210.0), ("letter", 215.9, 279.4)])
def test_every_cut_has_its_number_at_it(paper):
    """Inside of the smaller board, apart from each other, in the order of the list; on every paper the same."""
    setup = Setup(case=CASE, paper=Paper(*paper))
    boards = boards_in(setup, 2)
    page = case_pages(lay_page(setup), setup, boards)[0]
    dashed = next(item for item in page.items if isinstance(item, Path) and item.dash == (4.0, 1.0) and item.closed)
    texts = [item for item in page.items if isinstance(item, Text)]
    title = next(item for item in texts if item.text.startswith("Section"))
    numbers = [item for item in texts if item.text.isdigit() and item.at[1] > title.at[1]]
    assert [item.text for item in numbers] == [str(n + 1) for n in range(len(boards[0].shape.corner_cuts))]
    outline = Polygon(dashed.points)
    middles = [shapely.Point(item.at[0], item.at[1] + item.height / 2) for item in numbers]
    assert all(outline.contains(middle) and outline.exterior.distance(middle) < 6.0 for middle in middles)
    assert all(one.distance(other) > 3.0 for i, one in enumerate(middles) for other in middles[:i])


def test_a_board_with_other_cuts_has_a_sketch_of_its_own():
    """The plan's numbers are those of the lowest board; one cut elsewhere would be read wrong off the plan."""
    setup = Setup(case=CASE)
    first, second = boards_in(setup, 2)
    other = replace(second, shape=replace(second.shape, corner_cuts=second.shape.corner_cuts[1:]))
    assert numbered_alike(second, first)
    assert not numbered_alike(other, first)
    plain, sketched = ([item.text for item in texts_of(setup, [first, one])] for one in (second, other))
    cuts = len(other.shape.corner_cuts)
    assert [sum(texts.count(str(n)) for n in range(1, cuts + 1)) for texts in (plain, sketched)] == [
        cuts + 2,
        2 * cuts + 2,
    ]


def test_the_section_numbers_the_boards_and_says_whether_the_lid_closes():
    """Two boards: 54 + 5 + 8 mm of 120 mm; four of them are too high."""
    setup = Setup(case=CASE)
    texts = [item.text for item in texts_of(setup, boards_in(setup, 2))]
    assert "Boards, heads and tips: 67 of 120 mm: the lid closes. At least 4 mm free all around." in texts
    assert "heads above a board, tips below it" in texts
    assert "lock or hinge: keep out" in texts
    four = " ".join(item.text for item in texts_of(setup, boards_in(setup, 4)))
    assert "135 of 120 mm: the lid does not close" in four


def test_a_case_without_clearance_or_height_says_so():
    """As `--case` on the command line gives it."""
    setup = Setup(case=CaseSetup((470.0, 370.0)))
    words = " ".join(item.text for item in texts_of(setup, boards_in(setup, 1)))
    assert "No clearance: a board may bind" in words
    assert "see that the lid closes" in words


@pytest.mark.parametrize("paper", [("A4", 210.0, 297.0), ("A5", 148.0, 210.0), ("letter", 215.9, 279.4)])
@pytest.mark.parametrize("size", [(560.0, 400.0), (470.0, 370.0), (160.0, 1200.0)])
def test_no_dimension_begins_with_a_length(paper, size):
    """Words that begin with a length are what is to be measured (`verify`): the plan is reduced and must not be."""
    setup = Setup(case=replace(CASE, inside=size, floor=None, corner_radius=0.0, keep_out=()), paper=Paper(*paper))
    texts = texts_of(setup, boards_in(setup, 2))
    lengths = [item.text for item in texts if re.match(r"\d+([.,]\d+)? ?mm", item.text)]
    assert all("measure before you cut" in text or "=" in text for text in lengths)
    words = " ".join(item.text for item in texts)
    assert all(f"{side:g} mm" in words for side in (*size, 120.0))


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
    setup = Setup(board=BoardSetup((762.0, 508.0)), case=replace(CASE, inches=True))
    (board,) = shape_boards(setup, [Span(20.0, 40.0)])
    lengths = [*board.stock, *(leg for cut in board.corner_cuts for leg in (cut.along_x, cut.along_y))]
    assert len(board.corner_cuts) >= 4
    assert all(abs(length / 25.4 * 16 - round(length / 25.4 * 16)) < 1e-6 for length in lengths)


def test_a_long_bolt_lies_flat_and_asks_for_no_spacers():
    """Said at its board, and the spacers are for the tips that stand."""
    setup = Setup(case=CASE)
    bolt = Fastener("L", "bolt", 80.0, Head("flanged hex", 17.9, 8.0), parse_thread("M8"))
    (board,) = boards_in(setup, 1)
    words = " ".join(item.text for item in texts_of(setup, [replace(board, flat=(bolt,))]))
    assert "L (80 mm) lies flat on the board, tied down through the pocket" in words
    assert "spacer strips of 20 mm" in words
    assert "lies flat" not in " ".join(item.text for item in texts_of(setup, [board]))


STOCK = (762.0, 508.0)


def stock_words(blanks, width=180.0):
    cells = list(stock_cells(STOCK, blanks, (False, False), width))
    return [" ".join(label.text for label in cell.labels) for cell in cells]


def test_cuts_from_the_stock_are_measured_from_its_edges():
    """Two boards side by side, turned: one cut from side to side, then two in the strip."""
    (words,) = stock_words([(470.0, 370.0)] * 2)
    assert "2 boards of 470 mm x 370 mm from each sheet; 2 boards, so 1 sheet." in words
    assert "First from side to side, from the lower edge: 470 mm." in words
    assert "Then the strip, from its left edge: 370 mm, 740 mm." in words


def test_only_what_is_needed_is_cut():
    """One board of four that would come out: two cuts; five of them: all cuts, on two sheets."""
    (one,), (five,) = stock_words([(362.0, 242.0)]), stock_words([(362.0, 242.0)] * 5)
    assert "from the lower edge: 242 mm." in one
    assert "from its left edge: 362 mm." in one
    assert "5 boards, so 2 sheets." in five
    assert "from the lower edge: 242 mm, 484 mm. Then each of 2 strips, from its left edge: 362 mm, 724 mm." in five


def test_boards_of_two_sizes_share_a_sheet_where_they_can():
    """Cut alike and trimmed; where that saves nothing, each size has a picture of its own; the stock itself none."""
    (words,) = stock_words([(504.0, 357.0), (508.0, 368.0)])
    assert "2 boards of 508 mm x 368 mm from each sheet; 2 boards, so 1 sheet." in words
    assert "Then trim each board to its own size" in words
    assert len(stock_words([(700.0, 500.0), (300.0, 200.0)])) == 2
    assert stock_words([STOCK, STOCK]) == []


@pytest.mark.parametrize("size", [(470.0, 370.0), (300.0, 200.0), (250.0, 240.0), (508.0, 100.0), (700.0, 90.0)])
def test_the_picture_is_the_sheet_with_its_boards(size):
    """To one scale, all inside of the sheet, none over another, as many as are said to come out of it."""
    (cell,) = stock_cells(STOCK, [size], (False, False), 180.0)
    sheet, *boards = (Polygon(mark.points) for mark in cell.marks)
    share = (sheet.bounds[2] - sheet.bounds[0]) / STOCK[0]
    assert len(boards) == boards_from_sheet(STOCK, size)
    assert all(board.area == pytest.approx(size[0] * size[1] * share**2) for board in boards)
    assert all(sheet.buffer(1e-6).contains(board) for board in boards)
    assert all(one.intersection(other).area < 1e-6 for i, one in enumerate(boards) for other in boards[:i])
