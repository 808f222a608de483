"""The scale test page: lengths to measure with a ruler, shapes to lay known things on.

Bars run as far as the page allows, in whole centimetres. The bank card is ISO/IEC 7810 ID-1 (85.60 x 53.98 mm, corner
radius 3.18 mm).
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from boardmaker.drawing import Circle, DisplayItem, Page, Path, Text
from boardmaker.figures.lettering import broken
from boardmaker.fonts import text_width
from boardmaker.geometry import Point, Ring, box_ring
from boardmaker.sheets.paper import PageLayout

CARD = (85.60, 53.98)
CARD_RADIUS = 3.18
SQUARE, SMALL_SQUARE = 100.0, 50.0
THREADS = (4, 5, 6, 8, 10, 12)
FRAMES = (2.0, 3.0, 4.0, 5.0, 6.0, 8.0)  # mm from the paper's edge
LINE_WIDTHS = (0.18, 0.25, 0.35, 0.5, 0.7)  # ISO 128
TEXT_HEIGHTS = (2.0, 2.5, 3.5, 5.0, 7.0)  # ISO 3098, and the smallest that boards use
AXIS = 7.0  # mm from the printable edge to a bar
FIELD = 16.0  # mm from the printable edge to everything else
GAP = 8.0
STEPS = (
    "Print this page at 100 % (“actual size”), on the paper and the printer that you will use for the board.",
    "Measure both long bars from end line to end line with a steel rule, to half a millimetre if you can.",
    "Compare with the lengths printed at the bars. Both right to half a millimetre: go on and print the board.",
    "Both too short or too long alike: the print dialog scaled the page. Look for “fit” or “shrink” and switch it off. "
    "Still off by a little: set measured / stated length of both in the setup file, printer: scale: [across, along].",
)
OTHERS = (
    "A bank card covers the card's outline. A screw's thread goes through its circle on a punched sheet. The frames "
    "along the paper's edge lie 2, 3, 4, 5, 6 and 8 mm in: the outermost that is whole shows what your printer reaches."
)


def draw_testpage(layout: PageLayout, note: str) -> Page:
    """Return the test page for this paper; `note` says whether it is calibrated."""
    large = layout.height >= 260.0
    square = SQUARE if large else SMALL_SQUARE
    left, low, right, top = _field(layout)
    card_low = low + square + GAP
    gauge_at = (left + CARD[0] + GAP, card_low) if large else (left + square + GAP, low)
    items: tuple[DisplayItem, ...] = (
        *_frames(layout),
        *_long_bars(layout),
        *_square(left, low, square),
        *(_ladders(left + square + GAP, low, right) if large else ()),
        *_card(left, card_low),
        *_gauge(*gauge_at, right, CARD[1] if large else square),
        *_words((left, card_low + CARD[1] + GAP, right, top), note),
    )
    return Page(layout.width, layout.height, items, "test page", "Scale test page")


def bar_lengths(layout: PageLayout) -> tuple[float, float]:
    """Return the true lengths in mm of the bars across and along: whole centimetres, as long as the page allows."""
    x0, y0, x1, y1 = _inner(layout)
    return math.floor((x1 - x0 - FIELD) / 10.0) * 10.0, math.floor((y1 - y0 - FIELD) / 10.0) * 10.0


def _inner(layout: PageLayout) -> tuple[float, float, float, float]:
    margins = layout.margins
    return margins.left, margins.bottom, layout.width - margins.right, layout.height - margins.top


def _field(layout: PageLayout) -> tuple[float, float, float, float]:
    x0, y0, x1, y1 = _inner(layout)
    return x0 + FIELD, y0 + FIELD, x1, y1


def _frames(layout: PageLayout) -> Iterator[Path]:
    margins = layout.margins
    within = min(margins.left, margins.right, margins.top, margins.bottom)
    for inset in FRAMES:
        if inset <= within:
            ring = box_ring(inset, inset, layout.width - inset, layout.height - inset)
            yield Path(ring, closed=True, line_width=0.18)


def _long_bars(layout: PageLayout) -> Iterator[DisplayItem]:
    across, along = bar_lengths(layout)
    x0, y0, _, _ = _inner(layout)
    start_x, start_y = x0 + FIELD, y0 + FIELD
    yield from _bar((start_x, y0 + AXIS), across, upright=False)
    yield from _bar((x0 + AXIS, start_y), along, upright=True)


def _bar(start: Point, length: float, upright: bool) -> Iterator[DisplayItem]:
    """A bar with fine end lines and a tick each centimetre, and its length in mm and inches."""

    def place(along: float, off: float) -> Point:
        return (start[0] - off, start[1] + along) if upright else (start[0] + along, start[1] + off)

    yield Path((place(0, 0), place(length, 0)), line_width=0.25)
    for tick in range(1, int(length / 10.0)):
        yield Path((place(tick * 10.0, 0), place(tick * 10.0, 1.2)), line_width=0.18)
    for end in (0.0, length):
        yield Path((place(end, -2.5), place(end, 2.5)), line_width=0.18)
    words = f"{length:g} mm  =  {length / 25.4:.3f} in"
    yield Text(place(length / 2, 2.2), words, 2.5, "middle", 90 if upright else 0, bold=True)


def _square(left: float, low: float, side: float) -> Iterator[DisplayItem]:
    ring = box_ring(left, low, left + side, low + side)
    yield Path(ring, closed=True, line_width=0.25)
    yield Path((ring[0], ring[2]), line_width=0.18)
    yield Path((ring[1], ring[3]), line_width=0.18)
    middle = left + side / 2
    yield Text((middle, low + side - 5.0), f"square {side:g} × {side:g} mm", 2.5, "middle")
    yield Text((middle, low + 3.0), f"both diagonals {side * math.sqrt(2):.1f} mm", 2.5, "middle")


def _card(left: float, low: float) -> Iterator[DisplayItem]:
    yield Path(_rounded(left, low, *CARD, CARD_RADIUS), closed=True, line_width=0.25)
    middle, height = left + CARD[0] / 2, low + CARD[1] / 2
    yield Text((middle, height + 2.0), "lay a bank card here", 3.5, "middle")
    yield Text((middle, height - 4.0), "ISO/IEC 7810 ID-1: 85.60 × 53.98 mm", 2.5, "middle")


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


def _gauge(left: float, low: float, right: float, height: float) -> Iterator[DisplayItem]:
    """Circles of the thread diameters, in as many columns as there is room for."""
    pitch = 20.0
    columns = max(1, min(3, int((right - left) / pitch)))
    for index, size in enumerate(THREADS):
        x = left + pitch * (index % columns + 0.5)
        y = low + height - 7.0 - (index // columns) * pitch * 0.85
        if y < low:
            return
        yield Circle((x, y), float(size), 0.18)
        yield Path(((x - 1.0, y), (x + 1.0, y)), line_width=0.18)
        yield Path(((x, y - 1.0), (x, y + 1.0)), line_width=0.18)
        yield Text((x, y - THREADS[-1] / 2 - 4.0), f"M{size}", 2.5, "middle")


def _ladders(left: float, low: float, right: float) -> Iterator[DisplayItem]:
    """Line widths and text heights, to see what the printer and the eye can do."""
    if right - left < 30.0:
        return
    y = low + 2.0
    for height in TEXT_HEIGHTS:
        sample = f"{height:g} mm  Aa 0O 1lI"
        short = text_width(sample, height) > right - left
        yield Text((left, y), f"{height:g} mm  Aa" if short else sample, height)
        y += height * 1.9 + 1.0
    y += 3.0
    for width in LINE_WIDTHS:
        yield Path(((left, y), (left + 30.0, y)), line_width=width)
        yield Text((left + 33.0, y - 1.25), f"{width:g}", 2.5)
        y += 6.0


def _words(room: tuple[float, float, float, float], note: str) -> Iterator[Text]:
    """Heading and steps from the top down; the remarks on the rest of the page where there is room for them."""
    left, low, right, top = room
    large = right - left > 130.0
    heading, text, line_height = (7.0, 2.5, 4.4) if large else (5.0, 2.0, 3.5)
    y = top - 2.0 - heading
    yield Text((left, y), "Scale test page", heading, bold=True)
    y -= text + 4.0
    yield Text((left, y), note, text)
    y -= text + 4.0
    for number, step in enumerate((*STEPS, OTHERS), start=1):
        lines = broken(step, text, right - left - 6.0)
        if number > len(STEPS) and y - line_height * len(lines) < low:
            return
        yield Text((left, y), f"{number}" if number <= len(STEPS) else "", text, bold=True)
        for line in lines:
            yield Text((left + 6.0, y), line, text)
            y -= line_height
        y -= 1.2
