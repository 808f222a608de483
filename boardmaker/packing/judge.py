"""The slow, obvious judge of a layout: shapely distances between the true zones.

In: items, placements, regions and the clearance. Out: what is wrong, in words. Apart because it shares no step with the
search: it is the last step before a layout is handed out, and what the tests trust.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np
import shapely

from boardmaker.packing.problem import Item, Placement, Region

TOLERANCE = 1e-6  # mm


def violations(
    items: Sequence[Item], placements: Sequence[Placement], regions: Sequence[Region], clearance: float
) -> tuple[str, ...]:
    """Everything that is wrong with a layout, each in a sentence; empty if it is sound.

    Checked: every item is placed once, in a pose and region that exist; its zone lies inside the outline at least the
    region's margin (mm) from the edge and from every keep-out; any two zones in one region are at least `clearance`
    (mm) apart. All to 1e-6 mm.
    """
    wrong = _miscounts(items, placements, regions)
    if wrong:
        return wrong
    by_key = {item.key: item for item in items}
    zones = [(placement, _placed_zone(by_key[placement.key], placement)) for placement in placements]
    strays = [fault for placement, zone in zones for fault in _strays(placement, zone, regions[placement.region])]
    return (*strays, *_collisions(zones, clearance))


def _miscounts(items: Sequence[Item], placements: Sequence[Placement], regions: Sequence[Region]) -> tuple[str, ...]:
    poses = {item.key: len(item.poses) for item in items}
    keys = [placement.key for placement in placements]
    faults = [f"{key} is placed {keys.count(key)} times, not once" for key in poses if keys.count(key) != 1]
    for placement in placements:
        if placement.key not in poses:
            faults.append(f"{placement.key} is placed and is no item")
        elif not 0 <= placement.pose < poses[placement.key]:
            faults.append(f"{placement.key} has no pose {placement.pose}")
        if not 0 <= placement.region < len(regions):
            faults.append(f"{placement.key} is in region {placement.region}, which does not exist")
    return tuple(faults)


def _placed_zone(item: Item, placement: Placement) -> shapely.Polygon:
    return shapely.Polygon(np.asarray(item.poses[placement.pose].zone) + np.asarray(placement.at))


def _strays(placement: Placement, zone: shapely.Polygon, region: Region) -> list[str]:
    outline = shapely.Polygon(region.outline)
    faults = []
    if not outline.buffer(TOLERANCE, join_style="mitre").covers(zone):
        faults.append(f"{placement.key} reaches beyond the outline of region {placement.region}")
    elif outline.exterior.distance(zone) < region.margin - TOLERANCE:
        distance = outline.exterior.distance(zone)
        faults.append(f"{placement.key} is {distance:.4f} mm from the edge, less than {region.margin:g}")
    for number, ring in enumerate(region.keep_outs):
        if _too_near(shapely.Polygon(ring), zone, region.margin):
            distance = shapely.distance(shapely.Polygon(ring), zone)
            faults.append(f"{placement.key} is {distance:.4f} mm from keep-out {number}, less than {region.margin:g}")
    return faults


def _collisions(zones: Sequence[tuple[Placement, shapely.Polygon]], clearance: float) -> list[str]:
    return [
        f"{one.key} and {other.key} are {zone.distance(other_zone):.4f} mm apart, less than {clearance:g}"
        for (one, zone), (other, other_zone) in combinations(zones, 2)
        if one.region == other.region and _too_near(zone, other_zone, clearance)
    ]


def _too_near(zone: shapely.Polygon, other: shapely.Polygon, wanted: float) -> bool:
    """Whether two polygons are nearer than wanted; touching is not yet overlapping."""
    if wanted > TOLERANCE:
        return bool(zone.distance(other) < wanted - TOLERANCE)
    return bool(zone.buffer(-TOLERANCE, join_style="mitre").intersects(other))
