"""Why items do not fit: which ones not even alone, and whether all together need more area than there is.

For a message that says what to change. Apart because it answers other questions than the search, from the same bodies
and rooms.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from boardmaker.packing.arena import Arena, nearest_free, suitable_pitch
from boardmaker.packing.bodies import Bodies, Body, Layout, bodies_of
from boardmaker.packing.problem import Item, Region
from boardmaker.packing.room import Room, free_area, room_of
from boardmaker.packing.shapes import Floats
from boardmaker.packing.squeeze import squeeze

_NODES = 20_000
_ROUNDING = 0.001  # mm: less is not missing
_FINE = 0.002  # of the factor, before it is slid


@dataclass(frozen=True)
class TooLarge:
    """An item that fits in no region: by how many mm its best pose falls short, and that pose's width and height."""

    key: str
    missing: float
    size: tuple[float, float]


def items_too_large(items: Sequence[Item], regions: Sequence[Region]) -> tuple[TooLarge, ...]:
    """The items that fit in none of the regions alone, in their order.

    What is missing is the excess over the region's width or height where that is the reason; else what the item would
    have to lose of its own longer side.
    """
    rooms = [room_of(region) for region in regions]
    lacks = [_lack(item.key, poses, rooms) for item, poses in zip(items, bodies_of(items), strict=True)]
    return tuple(lack for lack in lacks if lack is not None)


def crowding(items: Sequence[Item], regions: Sequence[Region], clearance: float) -> float:
    """The least share of the regions' area that the items take up: above 1, no arrangement holds them all.

    Zones that stay `clearance` mm apart do not overlap when each is grown by half of it, and then lie in what they may
    cover, grown by as much. Rounded corners are taken smaller for zones, not for regions.
    """
    half = clearance / 2
    taken = sum(min(shapely.Polygon(pose.zone).buffer(half).area for pose in item.poses) for item in items)
    parts = [part for region in regions for part in shapely.get_parts(free_area(region)) if part.area > 0]
    room = sum(part.area + part.length * half + np.pi * half**2 for part in parts)
    return float(taken / room) if room > 0 else float(np.inf)


def _lack(key: str, poses: Sequence[Body], rooms: Sequence[Room]) -> TooLarge | None:
    """What the best pose lacks in the best room; None if one fits."""
    choices = [(body, room) for body in poses for room in rooms]
    if any(_factor_from(room.low + room.size / 2, body, room) >= 1 for body, room in choices):
        return None
    missing, body = min(((_shortfall(body, room), body) for body, room in choices), key=lambda choice: choice[0])
    width, height = np.ptp(body.ring, axis=0).tolist()
    return TooLarge(key, missing, (width, height)) if missing > _ROUNDING else None


def _shortfall(body: Body, room: Room) -> float:
    sides = np.ptp(body.ring, axis=0)
    excess = float(np.max(sides - (room.size - 2 * room.margin)))
    return excess if excess > 0 else (1 - _largest_factor(body, room)) * float(np.max(sides))


def _largest_factor(body: Body, room: Room) -> float:
    """How many times as large the body could be, at most 1: by halving on the grid, then slid from there."""
    bodies: Bodies = ((body,),)
    arena = Arena(bodies, [room], 0.0, suitable_pitch(bodies, [room], 0.0, _NODES))
    low, high = 0.0, 1.0
    while high - low > _FINE:
        arena.rescale((low + high) / 2)
        low, high = ((low + high) / 2, high) if arena.seats_all() else (low, (low + high) / 2)
    arena.rescale(max(low, _FINE))
    space = arena.spaces[0][0][0]
    if space is None:
        return 0.0
    return _factor_from(room.low + np.array(nearest_free(space, (0, 0))) * arena.cell, body, room)


def _factor_from(middle: Floats, body: Body, room: Room) -> float:
    """How many times as large the body could be, at most 1, if it slid from there."""
    layout = Layout((0,), (0,), middle.reshape(1, 2))
    return squeeze(((body,),), layout, (room,), 0.0, ceiling=1.0)[1]
