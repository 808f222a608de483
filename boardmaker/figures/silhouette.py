"""The side view of a fastener at true size, lying along x: head at the left, tip at the right, axis on y = 0.

In: a `Fastener`. Out: display items and the room they take. Proportions that the bike file does not give (domes, flange
thickness, points) follow the look of the usual heads: common practice, no source. Length, head and shoulder are true.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from boardmaker.display_list import Circle, Path
from boardmaker.geometry import Point, Ring, shift_point, shift_ring
from boardmaker.model import Fastener

LINE = 0.35
THIN = 0.18
HEAD_GREY = 0.82
BODY_GREY = 0.95
MINOR = 0.82  # of the thread's diameter: the thin line that stands for its root (as in ISO 6410 drawings)

Mark = Path | Circle


@dataclass(frozen=True)
class Silhouette:
    """Marks with the head's top at x = 0; `length` along x and `height` across, mm."""

    marks: tuple[Mark, ...]
    length: float
    height: float


def draw_silhouette(fastener: Fastener) -> Silhouette:
    """Return the side view, true to size in length, head and shoulder."""
    head = fastener.head
    under_head = 0.0 if "countersunk" in head.shape else head.height
    start = head.height if "countersunk" in head.shape else under_head
    end = under_head + fastener.length
    marks = (*_body(fastener, start, end), *_head(fastener))
    widest = max(head.diameter, fastener.diameter, fastener.shoulder.diameter if fastener.shoulder else 0.0)
    return Silhouette(marks, max(end, head.height), widest)


def moved(silhouette: Silhouette, to: Point) -> tuple[Mark, ...]:
    """Return the marks with the head's top on the axis at `to`."""
    return tuple(_moved_mark(mark, to) for mark in silhouette.marks)


def _moved_mark(mark: Mark, to: Point) -> Mark:
    if isinstance(mark, Circle):
        return replace(mark, centre=shift_point(mark.centre, to))
    return replace(mark, points=shift_ring(mark.points, to))


def _area(points: Ring, grey: float) -> Path:
    return Path(points, closed=True, line_width=LINE, fill=grey)


def _mirrored(upper: Ring) -> Ring:
    """A closed ring from its upper half, given from left to right."""
    return (*upper, *((x, -y) for x, y in reversed(upper)))


def _body(fastener: Fastener, start: float, end: float) -> tuple[Mark, ...]:
    if fastener.kind == "nut":
        return ()
    if fastener.thread is None:
        return _clip_body(fastener, start, end)
    thread_start = start
    marks: list[Mark] = []
    if fastener.shoulder:
        thread_start = start + fastener.shoulder.length
        half = fastener.shoulder.diameter / 2
        marks.append(_area(_mirrored(((start, half), (thread_start, half))), BODY_GREY))
    pointed = fastener.thread.system == "tapping"
    return (*marks, *_threaded(fastener.diameter / 2, thread_start, end, pointed))


def _threaded(half: float, start: float, end: float, pointed: bool) -> tuple[Mark, ...]:
    tip = min(half * (2.2 if pointed else 1 - MINOR + 0.15), (end - start) * 0.6)
    tip_half = 0.0 if pointed else half * MINOR
    body = _area(_mirrored(((start, half), (end - tip, half), (end, tip_half))), BODY_GREY)
    root = half * MINOR
    lines = tuple(
        Path(((start, y), (end - tip * (1.0 if pointed else 0.4), y)), line_width=THIN) for y in (root, -root)
    )
    return (body, *lines)


def _clip_body(fastener: Fastener, start: float, end: float) -> tuple[Mark, ...]:
    """A stem in two legs with a bulge near the end."""
    half = fastener.diameter / 2
    bulge = start + (end - start) * 0.65
    ring = _mirrored(
        ((start, half * 0.75), (bulge - 0.1 * (end - start), half * 0.75), (bulge, half), (end, half * 0.45))
    )
    return _area(ring, BODY_GREY), Path(((start + (end - start) * 0.25, 0.0), (end, 0.0)), line_width=LINE)


def _head(fastener: Fastener) -> tuple[Mark, ...]:
    head = fastener.head
    half, height = head.diameter / 2, head.height
    match head.shape:
        case "countersunk" | "raised countersunk":
            return (_area(_mirrored(((0.0, half), (height, fastener.diameter / 2))), HEAD_GREY),)
        case "cylinder":
            return (_area(_mirrored(((0.0, half * 0.94), (height * 0.12, half), (height, half))), HEAD_GREY),)
        case "hex":
            return _hex(half, 0.0, height)
        case "flanged hex":
            flange = _area(_mirrored(((height * 0.72, half * 0.9), (height * 0.84, half), (height, half))), HEAD_GREY)
            return (*_hex(half * 0.66, 0.0, height * 0.72), flange)
        case "flanged button":
            flange = _area(_mirrored(((height * 0.7, half), (height, half))), HEAD_GREY)
            return _area(_mirrored(_dome(half * 0.72, height * 0.7, height * 0.7)), HEAD_GREY), flange
        case "pan" | "binding":
            return (_area(_mirrored(_dome(half, height * 0.55, height)), HEAD_GREY),)
        case _:
            return (_area(_mirrored(_dome(half, height * 0.9, height)), HEAD_GREY),)


def _dome(half: float, rise: float, height: float) -> Ring:
    """Upper half of a domed head: a quarter ellipse of `rise` along the axis, then straight down to the seat."""
    arc = tuple(
        (rise * (1 - math.sin(angle)), half * math.cos(angle))
        for angle in (math.pi / 2 * (1 - step / 10) for step in range(11))
    )
    return (*arc, (height, half))


def _hex(half: float, start: float, end: float) -> tuple[Mark, ...]:
    """A hexagon seen on its corners: three faces."""
    ring = _area(_mirrored(((start, half * 0.92), (start + 0.12 * (end - start), half), (end, half))), HEAD_GREY)
    return ring, *(Path(((start, y), (end, y)), line_width=THIN) for y in (half / 2, -half / 2))
