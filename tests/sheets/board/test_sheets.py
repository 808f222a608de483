"""What every sheet carries, the test page, and calibrated pages that stay on the paper."""

from __future__ import annotations

import io
import math
from dataclasses import replace

import pdfplumber
import pytest

from boardmaker.display_list import Path, Text
from boardmaker.fonts import text_width
from boardmaker.inputs import override_setup
from boardmaker.model import Setup
from boardmaker.render.pdf import render_pdf
from boardmaker.sheets import lay_testpage, picture_size
from boardmaker.sheets.board.wholes import fits_page
from boardmaker.sheets.furniture import HERE, MAP_WIDTH, glue_strips, page_frame
from boardmaker.sheets.paper import lay_page
from boardmaker.sheets.testpage import page as testpage
from boardmaker.sheets.testpage.shapes import CARD

pytestmark = pytest.mark.slow

MM = 25.4 / 72
PAPERS = ("A3", "A4", "A5", "letter", "legal", "tabloid", "13 x 19 in", "roll of 610 mm")


def paper(name):
    return override_setup(Setup(), board=None, case=None, paper=name)


def bars(page):
    """Lengths of the straight lines of a page as pdfplumber (another engine than wrote it) sees them, in mm."""
    lines = [(abs(line["x1"] - line["x0"]) * MM, abs(line["bottom"] - line["top"]) * MM) for line in page.lines]
    across = [dx for dx, dy in lines if dy < 1e-3]
    along = [dy for dx, dy in lines if dx < 1e-3]
    return across, along


def test_every_sheet_has_a_test_bar_on_both_axes(demo):
    """True to size: 100 mm, to a hundredth of a millimetre, on every page."""
    with pdfplumber.open(io.BytesIO(demo.files["sheets.pdf"])) as pdf:
        for page in pdf.pages:
            across, along = bars(page)
            assert any(math.isclose(length, 100.0, abs_tol=0.01) for length in across), page.page_number
            assert any(math.isclose(length, 100.0, abs_tol=0.01) for length in along), page.page_number


@pytest.mark.parametrize("name", PAPERS)
def test_the_test_page_has_bars_of_the_lengths_that_it_says(name):
    """Whole centimetres, as long as the page allows; also the square and the bank card (ISO/IEC 7810 ID-1)."""
    setup = paper(name)
    pages = lay_testpage(setup, "test")
    across, along = testpage.bar_lengths(pages[0] and _layout(setup, pages[0]))
    with pdfplumber.open(io.BytesIO(render_pdf(pages, title="t"))) as pdf:
        found = bars(pdf.pages[0])
        assert any(math.isclose(length, across, abs_tol=0.01) for length in found[0])
        assert any(math.isclose(length, along, abs_tol=0.01) for length in found[1])
    assert across % 10 == 0
    assert across > 0.6 * pages[0].width - 40 or setup.paper.roll


def _layout(setup, page):
    layout = lay_page(setup)
    return replace(layout, height=page.height) if setup.paper.roll else layout


def test_the_card_on_the_test_page_is_id_1():
    """85.60 x 53.98 mm, corner radius 3.18 mm (ISO/IEC 7810; radius between 2.88 and 3.48)."""
    assert CARD == (85.60, 53.98)
    (page,) = lay_testpage(paper("A4"), "test")
    ring = next(item for item in page.items if isinstance(item, Path) and len(item.points) == 76)
    xs, ys = [x for x, _ in ring.points], [y for _, y in ring.points]
    assert max(xs) - min(xs) == pytest.approx(85.60)
    assert max(ys) - min(ys) == pytest.approx(53.98)


@pytest.mark.parametrize("scale", [(0.97, 0.97), (1.015, 0.99), (1.03, 1.03)])
@pytest.mark.parametrize("name", ["A4", "letter", "roll of 610 mm"])
def test_a_calibrated_page_stays_on_the_paper(name, scale):
    """Drawn with the inverse of the printer's scale, the picture still lies within the printer's margins."""
    setup = paper(name)
    setup = replace(setup, printer=replace(setup.printer, scale=scale))
    margins = setup.printer.margins
    layout = lay_page(setup)
    x0, y0, x1, y1 = layout.picture
    assert x0 / scale[0] >= margins.left - 1e-9
    assert y0 / scale[1] >= margins.bottom - 1e-9
    assert x1 / scale[0] <= layout.width - margins.right + 1e-9
    assert y1 / scale[1] <= layout.height - margins.top + 1e-9


@pytest.mark.parametrize("name", ["A5", "A4", "A3", "roll of 610 mm"])
def test_words_around_a_picture_keep_off_each_other(name):
    """A long name of the bike, the words of the bar, "you are here" and the map at the foot of a sheet."""
    layout = lay_page(paper(name))
    frame = page_frame(layout, "sheet 12", f"{'◀ top of board, Fjellvik 820 Tourer ' * 4}", HERE)
    boxes = []
    for one in frame:
        if isinstance(one, Text) and not one.angle_deg:
            width = text_width(one.text, one.height, one.bold)
            left = one.at[0] - (width if one.anchor == "end" else 0.0)
            boxes.append((left, one.at[1] - 0.25 * one.height, left + width, one.at[1] + one.height))
    assert max(box[2] for box in boxes) <= layout.width - layout.margins.right - MAP_WIDTH
    for number, (x0, y0, x1, y1) in enumerate(boxes):
        assert all(x1 <= a or c <= x0 or y1 <= b or d <= y0 for a, b, c, d in boxes[number + 1 :])


def test_glue_strips_are_grey_under_the_picture_and_end_at_a_line():
    """As large as they are glued, only where another sheet is joined, whichever way the page is turned."""
    window, trim = (100.0, 50.0, 276.0, 306.0), (100.0, 50.0, 270.0, 300.0)
    for turn in (0, 90):
        strips = [one for one in glue_strips(window, trim, turn, (19.0, 22.0), ("right", "high")) if one.fill]
        sizes = [tuple(b - a for a, b in zip(*sides, strict=True)) for sides in map(_corners, strips)]
        expected = [(6.0, 256.0), (170.0, 6.0)] if turn == 0 else [(256.0, 6.0), (6.0, 170.0)]
        assert sizes == [pytest.approx(size) for size in expected]
        right, high = (_corners(one) for one in strips)
        shown = (19.0, 22.0), (195.0, 278.0) if turn == 0 else (275.0, 198.0)
        assert right[1] == pytest.approx(shown[1])
        assert high[0] == pytest.approx((19.0, 272.0) if turn == 0 else (19.0, 22.0))
    assert list(glue_strips(window, trim, 0, (19.0, 22.0), ("left", "low"))) == []


def _corners(path):
    xs, ys = zip(*path.points, strict=True)
    return (min(xs), min(ys)), (max(xs), max(ys))


def test_a_tile_is_named_by_its_page(demo):
    """As `--pages` asks for it, and so that nobody takes it for a square of the board's grid."""
    for sheet in demo.built.sheets.tiles:
        page = demo.built.sheets.pages[sheet.page - 1]
        assert page.label == f"sheet {sheet.page}"
        assert any(isinstance(item, Text) and item.text == f"sheet {sheet.page}" for item in page.items)
    numbers = {f"{sheet.page}" for sheet in demo.built.sheets.tiles}
    on_map = {item.text for item in demo.built.sheets.pages[0].items if isinstance(item, Text)}
    assert numbers <= on_map


def test_every_table_that_a_page_holds_comes_in_one_piece(demo):
    """On a tile or as a patch."""
    for number, board in enumerate(demo.board_file["boards"], 1):
        windows = [sheet["window"] for sheet in demo.board_file["sheets"] if sheet["board"] == number]
        for item in board["items"]:
            box = _box_of(item["zone"])
            if item["kind"] != "panel" and fits_page(box, picture_size(demo.built.setup)):
                assert any(_holds(window, box) for window in windows), (item["kind"], item.get("key"))


def _box_of(ring):
    xs, ys = zip(*ring, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def _holds(window, box):
    return all(a - 1e-3 <= b for a, b in zip(window[:2], box[:2], strict=True)) and all(
        b <= a + 1e-3 for a, b in zip(window[2:], box[2:], strict=True)
    )
