"""Restoration: a finished packing drawn back to former places, as far as the space between its items allows.

In: items, a packing of them and a home for each: a region, a pose and a place. Out: a packing that the judge passes and
that is nowhere farther from home. Apart from arranging because nothing here exchanges or searches: items only move
into space that is free, one after the other, the farthest from home first.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

import shapely

from boardmaker.fixed_order import direction
from boardmaker.packing.judge import violations
from boardmaker.packing.problem import Item, Placement, Point, Region
from boardmaker.packing.settings import GEOMETRY, RESTORATION


def restore(
    items: Sequence[Item],
    regions: Sequence[Region],
    placements: Sequence[Placement],
    homes: Mapping[str, Placement],
    clearance: float,
) -> tuple[Placement, ...]:
    """Return the placements after all moves towards home; as they were where a move turns out unsound."""
    occupancy = _Occupancy(items, regions, placements, clearance + GEOMETRY.surplus)
    for _ in range(RESTORATION.rounds):
        far = sorted(homes, key=lambda key: (-_distance(occupancy.placed[key], homes[key]), key))
        moved = sum(occupancy.try_nearer(key, homes[key]) for key in far)
        if not moved:
            break
    found = tuple(occupancy.placed[placement.key] for placement in placements)
    return tuple(placements) if violations(items, found, regions, clearance) else found


def _distance(placement: Placement, home: Placement) -> float:
    away = RESTORATION.away * ((placement.region != home.region) + (placement.pose != home.pose))
    across, up = placement.at[0] - home.at[0], placement.at[1] - home.at[1]
    return away + math.sqrt(across * across + up * up)


class _Occupancy:
    """Where everything lies now, and what is free."""

    def __init__(
        self, items: Sequence[Item], regions: Sequence[Region], placements: Sequence[Placement], clearance: float
    ) -> None:
        self.placed = {placement.key: placement for placement in placements}
        self._items = {item.key: item for item in items}
        self._zones = {key: self._zone(placement) for key, placement in self.placed.items()}
        self._free = [_free_space(region) for region in regions]
        self._clearance = clearance

    def try_nearer(self, key: str, home: Placement) -> bool:
        """Move an item to the first free place that is nearer to home; whether there is one."""
        now = self.placed[key]
        for candidate in _candidates(now, home):
            if _distance(candidate, home) < _distance(now, home) - RESTORATION.step:
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


def _free_space(region: Region) -> shapely.Geometry:
    margin = region.margin + GEOMETRY.surplus
    free = shapely.Polygon(region.outline).buffer(-margin, join_style="mitre")
    for ring in region.keep_outs:
        free = free.difference(
            shapely.Polygon(ring).buffer(margin * RESTORATION.arc)
        )  # the polygon of an arc errs inward
    shapely.prepare(free)
    return free


def _candidates(now: Placement, home: Placement) -> Iterator[Placement]:
    if (now.region, now.pose) == (home.region, home.pose):
        for share in RESTORATION.shares:
            at = tuple(start + share * (end - start) for start, end in zip(now.at, home.at, strict=True))
            yield Placement(home.key, home.region, home.pose, (at[0], at[1]))
    else:
        yield home
    for x, y in _ring_offsets():
        yield Placement(home.key, home.region, home.pose, (home.at[0] + x, home.at[1] + y))


def _ring_offsets() -> Iterator[Point]:
    for radius in RESTORATION.around:
        for number in range(RESTORATION.directions):
            x, y = direction(2 * math.pi * number / RESTORATION.directions)
            yield radius * x, radius * y
