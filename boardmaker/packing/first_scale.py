"""The scale at which a search begins: where zones take up about as much of the containers as is easily packed.

In: zones by scale, containers, clearance. Out: a scale. Apart because it goes by areas alone.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely

from boardmaker.fixed_order import settled
from boardmaker.packing.bodies import Bodies
from boardmaker.packing.container import Container
from boardmaker.packing.scale_range import ScaleRange
from boardmaker.packing.settings import SCALE_SEARCH
from boardmaker.packing.shapes import Floats
from boardmaker.packing.zones import ZonesByScale


def likely_scale(zones: ZonesByScale, containers: Sequence[Container], clearance: float, scales: ScaleRange) -> float:
    """The scale of the range at which the zones are about as dense as is easily packed, to some per cent."""
    scale = scales.middle
    for _ in range(SCALE_SEARCH.guesses):
        growth = settled(room_to_grow(zones.at(scale).bodies, containers, clearance) ** SCALE_SEARCH.usual)
        before, scale = scale, scales.nearest(scale * growth)
        if abs(scale / before - 1) < SCALE_SEARCH.close:
            return before  # whose zones are laid out already
    return scale


def room_to_grow(bodies: Bodies, containers: Sequence[Container], clearance: float) -> float:
    """The factor by which bodies become as dense as is easily packed, and no item too large for every container."""
    free = math.fsum(_claimed_space(container, clearance) for container in containers)
    area = math.fsum(min(_claimed(body.ring, clearance) for body in poses) for poses in bodies)
    by_area = float(np.sqrt(SCALE_SEARCH.dense * free / max(SCALE_SEARCH.floor, area)))
    return min(by_area, _longest_growth(bodies, containers))


def _longest_growth(bodies: Bodies, containers: Sequence[Container]) -> float:
    """How many times as large every item alone could be, by width and height."""
    inner = [container.size - 2 * container.margin for container in containers]
    growths = [
        max(float(np.min(size / np.ptp(body.ring, axis=0))) for body in poses for size in inner) for poses in bodies
    ]
    return max(SCALE_SEARCH.floor, min(growths, default=np.inf))


def _claimed_space(container: Container, clearance: float) -> float:
    """The area (mm²) of a container and half the clearance around it: what its items can claim at most."""
    return container.area + container.edge * clearance / 2 + math.pi * clearance * clearance / 4


def _claimed(ring: Floats, clearance: float) -> float:
    """The area (mm²) that a zone takes up: half of what is left of its hull, and half the clearance around it."""
    polygon = shapely.Polygon(ring)
    hull = polygon.convex_hull
    return float((polygon.area + hull.area) / 2 + hull.length * clearance / 2 + math.pi * clearance * clearance / 4)
