"""What can be laid on the test page: lines of type, and shapes to lay known things on."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from boardmaker.drawing import Circle, DisplayItem, Path, Text
from boardmaker.figures.material import hole_for_thread
from boardmaker.fonts import text_width
from boardmaker.geometry import Point, Ring, box_ring
from boardmaker.typeset.lettering import broken
from boardmaker.wording.numbers import decimal

CARD = (85.60, 53.98)
CARD_RADIUS = 3.18
LARGEST_SQUARE = 100.0
THREADS = (4, 5, 6, 8, 10, 12)
LINE_WIDTHS = (0.18, 0.25, 0.35, 0.5, 0.7)
TEXT_HEIGHTS = (2.0, 2.5, 3.5, 5.0, 7.0)
GAP = 5.0
STEP_GAP = 1.0  # mm between two steps
LEAD = 1.6  # mm between two lines of type
WIDEST_TEXT = 170.0  # mm; longer lines are hard to read


@dataclass(frozen=True)
class TestShape:
    """Something to lay on the page: its size, a function that draws it with its lower left corner at a point."""

    width: float
    height: float
    draw: Callable[[float, float], Iterator[DisplayItem]]
    gap: float = GAP  # mm below it


def heading(width: float, note: str) -> TestShape:
    """Return the page's name and a note below it."""
    width = min(width, WIDEST_TEXT)
    height = 7.0 if width > 130.0 else 5.0
    title = broken("Scale test page", height, width, bold=True)
    lines = [*((line, height, True) for line in title), *((line, 2.5, False) for line in broken(note, 2.5, width))]
    return _lines(
        width, [(0.0, text, size, bold, size + (2 * LEAD if bold else LEAD)) for text, size, bold in lines], 2.0
    )


def numbered(width: float, steps: Sequence[str]) -> Iterator[TestShape]:
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


def paragraph(width: float, text: str) -> TestShape:
    """Return a text broken in lines."""
    width = min(width, WIDEST_TEXT)
    return _lines(width, [(0.0, line, 2.5, False, 2.5 + LEAD) for line in broken(text, 2.5, width)])


def _lines(width: float, lines: Sequence[tuple[float, str, float, bool, float]], gap: float = GAP) -> TestShape:
    """Lines of type from the top down: indent, text, height, bold, and how far down the next one is."""
    whole = sum(down for *_, down in lines)

    def draw(x: float, low: float) -> Iterator[DisplayItem]:
        top = low + whole
        for indent, text, height, bold, down in lines:
            yield Text((x + indent, top - height), text, height, bold=bold)
            top -= down

    return TestShape(width, whole, draw, gap)


def square(width: float) -> TestShape:
    """Return the largest square in whole centimetres, with its diagonals."""
    side = min(LARGEST_SQUARE, math.floor(width / 10.0) * 10.0)

    def draw(x: float, low: float) -> Iterator[DisplayItem]:
        ring = box_ring(x, low, x + side, low + side)
        yield Path(ring, closed=True, line_width=0.25)
        yield Path((ring[0], ring[2]), line_width=0.18)
        yield Path((ring[1], ring[3]), line_width=0.18)
        yield Text((x + side / 2, low + side - 5.0), f"square {side:g} × {side:g} mm", 2.5, "middle")
        yield Text((x + side / 2, low + 3.0), f"both diagonals {side * math.sqrt(2):.1f} mm", 2.5, "middle")

    return TestShape(side, side, draw)


def card_shape() -> TestShape:
    """Return the outline of a bank card."""

    def draw(x: float, low: float) -> Iterator[DisplayItem]:
        yield Path(_rounded(x, low, *CARD, CARD_RADIUS), closed=True, line_width=0.25)
        middle, height = x + CARD[0] / 2, low + CARD[1] / 2
        yield Text((middle, height + 2.0), "lay a bank card here", 3.5, "middle")
        yield Text((middle, height - 4.0), "ISO/IEC 7810 ID-1: 85.60 × 53.98 mm", 2.5, "middle")

    return TestShape(*CARD, draw)


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


def gauge_shape(material: str) -> TestShape:
    """Circles of the thread diameters, and below each the hole to punch for it in this material."""
    holes = [hole_for_thread(float(size), material) for size in THREADS]
    widths = [max(size, hole) for size, hole in zip(THREADS, holes, strict=True)]
    space = 4.5
    width = sum(widths) + space * (len(widths) - 1)

    def draw(x: float, low: float) -> Iterator[DisplayItem]:
        for size, hole, room in zip(THREADS, holes, widths, strict=True):
            middle = x + room / 2
            yield from _gauge_circle((middle, low + 40.0), float(size), f"M{size}")
            yield from _gauge_circle((middle, low + 12.0), hole, f"⌀{decimal(hole)}")
            x += room + space

    def labelled(x: float, low: float) -> Iterator[DisplayItem]:
        yield Text((x, low + 50.5), "threads: diameter of the screw", 2.5)
        yield Text((x, low + 22.5), f"holes to punch in {material}", 2.5)
        yield from draw(x, low)

    return TestShape(width, CARD[1], labelled)


def _gauge_circle(centre: Point, diameter: float, words: str) -> Iterator[DisplayItem]:
    x, y = centre
    yield Circle(centre, diameter, 0.18)
    yield Path(((x - 1.0, y), (x + 1.0, y)), line_width=0.18)
    yield Path(((x, y - 1.0), (x, y + 1.0)), line_width=0.18)
    yield Text((x, y - THREADS[-1] / 2 - 4.0), words, 2.5, "middle")


def ladders() -> TestShape:
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

    return TestShape(max(width, 45.0), 69.0, draw)
