"""Where the pockets of one panel go.

In: true places and head radii. Out: places whose heads keep finger room, moving as few pockets as little as possible.
A moved pocket is tied to its true place by a leader, so no head may lie over another's true place, no hole over its
own, and no leader may pass under a head. Places are complex numbers inside this module: x + iy.

Here it is decided who moves and which of several attempts is the best; `relaxation` moves them. The places depend on
the arguments alone and never on a panel laid out before: boards are made again from a kept scale.
"""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from shapely import Polygon

from boardmaker.figures.relaxation import CLEAR_OF_HEAD, SURPLUS, Relaxation, length
from boardmaker.figures.ring import ring_pockets
from boardmaker.fixed_order import direction
from boardmaker.geometry import Point, bounds, distance, distance_to_segment, segments_cross

HAIR = 0.01  # mm
DOT = 0.5  # mm, the radius of the mark at a true place
OUTWARD_STARTS = (0.0, 18.0)  # mm; each next one is tried where leaders were in the way of something
MORE_OUTWARD = (9.0, 30.0, 45.0)  # mm; tried where neither these starts nor the ring leave all leaders free,
SCATTERED = (HAIR, 4.0, -4.0, 12.0, -12.0)  # mm; each with movers set apart by so much, each its own way
LARGEST_RING = 280.0  # mm; a wider ring would not fit on many a board
FAULT_COST = 400.0  # mm of leader that one leader under a head, or one crossing, is worth avoiding
SETTLINGS = 4  # at most, each with more movers or after leaders that crossed were swapped
GOLDEN_ANGLE = 2.399963229728653  # radians; spreads pockets that share one place


@dataclass(frozen=True)
class WantedPocket:
    """One pocket to be placed: its true place, the radii of its head and of the hole that is punched, mm."""

    true_at: Point
    radius: float
    hole: float = 0.0


def spread_pockets(
    spots: Sequence[WantedPocket], finger_room: float, outline: Polygon | None = None
) -> tuple[Point, ...]:
    """Return a place for each spot: heads `finger_room` apart, inside `outline` where they fit.

    A place that did not have to move is returned exactly as given.
    """
    places = _best_places([replace(spot, hole=0.0) for spot in spots], finger_room, outline)
    if not holes_over_dots(spots, places):
        return places
    others = _best_places(spots, finger_room, outline)  # with regard to holes, too
    return min(places, others, key=lambda found: (leader_faults(spots, found), holes_over_dots(spots, found)))


def holes_over_dots(spots: Sequence[WantedPocket], places: Sequence[Point]) -> int:
    """Count pockets that moved by so little that their hole takes the dot at their true place."""
    ways = [distance(spot.true_at, place) for spot, place in zip(spots, places, strict=True)]
    return sum(0.0 < way < spot.hole + DOT for spot, way in zip(spots, ways, strict=True) if spot.hole)


def _best_places(spots: Sequence[WantedPocket], finger_room: float, outline: Polygon | None) -> tuple[Point, ...]:
    """Places from the first start that leaves all leaders free, else the best of all."""
    choices = []
    for outward in OUTWARD_STARTS:
        choices.append(_spread(spots, finger_room, outline, outward))
        if leader_faults(spots, choices[-1]) == 0:
            return choices[-1]
    true_places, radii = [spot.true_at for spot in spots], [spot.radius for spot in spots]
    ring = ring_pockets(true_places, radii, finger_room + SURPLUS)
    if _extent(ring) <= LARGEST_RING:
        choices.append(ring)
    if all(leader_faults(spots, places) for places in choices):
        choices += _more_attempts(spots, finger_room, outline)
    return min(choices, key=lambda places: _cost(spots, places))


def _more_attempts(
    spots: Sequence[WantedPocket], finger_room: float, outline: Polygon | None
) -> Iterator[tuple[Point, ...]]:
    """Places from further starts, up to the first whose leaders are all free: movers pushed out, and all about."""
    for outward, scattered in itertools.product(MORE_OUTWARD, SCATTERED):
        places = _spread(spots, finger_room, outline, outward, scattered)
        yield places
        if leader_faults(spots, places) == 0:
            return


def _extent(places: Sequence[Point]) -> float:
    x0, y0, x1, y1 = bounds(places)
    return max(x1 - x0, y1 - y0)


def leader_faults(spots: Sequence[WantedPocket], places: Sequence[Point]) -> int:
    """Count leaders that pass under another pocket's head and pairs of leaders that cross."""
    moved = [i for i, spot in enumerate(spots) if places[i] != spot.true_at]
    under = sum(
        distance_to_segment(places[j], places[i], spots[i].true_at) < spots[j].radius
        for i in moved
        for j in range(len(spots))
        if j != i
    )
    crossing = sum(
        segments_cross(places[i], spots[i].true_at, places[j], spots[j].true_at) for i in moved for j in moved if j < i
    )
    return under + crossing


def _cost(spots: Sequence[WantedPocket], places: Sequence[Point]) -> float:
    way = math.fsum(distance(spot.true_at, place) for spot, place in zip(spots, places, strict=True))
    return leader_faults(spots, places) * FAULT_COST + way


def _spread(
    spots: Sequence[WantedPocket], finger_room: float, outline: Polygon | None, outward: float, scattered: float = HAIR
) -> tuple[Point, ...]:
    true = [complex(*spot.true_at) for spot in spots]
    radii = [spot.radius for spot in spots]
    panel = Relaxation(true, radii, finger_room + SURPLUS, outline, [spot.hole for spot in spots])
    movers = _first_movers(true, radii, panel.in_conflict(true))
    if not movers:
        return tuple(spot.true_at for spot in spots)
    places = _start(true, movers, outline, outward, scattered)
    for _ in range(SETTLINGS):
        places = panel.settle(places, movers)
        more = {other for pair in panel.in_conflict(places) for other in pair} - movers
        movers |= more
        if not _untangle(true, places, movers) and not more:
            break
    places = panel.separate(places, movers)
    return tuple(
        spot.true_at if place == at else (place.real, place.imag)
        for spot, place, at in zip(spots, places, true, strict=True)
    )


def _first_movers(true: Sequence[complex], radii: Sequence[float], conflicts: Sequence[tuple[int, int]]) -> set[int]:
    """Few spots that resolve all conflicts when they move, and those that would cover a mover's true place."""
    movers: set[int] = set()
    while open_pairs := [pair for pair in conflicts if not movers & {*pair}]:
        movers.add(_busiest(radii, open_pairs))
    while covering := _covering(true, radii, movers) - movers:
        movers |= covering
    return movers


def _busiest(radii: Sequence[float], pairs: Sequence[tuple[int, int]]) -> int:
    """The spot in most conflicts; of equals the smaller head, which needs less room elsewhere."""
    members = Counter(i for pair in pairs for i in pair)
    return max(sorted(members), key=lambda i: (members[i], -radii[i]))


def _covering(true: Sequence[complex], radii: Sequence[float], movers: set[int]) -> set[int]:
    """Spots whose heads lie over the true place of a mover."""
    return {
        j
        for i in movers
        for j, place in enumerate(true)
        if j != i and length(place - true[i]) < radii[j] + CLEAR_OF_HEAD
    }


def _start(
    true: Sequence[complex], movers: set[int], outline: Polygon | None, outward: float, scattered: float
) -> list[complex]:
    """True places; movers set apart, each its own way but inwards, and pushed out from their middle."""
    count = max(1, len(movers))
    middle = complex(math.fsum(true[i].real for i in movers) / count, math.fsum(true[i].imag for i in movers) / count)
    inner = complex(*outline.representative_point().coords[0]) if outline else middle
    return [
        place
        + scattered * complex(*direction(GOLDEN_ANGLE * i))
        + _unit(inner - place) * 2 * HAIR
        + _unit(place - middle) * outward
        if i in movers
        else place
        for i, place in enumerate(true)
    ]


def _untangle(true: Sequence[complex], places: list[complex], movers: set[int]) -> bool:
    """Two leaders that cross swap their places, in a sweep over all; say whether any did. Both get shorter."""
    swapped = False
    for i, j in itertools.combinations(sorted(movers), 2):
        if segments_cross(*map(_point, (places[i], true[i], places[j], true[j]))):
            places[i], places[j] = places[j], places[i]
            swapped = True
    return swapped


def _unit(way: complex) -> complex:
    return way / length(way) if way else 0j


def _point(place: complex) -> Point:
    return place.real, place.imag
