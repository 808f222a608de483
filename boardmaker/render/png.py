"""Pages into one picture with PDFium: all boards of a set at a glance.

In come pages in mm and a resolution; out come the bytes of a PNG, in colour where the pages have any.
The pages go through the PDF renderer, so that the picture shows what will be printed.
"""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from math import ceil, log, sqrt

import pypdfium2
from PIL import Image

from boardmaker.display_list import Page
from boardmaker.render.pdf import render_pdf

MOST_PIXELS_OF_A_PAGE = 60e6  # PDFium takes 4 bytes for each; at 100 dpi that is a board of 1.9 m square
MOST_PIXELS = 80e6  # of all pages together, 3 bytes each
PALETTE = 256  # colours: all the greys of a line's edge, red and two tints want no more
GAP = 10.0  # mm of grey around each page
_GROUND = (200, 200, 200)  # grey between the white pages, so that their edges show
_WIDTH_BY_HEIGHT = 1.4  # the shape that suits a screen and a landscape page


def render_png(pages: Sequence[Page], *, dpi: float, quick: bool = False) -> bytes:
    """Return one picture of all pages in rows, at `dpi` dots per inch of the pages; `ValueError` for no pages.

    Where that would take too much memory, it has fewer dots per inch. `quick`: without a palette, sooner
    and with two or three times the bytes, for a picture that is drawn on each save.
    """
    dpi = min(dpi, _finest(pages)) if pages else dpi
    picture = _set_in_rows(_draw_pages(pages, dpi), gap=round(GAP / 25.4 * dpi))
    picture = picture if quick else _without_idle_colour(picture)
    file = BytesIO()
    picture.save(file, "PNG", dpi=(dpi, dpi))  # `optimize` would take ten times as long for a thirtieth of the bytes
    return file.getvalue()


def _finest(pages: Sequence[Page]) -> float:
    """The resolution at which the pages still fit into memory, in dots per inch."""
    areas = [page.width * page.height / 25.4**2 for page in pages]
    return min(sqrt(MOST_PIXELS_OF_A_PAGE / max(areas)), sqrt(MOST_PIXELS / (max(areas) * len(areas))))


def _draw_pages(pages: Sequence[Page], dpi: float) -> list[Image.Image]:
    document = pypdfium2.PdfDocument(render_pdf(pages, title="preview"))
    try:
        return [page.render(scale=dpi / 72).to_pil().convert("RGB") for page in document]
    finally:
        document.close()


def _set_in_rows(pictures: Sequence[Image.Image], gap: int) -> Image.Image:
    """Return the pictures in equal cells, row by row from the top left, on a grey ground."""
    across = max(picture.width for picture in pictures) + gap
    down = max(picture.height for picture in pictures) + gap
    columns = _choose_columns(len(pictures), across, down)
    rows = ceil(len(pictures) / columns)
    whole = Image.new("RGB", (columns * across + gap, rows * down + gap), _GROUND)
    for index, picture in enumerate(pictures):
        row, column = divmod(index, columns)
        whole.paste(picture, (gap + column * across, gap + row * down))
    return whole


def _without_idle_colour(picture: Image.Image) -> Image.Image:
    """Return a picture without any colour as one of greys, another with a palette: a third of the file."""
    red, green, blue = (picture.getchannel(part).tobytes() for part in range(3))
    if red == green == blue:
        return picture.getchannel(0)
    return picture.quantize(PALETTE, method=Image.Quantize.MEDIANCUT, dither=Image.Dither.NONE)


def _choose_columns(count: int, across: int, down: int) -> int:
    """Return the number of columns whose whole comes nearest to the wanted shape."""

    def miss(columns: int) -> float:
        return abs(log(columns * across / (ceil(count / columns) * down) / _WIDTH_BY_HEIGHT))

    return min(range(1, count + 1), key=miss)
