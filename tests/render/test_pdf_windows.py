"""Windows: what lies inside is shown at its place, what lies outside leaves no trace."""

import dataclasses

import numpy as np
import pytest
from file_readers import draw_pdf, ink_box, read_with_pdfium
from hypothesis import given, settings
from hypothesis import strategies as st
from render_samples import BOARD, show

from boardmaker.display_list import Circle, Drawing, Page, Path, Text, Window
from boardmaker.render import placing
from boardmaker.render.pdf import render_pdf

pytestmark = pytest.mark.slow

DPI = 254
PIXEL = 25.4 / DPI


def ink(page: Page) -> np.ndarray:
    return draw_pdf(render_pdf([page], title="page"), DPI)


@pytest.mark.parametrize("turn", [0, 90, 270])
def test_a_window_clips_at_its_edges(turn):
    """A black field larger than the source fills exactly the window's rectangle."""
    field = Path(((-500, -500), (500, -500), (500, 500), (-500, 500)), closed=True, line_width=0, fill=0.0)
    window = Window((field,), (20, 30, 80, 60), (50, 100), turn)
    width, height = (60, 30) if turn == 0 else (30, 60)
    assert window.size == (width, height)
    box = ink_box(ink(Page(210, 297, (window,))), DPI)
    assert box == pytest.approx((50, 100, 50 + width, 100 + height), abs=PIXEL)


def test_a_window_turns_counter_clockwise():
    """At 90 degrees the source's lower left corner comes to the window's lower right corner."""
    dot = Circle((21, 31), 1, line_width=0, fill=0.0)
    box = ink_box(ink(Page(210, 297, (Window((dot,), (20, 30, 80, 60), (50, 100), 90),))), DPI)
    assert box == pytest.approx((78.5, 100.5, 79.5, 101.5), abs=PIXEL)


def test_a_window_turns_clockwise():
    """At 270 degrees it comes to the upper left corner."""
    dot = Circle((21, 31), 1, line_width=0, fill=0.0)
    box = ink_box(ink(Page(210, 297, (Window((dot,), (20, 30, 80, 60), (50, 100), 270),))), DPI)
    assert box == pytest.approx((50.5, 158.5, 51.5, 159.5), abs=PIXEL)


def test_windows_in_windows_show_what_both_show():
    """The inner rectangle is cut by the outer one."""
    field = Path(((0, 0), (100, 0), (100, 100), (0, 100)), closed=True, line_width=0, fill=0.0)
    inner = Window((field,), (0, 0, 40, 20), (10, 10), 90)  # fills [10, 30] x [10, 50]
    outer = Window((inner,), (0, 20, 25, 70), (100, 100))  # shows [10, 25] x [20, 50] of it
    assert ink_box(ink(Page(210, 297, (outer,))), DPI) == pytest.approx((110, 100, 125, 130), abs=PIXEL)


def test_line_and_fill_hold_after_a_window():
    """What is drawn behind a window looks as if the window were not there."""
    thick = Path(((10, 10), (60, 10)), line_width=4, ink=0.2)
    thin = Window((Path(((0, 0), (10, 10)), line_width=0.1, ink=0.9),), (0, 0, 10, 10), (100, 100))
    after = dataclasses.replace(thick, points=((10, 30), (60, 30)))
    picture = ink(Page(210, 297, (thick, thin, after)))
    rows = [round((297 - y) / PIXEL) for y in (10, 30)]
    column = round(35 / PIXEL)
    assert all(picture[row - 30 : row + 30, column].sum() == pytest.approx(4 / PIXEL, abs=1) for row in rows)


def test_items_that_a_window_does_not_show_are_left_out():
    """A sheet carries its own tile only: 1 of 400 circles here."""
    dots = tuple(Circle((10 * column, 10 * row), 3) for row in range(20) for column in range(20))
    page = Page(210, 297, (Window(dots, (95, 95, 105, 105), (10, 10)),))
    assert len(read_with_pdfium(render_pdf([page], title="tile")).curves) == 1


def test_tiles_put_together_are_the_board():
    """Six windows on six pages, laid side by side, have the same ink as one window on all of it, to the pixel."""
    step = 80 * PIXEL * 5  # whole pixels, so that all pictures share one grid
    across, up = 4, 3
    whole = ink(Page(across * step, up * step, (Window(BOARD.items, (0, 0, across * step, up * step), (0, 0)),)))
    rows = []
    for row in reversed(range(up)):
        sources = [(c * step, row * step, (c + 1) * step, (row + 1) * step) for c in range(across)]
        rows.append(np.hstack([ink(Page(step, step, (Window(BOARD.items, source, (0, 0)),))) for source in sources]))
    assert whole.sum() > 3000
    assert (np.vstack(rows) != whole).sum() <= 0.002 * whole.sum()


def small(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high).map(lambda value: round(value, 2))


POINTS = st.tuples(small(-20, 60), small(-20, 60))
ITEMS = st.one_of(
    st.builds(Path, st.lists(POINTS, min_size=2, max_size=5).map(tuple), st.booleans(), small(0.2, 5)),
    st.builds(Circle, POINTS, small(0.5, 30), small(0.2, 5)),
    st.builds(
        Text,
        POINTS,
        st.sampled_from(["1 A", "Ågjç", "½ℓ⁄", "Knee cover"]),
        small(2, 12),
        st.sampled_from(["start", "middle", "end"]),
        st.sampled_from([0, 90]),
        st.booleans(),
    ),
)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(ITEMS.filter(lambda item: not isinstance(item, Path) or len({*item.points}) > 1))
def test_no_ink_lies_outside_an_items_box(item):
    """The boxes that decide what is left out err outward: PDFium's ink lies inside them."""
    x0, y0, x1, y1 = placing.bounding_box(item)
    picture = ink(Page(200, 200, (Window((item,), (-100, -100, 100, 100), (0, 0)),)))
    assert picture.any()
    left, low, right, high = ink_box(picture, DPI)
    assert left - 100 >= x0 - PIXEL
    assert low - 100 >= y0 - PIXEL
    assert right - 100 <= x1 + PIXEL
    assert high - 100 <= y1 + PIXEL


def test_an_empty_drawing_makes_an_empty_page():
    """Nothing in, nothing out, and a page all the same."""
    assert not ink(show(Drawing(100, 100, (), (), ()), (0, 0, 100, 100))).any()
