"""Small marks: what holds a panel without a screw, where a screw of another panel goes through, warning signs.

Each mark fits in a circle of `RADIUS` mm. They are plain geometry; the legend on the board says what each one means.
"""

from __future__ import annotations

import math

from boardmaker.display_list import Circle, Path
from boardmaker.geometry import Point, shift_ring, turn_ring

RADIUS = 2.2
GHOST_RADIUS = 1.8
ARROW_RADIUS = 4.0
THIN = 0.25
BOLD = 0.5

_STROKES: dict[str, tuple[tuple[Point, ...], ...]] = {
    "hook": (((-1.2, 1.8), (-1.2, -0.6), (-0.6, -1.5), (0.6, -1.5), (1.2, -0.6), (1.2, 0.4)),),
    "tab": (((-1.8, -1.2), (1.8, -1.2)), ((-0.9, -1.2), (-0.9, 1.5), (0.9, 1.5), (0.9, -1.2))),
    "interlocking tape": (
        ((-1.8, 0.9), (-0.9, 0.1), (0.0, 0.9), (0.9, 0.1), (1.8, 0.9)),
        ((-1.8, -0.1), (-0.9, -0.9), (0.0, -0.1), (0.9, -0.9), (1.8, -0.1)),
    ),
    "clip": (
        ((-1.5, 1.5), (-1.5, -1.5), (1.5, -1.5), (1.5, 1.5)),
        ((-0.6, 1.5), (-0.6, -0.5), (0.6, -0.5), (0.6, 1.5)),
    ),
    "strap": (((-1.8, 0.7), (1.8, 0.7)), ((-1.8, -0.7), (1.8, -0.7)), ((0.0, -1.4), (0.0, 1.4))),
    "connector": (
        ((-1.6, -1.2), (0.2, -1.2), (0.2, 1.2), (-1.6, 1.2), (-1.6, -1.2)),
        ((0.2, 0.6), (1.7, 0.6)),
        ((0.2, -0.6), (1.7, -0.6)),
    ),
    "hose": (((-1.8, -1.2), (-0.8, -0.9), (0.0, 0.0), (0.8, 0.9), (1.8, 1.2)),),
    "other": (((0.0, 1.8), (1.8, 0.0), (0.0, -1.8), (-1.8, 0.0), (0.0, 1.8)),),
}


def fixing_marks(kind: str, at: Point) -> tuple[Path | Circle, ...]:
    """Return the mark of a fixing around `at`."""
    if kind == "grommet pin":
        return Circle(at, 3.4, BOLD), Circle(at, 1.2, 0.0, fill=0.0)
    width = 0.7 if kind == "hose" else BOLD
    strokes = _STROKES.get(kind, _STROKES["other"])
    return tuple(Path(shift_ring(stroke, at), line_width=width) for stroke in strokes)


def ghost_marks(at: Point) -> tuple[Path | Circle, ...]:
    """Return the mark of a screw that is counted on another panel: a small dashed ring with a slanting cross."""
    reach = GHOST_RADIUS * math.sqrt(0.5)
    cross = (((-reach, -reach), (reach, reach)), ((-reach, reach), (reach, -reach)))
    rings = Circle(at, 2 * GHOST_RADIUS, THIN, dash=(0.9, 0.6))
    return rings, *(Path(shift_ring(stroke, at), line_width=0.18) for stroke in cross)


def arrow_marks(at: Point, towards_deg: int) -> tuple[Path | Circle, ...]:
    """Return an arrow around `at` that points to the front of the bike (or upwards), `ARROW_RADIUS` each way."""
    shaft = ((-ARROW_RADIUS, 0.0), (ARROW_RADIUS - 2.0, 0.0))
    tip = ((ARROW_RADIUS, 0.0), (ARROW_RADIUS - 2.6, 1.1), (ARROW_RADIUS - 2.6, -1.1))
    return (
        Path(shift_ring(turn_ring(shaft, towards_deg), at), line_width=BOLD),
        Path(shift_ring(turn_ring(tip, towards_deg), at), closed=True, line_width=0.0, fill=0.0),
    )


def true_place_marks(at: Point) -> tuple[Path | Circle, ...]:
    """Return the mark of a pocket's true place: a small dot."""
    return (Circle(at, 1.0, 0.0, fill=0.0),)
