"""Let items of equal shape change places so that each is nearer to its wish.

In: items, bodies and a finished layout. Out: a layout that takes up exactly the same area. Apart because it comes after
the search and can lose nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np

from boardmaker.fixed_order import lengths
from boardmaker.packing.bodies import Bodies, Layout
from boardmaker.packing.container import Container
from boardmaker.packing.problem import Item
from boardmaker.packing.shapes import Floats

_EQUAL = 1e-9  # mm
_NEARER = 1e-6  # mm: a smaller gain is none


def exchanged(items: Sequence[Item], bodies: Bodies, layout: Layout, containers: Sequence[Container]) -> Layout:
    """The layout after all exchanges of two equal items that shorten the sum of their ways to their wishes."""
    places = list(zip(layout.containers, layout.poses, layout.middles, strict=True))
    pairs = [(one, other) for one, other in combinations(range(len(items)), 2) if _alike(bodies, one, other)]
    changed = True
    while changed:
        changed = False
        for one, other in pairs:
            kept = _way(items[one], places[one], containers) + _way(items[other], places[other], containers)
            swapped = _way(items[one], places[other], containers) + _way(items[other], places[one], containers)
            if swapped < kept - _NEARER:
                places[one], places[other] = places[other], places[one]
                changed = True
    chosen, poses, middles = zip(*places, strict=True)
    return Layout(tuple(chosen), tuple(poses), np.array(middles))


def _alike(bodies: Bodies, one: int, other: int) -> bool:
    """Whether two items have the same zones in all poses."""
    return len(bodies[one]) == len(bodies[other]) and all(
        mine.ring.shape == theirs.ring.shape and np.allclose(mine.ring, theirs.ring, rtol=0, atol=_EQUAL)
        for mine, theirs in zip(bodies[one], bodies[other], strict=True)
    )


def _way(item: Item, place: tuple[int, int, Floats], containers: Sequence[Container]) -> float:
    """How far (mm) a place is from an item's wish."""
    if item.wish is None:
        return 0.0
    number, _, middle = place
    container = containers[number]
    return float(lengths(*(middle - container.low - container.size * np.array(item.wish))))
