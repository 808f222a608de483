"""Where a search begins: items at their wishes, or as an earlier packing had them.

Apart because a beginning is no search: nothing here looks at overlaps.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from boardmaker.packing.bodies import Bodies, Layout
from boardmaker.packing.problem import Item, Packing
from boardmaker.packing.room import Room
from boardmaker.packing.shapes import Floats, doubled_area


def first_layout(items: Sequence[Item], bodies: Bodies, rooms: Sequence[Room]) -> Layout:
    """Every item in its first pose at its wish; the largest items spread over the rooms by area."""
    areas = [doubled_area(poses[0].ring) / 2 for poses in bodies]
    left = [room.area for room in rooms]
    chosen = [0] * len(items)
    for item in sorted(range(len(items)), key=lambda item: (-areas[item], item)):
        chosen[item] = max(range(len(rooms)), key=lambda room: (left[room], -room))
        left[chosen[item]] -= areas[item]
    middles = [_wished(item, number, rooms[chosen[number]]) for number, item in enumerate(items)]
    return Layout(tuple(chosen), (0,) * len(items), np.array(middles).reshape(-1, 2))


def _wished(item: Item, number: int, room: Room) -> Floats:
    """Without a wish: evenly scattered (multiples of the plastic number's powers, Roberts 2018)."""
    scattered = ((0.5 + 0.7548776662 * number) % 1, (0.5 + 0.5698402910 * number) % 1)
    wished: Floats = room.low + room.size * np.array(item.wish if item.wish is not None else scattered)
    return wished


def started_layout(items: Sequence[Item], bodies: Bodies, rooms: Sequence[Room], start: Packing) -> Layout:
    """Items as an earlier packing had them, as far as it knows them; the others at their wishes."""
    fresh = first_layout(items, bodies, rooms)
    known = {placement.key: placement for placement in start.placements}
    chosen, poses, middles = list(fresh.rooms), list(fresh.poses), fresh.middles.copy()
    for number, item in enumerate(items):
        placement = known.get(item.key)
        if placement is None or placement.region >= len(rooms) or placement.pose >= len(item.poses):
            continue
        chosen[number], poses[number] = placement.region, placement.pose
        middles[number] = bodies[number][placement.pose].middle + placement.at
    return Layout(tuple(chosen), tuple(poses), middles)
