"""A panel's tag in the shape of its side: pointed to the left, pointed to the right, or plain for the centre.

In: the words of a tag, a side. Out: how large the tag is, and its shape around a box. The shape tells the side without
any colour; the point shows towards that side for whoever sits on the bike.
"""

from __future__ import annotations

from collections.abc import Iterator

from boardmaker.display_list import Ink, Path
from boardmaker.geometry import Point
from boardmaker.typeset.label import Box, Label, Words
from boardmaker.typeset.lettering import lines_size

POINT = 0.45  # of the tag's height: how far the pointed end reaches out
AIR = 0.2  # of the tag's height, between the letters and the upright ends
LINE = 0.35


def tag_size(words: Words) -> Point:
    """Return width and height in mm of the tag; the same for every side, so that all of them stand alike."""
    width, height = lines_size([words])
    return width + 2 * (POINT + AIR) * height, height


def side_tag_marks(tag: Label, side: str, tint: Ink, reading_deg: int = 0) -> Iterator[Path]:
    """Yield the shape of a tag in its box, which reads at 0 or 90 degrees."""
    yield Path(_ring(tag.box, side, reading_deg), closed=True, line_width=LINE, fill=tint)


def _ring(box: Box, side: str, reading_deg: int) -> tuple[Point, ...]:
    x0, y0, x1, y1 = box
    if reading_deg == 90:
        return tuple((x1 - (y - y0), y0 + (x - x0)) for x, y in _ring((x0, y0, x0 + y1 - y0, y0 + x1 - x0), side, 0))
    middle, point = (y0 + y1) / 2, POINT * (y1 - y0)
    left, right = x0 + point, x1 - point
    ring = [(left, y0), (right, y0), (right, y1), (left, y1)]
    if side == "left":
        ring.append((x0, middle))
    if side == "right":
        ring.insert(2, (x1, middle))
    return tuple(ring)
