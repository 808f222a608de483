"""A test page with discs and clutter, a printer that stretches it, and a scanner that turns, blurs and roughens it.

The page is drawn by PDFium (or by Pillow alone); the stretch is in the map from page to picture, so that no scale of
ours is in it.
"""

from __future__ import annotations

import functools
import io
import math
from dataclasses import dataclass, replace

import numpy as np
import pypdfium2
from PIL import Image, ImageDraw, ImageFilter

from boardmaker.display_list import Circle, Page, Path, Text
from boardmaker.geometry import box_ring
from boardmaker.render.pdf import render_pdf
from boardmaker.scan import ScanMarks

A4, A5, A3, SQUARE = (210.0, 297.0), (148.0, 210.0), (297.0, 420.0), (210.0, 210.0)
A6 = (105.0, 148.0)  # enough where the last tenth of a per mille is not asked for
IN = 22.0  # mm from left and bottom; 12 from the other two edges
MASTER = 300  # dpi of the drawn page, from which scans are sampled


def marks_for(paper) -> ScanMarks:
    """Corners, the middles of the long edges, and the orientation disc."""
    right, top = paper[0] - 12, paper[1] - 12
    middle = (IN + top) / 2
    corners = ((IN, IN), (right, IN), (IN, top), (right, top), (IN, middle), (right, middle))
    return ScanMarks((*corners, (30.0, IN)), (38.0, IN), 3.0)


def page_with(paper, discs, diameter=3.0, ink=0.0) -> Page:
    """The discs among frames, bars, a square, thread circles and text, as the test page has them."""
    width, height = paper
    frames = [
        Path(box_ring(d, d, width - d, height - d), closed=True, line_width=0.18) for d in (2.0, 3.0, 4.0, 6.0, 8.0)
    ]
    bars = [Path(((IN, 12), (width - 12, 12)), line_width=0.25), Path(((12, IN), (12, height - 12)), line_width=0.25)]
    square = Path(box_ring(40, 30, 90, 80), closed=True, line_width=0.25)
    rings = [Circle((40 + 13 * n, 95), float(size), 0.18) for n, size in enumerate((3, 4, 5, 6, 8, 10))]
    sizes = (2.0, 2.5, 3.5, 5.0, 7.0)
    words = [Text((30, 105 + 11 * n), "Aa 0O 1lI o. : • 3 mm", size, bold=n % 2 == 0) for n, size in enumerate(sizes)]
    small = [Text((60, 40 + 3.5 * n), "i. j: o. dots; e.g. 3.5 mm ...", 2.0) for n in range(10)]
    dots = [Circle(place, diameter, 0, fill=ink) for place in discs]
    return Page(width, height, (*frames, *bars, square, *rings, *words, *small, *dots))


@functools.lru_cache(maxsize=32)
def draw(page: Page, dpi: int = MASTER) -> Image.Image:
    """Draw a page with PDFium; its whole pixels are a little more than the page, which `scan` takes into account."""
    document = pypdfium2.PdfDocument(render_pdf([page], title="page"))
    picture = document[0].render(scale=dpi / 72, grayscale=True).to_pil().convert("L")
    document.close()
    return picture


def draw_with_pillow(paper, discs, dpi: int = MASTER) -> Image.Image:
    """Draw the discs, a few lines and rings without any of our own drawing."""
    many = 4
    size = tuple(round(side / 25.4 * dpi) for side in paper)
    whole = Image.new("L", size, 255)
    pen = ImageDraw.Draw(whole)
    pen.rectangle((30, 30, size[0] - 31, size[1] - 31), outline=0, width=2)
    pen.ellipse((700, 700, 760, 760), outline=0, width=3)
    for x, y in discs:  # each drawn many times too large and averaged: Pillow draws whole pixels only
        left, top = (math.floor(value) for value in ((x - 3) / 25.4 * dpi, (paper[1] - y - 3) / 25.4 * dpi))
        side = math.ceil(6 / 25.4 * dpi)
        tile = Image.new("L", (side * many, side * many), 255)
        middle = ((x / 25.4 * dpi - left) * many, ((paper[1] - y) / 25.4 * dpi - top) * many)
        radius = 1.5 / 25.4 * dpi * many
        box = [middle[0] - radius - 0.5, middle[1] - radius - 0.5, middle[0] + radius - 0.5, middle[1] + radius - 0.5]
        ImageDraw.Draw(tile).ellipse(box, fill=0)
        whole.paste(tile.reduce(many), (left, top))
    return whole


@dataclass(frozen=True)
class Scanner:
    """How a page comes to be a picture; `stretch` is the printer's, `bed` in mm, `at` the page's lower left corner."""

    stretch: tuple[float, float] = (1.0, 1.0)
    dpi: tuple[float, float] = (150.0, 150.0)
    turn_deg: float = 0.0
    bed: tuple[float, float] | None = None
    lid: int = 250
    blur: float = 0.06  # mm
    noise: float = 3.0  # grey levels
    shade: float = 0.0  # share of light lost from left to right
    paper_grey: int = 245
    ink_grey: int = 20
    seed: int = 1
    bow: float = 0.0  # a photograph's perspective: share by which the far edge is smaller


def scan(drawn: Image.Image, paper, how: Scanner) -> np.ndarray:
    """Return the grey picture that the scanner sees of a printed page, 0 to 255."""
    return _seen(_soft(drawn, paper, how.blur), paper, how)


def _soft(drawn, paper, blur):
    return drawn.filter(ImageFilter.GaussianBlur(blur * drawn.width / paper[0]))


def _seen(soft, paper, how):
    fine = (soft.width / paper[0], soft.height / paper[1])  # pixels a mm of the drawn page
    sheet = _upon_lid(soft, how)
    bed = how.bed or _room(paper, how)
    size = tuple(round(side * dpi / 25.4) for side, dpi in zip(bed, how.dpi, strict=True))
    kind = Image.Transform.PERSPECTIVE if how.bow else Image.Transform.AFFINE
    numbers = _map(paper, how, bed, fine)[: 8 if how.bow else 6]
    picture = sheet.transform(size, kind, numbers, Image.Resampling.BICUBIC, fillcolor=how.lid)
    return _roughen(np.asarray(picture, dtype=np.float32), how)


def _upon_lid(soft, how):
    sheet = Image.new("L", (soft.width + 40, soft.height + 40), how.lid)
    tones = np.interp(np.arange(256), [0, 255], [how.ink_grey, how.paper_grey])
    sheet.paste(soft.point([round(tone) for tone in tones]), (20, 20))
    return sheet


def _room(paper, how):
    turn = math.radians(how.turn_deg)
    width, height = (side * stretch for side, stretch in zip(paper, how.stretch, strict=True))
    return (
        abs(width * math.cos(turn)) + abs(height * math.sin(turn)) + 5,
        abs(width * math.sin(turn)) + abs(height * math.cos(turn)) + 5,
    )


def _map(paper, how, bed, fine):
    """From a picture's pixel to one of the drawn page: about both middles, turned back, unstretched."""
    cosine, sine = math.cos(math.radians(how.turn_deg)), math.sin(math.radians(how.turn_deg))
    across, down = 25.4 / how.dpi[0], 25.4 / how.dpi[1]  # mm a pixel; picture rows run down, so does the drawn page
    a, b = cosine * across / how.stretch[0] * fine[0], -sine * down / how.stretch[0] * fine[0]
    d, e = sine * across / how.stretch[1] * fine[1], cosine * down / how.stretch[1] * fine[1]
    middle = (bed[0] / 2 / across, bed[1] / 2 / down)
    c = paper[0] / 2 * fine[0] + 20 - a * middle[0] - b * middle[1]
    f = paper[1] / 2 * fine[1] + 20 - d * middle[0] - e * middle[1]
    return (a, b, c, d, e, f, 0.0, how.bow / (2 * middle[1]))


def _roughen(picture, how):
    chance = np.random.default_rng(how.seed)
    light = 1.0 - how.shade * np.linspace(0, 1, picture.shape[1])
    noise = how.noise * chance.standard_normal(picture.shape, np.float32)
    return np.rint(picture * light.astype(np.float32) + noise).clip(0, 255).astype(np.uint8)


def as_png(grey, dpi=None, **options) -> bytes:
    """Return PNG bytes of a grey array or a Pillow picture."""
    return _saved(grey, "PNG", **({"dpi": dpi} if dpi else {}), compress_level=0, **options)


def as_jpeg(grey, dpi=None, **options) -> bytes:
    """Return JPEG bytes of a grey array or a Pillow picture."""
    return _saved(grey, "JPEG", **({"dpi": dpi} if dpi else {}), **{"quality": 75, **options})


def _saved(grey, kind, **options) -> bytes:
    picture = grey if isinstance(grey, Image.Image) else Image.fromarray(grey)
    file = io.BytesIO()
    picture.save(file, kind, **options)
    return file.getvalue()


def scanned(paper=A5, how: Scanner = Scanner(), discs=None, **changes) -> np.ndarray:
    """Scan a page with the usual discs (or `discs`) in one go."""
    return _scanned(paper, replace(how, **changes), tuple(discs or marks_for(paper).places)).copy()


@functools.lru_cache(maxsize=40)
def _scanned(paper, how, discs):
    return _seen(_soft_page(paper, discs, how.blur), paper, how)


@functools.lru_cache(maxsize=8)
def _soft_page(paper, discs, blur):
    return _soft(draw(page_with(paper, discs)), paper, blur)
