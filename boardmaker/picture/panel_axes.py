"""The axes of a panel's frame: where their letters stand, and what words keep off.

In: a stage, the lines around. Out: labels. Apart from the things on the panel because a letter belongs right at its
arrow: it never goes out with a leader.
"""

from __future__ import annotations

from collections.abc import Sequence

import shapely

from boardmaker.geometry import Point
from boardmaker.picture.look import TEXT
from boardmaker.picture.panel_things import AXIS, ORIGIN, LabelledThing, Stage
from boardmaker.typeset.label import Box, Label, Words
from boardmaker.typeset.lettering import box_at, lines_size

AIR = 1.2  # mm between an arrow's tip, or the origin's ring, and its words
# Ways from a tip to the middle of its words, the best first: shares of (half the words and the air).
AROUND_X = ((1.0, 0.0), (0.0, -1.0), (0.0, 1.0), (1.0, -1.0), (1.0, 1.0))
AROUND_Y = ((0.0, 1.0), (1.0, 0.0), (-1.0, 0.0), (1.0, 1.0), (-1.0, 1.0))
AROUND_ORIGIN = ((-1.0, 0.0), (-1.0, -1.0), (0.0, -1.0), (1.0, -1.0), (-1.0, 1.0), (1.0, 1.0))
LETTERS = (((AXIS, 0.0), "x", AROUND_X), ((0.0, AXIS), "y", AROUND_Y), (ORIGIN, "[0, 0]", AROUND_ORIGIN))


def axis_boxes(stage: Stage) -> tuple[Box, ...]:
    """Return the lines of the axes, which words keep off."""
    return ((0.0, 0.0, AXIS, 0.0), (0.0, 0.0, 0.0, AXIS)) if stage.has_origin else ()


def axis_labels(
    stage: Stage, outline: Sequence[Point], fences: Sequence[Box], things: Sequence[LabelledThing]
) -> tuple[Label, ...]:
    """Return the letters of the axes and the name of the origin, each where it covers the least."""
    if not stage.has_origin:
        return ()
    lines = [shapely.LineString([box[:2], box[2:]]) for box in fences]
    lines += [shapely.linearrings(outline)] if outline else []
    lines += [shapely.Point(one.at).buffer(one.radius) for one in things]
    labels: list[Label] = []
    for tip, word, ways in (
        ((AXIS, 0.0), "x", AROUND_X),
        ((0.0, AXIS), "y", AROUND_Y),
        (ORIGIN, "[0, 0]", AROUND_ORIGIN),
    ):
        words = (Words(word, TEXT, ink=stage.look.axes),)
        labels.append(Label(words, _best(tip, lines_size(words), ways, lines)))
        lines.append(shapely.box(*labels[-1].box))
    return tuple(labels)


def _best(tip: Point, size: Point, ways: Sequence[Point], lines: Sequence[shapely.Geometry]) -> Box:
    """The first place that covers nothing, else the one that covers the fewest."""
    boxes = [
        box_at((tip[0] + across * (size[0] / 2 + air), tip[1] + up * (size[1] / 2 + air)), size)
        for air in (AIR, 2 * AIR, 3 * AIR)
        for across, up in ways
    ]
    return min(boxes, key=lambda box: sum(line.intersects(shapely.box(*box)) for line in lines))
