"""Pages into a PDF file with reportlab: every length true on paper once the printer has done its worst.

In come pages in mm and the printer's scale; out come the bytes of the file. One scale of the canvas turns mm into
points and takes the printer's error out; everything after that is drawn in plain mm.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import cache
from io import BytesIO
from typing import Any

from reportlab import rl_config
from reportlab.pdfbase.pdfmetrics import registerFont
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from boardmaker.display_list import Circle, DisplayItem, Ink, Page, Path, Point, Text, Window
from boardmaker.fonts import em_size, font_path, shown_text
from boardmaker.plain_text import shown
from boardmaker.render.placing import Boxes, closed_ring, text_matrix, window_matrix
from boardmaker.render.printer_scale import write_note

POINTS_PER_MM = 72 / 25.4

_FONT_NAMES = {False: "DejaVuSansCondensed", True: "DejaVuSansCondensed-Bold"}
_ROUND_JOIN = 1
_BUTT_CAP = 0  # a line's ink is as long as the line


def render_pdf(
    pages: Sequence[Page],
    *,
    title: str,
    subject: str = "",
    printer_scale: Point | None = (1.0, 1.0),
    keywords: str = "",
) -> bytes:
    """Return a PDF file of one or more pages (mm).

    `printer_scale` is printed length by true length, across and along the portrait page: what is drawn on a page is
    divided by it, about the lower left corner; the page itself keeps its size. None for pages of no true size: the
    file notes that nothing on them is measured. `ValueError` for no pages.
    """
    if not pages:
        raise ValueError("a PDF file needs a page")
    file = BytesIO()
    canvas = _open_canvas(file)
    _describe(canvas, title, subject, f"{keywords} {write_note(printer_scale)}".strip())
    boxes = Boxes()
    for number, page in enumerate(pages):
        _name_page(canvas, number, page)
        _scale_page(canvas, page, printer_scale or (1.0, 1.0))
        _Pen(canvas, boxes).draw(page.items)
        canvas.showPage()
    canvas.save()
    return file.getvalue()


def _open_canvas(file: BytesIO) -> Canvas:
    _register_fonts()
    rl_config.useA85 = 0  # bytes as they are: a fifth smaller and twice as fast as reportlab's ASCII form
    # Without a first font of ours every page would name Helvetica, which is not embedded.
    options: dict[str, Any] = {"initialFontName": _FONT_NAMES[False], "lang": "en"}
    canvas = Canvas(file, pageCompression=1, invariant=1, **options)
    canvas.setViewerPreference("PrintScaling", "None")
    return canvas


@cache
def _register_fonts() -> None:
    for bold, name in _FONT_NAMES.items():
        registerFont(TTFont(name, str(font_path(bold))))


def _describe(canvas: Canvas, title: str, subject: str, keywords: str) -> None:
    canvas.setTitle(shown(title))
    canvas.setSubject(shown(subject))
    canvas.setKeywords(shown(keywords))
    canvas.setAuthor("")
    canvas.setCreator("boardmaker")


def _name_page(canvas: Canvas, number: int, page: Page) -> None:
    """Give the page its label (its number where it has none) and its bookmark."""
    if page.label:
        canvas.addPageLabel(number, prefix=shown(page.label))
    else:
        canvas.addPageLabel(number, style="ARABIC", start=number + 1)
    if page.bookmark:
        key = f"page-{number + 1}"
        canvas.bookmarkPage(key)
        canvas.addOutlineEntry(shown(page.bookmark), key)


def _scale_page(canvas: Canvas, page: Page, printer_scale: Point) -> None:
    canvas.setPageSize((page.width * POINTS_PER_MM, page.height * POINTS_PER_MM))
    across, along = printer_scale
    canvas.scale(POINTS_PER_MM / across, POINTS_PER_MM / along)
    canvas.setLineJoin(_ROUND_JOIN)
    canvas.setLineCap(_BUTT_CAP)


class _Pen:
    """Draws items on a canvas; remembers line and fill so that the file says only what changes."""

    def __init__(self, canvas: Canvas, boxes: Boxes) -> None:
        self._canvas = canvas
        self._boxes = boxes
        self._line: tuple[float, Ink, tuple[float, ...]] | None = None
        self._fill: Ink | None = None

    def draw(self, items: Iterable[DisplayItem]) -> None:
        """Draw items in their order."""
        for item in items:
            match item:
                case Path():
                    self._draw_path(item)
                case Circle():
                    self._draw_circle(item)
                case Text():
                    self._draw_text(item)
                case Window():
                    self._draw_window(item)

    def _draw_path(self, item: Path) -> None:
        first, *others = closed_ring(item)
        outline = self._canvas.beginPath()
        outline.moveTo(*first)
        for point in others:
            outline.lineTo(*point)
        if item.closed:
            outline.close()
        stroke, fill = self._prepare(item)
        self._canvas.drawPath(outline, stroke=stroke, fill=fill)

    def _draw_circle(self, item: Circle) -> None:
        """Draw four Bézier curves, clockwise from three o'clock as SVG does, so that dashes fall alike."""
        (x, y), radius = item.centre, item.diameter / 2
        outline = self._canvas.beginPath()
        outline.arc(x - radius, y - radius, x + radius, y + radius, startAng=0, extent=-360)
        outline.close()
        stroke, fill = self._prepare(item)
        self._canvas.drawPath(outline, stroke=stroke, fill=fill)

    def _draw_text(self, item: Text) -> None:
        self._set_fill(item.ink)
        self._canvas.setFont(_FONT_NAMES[item.bold], em_size(item.height, item.bold))
        line = self._canvas.beginText()
        line.setTextTransform(*text_matrix(item))
        line.textOut(shown_text(item.text))
        self._canvas.drawText(line)

    def _draw_window(self, window: Window) -> None:
        canvas = self._canvas
        canvas.saveState()
        frame = canvas.beginPath()
        frame.rect(*window.at, *window.size)
        canvas.clipPath(frame, stroke=0, fill=0)
        canvas.transform(*window_matrix(window))
        kept = (self._line, self._fill)
        self.draw(self._boxes.visible(window))
        self._line, self._fill = kept
        canvas.restoreState()

    def _prepare(self, item: Path | Circle) -> tuple[int, int]:
        """Set the item's line and fill; return whether each is to be drawn, as reportlab wants it."""
        if item.line_width > 0:
            self._set_line(item)
        if item.fill is not None:
            self._set_fill(item.fill)
        return int(item.line_width > 0), int(item.fill is not None)

    def _set_line(self, item: Path | Circle) -> None:
        line = (item.line_width, item.ink, item.dash)
        if line != self._line:
            self._canvas.setLineWidth(item.line_width)
            _set_ink(item.ink, self._canvas.setStrokeGray, self._canvas.setStrokeColorRGB)
            self._canvas.setDash(list(item.dash))
            self._line = line

    def _set_fill(self, ink: Ink) -> None:
        if ink != self._fill:
            _set_ink(ink, self._canvas.setFillGray, self._canvas.setFillColorRGB)
            self._fill = ink


def _set_ink(ink: Ink, set_grey: Callable[[float], None], set_colour: Callable[[float, float, float], None]) -> None:
    """Greys stay greys in the file: a printer takes its black ink for them alone."""
    if isinstance(ink, tuple):
        set_colour(*ink)
    else:
        set_grey(ink)
