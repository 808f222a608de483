"""What a PDF says is 100 mm is 100 mm for other people's engines, to 0.01 mm, and what is not, is found out."""

import dataclasses

import pytest
from file_readers import draw_pdf, ink_box, read_with_pdfium, read_with_pdfplumber
from render_samples import BAR, BARS, BOARD, HEAD, HOLE, show

from boardmaker.display_list import Circle, Page, Path, Text
from boardmaker.fonts import text_width
from boardmaker.render.pdf import render_pdf

pytestmark = pytest.mark.slow

READERS = pytest.mark.parametrize("read", [read_with_pdfplumber, read_with_pdfium])
SHRUNK = (1 / 0.97, 1 / 0.97)  # as if a printer that shrinks to 97 % had been left in


def holds(read, page: Page, scale=(1.0, 1.0)) -> bool:
    """Tell whether the page has its own size, two bars of 100 mm and a circle of 14 mm, to 0.01 mm."""
    found = read(render_pdf([page], title="bars", printer_scale=scale))
    return (
        found.size == pytest.approx((page.width, page.height), abs=0.01)
        and found.lengths == pytest.approx([BAR, BAR], abs=0.01)
        and found.diameters == [pytest.approx((HEAD, HEAD), abs=0.01)]
    )


@READERS
def test_bars_and_circles_are_true_to_size(read):
    """True to size: both axes, on the page size that was asked for."""
    assert holds(read, BARS)


@READERS
@pytest.mark.parametrize("scale", [SHRUNK, (1 / 0.97, 1), (1, 1 / 0.97)])
def test_a_file_at_97_percent_is_found_out(read, scale):
    """The check above can fail, for either axis alone."""
    assert not holds(read, BARS, scale)


def test_the_ink_of_a_bar_is_as_long_as_the_bar():
    """A thick line ends where its points are (butt caps), to one pixel at 600 dpi."""
    bar = Path(((10, 20), (10 + BAR, 20)), line_width=5)
    page = Page(120, 30, (bar,))
    x0, y0, x1, y1 = ink_box(draw_pdf(render_pdf([page], title="bar"), 600), 600)
    assert (x0, x1, y0, y1) == pytest.approx((10, 110, 17.5, 22.5), abs=25.4 / 600)
    x0, _, x1, _ = ink_box(draw_pdf(render_pdf([page], title="bar", printer_scale=SHRUNK), 600), 600)
    assert x1 - x0 == pytest.approx(97, abs=25.4 / 600)


@READERS
def test_a_stretching_printer_is_taken_out_about_the_lower_left_corner(read):
    """True to size on a printer that prints 1.5 % too wide and 1 % too short: drawn with the inverse, no more."""
    found = read(render_pdf([BARS], title="bars", printer_scale=(1.015, 0.99)))
    assert found.size == pytest.approx((210, 297), abs=0.01)
    assert found.lengths == pytest.approx([BAR / 1.015, BAR / 0.99], abs=0.01)
    x0, y0, x1, y1 = found.curves[0]
    assert (x0 + x1) / 2 == pytest.approx(60 / 1.015, abs=0.01)
    assert (y0 + y1) / 2 == pytest.approx(60 / 0.99, abs=0.01)


@READERS
def test_across_is_x_and_along_is_y_on_every_page(read):
    """Also on a page wider than high, as a roll printer cuts it: the paper runs through the same way."""
    landscape = dataclasses.replace(BARS, width=297, height=210)
    found = read(render_pdf([landscape], title="bars", printer_scale=(1.015, 1)))
    assert found.lengths == pytest.approx([BAR / 1.015, BAR], abs=0.01)


@READERS
@pytest.mark.parametrize("turn", [0, 90])
def test_holes_and_heads_keep_their_size_and_place_in_a_window(read, turn):
    """Through a window, turned or not, each pocket is where the window's rule puts it."""
    pockets = dataclasses.replace(BOARD, cut=(), print=tuple(x for x in BOARD.print if isinstance(x, Circle)))
    found = read(render_pdf([show(pockets, (20, 30, 120, 130), turn)], title="tile"))
    expected = []
    for diameter in (HEAD, HOLE):
        for along in (20, 40, 60):
            x, y = (10 + along, 12 + 30) if turn == 0 else (10 + 100 - 30, 12 + along)
            expected.append((x - diameter / 2, y - diameter / 2, x + diameter / 2, y + diameter / 2))
    assert found.curves == tuple(pytest.approx(box, abs=0.01) for box in expected)


@pytest.mark.parametrize(("angle", "bold"), [(0, False), (90, False), (0, True)])
def test_capitals_are_as_high_and_texts_as_wide_as_they_say(angle, bold):
    """PDFium's ink of a row of H is 7 mm high and as wide as the fonts say, to 0.1 mm."""
    page = Page(100, 100, (Text((50, 50), "HHHHHH", 7, angle_deg=angle, bold=bold),))
    x0, y0, x1, y1 = ink_box(draw_pdf(render_pdf([page], title="text"), 600), 600)
    across, up = (x1 - x0, y1 - y0) if angle == 0 else (y1 - y0, x1 - x0)
    bearings = text_width("H", 7, bold) - _ink_width_of_h(bold)
    assert up == pytest.approx(7, abs=0.1)
    assert across == pytest.approx(text_width("HHHHHH", 7, bold) - bearings, abs=0.1)


def _ink_width_of_h(bold: bool) -> float:
    page = Page(60, 60, (Text((50, 50), "H", 7, bold=bold),))
    x0, _, x1, _ = ink_box(draw_pdf(render_pdf([page], title="text"), 600), 600)
    return x1 - x0


@pytest.mark.parametrize(("anchor", "left"), [("start", 100), ("middle", 100 - 0.5), ("end", 100 - 1.0)])
def test_a_text_hangs_on_its_anchor(anchor, left):
    """The ink begins at the anchor less the share of the width that lies before it, give or take a side bearing."""
    width = text_width("HIH", 5)
    page = Page(120, 60, (Text((100, 50), "HIH", 5, anchor),))
    x0, _, _, _ = ink_box(draw_pdf(render_pdf([page], title="text"), 300), 300)
    assert x0 == pytest.approx(100 - (100 - left) * width, abs=0.8)
