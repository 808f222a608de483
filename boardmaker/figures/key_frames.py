"""The frame around a fastener's key letter: its shape says what family the fastener is of, without colour.

In: a `Fastener`, the box that its letter needs. Out: marks, and the room that they take beyond the box. Every shape
hangs downwards like a screw in its hole, because a tag that is pointed to the left or right is a panel's side.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Literal

from boardmaker.display_list import Path
from boardmaker.fixed_order import direction
from boardmaker.geometry import Ring, box_ring
from boardmaker.model import Fastener
from boardmaker.typeset.label import Box, Words
from boardmaker.typeset.lettering import TEXT
from boardmaker.typeset.table import Cell, beside, words_cell

Family = Literal["screw", "shoulder screw", "tapping screw", "clip"]

FAMILIES: tuple[Family, ...] = ("screw", "shoulder screw", "tapping screw", "clip")
WORDS = {"screw": "screw", "shoulder screw": "shoulder", "tapping screw": "tapping", "clip": "clip"}
CLIPS = ("push clip", "screw rivet", "quarter turn")
LINE = 0.35
STUB = (0.5, 0.26)  # of the box: width and height of the thread below a shoulder
POINT = 0.28  # of the box's height: the tip of a tapping screw
ROUND = 0.07  # of the box's height: how far a round end reaches beyond the box, so that it keeps off the letter
STEPS = 12  # of a half circle
SWATCH = (3.4, 3.2)  # mm, the box of a shape in the legend


def family_of(fastener: Fastener) -> Family:
    """Return what is told apart by the shape of the frame; a bolt and a nut are screws."""
    if fastener.kind in CLIPS:
        return "clip"
    if fastener.kind == "tapping screw" or (fastener.thread and fastener.thread.system == "tapping"):
        return "tapping screw"
    return "shoulder screw" if fastener.shoulder else "screw"


def key_frame(fastener: Fastener, box: Box) -> tuple[Path, ...]:
    """Return the frame around a key letter that stands in this box, mm; it may reach below and beside the box."""
    return (family_frame(family_of(fastener), box, LINE),)


def family_frame(family: Family, box: Box, line_width: float) -> Path:
    """Return the frame of a family around this box, mm."""
    return Path(_ring(family, box), closed=True, line_width=line_width)


def frame_room(families: Iterable[Family], height: float) -> tuple[float, float]:
    """Return how far the frames of these families reach beside (on either side) and below a box so many mm high."""
    used = set(families)
    below = max(STUB[1] if "shoulder screw" in used else 0.0, POINT if "tapping screw" in used else 0.0)
    return (ROUND * height if "clip" in used else 0.0), below * height


def frame_legend(fasteners: Iterable[Fastener]) -> Cell | None:
    """Return the shapes with their words in one line; None where there is but one, which then says nothing."""
    used = {family_of(fastener) for fastener in fasteners}
    entries = [_entry(family) for family in FAMILIES if family in used]
    return beside(entries, 2.0) if len(entries) > 1 else None


def _entry(family: Family) -> Cell:
    width, height = SWATCH
    side, below = frame_room([family], height)
    frame = family_frame(family, (side, -height, side + width, 0.0), LINE)
    swatch = Cell(width + 2 * side, height + below, marks=(frame,))
    return beside([swatch, words_cell([Words(WORDS[family], TEXT)])], 0.6)


def _ring(family: Family, box: Box) -> Ring:
    x0, y0, x1, y1 = box
    middle, height = (x0 + x1) / 2, y1 - y0
    match family:
        case "shoulder screw":
            half, low = STUB[0] * (x1 - x0) / 2, y0 - STUB[1] * height
            stub = (middle - half, y0), (middle - half, low), (middle + half, low), (middle + half, y0)
            return (x0, y1), (x0, y0), *stub, (x1, y0), (x1, y1)
        case "tapping screw":
            return (x0, y1), (x0, y0), (middle, y0 - POINT * height), (x1, y0), (x1, y1)
        case "clip":
            return _stadium(x0 - ROUND * height, y0, x1 + ROUND * height, y1)
        case _:
            return box_ring(*box)


def _stadium(x0: float, y0: float, x1: float, y1: float) -> Ring:
    """A box with round ends; a box that is higher than wide gets ends as wide as it is."""
    radius = min(y1 - y0, x1 - x0) / 2
    arcs = [((x1 - radius), -90.0), ((x0 + radius), 90.0)]
    low, high = y0 + radius, y1 - radius
    points = []
    for x, start in arcs:
        for step in range(STEPS + 1):
            across, up = direction(math.radians(start + 180.0 * step / STEPS))
            points.append((x + radius * across, (high if up > 0.0 else low) + radius * up))
    return tuple(points)
