"""Small marks: what holds a panel without a screw, where a screw of another panel goes through, warning signs.

Each mark fits in a circle of `RADIUS` mm. They are plain geometry; the legend on the board says what each one means.
"""

from __future__ import annotations

import math

from boardmaker.display_list import Circle, Ink, Path
from boardmaker.geometry import Point, shift_ring, turn_ring

UPRIGHT_VIEWS = ("front", "rear")  # in which the front of the bike has no direction
RADIUS = 2.2
GHOST_RADIUS = 1.8
ARROW_RADIUS, ARROW_HALF_WIDTH = 4.0, 1.8
THIN = 0.25
HATCH = 0.35  # mm, the width of a hatching's lines, and from one to the next
HATCH_STEP = 1.0
HALF_ROOT = math.sqrt(0.5)
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


def up_marks(at: Point, towards_deg: int = 90) -> tuple[Path | Circle, ...]:
    """Return the mark that shows which way is up on a panel seen from front or rear: an open arrow head on a foot."""
    roof = ((0.0, -1.8), (ARROW_RADIUS - 1.0, 0.0), (0.0, 1.8))
    stem = ((-ARROW_RADIUS + 1.0, 0.0), (ARROW_RADIUS - 1.0, 0.0))
    foot = ((-ARROW_RADIUS + 1.0, -1.8), (-ARROW_RADIUS + 1.0, 1.8))
    return tuple(Path(shift_ring(turn_ring(stroke, towards_deg), at), line_width=0.35) for stroke in (roof, stem, foot))


def collar_marks(at: Point, head_radius: float, width: float, ink: Ink) -> tuple[Path | Circle, ...]:
    """Return the hatched collar around a head: danger, seen with the screw in.

    Lines slant at 45 degrees, as hatching does (ISO 128-50), and stop at the head.
    """
    outer = head_radius + width
    strokes = [
        Path(tuple((at[0] + (u - v) * HALF_ROOT, at[1] + (u + v) * HALF_ROOT) for u in ends), line_width=HATCH, ink=ink)
        for v in _across(outer)
        for ends in _outside(math.sqrt(outer * outer - v * v), head_radius, v)
    ]
    return *strokes, Circle(at, 2 * outer, HATCH, ink=ink)


def _across(radius: float) -> list[float]:
    """Where the lines of a hatching lie, evenly from the middle to both sides."""
    count = int(radius / HATCH_STEP)
    return [HATCH_STEP * step for step in range(-count, count + 1) if abs(HATCH_STEP * step) < radius]


def _outside(reach: float, head_radius: float, off: float) -> list[tuple[float, float]]:
    """The parts of a line of the hatching, `off` the middle, that lie outside of the head."""
    if abs(off) >= head_radius:
        return [(-reach, reach)]
    inner = math.sqrt(head_radius * head_radius - off * off)
    return [(-reach, -inner), (inner, reach)]


def true_place_marks(at: Point) -> tuple[Path | Circle, ...]:
    """Return the mark of a pocket's true place: a small dot."""
    return (Circle(at, 1.0, 0.0, fill=0.0),)
