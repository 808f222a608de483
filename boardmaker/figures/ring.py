"""The other way to place pockets: all of them on a ring around the panel's holes, each tied to its hole.

For the small panel with many screws, where spreading would leave leaders under heads. On a ring outside the hull of
all true places, the shortest assignment crosses no leaders, and no leader passes under a head.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from shapely import LineString, MultiPoint, Polygon

from boardmaker.fixed_order import FINEST, settled
from boardmaker.geometry import Point, distance

STEP = 2.0  # mm by which the ring grows until it holds all


def ring_pockets(true_places: Sequence[Point], radii: Sequence[float], finger_room: float) -> tuple[Point, ...]:
    """Return a place on a ring for each true place; heads keep `finger_room` from each other."""
    widest = max(radii)
    slots = _slots(true_places, 2 * widest + finger_room, widest + 1.0)
    return tuple(slots[slot] for slot in _assign(true_places, slots))


def _slots(true_places: Sequence[Point], pitch: float, least_offset: float) -> list[Point]:
    """As many slots as places, evenly along the smallest ring that keeps them a pitch apart."""
    hull = MultiPoint(true_places).convex_hull
    offset = least_offset
    while True:
        ring = Polygon(hull.buffer(offset).exterior).exterior
        slots = _evenly_along(ring, len(true_places))
        if all(distance(slots[i], slots[i - 1]) >= pitch for i in range(len(slots))):
            return slots
        offset += STEP


def _evenly_along(ring: LineString, count: int) -> list[Point]:
    points = [ring.interpolate(i / count, normalized=True) for i in range(count)]
    return [(round(point.x, FINEST), round(point.y, FINEST)) for point in points]


def _assign(true_places: Sequence[Point], slots: list[Point]) -> list[int]:
    """A slot for each place: by angle first, then swapped in pairs while that shortens the leaders."""
    x_sum, y_sum = math.fsum(x for x, _ in true_places), math.fsum(y for _, y in true_places)
    middle = (x_sum / len(true_places), y_sum / len(true_places))
    by_angle = sorted(range(len(slots)), key=lambda i: (_angle(middle, slots[i]), i))
    order = sorted(range(len(true_places)), key=lambda i: (_angle(middle, true_places[i]), i))
    turned = min(range(len(slots)), key=lambda shift: (_length(true_places, slots, order, by_angle, shift), shift))
    chosen = [0] * len(slots)
    for position, place in enumerate(order):
        chosen[place] = by_angle[(position + turned) % len(slots)]
    return _shorten(true_places, slots, chosen)


def _length(places: Sequence[Point], slots: list[Point], order: list[int], by_angle: list[int], shift: int) -> float:
    return math.fsum(distance(places[p], slots[by_angle[(k + shift) % len(slots)]]) for k, p in enumerate(order))


def _shorten(places: Sequence[Point], slots: list[Point], chosen: list[int]) -> list[int]:
    gained = True
    while gained:
        gained = False
        for i in range(len(places)):
            for j in range(i):
                now = distance(places[i], slots[chosen[i]]) + distance(places[j], slots[chosen[j]])
                then = distance(places[i], slots[chosen[j]]) + distance(places[j], slots[chosen[i]])
                if then < now - 1e-9:
                    chosen[i], chosen[j] = chosen[j], chosen[i]
                    gained = True
    return chosen


def _angle(middle: Point, point: Point) -> float:
    return settled(math.atan2(point[1] - middle[1], point[0] - middle[0]))
