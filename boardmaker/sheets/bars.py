"""A bar to measure: a line between two end lines, and its true length in words.

Used by every sheet and by the test page, so that all bars look alike and say the same thing in the same words.
"""

from __future__ import annotations

from collections.abc import Iterator

from boardmaker.drawing import Path
from boardmaker.geometry import Point

END_LINE = 3.0  # mm


def bar(start: Point, length: float, upright: bool, end_line: float = END_LINE) -> Iterator[Path]:
    """Yield a bar from its lower or left end, `length` mm long."""
    end = along(start, length, 0.0, upright)
    yield Path((start, end), line_width=0.25)
    for distance in (0.0, length):
        low, high = (along(start, distance, off, upright) for off in (-end_line / 2, end_line / 2))
        yield Path((low, high), line_width=0.18)


def along(start: Point, distance: float, off: float, upright: bool) -> Point:
    """Return the point so far along a bar and so far off it: above a lying bar, left of an upright one."""
    x, y = start
    return (x - off, y + distance) if upright else (x + distance, y + off)


def length_in_words(length: float) -> str:
    """Return `100 mm = 3.937 in`."""
    return f"{length:g} mm = {length / 25.4:.3f} in"
