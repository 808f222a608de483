"""How far one sees along rays before a head, a line or a box is in the way: to draw leaders that can be followed.

In: where rays begin and their ways (of length 1), as rows; what bars them. Out: how far each goes, mm. Apart because
the leaders of labels and of titles are both looked for in this way.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from boardmaker.fixed_order import direction
from boardmaker.geometry import Point
from boardmaker.typeset.label import Box

FARTHEST = 400.0  # mm; nothing that has a leader lies so far off


def all_around(count: int) -> np.ndarray:
    """Return so many ways, evenly all around."""
    return np.array([direction(number * (2 * math.pi / count)) for number in range(count)])


def how_far(
    begins: np.ndarray,
    ways: np.ndarray,
    circles: Sequence[tuple[Point, float]],
    lines: Sequence[tuple[Point, Point]],
    boxes: Sequence[Box],
) -> np.ndarray:
    """Return how far each ray goes before it enters a circle (centre, radius) or a box, or meets a line, mm."""
    reach = np.full(len(begins), FARTHEST)
    for at, radius in circles:
        reach = np.minimum(reach, _entering_circle(begins, ways, at, radius))
    for line in lines:
        reach = np.minimum(reach, _crossing(begins, ways, line))
    for box in boxes:
        reach = np.minimum(reach, entering(begins, ways, box))
    return reach


def _entering_circle(begins: np.ndarray, ways: np.ndarray, at: Point, radius: float) -> np.ndarray:
    """How far each ray goes, all of them from outside, before it enters a circle."""
    to = np.asarray(at) - begins
    along = to[:, 0] * ways[:, 0] + to[:, 1] * ways[:, 1]
    depth2 = radius * radius - (to[:, 0] * to[:, 0] + to[:, 1] * to[:, 1] - along * along)
    hit = (depth2 > 0.0) & (along > 0.0)
    return np.where(hit, along - np.sqrt(np.maximum(depth2, 0.0)), np.inf)


def _crossing(begins: np.ndarray, ways: np.ndarray, leader: tuple[Point, Point]) -> np.ndarray:
    """How far each ray goes before it meets a line."""
    start, run = np.asarray(leader[0]), np.subtract(leader[1], leader[0])
    turn = ways[:, 0] * run[1] - ways[:, 1] * run[0]
    to = start - begins
    with np.errstate(divide="ignore", invalid="ignore"):
        far = (to[:, 0] * run[1] - to[:, 1] * run[0]) / turn
        share = (to[:, 0] * ways[:, 1] - to[:, 1] * ways[:, 0]) / turn
    hit = (far >= 0.0) & (share >= 0.0) & (share <= 1.0)
    return np.where(hit, far, np.inf)


def entering(begins: np.ndarray, ways: np.ndarray, box: Box) -> np.ndarray:
    """How far each ray goes before it enters a box (clipping by Liang and Barsky)."""
    with np.errstate(divide="ignore", invalid="ignore"):
        one, other = (np.asarray(box[:2]) - begins) / ways, (np.asarray(box[2:]) - begins) / ways
    enter, leave = np.fmin(one, other).max(axis=1), np.fmax(one, other).min(axis=1)
    far: np.ndarray = np.where((enter <= leave) & (leave >= 0.0), np.maximum(enter, 0.0), np.inf)
    return far
