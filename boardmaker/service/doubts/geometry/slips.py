"""The usual slips of a place: turned round, swapped, from the other side, in another unit; and what undoes each.

In: a place in a panel's frame and the panel's box. Out: where it would be without the slip, with the words for it.
The order is how common they are (no source): of several that fit, the first are named.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from boardmaker.geometry import Point

Box = tuple[float, float, float, float]  # x0, y0, x1, y1
MOST_NAMED = 3
PX, PT, INCH = 25.4 / 96, 25.4 / 72, 25.4  # mm; a CSS pixel is 1/96 in, a point 1/72 (CSS Values and Units Level 3)


@dataclass(frozen=True)
class Slip:
    """One slip, how it is asked about, and what undoes it."""

    words: str
    undo: Callable[[Point, Box], Point]


def _scaled(by: float) -> Callable[[Point, Box], Point]:
    return lambda at, _: (at[0] * by, at[1] * by)


TURNED = (
    Slip("x turned round", lambda at, _: (-at[0], at[1])),
    Slip("y turned round", lambda at, _: (at[0], -at[1])),
    Slip("x and y swapped", lambda at, _: (at[1], at[0])),
    Slip("x drawn from the other side", lambda at, box: (box[0] + box[2] - at[0], at[1])),
    Slip("y measured downwards from the top", lambda at, box: (at[0], box[1] + box[3] - at[1])),
    Slip("x and y turned round", lambda at, _: (-at[0], -at[1])),
)
UNITS = (
    Slip("pixels written for millimetres", _scaled(PX)),
    Slip("metres written for millimetres", _scaled(1000.0)),
    Slip("centimetres written for millimetres", _scaled(10.0)),
    Slip("inches written for millimetres", _scaled(INCH)),
    Slip("points written for millimetres", _scaled(PT)),
    Slip("pixels written for millimetres in the outline", _scaled(1 / PX)),
    Slip("millimetres taken for centimetres", _scaled(0.1)),
    Slip("millimetres taken for inches", _scaled(1 / INCH)),
)
SLIPS = (*TURNED, *UNITS)


def undone(at: Point, box: Box, fits: Callable[[Point], bool], slips: Iterable[Slip] = SLIPS) -> tuple[Slip, ...]:
    """Return the slips without which a place would fit, the most usual first; those that change nothing are none."""
    return tuple(slip for slip in slips if slip.undo(at, box) != at and fits(slip.undo(at, box)))


def asked(slips: Iterable[Slip]) -> str:
    """Return a question that names the slips: `is x turned round, or are x and y swapped?`; "" for none."""
    words = [slip.words for slip in slips][:MOST_NAMED]
    return f"{', or '.join(words)}?" if words else ""
