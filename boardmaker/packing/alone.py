"""Which items do not fit anywhere even if they are alone: for a message that says what to change.

Apart because it answers another question than the search, from the same bodies and rooms.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from boardmaker.packing.arena import Arena, suitable_pitch
from boardmaker.packing.bodies import Bodies, Body, Layout, bodies_of
from boardmaker.packing.problem import Item, Region
from boardmaker.packing.room import Room, room_of
from boardmaker.packing.squeeze import squeeze

_NODES = 20_000


@dataclass(frozen=True)
class TooLarge:
    """An item that fits in no region, and by how many mm the best of its poses and regions falls short."""

    key: str
    missing: float


def items_too_large(items: Sequence[Item], regions: Sequence[Region]) -> tuple[TooLarge, ...]:
    """The items that fit in none of the regions alone, in their order.

    What is missing is the excess over the region's width or height where that is the reason; else what the item would
    have to lose of its own longer side.
    """
    bodies = bodies_of(items)
    rooms = [room_of(region) for region in regions]
    tight = [number for number in range(len(items)) if not _surely_fits(bodies[number], rooms)]
    lacks = [(items[number].key, _lack(bodies[number], rooms)) for number in tight]
    return tuple(TooLarge(key, missing) for key, missing in lacks if missing > 0)


def _surely_fits(poses: Sequence[Body], rooms: Sequence[Room]) -> bool:
    """Whether a pose can shrink to nothing or grow in the middle of a room: a quick yes."""
    return any(_middle_factor(body, room) >= 1 for body in poses for room in rooms)


def _lack(poses: Sequence[Body], rooms: Sequence[Room]) -> float:
    bodies: Bodies = (tuple(poses),)
    arena = Arena(bodies, rooms, 0.0, suitable_pitch(bodies, rooms, 0.0, _NODES))
    free = any(space is not None for room in arena.spaces for space in room[0])
    if free and any(room.obstacles for room in rooms):
        return 0.0
    return min(_shortfall(body, room) for body in poses for room in rooms)


def _shortfall(body: Body, room: Room) -> float:
    sides = np.ptp(body.ring, axis=0)
    excess = float(np.max(sides - (room.size - 2 * room.margin)))
    return excess if excess > 0 else (1 - _middle_factor(body, room)) * float(np.max(sides))


def _middle_factor(body: Body, room: Room) -> float:
    """How many times as large the body could be, slid from the middle of the room."""
    layout = Layout((0,), (0,), (room.low + room.size / 2).reshape(1, 2))
    return squeeze(((body,),), layout, (room,), 0.0, ceiling=1.0)[1]
