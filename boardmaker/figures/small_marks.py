"""Free places for small marks, each as near as can be to where it belongs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from boardmaker.fixed_order import direction
from boardmaker.geometry import Point, distance, distance_to_segment

AIR = 0.5  # mm around a mark
RING_STEP = 1.0  # mm between two rings of candidates
DIRECTIONS = 24


def free_places(
    wishes: Sequence[tuple[Point, float]],
    keep_off: Sequence[tuple[Point, float]],
    lines: Sequence[Sequence[Point]] = (),
    apart: float = AIR,
) -> tuple[Point, ...]:
    """Return a place for each wish (where, radius): off the circles, off the lines, `apart` mm off each other."""
    taken = list(keep_off)
    places = []
    for wish, radius in wishes:
        place = _nearest_free(wish, radius, taken, lines)
        places.append(place)
        taken.append((place, radius + apart - AIR))
    return tuple(places)


def _nearest_free(
    wish: Point, radius: float, taken: Sequence[tuple[Point, float]], lines: Sequence[Sequence[Point]]
) -> Point:
    ring = 0
    while True:
        for number in range(DIRECTIONS if ring else 1):
            x, y = direction(2 * math.pi * number / DIRECTIONS)
            place = (wish[0] + ring * RING_STEP * x, wish[1] + ring * RING_STEP * y)
            if _is_free(place, radius + AIR, taken, lines):
                return place
        ring += 1


def _is_free(
    place: Point, radius: float, taken: Sequence[tuple[Point, float]], lines: Sequence[Sequence[Point]]
) -> bool:
    return all(distance(place, at) >= radius + other for at, other in taken) and all(
        distance_to_segment(place, a, b) >= radius for line in lines for a, b in pairwise(line)
    )
