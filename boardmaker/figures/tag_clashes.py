"""Which boxes and straight leaders come too near to each other, for many at once.

In: boxes (x0, y0, x1, y1) and runs (start, end) in mm. Out: whether each is nearer to one other than a gap. Apart
because a picture of many tags asks this some hundred thousand times. Boxes keep their gap as larger boxes would, so
past their corners it is up to 0.41 of it too much. Plus, minus and times alone: the same bits everywhere.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from boardmaker.fixed_order import Floats

Truths = NDArray[np.bool_]


def boxes_meet(boxes: Floats, box: Floats, gap: float) -> Truths:
    """Whether each box, (boxes, 4), is nearer than the gap to one box."""
    overlap = (boxes[..., :2] < box[..., 2:] + gap) & (box[..., :2] - gap < boxes[..., 2:])
    meet: Truths = overlap[..., 0] & overlap[..., 1]
    return meet


def runs_meet_boxes(runs: Floats, boxes: Floats, gap: float) -> Truths:
    """Whether each run, (…, 2, 2), is nearer than the gap to its box, (…, 4): no line parts them."""
    half = (runs[..., 1, :] - runs[..., 0, :]) / 2
    off = (runs[..., 0, :] + runs[..., 1, :] - boxes[..., :2] - boxes[..., 2:]) / 2
    reach = (boxes[..., 2:] - boxes[..., :2]) / 2 + gap
    beside = np.abs(off) < reach + np.abs(half)
    aslant = np.abs(off[..., 0] * half[..., 1] - off[..., 1] * half[..., 0])
    most = reach[..., 0] * np.abs(half[..., 1]) + reach[..., 1] * np.abs(half[..., 0])
    meet: Truths = beside[..., 0] & beside[..., 1] & ((aslant < most) | (most == 0.0))
    return meet


def runs_meet(runs: Floats, run: Floats, gap: float) -> Truths:
    """Whether each run, (runs, 2, 2), is nearer than the gap to one run."""
    other = np.broadcast_to(run, runs.shape)
    near = runs_cross(runs, other)
    for one, two in ((runs, other), (other, runs)):
        for end in (0, 1):
            near |= _squared_distance(one[:, end], two) < gap * gap
    return near


def runs_cross(runs: Floats, others: Floats) -> Truths:
    """Whether runs cross others in their insides; shapes that go together."""
    (a, b), (c, d) = ((_Points.of(some[..., 0, :]), _Points.of(some[..., 1, :])) for some in (runs, others))
    parted: Truths = (_turn(a, b, c) * _turn(a, b, d) < 0) & (_turn(c, d, a) * _turn(c, d, b) < 0)
    return parted


class _Points(NamedTuple):
    """Points as two arrays: the numbers of each stand side by side, which halves the time."""

    x: Floats
    y: Floats

    @classmethod
    def of(cls, points: Floats) -> _Points:
        return cls(np.ascontiguousarray(points[..., 0]), np.ascontiguousarray(points[..., 1]))


def _turn(a: _Points, b: _Points, c: _Points) -> Floats:
    return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)


def _squared_distance(points: Floats, runs: Floats) -> Floats:
    way, to = runs[:, 1] - runs[:, 0], points - runs[:, 0]
    long = way[:, 0] * way[:, 0] + way[:, 1] * way[:, 1]
    share = (to[:, 0] * way[:, 0] + to[:, 1] * way[:, 1]) / np.where(long == 0.0, 1.0, long)
    off = to - way * np.clip(share, 0.0, 1.0)[:, None]
    found: Floats = off[:, 0] * off[:, 0] + off[:, 1] * off[:, 1]
    return found
