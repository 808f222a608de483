"""The preview by Pillow: every page is on it, at its size, and nothing else is in the file."""

import io
import struct
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image
from render_samples import WHOLE

from boardmaker.display_list import Page, Path
from boardmaker.render import png
from boardmaker.render.png import render_png

BLACK = Path(((0, 0), (100, 0), (100, 50), (0, 50)), closed=True, line_width=0, fill=0.0)
CARD = Page(100, 50, (BLACK,))


def read(file: bytes) -> np.ndarray:
    return np.asarray(Image.open(io.BytesIO(file)))


@pytest.mark.parametrize("count", [1, 2, 3, 4, 7])
def test_every_page_is_shown_at_its_size(count):
    """At 254 dpi 0.1 mm is a pixel: each black card of 100 x 50 mm makes 1000 x 500 black pixels, or a pixel more."""
    picture = read(render_png([CARD] * count, dpi=254))
    assert count * 1000 * 500 <= (picture < 128).sum() <= count * 1001 * 501


def test_pages_stand_in_rows_of_a_handy_shape():
    """Two wide boards stand one above the other, two tall ones side by side."""
    wide, tall = (read(render_png([Page(*size, ())] * 2, dpi=25.4)).shape for size in ((500, 200), (200, 500)))
    assert wide[0] > 400
    assert wide[1] < 600
    assert tall[0] < 600
    assert tall[1] > 400


def test_the_edge_of_a_white_page_shows():
    """The ground around the pages is darker than they are."""
    picture = read(render_png([Page(100, 50, ())], dpi=50))
    assert picture[0, 0] < 230 < picture[picture.shape[0] // 2, picture.shape[1] // 2]


def test_the_file_holds_a_picture_and_no_time_or_text():
    """Only the chunks of a picture and of its resolution (PNG, third edition, 11.2 and 11.3)."""
    file = render_png([WHOLE], dpi=60)
    kinds, at = [], 8
    while at < len(file):
        (length,) = struct.unpack(">I", file[at : at + 4])
        kinds.append(file[at + 4 : at + 8])
        at += 12 + length
    assert set(kinds) == {b"IHDR", b"PLTE", b"pHYs", b"IDAT", b"IEND"}


@pytest.mark.parametrize("ink", [0.0, (0.8, 0.0, 0.1), (0.2, 0.4, 0.9)])
def test_colours_are_as_they_were_asked_for_and_greys_take_no_room(ink):
    """sRGB in, the same in the picture; a picture without a colour has one channel, another a palette."""
    card = replace(BLACK, fill=ink)
    picture = Image.open(io.BytesIO(render_png([Page(100, 50, (card,))], dpi=50)))
    assert picture.mode == ("P" if isinstance(ink, tuple) else "L")
    middle = picture.convert("RGB").getpixel((picture.width // 2, picture.height // 2))
    assert np.allclose(middle, np.asarray(ink) * 255, atol=1)


def test_no_pages_make_no_picture():
    """As for a PDF."""
    with pytest.raises(ValueError, match="needs a page"):
        render_png([], dpi=60)


@pytest.mark.parametrize("count", [1, 2, 20])
def test_large_boards_are_shown_coarser(monkeypatch, count):
    """The picture stays small enough for any computer's memory, page by page and as a whole."""
    monkeypatch.setattr(png, "MOST_PIXELS_OF_A_PAGE", 60_000)
    monkeypatch.setattr(png, "MOST_PIXELS", 200_000)
    picture = Image.open(io.BytesIO(render_png([Page(9000, 6000, ())] * count, dpi=150)))
    cell = picture.width * picture.height / count
    assert 0.9 * min(60_000, 200_000 / count) < cell < 1.4 * min(60_000, 200_000 / count)  # with the gaps
    assert read(render_png([CARD] * count, dpi=20)).size < 12_000 * count  # a small page is left as it is
