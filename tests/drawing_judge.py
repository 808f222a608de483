"""A judge of drawings: which words run into something, from the marks themselves and the font, never from the placer.

A word is the box of its ink. It runs into a line where the line's ink comes into the box, and into another word where
the boxes meet. A line that lies under a white or tinted ground is not seen there: such words are told apart, because a
ground is the last resort for a word over an outline.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import shapely

from boardmaker.display_list import Circle, Drawing, Path, Text
from boardmaker.fonts import text_box

TOUCH = 0.02  # mm into a box that no eye sees
ARC = 16
NEARLY_ALL = 0.96  # of the box of a word's ink, whose corners are empty


@dataclass(frozen=True)
class Conflict:
    """A word and what it runs into; `grounded` where a ground under the word hides that."""

    text: str
    what: str
    grounded: bool = False


def conflicts(drawing: Drawing) -> list[Conflict]:
    """Return what the words of a drawing run into."""
    items = drawing.items
    texts = [(number, item, _ink_of(item)) for number, item in enumerate(items) if isinstance(item, Text)]
    lines = [(number, item, _strokes(item)) for number, item in enumerate(items) if _is_stroked(item)]
    grounds = [(number, _area(item)) for number, item in enumerate(items) if _is_filled(item)]
    return [*_words_on_words(texts), *_words_on_lines(texts, lines, grounds)]


def _words_on_words(texts) -> Iterator[Conflict]:
    tree = shapely.STRtree([box for _, _, box in texts])
    for index, (_, item, box) in enumerate(texts):
        for other in tree.query(box):
            if other > index and box.intersection(texts[other][2]).area > TOUCH:
                yield Conflict(item.text, f"the word {texts[other][1].text}")


def _words_on_lines(texts, lines, grounds) -> Iterator[Conflict]:
    tree = shapely.STRtree([line for _, _, line in lines])
    for number, item, box in texts:
        for index in tree.query(box):
            drawn, mark, line = lines[index]
            if line.intersection(box).length > TOUCH and not _is_its_tag(mark, box):
                hidden = any(drawn < ground < number and area.covers(box) for ground, area in grounds)
                yield Conflict(item.text, f"{type(mark).__name__} of {mark.line_width} mm", hidden)


def _is_its_tag(mark, box) -> bool:
    """A closed line around the whole word is its frame, not in its way; round ends may cut the corners of the box."""
    return isinstance(mark, Path) and mark.closed and _area(mark).intersection(box).area > NEARLY_ALL * box.area


def _ink_of(text: Text):
    width, above, below = text_box(text.text, text.height, text.bold)
    start = {"start": 0.0, "middle": -width / 2, "end": -width}[text.anchor]
    x, y = text.at
    if text.angle_deg == 0:
        box = (x + start, y - below, x + start + width, y + above)
    else:
        box = (x - above, y + start, x + below, y + start + width)
    return shapely.box(*box).buffer(-TOUCH)


def _is_stroked(item) -> bool:
    return isinstance(item, Path | Circle) and item.line_width > 0.0


def _is_filled(item) -> bool:
    return isinstance(item, Path | Circle) and item.fill is not None


def _strokes(item):
    """The middle of what a line draws; dashes and all."""
    if isinstance(item, Circle):
        return shapely.Point(item.centre).buffer(item.diameter / 2, quad_segs=ARC).exterior
    points = (*item.points, item.points[0]) if item.closed else item.points
    return shapely.union_all([shapely.LineString(pair) for pair in pairwise(points) if pair[0] != pair[1]])


def _area(item):
    if isinstance(item, Circle):
        return shapely.Point(item.centre).buffer(item.diameter / 2, quad_segs=ARC)
    return shapely.Polygon(item.points).buffer(0)
