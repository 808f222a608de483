"""Boards on paper: few tiles, none empty, seams off pockets, both test bars on every page, true to size."""

from __future__ import annotations

import io
import math
from dataclasses import replace

import pdfplumber
import pytest

from boardmaker.display_list import Circle, Drawing, Path, Text
from boardmaker.fonts import text_width
from boardmaker.inputs import override_setup
from boardmaker.inputs.model import Setup
from boardmaker.render.pdf import render_pdf
from boardmaker.sheets import lay_testpage, testpage
from boardmaker.sheets.paper import lay_page
from boardmaker.sheets.tiling import cut_into_tiles

MM = 25.4 / 72
PAPERS = ("A3", "A4", "A5", "letter", "legal", "tabloid", "13 x 19 in", "roll of 610 mm")


def paper(name):
    return override_setup(Setup(), board=None, case=None, paper=name)


def board(width, height, *items):
    edge = Path(((0, 0), (width, 0), (width, height), (0, height)), closed=True)
    return Drawing(width, height, (edge,), (), items)


FULL = Path(((5.0, 5.0), (757.0, 5.0), (757.0, 503.0), (5.0, 503.0)), closed=True, fill=0.9)


def tiles_for(drawing, name="A4"):
    return cut_into_tiles(drawing, lay_page(paper(name)).picture_size)


@pytest.mark.parametrize(("name", "count"), [("A4", 9), ("letter", 12), ("A3", 4), ("roll of 610 mm", 1)])
def test_a_stock_board_takes_few_sheets(name, count):
    """30 x 20 in; about 12 letter sheets cover a big tourer's panels (common practice, no source)."""
    assert len(tiles_for(board(762.0, 508.0, FULL), name)) == count


@pytest.mark.parametrize("name", PAPERS)
def test_tiles_fit_the_paper_and_cover_the_board(name):
    """Trimmed parts meet without gap or overlap; each window fits the picture."""
    tiles = tiles_for(board(762.0, 508.0, FULL), name)
    width, height = lay_page(paper(name)).picture_size
    for tile in tiles:
        x0, y0, x1, y1 = tile.window
        shown = (x1 - x0, y1 - y0) if tile.turn == 0 else (y1 - y0, x1 - x0)
        assert shown[0] <= width + 1e-6
        assert shown[1] <= height + 1e-6
    area = sum((t.trim[2] - t.trim[0]) * (t.trim[3] - t.trim[1]) for t in tiles)
    assert area == pytest.approx(762.0 * 508.0)


def test_a_tile_without_a_mark_is_left_out():
    """The middle of an empty board needs no sheet, its edge does."""
    assert "B2" not in {tile.name for tile in tiles_for(board(762.0, 508.0))}
    assert len(tiles_for(board(762.0, 508.0))) == 8


def cut(seams, items):
    """How many heads and words the upright seams pass through."""
    return sum(
        abs(seam - item.centre[0]) < item.diameter / 2
        if isinstance(item, Circle)
        else item.at[0] < seam < item.at[0] + text_width(item.text, item.height)
        for seam in seams
        for item in items
    )


@pytest.mark.parametrize("shift", [0.0, 5.0, 11.0, 17.0, 22.0])
def test_seams_run_beside_pockets_and_text(shift):
    """A row of heads with gaps of 7 mm: where the paper leaves play, the seams find the gaps."""
    heads = [Circle((30.0 + shift + 27.0 * i, 250.0), 20.0) for i in range(20)]
    words = [Text((230.0 + shift, 40.0 + 31.0 * i), "Left side cover", 3.5) for i in range(14)]
    tiles = tiles_for(board(600.0, 508.0, *heads, *words))
    seams = sorted({tile.trim[0] for tile in tiles} - {0.0})
    assert seams
    assert cut(seams, [*heads, *words]) == 0


def test_rows_are_letters_from_the_top_and_columns_numbers_from_the_left():
    """A1 is the upper left tile."""
    tiles = {tile.name: tile for tile in tiles_for(board(762.0, 508.0))}
    assert tiles["A1"].trim[0] == 0.0
    assert tiles["A1"].trim[3] == 508.0
    assert tiles["C3"].trim[2] == 762.0


def bars(page):
    """Lengths of the straight lines of a page as pdfplumber (another engine than wrote it) sees them, in mm."""
    lines = [(abs(line["x1"] - line["x0"]) * MM, abs(line["bottom"] - line["top"]) * MM) for line in page.lines]
    across = [dx for dx, dy in lines if dy < 1e-3]
    along = [dy for dx, dy in lines if dx < 1e-3]
    return across, along


def test_every_sheet_has_a_test_bar_on_both_axes(demo):
    """100 mm, to a hundredth of a millimetre, on every page."""
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
    assert testpage.CARD == (85.60, 53.98)
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


def test_glue_strips_lie_at_the_top_and_right_of_every_page():
    """One instruction for all sheets: as printed, the seams to cut are the lower and the left ones."""
    for name in ("A4", "A5"):
        for tile in tiles_for(board(762.0, 508.0, FULL), name):
            (x0, y0, x1, y1), (a, b, c, d) = tile.window, tile.trim
            lower, left = (b - y0, a - x0) if tile.turn == 0 else (a - x0, y1 - d)
            assert (lower, left) == (0.0, 0.0)
            assert max(x1 - c, y1 - d, b - y0) <= 6.0
