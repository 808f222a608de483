"""Let items of equal shape change places so that each is nearer to its wish.

In: items, bodies and a finished layout. Out: a layout that takes up exactly the same room. Apart because it comes after
the search and can lose nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np

from boardmaker.packing.bodies import Bodies, Layout
from boardmaker.packing.problem import Item
from boardmaker.packing.room import Room
from boardmaker.packing.shapes import Floats

_EQUAL = 1e-9  # mm
_NEARER = 1e-6  # mm: a smaller gain is none


def exchanged(items: Sequence[Item], bodies: Bodies, layout: Layout, rooms: Sequence[Room]) -> Layout:
    """The layout after all exchanges of two equal items that shorten the sum of their ways to their wishes."""
    spots = list(zip(layout.rooms, layout.poses, layout.middles, strict=True))
    pairs = [(one, other) for one, other in combinations(range(len(items)), 2) if _alike(bodies, one, other)]
    changed = True
    while changed:
        changed = False
        for one, other in pairs:
            kept = _way(items[one], spots[one], rooms) + _way(items[other], spots[other], rooms)
            swapped = _way(items[one], spots[other], rooms) + _way(items[other], spots[one], rooms)
            if swapped < kept - _NEARER:
                spots[one], spots[other] = spots[other], spots[one]
                changed = True
    chosen, poses, middles = zip(*spots, strict=True)
    return Layout(tuple(chosen), tuple(poses), np.array(middles))


def _alike(bodies: Bodies, one: int, other: int) -> bool:
    """Whether two items have the same zones in all poses."""
    return len(bodies[one]) == len(bodies[other]) and all(
        mine.ring.shape == theirs.ring.shape and np.allclose(mine.ring, theirs.ring, rtol=0, atol=_EQUAL)
        for mine, theirs in zip(bodies[one], bodies[other], strict=True)
    )


def _way(item: Item, spot: tuple[int, int, Floats], rooms: Sequence[Room]) -> float:
    """How far (mm) a spot is from an item's wish."""
    if item.wish is None:
        return 0.0
    room, _, middle = spot
    return float(np.hypot(*(middle - rooms[room].low - rooms[room].size * np.array(item.wish))))
