"""The zones of all scales at which figures were laid out, and how fast zones grow with the scale.

In comes `items_at`, which lays figures out at a scale and is slow; out come items and bodies, each scale asked for
once. Apart because a search works with the zones of a nearby scale made larger or smaller, and only this knows how far
that is from the truth: zones hold parts of true size and grow slower than the scale.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from boardmaker.fixed_order import settled
from boardmaker.packing.bodies import Bodies, bodies_of
from boardmaker.packing.problem import Item, ItemsAt
from boardmaker.packing.settings import SCALE_SEARCH
from boardmaker.packing.shapes import doubled_area


@dataclass(frozen=True)
class Zones:
    """All items as laid out at one scale."""

    scale: float
    items: tuple[Item, ...]
    bodies: Bodies

    def least_area(self) -> float:
        """What no packing can save: the zones' own areas, mm²."""
        return math.fsum(min(abs(doubled_area(body.ring)) / 2 for body in poses) for poses in self.bodies)


class ZonesByScale:
    """Zones by scale, laid out when first asked for."""

    def __init__(self, items_at: ItemsAt) -> None:
        self._items_at = items_at
        self._known: dict[float, Zones] = {}

    def at(self, scale: float) -> Zones:
        """The zones of a scale."""
        if scale not in self._known:
            items = tuple(self._items_at(scale))
            self._known[scale] = Zones(scale, items, bodies_of(items))
        return self._known[scale]

    def stretched(self, factor: float, scale: float) -> float:
        """The factor of the scale for a factor of the zones at about this scale.

        It goes by how the zones' area grew between this scale and the nearest one that is well apart.
        """
        others = self._well_apart(scale)
        if scale not in self._known:
            scale = min(self._known, key=lambda other: _apart(other, scale))
            others = self._well_apart(scale)
        if not others:
            return factor
        near = min(others, key=lambda other: _apart(other, scale))
        grown = self._known[near].least_area() / self._known[scale].least_area()
        power = math.log(grown) / math.log(near / scale)
        return settled(factor ** (2 / min(SCALE_SEARCH.steepest, max(SCALE_SEARCH.flattest, power))))

    def grow_alike(self, scale: float) -> bool:
        """Whether all zones grow like the scale, as far as is known."""
        return abs(self.stretched(SCALE_SEARCH.drifted, scale) / SCALE_SEARCH.drifted - 1) < SCALE_SEARCH.alike

    def drifted(self, scale: float) -> float:
        """The scale from which zones of this one tell too little of the truth."""
        return np.inf if self.grow_alike(scale) else scale * SCALE_SEARCH.drifted

    def _well_apart(self, scale: float) -> list[float]:
        return [other for other in self._known if _apart(other, scale) > math.log(SCALE_SEARCH.apart)]


def _apart(one: float, other: float) -> float:
    return abs(settled(math.log(one / other)))
