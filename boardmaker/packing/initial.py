"""The initial layout of a search: items at their wishes, or as an earlier packing had them.

Items may overlap in it. Apart because nothing here searches or looks at overlaps.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from boardmaker.packing.bodies import Bodies, Layout
from boardmaker.packing.container import Container
from boardmaker.packing.problem import Item, Packing
from boardmaker.packing.shapes import Floats, doubled_area


def initial_layout(items: Sequence[Item], bodies: Bodies, containers: Sequence[Container]) -> Layout:
    """Every item in its first pose at its wish; the largest items spread over the containers by area."""
    areas = [doubled_area(poses[0].ring) / 2 for poses in bodies]
    left = [container.area for container in containers]
    chosen = [0] * len(items)
    for item in sorted(range(len(items)), key=lambda item: (-areas[item], item)):
        chosen[item] = max(range(len(containers)), key=lambda container: (left[container], -container))
        left[chosen[item]] -= areas[item]
    middles = [_wished(item, number, containers[chosen[number]]) for number, item in enumerate(items)]
    return Layout(tuple(chosen), (0,) * len(items), np.array(middles).reshape(-1, 2))


def _wished(item: Item, number: int, container: Container) -> Floats:
    """Without a wish: evenly scattered (multiples of the plastic number's powers, Roberts 2018)."""
    scattered = ((0.5 + 0.7548776662 * number) % 1, (0.5 + 0.5698402910 * number) % 1)
    wished: Floats = container.low + container.size * np.array(item.wish if item.wish is not None else scattered)
    return wished


def layout_from(items: Sequence[Item], bodies: Bodies, containers: Sequence[Container], start: Packing) -> Layout:
    """Items as an earlier packing had them, as far as it knows them; the others at their wishes."""
    fresh = initial_layout(items, bodies, containers)
    known = {placement.key: placement for placement in start.placements}
    chosen, poses, middles = list(fresh.containers), list(fresh.poses), fresh.middles.copy()
    for number, item in enumerate(items):
        placement = known.get(item.key)
        if placement is None or placement.region >= len(containers) or placement.pose >= len(item.poses):
            continue
        chosen[number], poses[number] = placement.region, placement.pose
        middles[number] = bodies[number][placement.pose].middle + placement.at
    return Layout(tuple(chosen), tuple(poses), middles)
