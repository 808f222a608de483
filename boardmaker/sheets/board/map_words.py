"""Where words go on the small pictures of boards: within their outline, clear of others, or nowhere.

In: rings and boxes on the page, mm. Out: lines of type with their boxes. Apart from `tile_map`, which draws.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from boardmaker.display_list import Ink, Text
from boardmaker.fonts import text_width
from boardmaker.geometry import Point, Ring, bounds
from boardmaker.sheets.paper import Box
from boardmaker.typeset.lettering import SMALL, broken

LINE = 2.8  # mm from line to line of a table's name
AIR = 0.3  # mm around words
OFF_EDGES = 0.5  # mm more to the edges of tiles and patches, which are thick lines
STEP = 0.5  # mm between two places that are tried
MOST_STEPS = 60  # across a picture: a large one is tried in larger steps


def name_within(
    names: Sequence[str], ring: Ring, taken: Sequence[Box], seams: Sequence[Box], ink: Ink
) -> tuple[Text, ...]:
    """Return the first of these names that fits into a ring, in lines around the place nearest to its middle.

    Words keep off what is `taken`, and off the edges of `seams` where they can. Nothing where no name fits.
    """
    low_x, _, high_x, _ = bounds(ring)
    for name in names:
        lines = broken(name, SMALL, high_x - low_x - 2 * AIR) if name else ()
        if lines and " ".join(lines).split() == name.split():  # a word that is too wide would be parted
            size = max(text_width(line, SMALL) for line in lines), (len(lines) - 1) * LINE + SMALL
            if middle := place_within(ring, size, taken, seams):
                return _set(lines, middle, size[1], ink)
    return ()


def _set(lines: Sequence[str], middle: Point, height: float, ink: Ink) -> tuple[Text, ...]:
    top = middle[1] + height / 2 - SMALL
    return tuple(
        Text((middle[0], top - index * LINE), line, SMALL, "middle", ink=ink) for index, line in enumerate(lines)
    )


def words_box(texts: Sequence[Text]) -> Box:
    """Return the box around lines that are set to their middle, mm."""
    half = max(text_width(text.text, text.height) for text in texts) / 2
    x, low, high = texts[0].at[0], texts[-1].at[1], texts[0].at[1] + texts[0].height
    return x - half, low, x + half, high


def place_within(ring: Ring, size: Point, taken: Sequence[Box], seams: Sequence[Box]) -> Point | None:
    """Return the middle of a box of this size within a ring and off what is taken; None where there is none."""
    shape = shapely.Polygon(ring)
    shape = shape if shape.is_valid else shape.buffer(0)
    x0, y0, x1, y1 = bounds(ring)
    across, along = (_places(low, high, length) for low, high, length in ((x0, x1, size[0]), (y0, y1, size[1])))
    xs, ys = (one.ravel() for one in np.meshgrid(across, along))
    half, high = size[0] / 2 + AIR, size[1] / 2 + AIR
    boxes = xs - half, ys - high, xs + half, ys + high
    free = np.ones(len(xs), dtype=bool)
    for one in taken:
        free &= ~_meet(boxes, one)
    shapely.prepare(shape)
    free[free] = shapely.contains(shape, shapely.box(*(side[free] for side in boxes)))
    if not free.any():
        return None
    cut = sum((_cross(boxes, one) for one in seams), np.zeros(len(xs), dtype=int))
    off = np.round((xs - (x0 + x1) / 2) ** 2 + (ys - (y0 + y1) / 2) ** 2, 6)
    best = np.lexsort((xs, ys, off, cut > 0, ~free))[0]
    return float(xs[best]), float(ys[best])


Sides = tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]  # x0, y0, x1, y1 of many boxes


def _cross(boxes: Sides, other: Box) -> np.ndarray:
    """Which boxes lie over another one's edge, or too near to it."""
    crossed: np.ndarray = _meet(boxes, _grown(other, OFF_EDGES)) & ~_lie_within(boxes, _grown(other, -OFF_EDGES))
    return crossed


def _grown(box: Box, by: float) -> Box:
    x0, y0, x1, y1 = box
    return x0 - by, y0 - by, x1 + by, y1 + by


def _meet(boxes: Sides, other: Box) -> np.ndarray:
    """Which boxes overlap or touch another one."""
    x0, y0, x1, y1 = boxes
    met: np.ndarray = (x0 <= other[2]) & (x1 >= other[0]) & (y0 <= other[3]) & (y1 >= other[1])
    return met


def _lie_within(boxes: Sides, other: Box) -> np.ndarray:
    """Which boxes lie within another one and do not touch its sides."""
    x0, y0, x1, y1 = boxes
    within: np.ndarray = (x0 > other[0]) & (x1 < other[2]) & (y0 > other[1]) & (y1 < other[3])
    return within


def _places(low: float, high: float, length: float) -> np.ndarray:
    """Middles of a length between two ends, evenly to both sides of their middle."""
    reach = max(0.0, (high - low - length) / 2)
    step = max(STEP, 2 * reach / MOST_STEPS)
    steps = np.arange(-int(reach / step), int(reach / step) + 1)
    places: np.ndarray = (low + high) / 2 + steps * step
    return places
