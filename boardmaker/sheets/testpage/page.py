"""The scale test page: lengths to measure with a rule, dots to measure in a scan, shapes to lay known things on.

Two bars meet in the lower left corner and run as far as the page allows, in whole centimetres. Whatever else there is
is laid in rows, and on small paper on a second page. The bank card is ISO/IEC 7810 ID-1 (85.60 x 53.98 mm, corner
radius 3.18 mm); line widths are those of ISO 128, text heights those of ISO 3098 and the smallest that boards use.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from boardmaker.drawing import Circle, DisplayItem, Page, Path, Text
from boardmaker.geometry import Point, box_ring
from boardmaker.model import Setup
from boardmaker.sheets.bars import along, bar, length_in_words
from boardmaker.sheets.paper import WORDS_LENGTH, Box, PageLayout, lay_page, shorten_roll
from boardmaker.sheets.testpage.shapes import (
    GAP,
    TestShape,
    card_shape,
    gauge_shape,
    heading,
    ladders,
    numbered,
    paragraph,
    square,
)

FRAMES = (2.0, 3.0, 4.0, 5.0, 6.0, 8.0)  # mm from the paper's edge
DOT = 3.0  # mm, diameter of a dot for the scan
CORNER = 3.0  # mm from the printable edge to the bars
END_LINE = 5.0
DOTS_IN = 9.0  # mm from a bar to the dots
DOT_EDGE = 3.5  # mm from the printable edge, where a frame may run, to the middle of a dot: clear paper for the scan
DOT_PITCH = 8.0  # mm from the lower left dot to the one that tells the page's direction, and to the one after it
FIELD = 13.0  # mm from a bar to everything else

STEPS = (
    "Print this page at 100 % (“actual size”, “no scaling”), on the printer and the paper that you will use for the "
    "board.",
    "Lay a steel rule along each of the two long bars and read its length from end line to end line, to half a "
    "millimetre or better.",
    "Both as long as the words at the bar say: your printer is true, nothing to do. Both wrong by the same few per "
    "cent: the print dialog scaled the page; look for “fit” or “shrink”, switch it off, print again.",
    "Off by less: let the program make up for it. Type “boardmaker calibrate --setup my-setup.yaml --measured ACROSS "
    "ALONG” with your two lengths, the lying bar first. Or scan this page and give --scan FILE in place of --measured.",
)
STEPS_OF_A_CHECK = (
    "This page is drawn with the scale that calibration found. Print it at 100 %, as you will print the board.",
    "Measure both long bars from end line to end line. Each must now be as long as its words say.",
    "If one is not, calibrate again from a fresh test page without --check. Never calibrate from this page: its bars "
    "are already corrected.",
)
ABOUT_CARD = "A bank card just covers its outline."
ABOUT_GAUGE = (
    "Lay a screw’s thread on the circles of the upper row; punch the lower row into a scrap of your board and try a "
    "screw of each size."
)
ABOUT_FRAMES = (
    "The numbered frames tell how near to the paper’s edge your printer prints: the outermost that is whole on all "
    "sides is the margin that it needs, in mm (printer: margins in the setup file); if none is whole, it needs more."
)
ABOUT_DOTS = "The black dots are for a scan."


@dataclass(frozen=True)
class Dots:
    """The dots of a test page, mm from the page's lower left corner.

    `places` are on every page, the last one close to the first to tell the page's direction; a page that is drawn with
    the printer's scale has one more at `check_place`.
    """

    places: tuple[Point, ...]
    check_place: Point


def draw_testpages(layout: PageLayout, note: str, material: str, calibrated: bool) -> tuple[Page, ...]:
    """Return the test page for this paper, a second one where the first is too small; `note` stands in its heading."""
    steps = STEPS_OF_A_CHECK if calibrated else STEPS
    _, _, right, _ = field = _field(layout)
    width = right - field[0]
    card, gauge = card_shape(), gauge_shape(material)
    remarks = [ABOUT_CARD] * (card.width <= width) + [ABOUT_GAUGE] * (gauge.width <= width)
    remarks += [ABOUT_DOTS] if calibrated else [ABOUT_FRAMES, ABOUT_DOTS]
    blocks = [heading(width, note), *numbered(width, steps), card, gauge, paragraph(width, " ".join(remarks))]
    pages = _in_rows([block for block in (*blocks, square(width), ladders()) if block.width <= width], field)
    # Frames tell where the printer stops: drawn for the paper as it is, so not where the page makes up for a stretch.
    frames = () if calibrated else _frames(layout)
    frame = (*frames, *_long_bars(layout), *_dots(layout, calibrated))
    names = ["test page", *(f"test page {number}" for number in range(2, len(pages) + 1))]
    return tuple(
        Page(layout.width, layout.height, (*frame, *items), name, f"Scale {name}")
        for name, items in zip(names, pages, strict=True)
    )


def bar_lengths(layout: PageLayout) -> tuple[float, float]:
    """Return the true lengths in mm of the bars across and along: whole centimetres, as long as the page allows."""
    (x, y), (_, _, x1, y1) = _corner(layout), _inner(layout)
    return math.floor((x1 - 0.5 - x) / 10.0) * 10.0, math.floor((y1 - 0.5 - y) / 10.0) * 10.0


def dots(layout: PageLayout) -> Dots:
    """Return where the dots of a test page are."""
    (x, y), (_, _, x1, y1) = _corner(layout), _inner(layout)
    left, right, low, high = x + DOTS_IN, x1 - DOT_EDGE, y + DOTS_IN, y1 - DOT_EDGE
    middle = (low + high) / 2
    corners = ((left, low), (right, low), (left, high), (right, high), (left, middle), (right, middle))
    return Dots((*corners, (left + DOT_PITCH, low)), (left + 2 * DOT_PITCH, low))


def _inner(layout: PageLayout) -> Box:
    margins = layout.margins
    return margins.left, margins.bottom, layout.width - margins.right, layout.height - margins.top


def _corner(layout: PageLayout) -> Point:
    x0, y0, _, _ = _inner(layout)
    return x0 + CORNER, y0 + CORNER


def _field(layout: PageLayout) -> Box:
    (x, y), (_, _, x1, y1) = _corner(layout), _inner(layout)
    return x + FIELD, y + FIELD, x1 - 2 * DOT_EDGE, y1 - 1.0


def _in_rows(blocks: Sequence[TestShape], field: Box) -> list[tuple[DisplayItem, ...]]:
    """The items of each page: blocks beside each other while there is room, then below, then on the next page."""
    left, low, right, top = field
    pages: list[list[DisplayItem]] = [[]]
    x, row_top, next_top = left, top, top
    for block in blocks:
        if x > left and x + block.width > right:
            x, row_top = left, next_top
        if row_top < top and row_top - block.height < low:
            pages.append([])
            x, row_top, next_top = left, top, top
        pages[-1] += block.draw(x, row_top - block.height)
        x, next_top = x + block.width + GAP, min(next_top, row_top - block.height - block.gap)
    return [tuple(items) for items in pages]


def _frames(layout: PageLayout) -> Iterator[DisplayItem]:
    """Nested frames, each with its distance from the paper's edge on all four sides."""
    margins, width, height = layout.margins, layout.width, layout.height
    within = min(margins.left, margins.right, margins.top, margins.bottom)
    insets = [inset for inset in FRAMES if inset <= within]
    for inset in insets:
        yield Path(box_ring(inset, inset, width - inset, height - inset), closed=True, line_width=0.18)
    for number, inset in enumerate(insets):
        beside = 5.0 * (number - (len(insets) - 1) / 2)
        for x, y in (
            (width / 2 + beside, inset),
            (width / 2 + beside, height - inset),
            (inset, height / 3 + beside),  # away from the dots in the middle of a side
            (width - inset, height / 3 + beside),
        ):
            yield Path(box_ring(x - 1.2, y - 1.3, x + 1.2, y + 1.3), closed=True, line_width=0.0, fill=1.0)
            yield Text((x, y - 1.0), f"{inset:g}", 2.0, "middle")


def _long_bars(layout: PageLayout) -> Iterator[DisplayItem]:
    start = _corner(layout)
    for length, upright in zip(bar_lengths(layout), (False, True), strict=True):
        yield from bar(start, length, upright, END_LINE)
        side = -1.0 if upright else 1.0  # ticks and words lie inside of the corner
        for tick in range(1, int(length / 10.0)):
            ends = (along(start, tick * 10.0, off, upright) for off in (0.0, side * 1.2))
            yield Path(tuple(ends), line_width=0.18)
        off = -4.7 if upright else 2.2
        words = along(start, length / 2, off, upright)
        yield Text(words, length_in_words(length), 2.5, "middle", 90 if upright else 0, bold=True)


def _dots(layout: PageLayout, calibrated: bool) -> Iterator[Circle]:
    found = dots(layout)
    for place in (*found.places, *([found.check_place] if calibrated else [])):
        yield Circle(place, DOT, line_width=0.0, fill=0.0)


def lay_testpage(setup: Setup, note: str, calibrated: bool = False) -> tuple[Page, ...]:
    """Return the scale test page for the setup's paper; `calibrated` if it will be drawn with the printer's scale."""
    return draw_testpages(_testpage_layout(setup, calibrated), note, setup.board.material, calibrated)


def testpage_bars(setup: Setup) -> Point:
    """Return the true lengths in mm of the test page's bars, across and along."""
    return bar_lengths(_testpage_layout(setup, calibrated=False))


def testpage_dots(setup: Setup, calibrated: bool) -> Dots:
    """Return where the dots of the test page are that a scan is measured by."""
    return dots(_testpage_layout(setup, calibrated))


def _testpage_layout(setup: Setup, calibrated: bool) -> PageLayout:
    return shorten_roll(lay_page(setup, calibrated), WORDS_LENGTH)
