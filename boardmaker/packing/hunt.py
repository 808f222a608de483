"""From a layout to larger ones: separate on the grid, squeeze, raise the target, again.

In: bodies of one reference scale, a layout, rooms. Out: the largest scale found with those bodies made larger or
smaller, and its layout. Apart because both public questions, the largest scale and "does it fit", are this with another
first target and goal.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from boardmaker.packing.arena import Arena, suitable_pitch
from boardmaker.packing.bodies import Bodies, Layout
from boardmaker.packing.effort import PIECE_WORK, SQUEEZE_WORK, Meter
from boardmaker.packing.room import Room
from boardmaker.packing.search import Search
from boardmaker.packing.shapes import doubled_area
from boardmaker.packing.squeeze import squeeze

_NODES = 24_000  # in all rooms: finer finds no more, since the squeeze is exact
_PATIENCE = 60  # rounds
_HASTE = 15  # rounds, while nothing fits: a smaller target is the better hope
_STEPS = (1.02, 1.006)  # from one target to the next, the large one only while it is easy
_EASY = 4e7  # of work: a separation that took less asks for a large step
_BACK, _FARTHEST = 0.95, 0.8  # of the target: how to retreat while nothing fits, and how far at most
_NEARLY = 2.0  # of overlap for each item, in roots of cells: the squeeze can make up for so much
_ALIKE = 0.01  # of the area: zones that differ less from those searched with need no new tables


@dataclass(frozen=True)
class Found:
    """A layout that fits at a scale, as far as the reference zones tell."""

    scale: float
    layout: Layout


class Hunt:
    """One reference scale: its bodies and arena."""

    def __init__(
        self,
        bodies: Bodies,
        scale: float,
        rooms: Sequence[Room],
        clearance: float,
        random: np.random.Generator,
        meter: Meter,
    ) -> None:
        self.scale = scale
        self.best: Found | None = None
        self._bodies, self._rooms, self._clearance = bodies, rooms, clearance
        self._random, self._meter = random, meter
        self._arena = Arena(bodies, rooms, clearance, suitable_pitch(bodies, rooms, clearance, _NODES))

    def suits(self, bodies: Bodies, scale: float) -> bool:
        """Whether the bodies of another scale are about this hunt's, larger or smaller."""
        factor = (scale / self.scale) ** 2
        areas = [
            (doubled_area(other.ring), factor * doubled_area(own.ring))
            for poses, own_poses in zip(bodies, self._bodies, strict=True)
            for other, own in zip(poses, own_poses, strict=True)
        ]
        return all(abs(area / expected - 1) < _ALIKE for area, expected in areas)

    def run(self, layout: Layout, limit: float, first: float, goal: float) -> Found | None:
        """Search from a layout, at scale `first`, until the goal or the limit of work; None if nothing fitted.

        What it has found so far is in `best`, should it be stopped.
        """
        self.best, target = None, first
        self._arena.rescale(target / self.scale)
        if not self._arena.seats_all():
            return None
        search = Search(self._arena, layout, self._random, self._meter)
        while self._meter.used < limit:
            before = self._meter.used
            found = self._try(search, target, limit)
            if found is None and self.best is None:
                layout, target = search.layout(), max(_BACK * target, _FARTHEST * first)
                self._arena.rescale(target / self.scale)
                search.place(layout)
                continue
            if found is None or (self.best is not None and found.scale <= self.best.scale):
                search.place(self.best.layout if self.best is not None else search.layout())
                search.disturb()
                continue
            self.best = found
            steps = _STEPS if self._meter.used - before < _EASY else _STEPS[1:]
            if found.scale >= goal or not any(self._raise(min(goal, found.scale * step)) for step in steps):
                break
            target = self._arena.factor * self.scale
            search.place(found.layout)
        return self.best

    def _try(self, search: Search, target: float, limit: float) -> Found | None:
        """Separate as well as possible and squeeze what came of it; None if that is hopeless."""
        search.separate(_PATIENCE if self.best is not None else _HASTE, limit)
        if search.overlap() > _NEARLY * len(self._bodies):
            return None
        found = self._squeezed(search.layout(), target)
        return found if found.scale > 0 else None

    def _raise(self, target: float) -> bool:
        """Ask for a larger scale; whether every item alone still fits."""
        self._arena.rescale(target / self.scale)
        return self._arena.seats_all()

    def _squeezed(self, layout: Layout, target: float) -> Found:
        chosen = zip(self._bodies, layout.poses, strict=True)
        self._meter.spend(SQUEEZE_WORK + PIECE_WORK * sum(len(poses[pose].pieces) for poses, pose in chosen))
        first = target / self.scale
        layout, factor = squeeze(self._bodies, layout, self._rooms, self._clearance, first=first)
        return Found(factor * self.scale, layout)
