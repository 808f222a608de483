"""A finished packing drawn back towards where its items would like to lie, as far as the room between them allows.

In: items, a packing of them and a home for each: a region, a pose and a place. Out: a packing that the judge passes and
that is nowhere farther from home. Apart from arranging because nothing here exchanges or searches: items only move
into room that is free, one after the other, the farthest from home first.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

import shapely

from boardmaker.packing.judge import violations
from boardmaker.packing.problem import Item, Placement, Point, Region
from boardmaker.packing.room import SURPLUS

_ROUNDS = 6
_SHARES = (1.0, 0.8, 0.6, 0.4, 0.2, 0.1)  # of the way home, farthest first
_AROUND = (8.0, 16.0, 32.0, 64.0)  # mm around home, where it is taken
_DIRECTIONS = 12
_STEP = 0.5  # mm nearer to home; less is not worth a move
_AWAY = 1000.0  # mm that another region or turn counts


def drawn_home(
    items: Sequence[Item],
    regions: Sequence[Region],
    placements: Sequence[Placement],
    homes: Mapping[str, Placement],
    clearance: float,
) -> tuple[Placement, ...]:
    """Return the placements after all moves towards home; as they were where a move turns out unsound."""
    table = _Table(items, regions, placements, clearance + SURPLUS)
    for _ in range(_ROUNDS):
        far = sorted(homes, key=lambda key: (-_distance(table.placed[key], homes[key]), key))
        moved = sum(table.try_nearer(key, homes[key]) for key in far)
        if not moved:
            break
    found = tuple(table.placed[placement.key] for placement in placements)
    return tuple(placements) if violations(items, found, regions, clearance) else found


def _distance(placement: Placement, home: Placement) -> float:
    away = _AWAY * ((placement.region != home.region) + (placement.pose != home.pose))
    return away + math.dist(placement.at, home.at)


class _Table:
    """Where everything lies now, and what is free."""

    def __init__(
        self, items: Sequence[Item], regions: Sequence[Region], placements: Sequence[Placement], clearance: float
    ) -> None:
        self.placed = {placement.key: placement for placement in placements}
        self._items = {item.key: item for item in items}
        self._zones = {key: self._zone(placement) for key, placement in self.placed.items()}
        self._free = [_free_room(region) for region in regions]
        self._clearance = clearance

    def try_nearer(self, key: str, home: Placement) -> bool:
        """Move an item to the first free place that is nearer to home; whether there is one."""
        now = self.placed[key]
        for candidate in _candidates(now, home):
            if _distance(candidate, home) < _distance(now, home) - _STEP:
                zone = self._zone(candidate)
                if self._is_free(candidate, zone):
                    self.placed[key], self._zones[key] = candidate, zone
                    return True
        return False

    def _zone(self, placement: Placement) -> shapely.Polygon:
        x, y = placement.at
        return shapely.Polygon([(a + x, b + y) for a, b in self._items[placement.key].poses[placement.pose].zone])

    def _is_free(self, placement: Placement, zone: shapely.Polygon) -> bool:
        others = [
            self._zones[key]
            for key, one in self.placed.items()
            if key != placement.key and one.region == placement.region
        ]
        return bool(self._free[placement.region].covers(zone)) and all(
            zone.distance(other) >= self._clearance for other in others
        )


def _free_room(region: Region) -> shapely.Geometry:
    margin = region.margin + SURPLUS
    free = shapely.Polygon(region.outline).buffer(-margin, join_style="mitre")
    for ring in region.keep_outs:
        free = free.difference(shapely.Polygon(ring).buffer(margin * 1.01))  # the polygon of an arc errs inward
    shapely.prepare(free)
    return free


def _candidates(now: Placement, home: Placement) -> Iterator[Placement]:
    if (now.region, now.pose) == (home.region, home.pose):
        for share in _SHARES:
            at = tuple(start + share * (end - start) for start, end in zip(now.at, home.at, strict=True))
            yield Placement(home.key, home.region, home.pose, (at[0], at[1]))
    else:
        yield home
    for x, y in _ring_offsets():
        yield Placement(home.key, home.region, home.pose, (home.at[0] + x, home.at[1] + y))


def _ring_offsets() -> Iterator[Point]:
    for radius in _AROUND:
        for number in range(_DIRECTIONS):
            angle = 2 * math.pi * number / _DIRECTIONS
            yield radius * math.cos(angle), radius * math.sin(angle)
