"""Diagnosis: why items do not fit. Which ones not even alone, and whether all together need more area than there is.

For a message that says what to change. Apart because it answers other questions than the search, from the same bodies
and containers.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from boardmaker.packing.bodies import Bodies, Body, Layout, bodies_of
from boardmaker.packing.compaction import compact
from boardmaker.packing.container import Container, container_of, free_area
from boardmaker.packing.problem import Item, Region
from boardmaker.packing.raster import Raster, nearest_free, suitable_pitch
from boardmaker.packing.settings import DIAGNOSIS
from boardmaker.packing.shapes import Floats


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
    containers = [container_of(region) for region in regions]
    lacks = [_lack(item.key, poses, containers) for item, poses in zip(items, bodies_of(items), strict=True)]
    return tuple(lack for lack in lacks if lack is not None)


def crowding(items: Sequence[Item], regions: Sequence[Region], clearance: float) -> float:
    """The least share of the regions' area that the items take up: above 1, no arrangement holds them all.

    Zones that stay `clearance` mm apart do not overlap when each is grown by half of it, and then lie in what they may
    cover, grown by as much. Rounded corners are taken smaller for zones, not for regions.
    """
    half = clearance / 2
    taken = math.fsum(min(shapely.Polygon(pose.zone).buffer(half).area for pose in item.poses) for item in items)
    parts = [part for region in regions for part in shapely.get_parts(free_area(region)) if part.area > 0]
    space = math.fsum(part.area + part.length * half + math.pi * half * half for part in parts)
    return float(taken / space) if space > 0 else float(np.inf)


def _lack(key: str, poses: Sequence[Body], containers: Sequence[Container]) -> TooLarge | None:
    """What the best pose lacks in the best container; None if one fits."""
    choices = [(body, container) for body in poses for container in containers]
    if any(_factor_from(container.low + container.size / 2, body, container) >= 1 for body, container in choices):
        return None
    missing, body = min(
        ((_shortfall(body, container), body) for body, container in choices), key=lambda choice: choice[0]
    )
    width, height = np.ptp(body.ring, axis=0).tolist()
    return TooLarge(key, missing, (width, height)) if missing > DIAGNOSIS.missing else None


def _shortfall(body: Body, container: Container) -> float:
    sides = np.ptp(body.ring, axis=0)
    excess = float(np.max(sides - (container.size - 2 * container.margin)))
    return excess if excess > 0 else (1 - _largest_factor(body, container)) * float(np.max(sides))


def _largest_factor(body: Body, container: Container) -> float:
    """How many times as large the body could be, at most 1: by halving on the raster, then slid from there."""
    bodies: Bodies = ((body,),)
    raster = Raster(bodies, [container], 0.0, suitable_pitch(bodies, [container], 0.0, DIAGNOSIS.nodes))
    low, high = 0.0, 1.0
    while high - low > DIAGNOSIS.fine:
        middle = (low + high) / 2
        low, high = (middle, high) if raster.enlarged(middle).seats_all() else (low, middle)
    scaled = raster.enlarged(max(low, DIAGNOSIS.fine))
    inner_fit = scaled.inner_fits[0][0][0]
    if inner_fit is None:
        return 0.0
    return _factor_from(container.low + np.array(nearest_free(inner_fit, (0, 0))) * scaled.cell, body, container)


def _factor_from(middle: Floats, body: Body, container: Container) -> float:
    """How many times as large the body could be, at most 1, if it slid from there."""
    layout = Layout((0,), (0,), middle.reshape(1, 2))
    return compact(((body,),), layout, (container,), 0.0, ceiling=1.0).factor
