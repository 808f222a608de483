"""How large a drawing is: its own units, a unit that was asked for, or a line of known length.

In: what the file says and what was given on the command line. Out: mm per unit, and one line that says how they came
about. A drawing whose units nobody knows is refused: a guess would be wrong by 4 % (72 and 75 dots per inch) or by 25.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from boardmaker.geometry import Point
from boardmaker.problems import Place, ProblemsFound, error, nearest

MM_PER_INCH = 25.4
UNITS = {
    "mm": 1.0, "cm": 10.0, "m": 1000.0, "in": MM_PER_INCH, "inch": MM_PER_INCH, "ft": 12 * MM_PER_INCH,
    "px": MM_PER_INCH / 96, "pt": MM_PER_INCH / 72, "pc": MM_PER_INCH / 6,
}  # fmt: skip
STRAIGHT = 0.001  # of its length by which the line of known length may be longer than the way between its ends
SHORTEST_KNOWN = 1e-6  # units
NAMED_KNOWN = "give a straight line the id or label `known`, and its length with `--known`"


@dataclass(frozen=True)
class DrawingScale:
    """Mm per unit of the drawing, and how that came about."""

    factor: float
    said: str


def unit_in_mm(unit: str) -> float:
    """Return the mm of a unit. Raises ProblemsFound for what is none."""
    size = UNITS.get(unit.strip().casefold())
    if size is None:
        near = nearest(unit, UNITS)
        hint = f"did you mean {near}?" if near else f"known are {', '.join(UNITS)}"
        raise ProblemsFound([error(f'"{unit}" is no unit of length', hint=hint)])
    return size


def scale_of_known(known: float, lines: Sequence[Sequence[Point]], file: Place, own: str) -> DrawingScale:
    """Return the scale from lines named `known`, in units of the drawing; there must be one, and straight.

    `own` says what the file's own units are, "" where it has none. Raises ProblemsFound.
    """
    if not (math.isfinite(known) and known > 0):
        raise ProblemsFound([error(f"a line of {known:g} mm cannot be", hint="write its length, such as 212 mm")])
    if len(lines) != 1:
        many = f"{len(lines)} lines are" if lines else "no line is"
        raise ProblemsFound([error(f"{many} named `known` in this drawing", file, NAMED_KNOWN)])
    length = math.dist(lines[0][0], lines[0][-1])
    way = math.fsum(math.dist(a, b) for a, b in pairwise(lines[0]))
    if length < SHORTEST_KNOWN or way > length * (1 + STRAIGHT):
        raise ProblemsFound([error("the line named `known` is not straight", file, NAMED_KNOWN)])
    instead = f", in place of {own}, as the file says" if own else ""
    return DrawingScale(known / length, f"known line: {known:g} mm = {length:.1f} units{instead}")


def scale_asked_for(unit: str, own: str) -> DrawingScale:
    """Return the scale for a unit that was asked for. Raises ProblemsFound."""
    size = unit_in_mm(unit)
    word = unit.strip().casefold()
    instead = f", in place of {own}, as the file says" if own and own != word else ""
    return DrawingScale(size, f"{word}, as asked for{instead}")
