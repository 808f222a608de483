"""Where a drawing has marks: as shapes, as a raster that says which parts are blank, as what a seam would cut.

In: display items. Out: arrays for the search for tiles. Apart because that search knows rectangles and costs only.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from boardmaker.drawing import Circle, DisplayItem, Drawing, Path, Text
from boardmaker.fonts import text_box
from boardmaker.geometry import Ring
from boardmaker.sheets.board.wholes import TOUCHING, Whole
from boardmaker.sheets.paper import Box

HALF_LINE = 0.35  # mm, half the widest line
HOLE_CUT, TEXT_CUT = 10.0, 4.0  # cost of a seam through a circle of a pocket, through a line of type


def raster(drawing: Drawing, zones: Sequence[Ring], xs: np.ndarray, ys: np.ndarray) -> np.ndarray:
    """Return which cells between the lines x = `xs` and y = `ys` (mm) have ink: shape (len(ys) - 1, len(xs) - 1).

    A mark is taken half a line wider than it is, so that a cell without ink is blank for certain. The inside of every
    zone counts as inked: no panel is to fall apart because its middle is blank.
    """
    shapes = np.array([*map(shape_of, drawing.items), *map(shapely.Polygon, zones)], dtype=object)
    rows = shapely.box(-HALF_LINE, ys[:-1] - HALF_LINE, drawing.width + HALF_LINE, ys[1:] + HALF_LINE)
    row_numbers, shape_numbers = shapely.STRtree(shapes).query(rows, predicate="intersects")
    parts, pairs = shapely.get_parts(shapely.intersection(shapes[shape_numbers], rows[row_numbers]), return_index=True)
    changes = np.zeros((len(ys) - 1, len(xs) + 1), dtype=np.int32)
    low, _, high, _ = shapely.bounds(parts).T
    first = np.clip(np.searchsorted(xs, low - HALF_LINE, "right") - 1, 0, len(xs) - 2)
    last = np.clip(np.searchsorted(xs, high + HALF_LINE, "left"), 1, len(xs) - 1)
    np.add.at(changes, (row_numbers[pairs], first), 1)
    np.add.at(changes, (row_numbers[pairs], last), -1)
    return np.cumsum(changes, axis=1)[:, : len(xs) - 1] > 0


class Obstacles:
    """What a seam had better miss: wholes, and outside of tables circles and lines of type; boxes with a price."""

    def __init__(self, items: Sequence[DisplayItem], wholes: Sequence[Whole] = ()) -> None:
        weighted = [(item, HOLE_CUT if isinstance(item, Circle) else TEXT_CUT) for item in items]
        weighted = [(item, cost) for item, cost in weighted if isinstance(item, Circle | Text)]
        boxes = shapely.bounds([shape_of(item) for item, _ in weighted]).reshape(-1, 4)
        outside = ~_within_any(boxes, [one.box for one in wholes if one.kind in ("table", "row")])
        own = np.array([one.box for one in wholes]).reshape(-1, 4)
        self._boxes = np.vstack([boxes[outside], own])
        self._costs = np.array([*np.array([cost for _, cost in weighted])[outside], *(one.price for one in wholes)])

    def costs(self, axis: int, places: np.ndarray, within: tuple[float, float] = (-np.inf, np.inf)) -> np.ndarray:
        """Return what a seam at each of the sorted places along an axis (0: x, 1: y) cuts, `within` the other axis."""
        low, high = self._boxes[:, axis], self._boxes[:, axis + 2]
        near = (self._boxes[:, 1 - axis] < within[1]) & (self._boxes[:, 3 - axis] > within[0])
        changes = np.zeros(len(places) + 1)
        np.add.at(changes, np.searchsorted(places, low[near], "right"), self._costs[near])
        np.add.at(changes, np.searchsorted(places, high[near], "left"), -self._costs[near])
        return np.cumsum(changes)[: len(places)]

    def costs_to(self, axis: int, places: np.ndarray, start: float, ends: np.ndarray) -> np.ndarray:
        """Return the same within the other axis from one place there to several, a row each."""
        low, high = self._boxes[:, axis], self._boxes[:, axis + 2]
        near = (self._boxes[:, 3 - axis] > start) & (self._boxes[:, 1 - axis] < ends[-1])
        rows = np.searchsorted(ends, self._boxes[near, 1 - axis], "right")
        changes = np.zeros((len(ends) + 1, len(places) + 1))
        np.add.at(changes, (rows, np.searchsorted(places, low[near], "right")), self._costs[near])
        np.add.at(changes, (rows, np.searchsorted(places, high[near], "left")), -self._costs[near])
        summed: np.ndarray = np.cumsum(np.cumsum(changes, axis=0), axis=1)[: len(ends), : len(places)]
        return summed

    def cut_by(self, parts: Sequence[Box]) -> float:
        """Return the price of all that lies within none of the parts of a board."""
        return float(self._costs[~_within_any(self._boxes, parts)].sum())


def _within_any(boxes: np.ndarray, parts: Sequence[Box]) -> np.ndarray:
    """Which boxes lie within one of the parts."""
    found = np.zeros(len(boxes), dtype=bool)
    for x0, y0, x1, y1 in parts:
        low = (boxes[:, 0] >= x0 - TOUCHING) & (boxes[:, 1] >= y0 - TOUCHING)
        found |= low & (boxes[:, 2] <= x1 + TOUCHING) & (boxes[:, 3] <= y1 + TOUCHING)
    return found


def shape_of(item: DisplayItem) -> BaseGeometry:
    """Return the marks of an item as a shape: lines as lines, type as its box."""
    if isinstance(item, Circle):
        disc = shapely.Point(item.centre).buffer(item.diameter / 2)
        return disc if item.fill is not None else disc.exterior
    if isinstance(item, Path):
        if item.fill is not None:
            return shapely.Polygon(item.points)
        return shapely.LinearRing(item.points) if item.closed else shapely.LineString(item.points)
    if isinstance(item, Text):
        return _text_shape(item)
    return shapely.box(*item.at, item.at[0] + item.size[0], item.at[1] + item.size[1])


def _text_shape(text: Text) -> BaseGeometry:
    width, above, below = text_box(text.text, text.height, text.bold)
    start = {"start": 0.0, "middle": -width / 2, "end": -width}[text.anchor]
    x, y = text.at
    if text.angle_deg == 0:
        return shapely.box(x + start, y - below, x + start + width, y + above)
    return shapely.box(x - above, y + start, x + below, y + start + width)
