"""Where items fall: the matrices of windows and texts, and the boxes that tell what a window shows.

Apart from the renderers so that all of them agree. Matrices are (a, b, c, d, e, f) as in PDF and SVG, y up:
x' = a x + c y + e, y' = b x + d y + f.
"""

from __future__ import annotations

from collections.abc import Iterator

from boardmaker.display_list import Circle, DisplayItem, Path, Point, Text, Window
from boardmaker.fonts import text_box, text_width

Matrix = tuple[float, float, float, float, float, float]
Box = tuple[float, float, float, float]

_SHARE_BEFORE_ANCHOR = {"start": 0.0, "middle": 0.5, "end": 1.0}


def window_matrix(window: Window) -> Matrix:
    """Return the matrix from the inner drawing to the one that holds the window."""
    x0, y0, x1, y1 = window.source
    x, y = window.at
    if window.turn_deg == 0:
        return (1, 0, 0, 1, x - x0, y - y0)
    if window.turn_deg == 270:
        return (0, -1, 1, 0, x - y0, y + x1)
    return (0, 1, -1, 0, x + y1, y - x0)


def text_matrix(text: Text) -> Matrix:
    """Return the matrix from a line of type that begins at (0, 0) and runs along x to its place on the drawing."""
    before = _SHARE_BEFORE_ANCHOR[text.anchor] * text_width(text.text, text.height, text.bold)
    x, y = text.at
    if text.angle_deg == 0:
        return (1, 0, 0, 1, x - before, y)
    return (0, 1, -1, 0, x, y - before)


def transform_box(matrix: Matrix, box: Box) -> Box:
    """Return the box around `box` after a turn by whole quarters and a move."""
    a, b, c, d, e, f = matrix
    across = sorted((a * box[0] + c * box[1] + e, a * box[2] + c * box[3] + e))
    up = sorted((b * box[0] + d * box[1] + f, b * box[2] + d * box[3] + f))
    return (across[0], up[0], across[1], up[1])


def bounding_box(item: DisplayItem) -> Box:
    """Return [x0, y0, x1, y1] around all the ink of an item, line widths included."""
    match item:
        case Path():
            return _path_box(item)
        case Circle():
            reach = (item.diameter + item.line_width) / 2
            x, y = item.centre
            return (x - reach, y - reach, x + reach, y + reach)
        case Text():
            width, above, below = text_box(item.text, item.height, item.bold)
            # Some letters lean out of their advance a little: half the height to either side is more than enough.
            return transform_box(text_matrix(item), (-item.height / 2, -below, width + item.height / 2, above))
        case Window():
            width, height = item.size
            return (item.at[0], item.at[1], item.at[0] + width, item.at[1] + height)


def _path_box(path: Path) -> Box:
    across, up = zip(*path.points, strict=True)
    reach = path.line_width / 2
    return (min(across) - reach, min(up) - reach, max(across) + reach, max(up) + reach)


class Boxes:
    """The boxes of items, each worked out once however many windows of a file show it.

    Keyed by identity, since a value's hash would cost more than its box: keep the items alive as long as this.
    """

    def __init__(self) -> None:
        self._boxes: dict[int, Box] = {}

    def visible(self, window: Window) -> Iterator[DisplayItem]:
        """Yield the window's items that may have ink inside its source, in their order."""
        left, low, right, high = window.source
        for item in window.items:
            x0, y0, x1, y1 = self._box(item)
            if x0 <= right and x1 >= left and y0 <= high and y1 >= low:
                yield item

    def _box(self, item: DisplayItem) -> Box:
        box = self._boxes.get(id(item))
        if box is None:
            box = self._boxes[id(item)] = bounding_box(item)
        return box


def closed_ring(path: Path) -> tuple[Point, ...]:
    """Return the points of a path, a closed one without a last point that repeats its first."""
    points = path.points
    return points[:-1] if path.closed and len(points) > 1 and points[0] == points[-1] else points
