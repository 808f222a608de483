"""Where to put the ruler: the straight cuts at a board's corners, drawn out to its edges, with their lengths.

In: the stock and the cuts. Out: marks that lie in what is cut away, so that nothing of them stays on the board.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import shapely
from shapely import Polygon

from boardmaker.display_list import Path, Text
from boardmaker.fonts import text_width
from boardmaker.geometry import Point, Ring

HEIGHTS = (2.5, 2.0)  # mm of the type, the larger first
FINE = 0.18
AIR = 0.8  # mm between words, edges and cut lines


@dataclass(frozen=True)
class CutLine:
    """A cut at a corner: the corner, where the line meets the two edges, and the lengths as they are printed."""

    corner: Point
    on_x: Point
    on_y: Point
    along_x: str
    along_y: str


def cut_length_marks(outline: Ring, stock: Point, cuts: Sequence[CutLine]) -> Iterator[Path | Text]:
    """Yield each cut as a fine dashed line from edge to edge, and its lengths from the corner where there is room."""
    waste = shapely.box(0.0, 0.0, *stock).difference(Polygon(outline))
    taken: list[shapely.Geometry] = []
    for cut in cuts:
        yield Path((cut.on_x, cut.on_y), line_width=FINE, dash=(3.0, 1.0))
    for cut in cuts:
        others = [shapely.LineString([one.on_x, one.on_y]) for one in cuts if one.corner == cut.corner]
        for edge, words, angle in ((cut.on_x, cut.along_x, 0), (cut.on_y, cut.along_y, 90)):
            found = next(_places(cut.corner, edge, words, angle, waste, (*others, *taken)), None)
            if found is not None:
                text, box = found
                taken.append(box)
                yield text


def _places(
    corner: Point, edge: Point, words: str, angle: int, waste: shapely.Geometry, taken: Sequence[shapely.Geometry]
) -> Iterator[tuple[Text, shapely.Geometry]]:
    """Places for words along an edge, beginning at the cut's end and going towards the corner."""
    axis = 0 if angle == 0 else 1
    inwards = 1.0 if waste.bounds[1 - axis] + AIR >= corner[1 - axis] else -1.0
    towards = 1.0 if corner[axis] > edge[axis] else -1.0
    way = abs(corner[axis] - edge[axis])
    for height in HEIGHTS:
        long = text_width(words, height)
        start = AIR
        while start + long + AIR <= way:
            low = edge[axis] + towards * start - (long if towards < 0 else 0.0)
            near = corner[1 - axis] + inwards * AIR - (height if inwards < 0 else 0.0)
            box = shapely.box(low, near, low + long, near + height)
            if axis == 1:
                box = shapely.box(near, low, near + height, low + long)
            if waste.covers(box) and all(box.distance(one) > AIR / 2 for one in taken):
                # upright words read from below: their baseline is on the right
                at = (low, near) if axis == 0 else (near + height, low)
                yield Text(at, words, height, angle_deg=angle), box
            start += 1.0
