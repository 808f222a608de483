"""The scale test page: lengths to measure with a rule, dots to measure in a scan, shapes to lay known things on.

Two bars meet in the lower left corner and run as far as the page allows, in whole centimetres. Whatever else there is
is laid in rows, and on small paper on a second page. The bank card is ISO/IEC 7810 ID-1 (85.60 x 53.98 mm, corner
radius 3.18 mm); line widths are those of ISO 128, text heights those of ISO 3098 and the smallest that boards use.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from boardmaker.drawing import Circle, DisplayItem, Page, Path, Text
from boardmaker.figures.material import hole_for_thread
from boardmaker.fonts import text_width
from boardmaker.geometry import Point, Ring, box_ring
from boardmaker.sheets.bars import along, bar, length_in_words
from boardmaker.sheets.paper import Box, PageLayout
from boardmaker.typeset.lettering import broken

CARD = (85.60, 53.98)
CARD_RADIUS = 3.18
LARGEST_SQUARE = 100.0
THREADS = (4, 5, 6, 8, 10, 12)
FRAMES = (2.0, 3.0, 4.0, 5.0, 6.0, 8.0)  # mm from the paper's edge
LINE_WIDTHS = (0.18, 0.25, 0.35, 0.5, 0.7)
TEXT_HEIGHTS = (2.0, 2.5, 3.5, 5.0, 7.0)
DOT = 3.0  # mm, diameter of a dot for the scan
CORNER = 3.0  # mm from the printable edge to the bars
END_LINE = 5.0
DOTS_IN = 9.0  # mm from a bar to the dots
DOT_EDGE = 3.5  # mm from the printable edge, where a frame may run, to the middle of a dot: clear paper for the scan
DOT_PITCH = 8.0  # mm from the lower left dot to the one that tells the page's direction, and to the one after it
FIELD = 13.0  # mm from a bar to everything else
GAP = 5.0
STEP_GAP = 1.0  # mm between two steps
LEAD = 1.6  # mm between two lines of type
WIDEST_TEXT = 170.0  # mm; longer lines are hard to read

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


@dataclass(frozen=True)
class _TestShape:
    """Something to lay on the page: its size, a function that draws it with its lower left corner at a point."""

    width: float
    height: float
    draw: Callable[[float, float], Iterator[DisplayItem]]
    gap: float = GAP  # mm below it


def draw_testpages(layout: PageLayout, note: str, material: str, calibrated: bool) -> tuple[Page, ...]:
    """Return the test page for this paper, a second one where the first is too small; `note` stands in its heading."""
    steps = STEPS_OF_A_CHECK if calibrated else STEPS
    _, _, right, _ = field = _field(layout)
    width = right - field[0]
    card, gauge = _card(), _gauge(material)
    remarks = [ABOUT_CARD] * (card.width <= width) + [ABOUT_GAUGE] * (gauge.width <= width)
    remarks += [ABOUT_DOTS] if calibrated else [ABOUT_FRAMES, ABOUT_DOTS]
    blocks = [_heading(width, note), *_numbered(width, steps), card, gauge, _paragraph(width, " ".join(remarks))]
    pages = _in_rows([block for block in (*blocks, _square(width), _ladders()) if block.width <= width], field)
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


def _in_rows(blocks: Sequence[_TestShape], field: Box) -> list[tuple[DisplayItem, ...]]:
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


def _heading(width: float, note: str) -> _TestShape:
    width = min(width, WIDEST_TEXT)
    height = 7.0 if width > 130.0 else 5.0
    title = broken("Scale test page", height, width, bold=True)
    lines = [*((line, height, True) for line in title), *((line, 2.5, False) for line in broken(note, 2.5, width))]
    return _lines(
        width, [(0.0, text, size, bold, size + (2 * LEAD if bold else LEAD)) for text, size, bold in lines], 2.0
    )


def _numbered(width: float, steps: Sequence[str]) -> Iterator[_TestShape]:
    """A block a step, so that a small page may break between them."""
    width = min(width, WIDEST_TEXT)
    for number, step in enumerate(steps, start=1):
        first, *others = broken(step, 2.5, width - 6.0)
        lines = [(0.0, f"{number}", 2.5, True, 0.0), (6.0, first, 2.5, False, 2.5 + LEAD)]
        yield _lines(
            width,
            [*lines, *((6.0, line, 2.5, False, 2.5 + LEAD) for line in others)],
            gap=STEP_GAP if number < len(steps) else GAP,
        )


def _paragraph(width: float, text: str) -> _TestShape:
    width = min(width, WIDEST_TEXT)
    return _lines(width, [(0.0, line, 2.5, False, 2.5 + LEAD) for line in broken(text, 2.5, width)])


def _lines(width: float, lines: Sequence[tuple[float, str, float, bool, float]], gap: float = GAP) -> _TestShape:
    """Lines of type from the top down: indent, text, height, bold, and how far down the next one is."""
    whole = sum(down for *_, down in lines)

    def draw(x: float, low: float) -> Iterator[DisplayItem]:
        top = low + whole
        for indent, text, height, bold, down in lines:
            yield Text((x + indent, top - height), text, height, bold=bold)
            top -= down

    return _TestShape(width, whole, draw, gap)


def _square(width: float) -> _TestShape:
    side = min(LARGEST_SQUARE, math.floor(width / 10.0) * 10.0)

    def draw(x: float, low: float) -> Iterator[DisplayItem]:
        ring = box_ring(x, low, x + side, low + side)
        yield Path(ring, closed=True, line_width=0.25)
        yield Path((ring[0], ring[2]), line_width=0.18)
        yield Path((ring[1], ring[3]), line_width=0.18)
        yield Text((x + side / 2, low + side - 5.0), f"square {side:g} × {side:g} mm", 2.5, "middle")
        yield Text((x + side / 2, low + 3.0), f"both diagonals {side * math.sqrt(2):.1f} mm", 2.5, "middle")

    return _TestShape(side, side, draw)


def _card() -> _TestShape:
    def draw(x: float, low: float) -> Iterator[DisplayItem]:
        yield Path(_rounded(x, low, *CARD, CARD_RADIUS), closed=True, line_width=0.25)
        middle, height = x + CARD[0] / 2, low + CARD[1] / 2
        yield Text((middle, height + 2.0), "lay a bank card here", 3.5, "middle")
        yield Text((middle, height - 4.0), "ISO/IEC 7810 ID-1: 85.60 × 53.98 mm", 2.5, "middle")

    return _TestShape(*CARD, draw)


def _rounded(left: float, low: float, width: float, height: float, radius: float) -> Ring:
    corners = (
        (left + width - radius, low + radius, -90),
        (left + width - radius, low + height - radius, 0),
        (left + radius, low + height - radius, 90),
        (left + radius, low + radius, 180),
    )
    return tuple(
        (x + radius * math.cos(math.radians(start + step * 5)), y + radius * math.sin(math.radians(start + step * 5)))
        for x, y, start in corners
        for step in range(19)
    )


def _gauge(material: str) -> _TestShape:
    """Circles of the thread diameters, and below each the hole to punch for it in this material."""
    holes = [hole_for_thread(float(size), material) for size in THREADS]
    widths = [max(size, hole) for size, hole in zip(THREADS, holes, strict=True)]
    space = 4.5
    width = sum(widths) + space * (len(widths) - 1)

    def draw(x: float, low: float) -> Iterator[DisplayItem]:
        for size, hole, room in zip(THREADS, holes, widths, strict=True):
            middle = x + room / 2
            yield from _gauge_circle((middle, low + 40.0), float(size), f"M{size}")
            yield from _gauge_circle((middle, low + 12.0), hole, f"{hole:.4g}")
            x += room + space

    def labelled(x: float, low: float) -> Iterator[DisplayItem]:
        yield Text((x, low + 50.5), "threads: diameter of the screw", 2.5)
        yield Text((x, low + 22.5), f"holes to punch in {material}", 2.5)
        yield from draw(x, low)

    return _TestShape(width, CARD[1], labelled)


def _gauge_circle(centre: Point, diameter: float, words: str) -> Iterator[DisplayItem]:
    x, y = centre
    yield Circle(centre, diameter, 0.18)
    yield Path(((x - 1.0, y), (x + 1.0, y)), line_width=0.18)
    yield Path(((x, y - 1.0), (x, y + 1.0)), line_width=0.18)
    yield Text((x, y - THREADS[-1] / 2 - 4.0), words, 2.5, "middle")


def _ladders() -> _TestShape:
    """Line widths and text heights, to see what the printer and the eye can do."""
    samples = [(height, f"{height:g} mm  Aa{'  0O 1lI' if height < 5.0 else ''}") for height in TEXT_HEIGHTS]
    width = max(text_width(words, height) for height, words in samples)

    def draw(x: float, low: float) -> Iterator[DisplayItem]:
        y = low + 0.5
        for height, words in samples:
            yield Text((x, y), words, height)
            y += height * 1.9 + 1.0
        for line_width in LINE_WIDTHS:
            yield Path(((x, y + 1.0), (x + 30.0, y + 1.0)), line_width=line_width)
            yield Text((x + 33.0, y - 0.25), f"{line_width:g} mm", 2.5)
            y += 5.0

    return _TestShape(max(width, 45.0), 69.0, draw)
