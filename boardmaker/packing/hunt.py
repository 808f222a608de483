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
_PATIENCE = 20  # rounds
_HASTE = 20  # rounds, while nothing fits: a smaller target is the better hope
_STEPS = (1.02, 1.006)  # from one target to the next, the large one only while it is easy
_EASY = 4e7  # of work: a separation that took less asks for a large step
_BACK, _FARTHEST = 0.95, 0.8  # of the target: how to retreat while nothing fits, and how far at most
_NEARLY_AS_LARGE = 0.995  # as the line's last find: good enough to go on from, so that the line does not stand still
_PAUSE = 6e8  # of work without gain: a few tries
_FRESH = 0.98  # of the best scale: what a line from elsewhere is first asked for
_STALL = 1e9  # of work without gain, or as much as the line took to get there: time for another line
_LATE_STALL = 0.07  # of all work so far: the same, the longer the search
_NEARLY = 2.0  # of overlap for each item, in roots of cells: the squeeze can make up for so much
_ALIKE = 0.01  # of the area: zones that differ less from those searched with need no new tables


@dataclass(frozen=True)
class Found:
    """A layout that fits at a scale, as far as the reference zones tell, and the items in the way of a larger one."""

    scale: float
    layout: Layout
    critical: tuple[int, ...] = ()


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
        self.exhausted = False  # whether an item alone has no room at a larger scale
        self._line: Found | None = None  # the last find of the line that is followed now
        self._base: Found | None = None  # what that line goes on from
        self._begun = self._gained = 0.0  # work done when that line began, and when it last gained
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

    def run(self, layout: Layout, limit: float, first: float, goal: float, drifted: float) -> Found | None:
        """Search from a layout, at scale `first`, until the goal or the limit of work; None if nothing fitted.

        It also ends where it is beyond `drifted` and makes no progress. A line of layouts leads from one find to the
        next larger one. Where a line stalls, the next one begins at a shuffled layout, and the one after that again at
        the best. What was found so far is in `best`.
        """
        self.best, self._line, self.exhausted = None, None, False
        self._begun = self._gained = self._meter.used
        if not self._raise(first):
            return None
        search, least = Search(self._arena, layout, self._random, self._meter), _FARTHEST * first
        while (before := self._meter.used) < limit:
            found = self._try(search, limit)
            if self._line is None and found is None:
                self._retreat(search, least)
            elif self.best is not None and self.best.scale > drifted and self._meter.used - self._gained > _PAUSE:
                break
            elif self._line is not None and (found is None or found.scale <= self._line.scale):
                self._try_elsewhere(search, found)
            elif found is not None and not self._advance(search, found, goal, self._meter.used - before):
                break
        return self.best

    def _retreat(self, search: Search, least: float) -> None:
        """Ask for less; at the least, shuffle."""
        layout, target = search.layout(), self._arena.factor * self.scale
        self._arena.rescale(max(_BACK * target, least) / self.scale)
        search.place(layout)
        if target <= least:
            search.shuffle()

    def _advance(self, search: Search, found: Found, goal: float, work: float) -> bool:
        """Go on from a find with a larger target; False where there is none."""
        self._line, self._base, self._gained = found, found, self._meter.used
        if self.best is None or found.scale > self.best.scale:
            self.best = found
        steps = _STEPS if work < _EASY else _STEPS[1:]
        if found.scale >= goal:
            return False
        self.exhausted = not any(self._raise(min(goal, found.scale * step)) for step in steps)
        if self.exhausted:
            return False
        search.place(found.layout)
        return True

    def _try_elsewhere(self, search: Search, found: Found | None) -> None:
        """From where the line is, with a small change; where that has long led nowhere, along another line."""
        assert self._line is not None
        assert self.best is not None
        if found is not None and found.scale >= _NEARLY_AS_LARGE * self._line.scale:
            self._base = found
        stall = max(_STALL, _LATE_STALL * self._meter.used, self._gained - self._begun)
        if self._meter.used - self._gained <= stall:
            assert self._base is not None
            search.place(self._base.layout)
            search.disturb(self._base.critical)
            return
        fresh = self._line is self.best
        self._begun = self._gained = self._meter.used
        self._line, self._base = None if fresh else self.best, self.best
        self._raise(self.best.scale * (_FRESH if fresh else _STEPS[1]))
        search.place(self.best.layout)
        if fresh:
            search.shuffle()
        else:
            search.disturb(self.best.critical)

    def _try(self, search: Search, limit: float) -> Found | None:
        """Separate as well as possible and squeeze what came of it; None if that is hopeless."""
        search.separate(_PATIENCE if self._line is not None else _HASTE, limit)
        if search.overlap() > _NEARLY * len(self._bodies):
            return None
        found = self._squeezed(search.layout(), self._arena.factor * self.scale)
        return found if found.scale > 0 else None

    def _raise(self, target: float) -> bool:
        """Ask for a larger scale; whether every item alone still fits."""
        self._arena.rescale(target / self.scale)
        return self._arena.seats_all()

    def _squeezed(self, layout: Layout, target: float) -> Found:
        chosen = zip(self._bodies, layout.poses, strict=True)
        self._meter.spend(SQUEEZE_WORK + PIECE_WORK * sum(len(poses[pose].pieces) for poses, pose in chosen))
        first = target / self.scale
        wanted = _NEARLY_AS_LARGE * self._line.scale / self.scale if self._line is not None else _FARTHEST * first
        found = squeeze(self._bodies, layout, self._rooms, self._clearance, first=first, wanted=wanted)
        return Found(found.factor * self.scale, found.layout, found.critical)
