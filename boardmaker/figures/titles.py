"""Where a panel's tag and name go: inside the outline where there is room, else close beside it.

The tag stands in the shape of its side above the name, below it from where a centre panel is seen; all are placed as
one box.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from boardmaker.display_list import Text
from boardmaker.figures.side_tag import tag_size
from boardmaker.fixed_order import FINEST, lengths
from boardmaker.fonts import text_box
from boardmaker.geometry import Point
from boardmaker.typeset.label import Box, Label, Words
from boardmaker.typeset.lettering import balanced, label_items, lines_size
from boardmaker.typeset.type_sizes import TypeSizes

STEP = 2.5  # mm between two places that are tried inside
OUTER_STEP = 4.0  # and outside
UNDER_TAG = 0.8  # mm between a tag and its name
CLEAR = 1.0  # mm between the title and what it must keep off
FEW = 32  # boxes that are looked at together, the most promising first
ROUNDING = 1e-6  # mm
RIM = 5.0  # mm around everything drawn within which a title outside is tried
ARC = 4  # straight pieces of a quarter circle around what a title keeps off: 0.1 mm short at a head's rim, of CLEAR


@dataclass(frozen=True)
class Title:
    """Tag, and name with the view, where they are placed; `box` holds both."""

    tag: Label
    name: Label

    @property
    def box(self) -> Box:
        """The box around tag and name."""
        x0, y0, x1, _ = self.name.box
        left, _, right, top = self.tag.box
        return min(x0, left), y0, max(x1, right), top

    @property
    def ink(self) -> tuple[Box, ...]:
        """The boxes around the tag and around the letters of each line of the name."""
        return self.tag.box, *(_letters(line) for line in label_items(self.name, 0))


def _letters(line: Text) -> Box:
    """The box around the letters of a line that is set about its middle."""
    (x, y), (wide, tall, deep) = line.at, text_box(line.text, line.height, line.bold)
    return x - wide / 2, y - deep, x + wide / 2, y + tall


@dataclass(frozen=True)
class _Setting:
    """One way to set a title: the tag, and the name in some lines of some height, the view as the last one."""

    tag: Words
    name: tuple[Words, ...]

    @property
    def size(self) -> Point:
        wide, high = lines_size(self.name)
        tag_wide, tag_high = tag_size(self.tag)
        return max(wide, tag_wide), high + tag_high + UNDER_TAG

    def at(self, box: Box) -> Title:
        """The tag in the middle of the box's upper edge, the name below it."""
        x0, y0, x1, y1 = box
        middle, low = (x0 + x1) / 2, y1 - tag_size(self.tag)[1]
        half = tag_size(self.tag)[0] / 2
        tag = Label((self.tag,), (middle - half, low, middle + half, y1))
        return Title(tag, Label(self.name, (x0, y0, x1, low - UNDER_TAG)))


@dataclass(frozen=True)
class TitleWords:
    """What a title says: a panel's tag and name, and from where it is seen, "" where its tag says that."""

    tag: str
    name: str
    view: str = ""


def place_title(words: TitleWords, outline: Polygon, taken: BaseGeometry, sizes: TypeSizes) -> Title:
    """Return the title in the best free place: off `taken`, wholly inside or wholly outside of the outline.

    The first setting that has room inside is taken; where none has, the place outside that adds least.
    """
    rough = outline.simplify(0.3)
    around = taken.buffer(CLEAR, quad_segs=ARC)
    inner = rough.buffer(-CLEAR, quad_segs=ARC).difference(around)
    room, settings = _InnerRoom(inner, rough), _settings(words, sizes)
    for setting in settings:
        if (box := room.best(setting.size)) is not None:
            return setting.at(box)
    blocked = shapely.union(rough.buffer(CLEAR, quad_segs=ARC), around)
    outside = settings[: (len(settings) + 1) // 2]  # beside the panel there is always room for the larger type
    places = [(*_best_outside(setting.size, blocked, rough), index) for index, setting in enumerate(outside)]
    _, box, index = min(places, key=lambda place: (place[0], place[2]))
    return settings[index].at(box)


def titles_outside(words: TitleWords, outline: Polygon, taken: BaseGeometry, sizes: TypeSizes) -> Iterator[Title]:
    """Give every title in a free place beside the panel, those first that make the figure grow least."""
    rough = outline.simplify(0.3)
    blocked = shapely.union(rough.buffer(CLEAR, quad_segs=ARC), taken.buffer(CLEAR, quad_segs=ARC))
    setting = _settings(words, sizes)[0]
    boxes = _boxes_around(setting.size, blocked.bounds)
    shapes = shapely.box(*boxes.T)
    cost = _told_apart(_growth(boxes, blocked.bounds) + 0.2 * shapely.distance(shapes, rough))
    shapely.prepare(blocked)
    cost[shapely.intersects(blocked, shapes)] = math.inf
    for index in np.argsort(cost, kind="stable"):
        if math.isfinite(cost[index]):
            yield setting.at(_as_box(boxes[index]))


def _settings(words: TitleWords, sizes: TypeSizes) -> list[_Setting]:
    """Tag above the name in one to three lines; for small panels the name in smaller type."""
    counts = range(1, 1 + min(3, len(words.name.split())))
    tag, view = Words(words.tag, sizes.name, bold=True), (Words(words.view, sizes.small),) * bool(words.view)
    return [
        _Setting(tag, (*(Words(line, height) for line in balanced(words.name, count)), *view))
        for height in (sizes.name, sizes.text)
        for count in counts
    ]


class _InnerRoom:
    """Where a title may lie inside an outline: the room, and which nodes of a grid lie in it, counted up."""

    def __init__(self, room: BaseGeometry, outline: Polygon) -> None:
        shapely.prepare(room)
        self._room, self._outline = room, outline
        x0, y0, x1, y1 = outline.bounds
        self._xs, self._ys = np.arange(x0, x1, STEP), np.arange(y0, y1, STEP)
        within = shapely.contains_xy(room, *np.meshgrid(self._xs, self._ys))
        self._counted = np.pad(np.cumsum(np.cumsum(within, axis=0, dtype=np.int32), axis=1), ((1, 0), (1, 0)))

    def best(self, size: Point) -> Box | None:
        """Return the place nearest to the middle of the panel at which a box of this size lies in the room."""
        boxes = self._likely(size)
        boxes = boxes[np.argsort(_off_centre(boxes, self._outline), kind="stable")]
        for some in np.split(boxes, range(FEW, len(boxes), FEW)):
            inside = shapely.contains_properly(self._room, shapely.box(*some.T))
            if inside.any():
                return _as_box(some[int(np.argmax(inside))])
        return None

    def _likely(self, size: Point) -> np.ndarray:
        """Boxes at the nodes, as rows x0, y0, x1, y1, in which every node lies in the room."""
        width, height = size
        across, up = int(width // STEP) + 1, int(height // STEP) + 1
        counted = self._counted
        if len(self._xs) < across or len(self._ys) < up:
            return np.empty((0, 4))
        nodes = counted[up:, across:] - counted[:-up, across:] - counted[up:, :-across] + counted[:-up, :-across]
        rows, columns = np.nonzero(nodes == across * up)
        left, low = self._xs[columns], self._ys[rows]
        return np.stack([left, low, left + width, low + height], axis=1)


def _best_outside(size: Point, blocked: BaseGeometry, outline: Polygon) -> tuple[float, Box]:
    """The place around everything drawn that makes the figure grow least, and how much that is."""
    boxes = _boxes_around(size, blocked.bounds)
    growth = _growth(boxes, blocked.bounds)
    shapely.prepare(blocked)
    # No box costs less, whatever the outline is like.
    least = _told_apart(growth + 0.2 * _off_box(boxes, outline.bounds))
    order = np.argsort(least, kind="stable")
    cost, best = math.inf, 0
    for some in np.split(order, range(FEW, len(order), FEW)):
        if least[some[0]] > cost + ROUNDING:
            break
        shapes = shapely.box(*boxes[some].T)
        free = np.flatnonzero(~shapely.intersects(blocked, shapes))
        costs = _told_apart(growth[some[free]] + 0.2 * shapely.distance(shapes[free], outline))
        cost, best = min([(cost, best), *zip(costs.tolist(), some[free].tolist(), strict=True)])
    return float(growth[best]), _as_box(boxes[best])


def _off_box(boxes: np.ndarray, around: Box) -> np.ndarray:
    """How far each box is from another one, mm."""
    x0, y0, x1, y1 = around
    across = np.maximum(0.0, np.maximum(boxes[:, 0] - x1, x0 - boxes[:, 2]))
    up = np.maximum(0.0, np.maximum(boxes[:, 1] - y1, y0 - boxes[:, 3]))
    return lengths(across, up)


def _boxes_around(size: Point, drawn: Box) -> np.ndarray:
    """Boxes of this size over and all around the bounds of what is drawn, as rows."""
    x0, y0, x1, y1 = drawn
    width, height = size
    return _grid_of_boxes(size, (x0 - width - RIM, y0 - height - RIM, x1 + width + RIM, y1 + height + RIM), OUTER_STEP)


def _grid_of_boxes(size: Point, room: Box, step: float) -> np.ndarray:
    """Boxes of this size on a grid that fills the room, as rows x0, y0, x1, y1."""
    width, height = size
    lefts = np.arange(room[0], room[2] - width, step)
    lows = np.arange(room[1], room[3] - height, step)
    left, low = (grid.ravel() for grid in np.meshgrid(lefts, lows))
    return np.stack([left, low, left + width, low + height], axis=1)


def _as_box(row: np.ndarray) -> Box:
    x0, y0, x1, y1 = (float(value) for value in row)
    return x0, y0, x1, y1


def _off_centre(boxes: np.ndarray, outline: Polygon) -> np.ndarray:
    middle = outline.centroid if outline.contains(outline.centroid) else outline.representative_point()
    x, y = (boxes[:, 0] + boxes[:, 2]) / 2, (boxes[:, 1] + boxes[:, 3]) / 2
    return _told_apart(lengths(x - middle.x, y - middle.y))


def _told_apart(costs: np.ndarray) -> np.ndarray:
    """Costs (mm) of which those are equal that differ by rounding alone: the first of them is then taken everywhere."""
    rounded: np.ndarray = costs.round(FINEST)
    return rounded


def _growth(boxes: np.ndarray, around: Box) -> np.ndarray:
    """By how much each box would make the bounding box of what is drawn wider and higher, mm."""
    x0, y0, x1, y1 = around
    wider = np.maximum(boxes[:, 2], x1) - np.minimum(boxes[:, 0], x0) - (x1 - x0)
    higher = np.maximum(boxes[:, 3], y1) - np.minimum(boxes[:, 1], y0) - (y1 - y0)
    growth: np.ndarray = wider + higher
    return growth


def taken_by(circles: Sequence[tuple[Point, float]], lines: Sequence[Sequence[Point]]) -> BaseGeometry:
    """Return what a title must keep off: circles (centre, radius) and lines, as one shape."""
    centres, radii = [at for at, _ in circles], [radius for _, radius in circles]
    shapes: list[BaseGeometry] = list(shapely.buffer(shapely.points(centres), radii, quad_segs=ARC)) if circles else []
    shapes += [shapely.LineString(line) for line in lines]
    return shapely.union_all(shapes) if shapes else Polygon()
