"""Where a place is that lies so far from some others: two distances have two answers, three or more a best one.

In: circles, each a place and a distance in mm. Out: the answers, each with what every distance misses by. Apart from
`distances` because this knows nothing of holes, ids and outlines. Only + - * / and square roots, in fixed order: what
comes out decides where things lie (`fixed_order`).

Least squares of distances by Gauss and Newton, damped as Levenberg (1944) and Marquardt (1963) do (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from boardmaker.fixed_order import FINEST
from boardmaker.geometry import Point, distance

Circle = tuple[Point, float]

ACCURACY = 3.0  # mm; what a rule over a curved panel may be off (common practice, no source)
ONE_ANSWER = 0.2  # mm between two answers that are one
LARGEST_SPREAD = 99.0
_MOST_STEPS = 100
_AT_REST = 1e-8  # mm
_LEAST_DAMPING = 1e-9
_ASIDE = 0.05  # of the longest distance: how far off the line a search begins, where it would stay on it otherwise


@dataclass(frozen=True)
class Answer:
    """A place, by how many mm each distance is longer there than it was measured, and how well the place is known.

    `spread`: by how many mm the place moves, at worst, where the distances are off by 1 mm (root of their squares).
    """

    at: Point
    off: tuple[float, ...]
    spread: float

    @property
    def worst(self) -> int:
        """Which distance misses most."""
        return max(range(len(self.off)), key=lambda place: abs(self.off[place]))

    @property
    def largest(self) -> float:
        """By how many mm that one misses."""
        return abs(self.off[self.worst])


def answers(circles: Sequence[Circle]) -> tuple[Answer, ...]:
    """Return one or two places for two or more circles of different middles, the better one first.

    Two only where the distances cannot tell which it is: with two of them, or with middles in one line.
    """
    found = [_answer(circles, place) for place in _settled_places(circles)]
    found.sort(key=lambda one: round(sum_of_squares(one.off), FINEST))
    best, other = found[0], found[1]
    if distance(best.at, other.at) <= ONE_ANSWER or other.largest > max(ACCURACY, 2 * best.largest):
        return (best,)
    return best, other


def gap(first: Circle, second: Circle) -> float:
    """Return by how many mm two circles fail to meet; 0 where they meet."""
    apart = distance(first[0], second[0])
    return max(0.0, apart - first[1] - second[1], abs(first[1] - second[1]) - apart)


def widest(circles: Sequence[Circle]) -> float:
    """Return the largest distance between middles, mm."""
    return max(distance(one[0], other[0]) for one, other in combinations(circles, 2))


def sum_of_squares(values: Sequence[float]) -> float:
    """Return it, added up from the first to the last."""
    added = 0.0
    for value in values:
        added += value * value
    return added


def is_left(place: Point, start: Point, end: Point) -> bool:
    """Say whether a place lies left of the way from start to end, y up."""
    along, aside = (end[0] - start[0], end[1] - start[1]), (place[0] - start[0], place[1] - start[1])
    return along[0] * aside[1] - along[1] * aside[0] > 0.0


def _settled_places(circles: Sequence[Circle]) -> Iterator[Point]:
    """The best places left and right of the way between the two middles that are furthest apart."""
    pair = max(combinations(circles, 2), key=lambda two: distance(two[0][0], two[1][0]))
    exact = len(circles) == 2 and gap(*pair) == 0.0
    for side in (1.0, -1.0):
        yield _crossing(*pair, side, 0.0) if exact else _settle(circles, _crossing(*pair, side, _ASIDE))


def _crossing(first: Circle, second: Circle, side: float, aside: float) -> Point:
    """Where two circles meet, left (1) or right (-1); no nearer to their line than a share of the longer distance."""
    (x, y), far = first
    apart = distance(first[0], second[0])
    ux, uy = (second[0][0] - x) / apart, (second[0][1] - y) / apart
    along = (far * far - second[1] * second[1] + apart * apart) / (2.0 * apart)
    height = max(math.sqrt(max(0.0, far * far - along * along)), aside * max(far, second[1]))
    return x + along * ux - side * height * uy, y + along * uy + side * height * ux


def _settle(circles: Sequence[Circle], start: Point) -> Point:
    place, damping = start, 1e-3
    cost = sum_of_squares(_offs(circles, place))
    for _ in range(_MOST_STEPS):
        step = _step(circles, place, damping)
        tried = place[0] + step[0], place[1] + step[1]
        tried_cost = sum_of_squares(_offs(circles, tried))
        if tried_cost > cost:
            damping *= 10.0
        else:
            place, cost, damping = tried, tried_cost, max(_LEAST_DAMPING, damping / 10.0)
        if abs(step[0]) + abs(step[1]) < _AT_REST:
            break
    return place


def _step(circles: Sequence[Circle], place: Point, damping: float) -> Point:
    """The damped step of Gauss and Newton: (J'J + damping) step = -J' off."""
    xx, xy, yy = _squares(circles, place)
    gx = gy = 0.0
    for (ux, uy), off in zip(_directions(circles, place), _offs(circles, place), strict=True):
        gx, gy = gx + ux * off, gy + uy * off
    xx, yy = xx + damping, yy + damping
    whole = xx * yy - xy * xy
    return (xy * gy - yy * gx) / whole, (xy * gx - xx * gy) / whole


def _squares(circles: Sequence[Circle], place: Point) -> tuple[float, float, float]:
    """J'J of the distances at a place."""
    xx = xy = yy = 0.0
    for ux, uy in _directions(circles, place):
        xx, xy, yy = xx + ux * ux, xy + ux * uy, yy + uy * uy
    return xx, xy, yy


def _directions(circles: Sequence[Circle], place: Point) -> Iterator[Point]:
    for (x, y), _ in circles:
        far = distance(place, (x, y))
        yield ((place[0] - x) / far, (place[1] - y) / far) if far > 0.0 else (1.0, 0.0)


def _offs(circles: Sequence[Circle], place: Point) -> tuple[float, ...]:
    return tuple(distance(place, middle) - far for middle, far in circles)


def _answer(circles: Sequence[Circle], place: Point) -> Answer:
    at = round(place[0], FINEST) + 0.0, round(place[1], FINEST) + 0.0
    xx, xy, yy = _squares(circles, at)
    least = ((xx + yy) - math.sqrt((xx - yy) * (xx - yy) + 4.0 * xy * xy)) / 2.0
    spread = LARGEST_SPREAD if least * LARGEST_SPREAD * LARGEST_SPREAD < 1.0 else 1.0 / math.sqrt(least)
    return Answer(at, _offs(circles, at), spread)
