"""Where the pockets of one panel go.

In: true places and head radii. Out: places whose heads keep finger room, moving as few pockets as little as possible.
A moved pocket is tied to its true place by a leader, so no head may lie over another's true place, and no leader may
pass under a head. Places are complex numbers inside this module: x + iy.

The method is constraint projection in the manner of position-based dynamics: whatever is violated is pushed apart a
little, over and over, while each mover is drawn back towards its true place with a force that fades.
"""

from __future__ import annotations

import cmath
from collections.abc import Sequence
from dataclasses import dataclass

import shapely
from shapely import Polygon

from boardmaker.figures.ring import ring_pockets
from boardmaker.geometry import Point, bounds, distance, distance_to_segment, nearest_on_segment, segments_cross

SURPLUS = 0.01  # mm beyond the finger room, so that rounding never eats into it
CLEAR_OF_HEAD = 0.8  # mm between a head's rim and another pocket's true place or leader
ROUNDS = 240
OUTWARD_STARTS = (0.0, 6.0, 14.0, 25.0)  # mm; each next one is tried where leaders were in the way of something
LARGEST_RING = 280.0  # mm; a wider ring would not fit on many a board
FAULT_COST = 400.0  # mm of leader that one leader under a head, or one crossing, is worth avoiding
INWARD = 0.4  # of the way back inside the outline that a stray pocket goes in a round
HAIR = 0.01  # mm
GOLDEN_ANGLE = 2.399963229728653  # radians; spreads pockets that share one place


@dataclass(frozen=True)
class Spot:
    """One pocket to be placed: its true place and its head's radius, mm."""

    true_at: Point
    radius: float


def spread_pockets(spots: Sequence[Spot], finger_room: float, outline: Polygon | None = None) -> tuple[Point, ...]:
    """Return a place for each spot: heads `finger_room` apart, inside `outline` where they fit.

    A place that did not have to move is returned exactly as given.
    """
    choices = []
    for outward in OUTWARD_STARTS:
        choices.append(_spread(spots, finger_room, outline, outward))
        if leader_faults(spots, choices[-1]) == 0:
            return choices[-1]
    true_places, radii = [spot.true_at for spot in spots], [spot.radius for spot in spots]
    ring = ring_pockets(true_places, radii, finger_room + SURPLUS)
    if _extent(ring) <= LARGEST_RING:
        choices.append(ring)
    return min(choices, key=lambda places: _cost(spots, places))


def _extent(places: Sequence[Point]) -> float:
    x0, y0, x1, y1 = bounds(places)
    return max(x1 - x0, y1 - y0)


def leader_faults(spots: Sequence[Spot], places: Sequence[Point]) -> int:
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


def _cost(spots: Sequence[Spot], places: Sequence[Point]) -> float:
    way = sum(distance(spot.true_at, place) for spot, place in zip(spots, places, strict=True))
    return leader_faults(spots, places) * FAULT_COST + way


def _spread(spots: Sequence[Spot], finger_room: float, outline: Polygon | None, outward: float) -> tuple[Point, ...]:
    spreading = _Spreading(spots, finger_room + SURPLUS, outline, outward)
    movers = spreading.first_movers()
    while True:
        places = spreading.settle(movers)
        stuck = spreading.in_conflict(places)
        more = {other for pair in stuck for other in pair} - movers
        if not stuck or not more:
            break
        movers |= more
    places = spreading.separate(spreading.untangle(places, movers))
    return tuple(
        spots[i].true_at if places[i] == spreading.true[i] else (places[i].real, places[i].imag)
        for i in range(len(spots))
    )


class _Spreading:
    """The state that one panel's search shares: true places, radii and the gaps that pairs must keep."""

    def __init__(self, spots: Sequence[Spot], finger_room: float, outline: Polygon | None, outward: float) -> None:
        self.true = [complex(*spot.true_at) for spot in spots]
        self.radius = [spot.radius for spot in spots]
        self.finger_room = finger_room
        self.outline = outline
        self.outward = outward
        self.pairs = [(i, j) for i in range(len(spots)) for j in range(i)]
        if outline is not None:
            shapely.prepare(outline)

    def gap(self, i: int, j: int) -> float:
        return self.radius[i] + self.radius[j] + self.finger_room

    def in_conflict(self, places: Sequence[complex]) -> list[tuple[int, int]]:
        return [(i, j) for i, j in self.pairs if abs(places[i] - places[j]) < self.gap(i, j) - SURPLUS / 2]

    def first_movers(self) -> set[int]:
        """Few spots that resolve all conflicts when they move, and those that would cover a mover's true place."""
        conflicts = self.in_conflict(self.true)
        movers: set[int] = set()
        while open_pairs := [pair for pair in conflicts if not movers & {*pair}]:
            movers.add(self._busiest(open_pairs))
        while covering := self._covering(movers) - movers:
            movers |= covering
        return movers

    def _busiest(self, pairs: list[tuple[int, int]]) -> int:
        """The spot in most conflicts; of equals the smaller head, which needs less room elsewhere."""
        members = [i for pair in pairs for i in pair]
        return max(sorted({*members}), key=lambda i: (members.count(i), -self.radius[i]))

    def _covering(self, movers: set[int]) -> set[int]:
        """Spots whose heads lie over the true place of a mover."""
        return {
            j
            for i in movers
            for j in range(len(self.true))
            if j != i and abs(self.true[j] - self.true[i]) < self.radius[j] + CLEAR_OF_HEAD
        }

    def settle(self, movers: set[int]) -> list[complex]:
        places = self._start(movers)
        for turn in range(ROUNDS if movers else 0):
            fading = max(0.0, 1.0 - turn / (0.6 * ROUNDS))
            for i in movers:
                places[i] += (self.true[i] - places[i]) * 0.1 * fading
            self._keep_inside(places, movers, INWARD if turn < 0.8 * ROUNDS else 0.0)
            self._clear_true_places(places, movers)
            self._clear_leaders(places, movers)
            self._push_heads(places, movers)
        return places

    def _start(self, movers: set[int]) -> list[complex]:
        """True places; movers set apart by a hair, each its own way but inwards, and pushed out from their middle."""
        middle = sum((self.true[i] for i in movers), 0j) / max(1, len(movers))
        inner = complex(*self.outline.representative_point().coords[0]) if self.outline else middle
        return [
            place
            + cmath.rect(HAIR, GOLDEN_ANGLE * i)
            + _unit(inner - place) * 2 * HAIR
            + _unit(place - middle) * self.outward
            if i in movers
            else place
            for i, place in enumerate(self.true)
        ]

    def _keep_inside(self, places: list[complex], movers: set[int], share: float) -> None:
        if self.outline is None or share <= 0.0:
            return
        for i in movers:
            point = shapely.Point(places[i].real, places[i].imag)
            if not self.outline.contains(point):
                near = shapely.shortest_line(self.outline, point).coords[0]
                places[i] += (complex(*near) - places[i]) * share

    def _push_heads(self, places: list[complex], movers: set[int]) -> None:
        for i, j in self.pairs:
            if i in movers or j in movers:
                self._push_apart(places, movers, i, j, self.gap(i, j))

    def _push_apart(self, places: list[complex], movers: set[int], i: int, j: int, gap: float) -> None:
        between = places[i] - places[j]
        lacking = gap - abs(between)
        if lacking <= 0.0:
            return
        push = (between / abs(between) if between else 1) * lacking
        if i in movers and j in movers:
            places[i] += push / 2
            places[j] -= push / 2
        elif i in movers:
            places[i] += push
        else:
            places[j] -= push

    def _clear_true_places(self, places: list[complex], movers: set[int]) -> None:
        """No head over the true place of a pocket that moved."""
        for i in movers:
            for j in movers:
                if i != j:
                    self._push_from(places, j, self.true[i], self.radius[j] + CLEAR_OF_HEAD)

    def _push_from(self, places: list[complex], j: int, point: complex, gap: float) -> None:
        between = places[j] - point
        lacking = gap - abs(between)
        if lacking > 0.0:
            places[j] += (between / abs(between) if between else 1) * lacking * 0.5

    def _clear_leaders(self, places: list[complex], movers: set[int]) -> None:
        """No head over a leader: the head gives way if it may move, else the leader's own pocket swings round."""
        for i in movers:
            start, end = _point(places[i]), _point(self.true[i])
            for j, place in enumerate(places):
                if j == i or abs(place - places[i]) > abs(places[i] - self.true[i]) + self.gap(i, j):
                    continue
                near = complex(*nearest_on_segment(_point(place), start, end))
                lacking = self.radius[j] + CLEAR_OF_HEAD - abs(place - near)
                if lacking > 0.0:
                    away = (place - near) / abs(place - near) if place != near else 1
                    mover, sign = (j, 1) if j in movers else (i, -1)
                    places[mover] += sign * away * lacking * 0.3

    def untangle(self, places: list[complex], movers: set[int]) -> list[complex]:
        """Two leaders that cross swap their places: both get shorter, so this comes to an end."""
        ordered = sorted(movers)
        for _ in range(2 * len(ordered)):
            crossing = next(
                ((i, j) for i in ordered for j in ordered if j < i and self._leaders_cross(places, i, j)), None
            )
            if crossing is None:
                break
            i, j = crossing
            places[i], places[j] = places[j], places[i]
        return places

    def _leaders_cross(self, places: list[complex], i: int, j: int) -> bool:
        ends = [_point(place) for place in (places[i], self.true[i], places[j], self.true[j])]
        return segments_cross(*ends)

    def separate(self, places: list[complex]) -> list[complex]:
        """Push heads apart until none is too near: the one demand that always holds."""
        movers = {i for i, place in enumerate(places) if place != self.true[i]}
        for _ in range(200 * ROUNDS):
            conflicts = self.in_conflict(places)
            if not conflicts:
                break
            movers |= {i for pair in conflicts for i in pair if not movers & {*pair}}
            for i, j in conflicts:
                self._push_apart(places, movers, i, j, self.gap(i, j) + SURPLUS)
        return places


def _unit(way: complex) -> complex:
    return way / abs(way) if way else 0j


def _point(place: complex) -> Point:
    return place.real, place.imag
