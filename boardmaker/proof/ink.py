"""Whether a bar can be seen on paper: PDFium draws the strip of the page around it, as for printing.

Lines in a file may be switched off, covered, cut away or white; all of this shows in the picture and nowhere else.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, dist

import numpy as np
import pypdfium2
from numpy.typing import NDArray

from boardmaker.proof.bars import FoundBar
from boardmaker.proof.marks import Segment
from boardmaker.proof.report import Box, Point
from boardmaker.proof.structure import MM_PER_POINT

DOTS_PER_MM = 6.0
MOST_DOTS = 4000  # along a strip: a longer bar is drawn coarser
AROUND = 2.0  # mm of the page around the bar
REACH = 2  # dots to either side of where the line should be: the picture is rounded to whole dots
DARK = 200  # of 255; a thin line is drawn grey
INKED = 0.97  # of a line's length must be dark
OUTSIDE = 60.0  # mm around the page that are looked at for ink
COARSE = 2.0  # dots a mm there
PALE = 250  # of 255; anything darker is ink
FAR = 1e6  # dots; what lies further off is as white
CLEAR = 0.3  # of its length must be light on one side at least, or it is a line in the dark


class DrawnStrip:
    """A picture of the part of a page around some points; `box` is that part in mm, within what is printed."""

    def __init__(self, page: pypdfium2.PdfPage, points: tuple[Point, ...]) -> None:
        x0, y0, x1, y1 = page_box(page)
        across, up = zip(*points, strict=True)
        self.box = (
            max(x0, min(across) - AROUND),
            max(y0, min(up) - AROUND),
            min(x1, max(across) + AROUND),
            min(y1, max(up) + AROUND),
        )
        size = max(self.box[2] - self.box[0], self.box[3] - self.box[1])
        self._dots = min(DOTS_PER_MM, MOST_DOTS / max(size, 1.0))
        edges = (self.box[0] - x0, self.box[1] - y0, x1 - self.box[2], y1 - self.box[3])
        picture = page.render(
            scale=self._dots * MM_PER_POINT,
            crop=tuple(edge / MM_PER_POINT for edge in edges),
            grayscale=True,
            optimize_mode="print",
        ).to_numpy()
        self._dark = picture.reshape(picture.shape[:2]) < DARK

    def share_dark(self, line: Segment, reach: int) -> float:
        """How much of a line is dark, from 0 to 1: each of its dots, or one within `reach` dots; outside is white."""
        height, width = self._dark.shape
        away = 2 * reach + 1  # a dot that lies further off is looked for there, on white
        paper = np.pad(self._dark, away + reach)
        across, up = ((line[0][n], line[1][n]) for n in (0, 1))
        share = np.linspace(0.0, 1.0, max(1, ceil(dist(*line) * self._dots)) + 1)
        columns = self._dots_of(across, share, 0).clip(-away, width - 1 + away) + away + reach
        rows = (height - 1 - self._dots_of(up, share, 1)).clip(-away, height - 1 + away) + away + reach
        window = range(-reach, reach + 1)
        dark = np.logical_or.reduce([paper[rows + down, columns + right] for down in window for right in window])
        return float(dark.mean())

    def _dots_of(self, ends: Point, share: NDArray[np.float64], axis: int) -> NDArray[np.intp]:
        """The dots of places between two ends, counted from the box's lower left corner."""
        places = ends[0] + (ends[1] - ends[0]) * share
        dots: NDArray[np.intp] = ((places - self.box[axis]) * self._dots).clip(-FAR, FAR).astype(np.intp)
        return dots


def page_box(page: pypdfium2.PdfPage) -> Box:
    """Return the part of the page that is printed, in mm."""
    x0, y0, x1, y1 = (edge * MM_PER_POINT for edge in page.get_bbox())
    return x0, y0, x1, y1


def on_the_page(page: pypdfium2.PdfPage, bar: FoundBar) -> bool:
    """Whether the whole bar lies on the part of the page that is printed."""
    x0, y0, x1, y1 = page_box(page)
    return all(x0 <= x <= x1 and y0 <= y <= y1 for x, y in (bar.start, bar.end))


def beyond_the_page(page: pypdfium2.PdfPage) -> float:
    """Return how far in mm ink reaches over the edge of what is printed, up to `OUTSIDE`; 0 where all of it is inside.

    The page is drawn once more on larger paper: what a box cut off, or a move pushed over the edge, shows there.
    """
    x0, y0, x1, y1 = page.get_bbox()
    kept, more = page.get_mediabox(), OUTSIDE / MM_PER_POINT
    larger = (x0 - more, y0 - more, x1 + more, y1 + more)
    try:
        for box in (page.set_mediabox, page.set_cropbox):
            box(*larger)
        picture = page.render(scale=COARSE * MM_PER_POINT, grayscale=True, optimize_mode="print").to_numpy()
    finally:
        page.set_mediabox(*kept)
        page.set_cropbox(x0, y0, x1, y1)
    picture = picture.reshape(picture.shape[:2])
    rows, columns = (np.flatnonzero((picture < PALE).any(axis=axis)) for axis in (1, 0))
    if not len(rows):
        return 0.0
    height, width = picture.shape
    reach = OUTSIDE - min(rows[0], columns[0], height - 1 - rows[-1], width - 1 - columns[-1]) / COARSE
    return max(0.0, float(reach) - 1.0 / COARSE)


def visible(page: pypdfium2.PdfPage, bar: FoundBar) -> bool:
    """Whether the bar and both its end lines can be seen on white paper."""
    strip = DrawnStrip(page, (bar.start, bar.end, *bar.end_lines[0], *bar.end_lines[1]))
    lines = ((bar.start, bar.end), *bar.end_lines)
    if any(strip.share_dark(line, REACH) < INKED for line in lines):
        return False
    beside = (strip.share_dark(line, 0) for line in _beside((bar.start, bar.end)))
    return min(beside) < 1.0 - CLEAR


def _beside(line: Segment, off: float = 1.0) -> Iterator[Segment]:
    """The lines 1 mm to either side."""
    (x0, y0), (x1, y1) = line
    length = dist(*line) or 1.0
    across, up = -(y1 - y0) / length * off, (x1 - x0) / length * off
    for side in (1, -1):
        yield (x0 + side * across, y0 + side * up), (x1 + side * across, y1 + side * up)
