"""Heads pushed apart round by round until nothing moves any more.

In: places of some heads, which of them may move, where each belongs. Out: places at which heads keep their gaps and lie
over no leader, each as near to where it belongs as its neighbours leave room for. Apart from `pockets` because that
chooses who moves and judges what came of it, and this only moves.

The method is position-based dynamics (M. Müller, B. Heidelberger, M. Hennix, J. Ratcliff, "Position based dynamics",
Journal of Visual Communication and Image Representation 18(2), 2007): in each round every violated constraint moves its
heads just so far that it holds, one after the other, and each mover is drawn back towards its true place with a force
that fades once the heads have come to rest. Pairs that are far apart are left out of a round; which are, is looked up
again when a head has gone far enough to meet another. Places are complex numbers here: x + iy.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence

import numpy as np
import shapely
from shapely import Polygon

from boardmaker.fixed_order import lengths

SURPLUS = 0.01  # mm beyond the finger room, so that rounding never eats into it
CLEAR_OF_HOLE = 1.1  # mm between a hole's rim and its own true place: the dot there, and air
CLEAR_OF_HEAD = 0.8  # mm between a head's rim and another pocket's true place or leader
PULL = 0.1  # of the way back to the true place that a head is drawn in a round
FADING = 0.7  # of the pull that is left after a round
NO_PULL = 0.002  # of the way; less than this is none
GROWING = 8  # rounds in which heads grow to their size, so that the first pushes are small
STILL = 0.03  # mm; when no head goes further in a round they are at rest
AT_REST = 0.0003  # mm; the same where no pull keeps heads trembling
ROUNDS = 30  # at most with the full pull,
ROUNDS_INWARD = 60  # then without it,
ROUNDS_LAST = 20  # and in the end without regard to the outline
SEPARATIONS = 50_000  # heads always come apart long before
LEADER_PUSH = 0.7  # of what is lacking between a head and a leader is made good in a round
LEAST_LEVER = 0.1  # of a leader's length; a pocket cannot swing its leader off a head that is nearer to the true place
SLACK = 6.0  # mm by which two that do not touch may come nearer before they are looked at again
FULL = 1.2  # heads and finger room over the outline's area; beyond, they do not go in and are not drawn in for long
INWARD = 0.3  # of the way back inside the outline that a stray pocket goes in a round
INWARD_FULL = 0.05  # the same where the outline is full
INWARD_LAST = 1.0  # the same where nothing pulls it to its true place any more
STRAIGHT = 1.0  # mm around a head within which the outline beside it is taken for a straight line


class Relaxation:
    """One panel's heads: true places, radii in mm, the finger room in mm, the outline that heads had better lie in.

    And the radii of the holes: 0 where none is punched.
    """

    def __init__(
        self,
        true: Sequence[complex],
        radius: Sequence[float],
        finger_room: float,
        outline: Polygon | None,
        holes: Sequence[float] = (),
    ) -> None:
        self.true, self.radius = np.array(true), np.array(radius)
        self.away = [hole + CLEAR_OF_HOLE if hole else 0.0 for hole in holes] or [0.0] * len(radius)
        self.gap = self.radius[:, None] + self.radius + finger_room
        self.outline, self.finger_room = outline, finger_room
        needed = math.pi * math.fsum((one + finger_room / 2) * (one + finger_room / 2) for one in radius)
        self.roomy = outline is not None and needed < outline.area * FULL
        self._pairs = [(i, j, gap) for i, row in enumerate(self.gap.tolist()) for j, gap in enumerate(row[:i])]

    def settle(self, start: Sequence[complex], movers: Collection[int]) -> list[complex]:
        """Return the places at which the movers come to rest."""
        heads = _Heads(self, start, movers)
        pull, turns = PULL, 0
        while movers and pull > NO_PULL:
            turns += 1
            step = heads.move(pull, INWARD if self.roomy else INWARD_FULL, min(1.0, turns / GROWING))
            if (step < STILL and turns > GROWING) or turns > ROUNDS:
                pull *= FADING
        # In the end heads keep apart even where the outline is too small for them.
        for inward, rounds in ((INWARD_LAST, ROUNDS_INWARD if self.roomy else 0), (0.0, ROUNDS_LAST)):
            for _ in range(rounds):
                if heads.move(0.0, inward) < AT_REST:
                    break
        return heads.places

    def in_conflict(self, places: Sequence[complex]) -> list[tuple[int, int]]:
        """Return the pairs of heads that are too near."""
        return [(i, j) for i, j, gap in self._pairs if length(places[i] - places[j]) < gap - SURPLUS / 2]

    def separate(self, start: Sequence[complex], movers: Collection[int]) -> list[complex]:
        """Return places with all heads apart, which must always hold; where need be others than the movers move too."""
        places, moving = list(start), set(movers)
        for _ in range(SEPARATIONS):
            conflicts = self.in_conflict(places)
            if not conflicts:
                break
            moving |= {i for pair in conflicts for i in pair if not moving & {*pair}}
            for i, j in conflicts:
                share = (i in moving) / ((i in moving) + (j in moving))
                _push_apart(places, i, j, float(self.gap[i, j]) + SURPLUS, share)
        return places


class _Heads:
    """Heads on their way: their places, and which of them are near enough to each other to matter."""

    def __init__(self, panel: Relaxation, start: Sequence[complex], movers: Collection[int]) -> None:
        self.panel, self.places, self.movers = panel, list(start), sorted(movers)
        self.true: list[complex] = panel.true.tolist()
        self.moves = np.isin(np.arange(len(self.places)), self.movers)
        self.fence = _Fence(panel.outline) if panel.outline is not None else None
        # A head that lies over no other cannot lie over so short a leader either: its length squared.
        reach = [radius + panel.finger_room - CLEAR_OF_HEAD for radius in panel.radius.tolist()]
        self.short = [max(0.0, one) * max(0.0, one) for one in reach]
        self._look_around()

    def move(self, pull: float, inward: float, grown: float = 1.0) -> float:
        """Move all heads once, their gaps `grown` so far; return how far the head went that went furthest, mm."""
        before = list(self.places)
        if pull:
            for i in self.movers:
                self.places[i] += (self.true[i] - self.places[i]) * pull
        if inward and self.fence:
            self.fence.draw_inside(self.places, self.movers, inward)
        self._clear_holes(grown)
        self._clear_leaders(grown)
        for i, j, gap, share in self.close:
            _push_apart(self.places, i, j, gap * grown, share)
        if any(length(self.places[i] - self.looked_at[i]) > SLACK / 2 for i in self.movers):
            self._look_around()
        return max((length(self.places[i] - before[i]) for i in self.movers), default=0.0)

    def _look_around(self) -> None:
        """Note the pairs that can meet before a head has gone half of `SLACK`, and each one's part in a push."""
        self.looked_at = list(self.places)
        places, moves, gap = np.array(self.places), self.moves, self.panel.gap
        way = places - places[:, None]  # from i to j
        close = np.tri(len(places), k=-1, dtype=bool) & (moves[:, None] | moves) & (_lengths(way) < gap + SLACK)
        shares = moves[:, None] / np.maximum(1, moves[:, None] + moves.astype(int))
        i, j = np.nonzero(close)
        self.close = list(zip(*(part.tolist() for part in (i, j, gap[close], shares[close])), strict=True))
        run = (self.panel.true - places)[:, None]
        length2 = run.real * run.real + run.imag * run.imag
        along = (way.real * run.real + way.imag * run.imag) / np.where(length2, length2, 1.0)
        room = self.panel.radius + CLEAR_OF_HEAD
        under = ~np.eye(len(places), dtype=bool) & moves[:, None]
        under &= _lengths(way - run * np.clip(along, 0.0, 1.0)) < room + SLACK
        self.under = [
            (i, self.short[i], [(j, room, moves) for j, room, moves, near in zip(*both, row, strict=True) if near])
            for both in [(range(len(places)), room.tolist(), moves.tolist())]
            for i, row in zip(self.movers, under[self.movers].tolist(), strict=True)
        ]

    def _clear_holes(self, grown: float) -> None:
        """No hole over its own true place: what is punched out shows nothing."""
        for i in self.movers:
            way = self.places[i] - self.true[i]
            far, away = length(way), self.panel.away[i] * grown
            if 0.0 < far < away:
                self.places[i] = self.true[i] + way / far * away

    def _clear_leaders(self, grown: float) -> None:
        """No head over a leader: the head gives way if it may move, and the leader's own pocket swings round."""
        places = self.places
        for i, short, heads in self.under:
            end, root = places[i], self.true[i]
            run = root - end
            length2 = run.real * run.real + run.imag * run.imag
            if length2 <= short * grown:
                continue
            for j, room, gives_way in heads:
                gap = room * grown
                way = places[j] - end
                share = (way.real * run.real + way.imag * run.imag) / length2
                share = 0.0 if share < 0.0 else 1.0 if share > 1.0 else share
                way -= run * share
                far, lever = length(way), 1.0 - share
                if far >= gap or not (gives_way or lever > LEAST_LEVER):
                    continue
                push = (way / far if far else 1) * ((gap - far) * LEADER_PUSH / (gives_way + lever * lever))
                end -= push * lever
                run = root - end
                length2 = run.real * run.real + run.imag * run.imag or 1.0
                if gives_way:
                    places[j] += push
            places[i] = end


def _lengths(way: np.ndarray) -> np.ndarray:
    return lengths(way.real, way.imag)


def length(way: complex) -> float:
    """How long a way is, mm; `abs` asks the C library, and not all of these agree in the last digit."""
    return math.sqrt(way.real * way.real + way.imag * way.imag)


def _push_apart(places: list[complex], i: int, j: int, gap: float, share: float) -> None:
    """Push two heads as far apart as they must be; `share` is the first one's part of it."""
    between = places[i] - places[j]
    far = length(between)
    if far < gap:
        push = (between / far if far else 1) * (gap - far)
        places[i] += push * share
        places[j] -= push * (1.0 - share)


class _Fence:
    """The outline, as each head sees it: the nearest point of it and which way is in from there."""

    def __init__(self, outline: Polygon) -> None:
        self.outline = outline
        self.known: dict[int, tuple[complex, float, complex, complex]] = {}
        shapely.prepare(outline)

    def draw_inside(self, places: list[complex], movers: Sequence[int], share: float) -> None:
        """Move stray heads a share of the way back inside."""
        known = self.known
        if strange := [i for i in movers if i not in known or length(places[i] - known[i][0]) > known[i][1]]:
            self._look(places, strange)
        for i in movers:
            _, _, edge, inwards = known[i]
            way = edge - places[i]
            lacking = way.real * inwards.real + way.imag * inwards.imag
            if lacking > 0.0:
                places[i] += inwards * (lacking * share)

    def _look(self, places: Sequence[complex], heads: Sequence[int]) -> None:
        points = shapely.points([(places[i].real, places[i].imag) for i in heads])
        inside = shapely.contains(self.outline, points)
        lines = shapely.shortest_line(self.outline.exterior, points)
        for i, within, (x, y) in zip(heads, inside, shapely.get_coordinates(lines)[::2].tolist(), strict=True):
            way = complex(x, y) - places[i]
            far = length(way)
            inwards = way * ((-1.0 if within else 1.0) / far) if far else 0j
            self.known[i] = places[i], max(far if within else 0.0, STRAIGHT), complex(x, y), inwards
