"""The simplex search of Nelder and Mead (1965): the greatest value of a function of a few numbers, without derivatives.

In: the function, where to begin and how far to step at first. Out: the numbers. Apart because it is plain mathematics.
scipy has the same search; what it does where two values are equal depends on how numpy sorts on this processor.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from boardmaker.fixed_order import Floats, rows_added_up

CLOSE = 0.005  # mm and degrees: corners so near to the best are at the top,
ALIKE = 0.05  # where their values differ by no more than this, mm²
ROUNDS = 500

Corner = tuple[float, Floats]  # the value, and where


def maximum(value: Callable[[Floats], float], begin: Sequence[float], steps: Sequence[float]) -> Floats:
    """The numbers with the greatest value that the search finds from `begin`, first going `steps` along each axis."""
    first = np.asarray(begin, dtype=np.float64)
    places = [first, *(first + way for way in np.diag(np.asarray(steps, dtype=np.float64)))]
    corners = _best_first([(value(place), place) for place in places])
    for _ in range(ROUNDS):
        if _have_met(corners):
            break
        corners = _best_first(_moved(value, corners))
    return corners[0][1]


def _best_first(corners: list[Corner]) -> list[Corner]:
    """Of equal ones the earlier stays first."""
    return sorted(corners, key=lambda corner: -corner[0])


def _have_met(corners: list[Corner]) -> bool:
    best, at = corners[0]
    return all(best - other <= ALIKE and bool(np.all(np.abs(place - at) <= CLOSE)) for other, place in corners[1:])


def _moved(value: Callable[[Floats], float], corners: list[Corner]) -> list[Corner]:
    """The worst corner mirrored in the middle of the others, or drawn in; where neither is better, all drawn in."""
    kept, (worst, out) = corners[:-1], corners[-1]
    middle = rows_added_up(np.array([place for _, place in kept]), np.ones(len(kept))) / len(kept)

    def at(share: float) -> Corner:
        place = middle + share * (middle - out)
        return value(place), place

    mirrored = at(1.0)
    if mirrored[0] > kept[0][0]:
        farther = at(2.0)
        return [*kept, farther if farther[0] > mirrored[0] else mirrored]
    if mirrored[0] > kept[-1][0]:
        return [*kept, mirrored]
    outside = mirrored[0] > worst
    nearer = at(0.5 if outside else -0.5)
    if nearer[0] >= mirrored[0] if outside else nearer[0] > worst:
        return [*kept, nearer]
    best, home = corners[0]
    drawn_in = [home + 0.5 * (place - home) for _, place in corners[1:]]
    return [(best, home), *((value(place), place) for place in drawn_in)]
