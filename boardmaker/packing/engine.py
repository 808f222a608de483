"""The two public questions: the largest common scale, and whether fixed items fit.

In come items and regions, out come placements that the judge has passed. Apart because here the exact zones of
`items_at` meet the search, which works on zones of a nearby scale taken larger or smaller.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from boardmaker.packing.alone import crowding
from boardmaker.packing.bodies import Bodies, Layout, bodies_of, placements_of
from boardmaker.packing.effort import Meter
from boardmaker.packing.hunt import Found, Hunt
from boardmaker.packing.judge import violations
from boardmaker.packing.problem import Effort, Enough, Item, ItemsAt, Packing, Placement, Region, Report
from boardmaker.packing.room import SURPLUS, Room, room_of
from boardmaker.packing.shapes import Floats, doubled_area
from boardmaker.packing.squeeze import squeeze
from boardmaker.packing.start import first_layout, started_layout
from boardmaker.packing.wishes import exchanged

_DENSE = 0.75  # share of the rooms' area, zones with their clearance, at which the search starts
_DRIFT = 1.12  # a factor further from 1 asks for the true zones
_DRIFTED, _ALIKE = 1.004, 1e-4  # a growth that is worth true zones, unless zones grow like the scale within so much
_FLOOR = 1e-3  # of a growth, or mm² of all items: keeps quotients finite
_RETREAT = 0.7  # of the scale, where nothing was found
_GRACE = 3.0  # times the work at most, while nothing fits: a small drawing is better than none
_CAUTIOUS = 0.9985  # of the scale at which true zones are first asked for
_WORTH = 1.003  # a larger factor is worth another look at the true zones: a hunt makes up for less
_SETTLED = 1.0005  # the same at the end, when no hunt follows
_BEYOND = 1.25  # times what is missing is taken off a scale that is too large: looks from above end, not creep
_NOTCH = 1 - 1e-6  # and at least so much: what fits but for rounding does not stay so for ever
_SETTLINGS = 5
_LESS = 0.998  # of a scale at which the judge found something
_SHARES = 3  # of the work, while nothing fits, for as many reference scales
_APART = 1.04  # of two scales, whose zones tell how fast zones grow
_TOO_CROWDED = 1 + 1e-9  # of the area; 1 is a perfect dissection
_STEEPEST = 1.0  # power of the scale with which areas of zones grow at least; 2 where nothing is of true size


def largest_scale(  # noqa: PLR0913 - all but two by keyword
    items_at: ItemsAt,
    regions: Sequence[Region],
    *,
    clearance: float,
    lowest: float,
    highest: float,
    effort: Effort | float = "normal",
    seed: int = 0,
    report: Report | None = None,
    start: Packing | None = None,
) -> Packing | None:
    """The largest scale in [lowest, highest] that the search finds at which all items fit, and their places.

    `items_at` is asked about ten times. Any region may hold any item; any two zones in a region stay `clearance` mm
    apart. Same arguments, same answer. `start` is an arrangement to begin from. `effort` may be an amount of work in
    the meter's units. None if nothing was found that fits at `lowest`. When Ctrl-C comes, or `report` raises `Enough`,
    the best packing so far is handed out, marked `cut_short`; if there is none, the exception goes on to the caller.
    Raises ValueError for limits that are not 0 < lowest <= highest, or an unknown effort.
    """
    if not 0 < lowest <= highest:
        raise ValueError(f"scales from {lowest:g} to {highest:g}: the lowest must be above 0 and not above the highest")
    quest = _Quest(items_at, regions, clearance, Meter(effort, report), seed)
    try:
        return quest.climb(lowest, highest, start)
    except (KeyboardInterrupt, Enough):
        best = quest.hurry(lowest, highest)
        if best is None:
            raise
        return replace(best, cut_short=True)


def pack(
    items: Sequence[Item],
    regions: Sequence[Region],
    *,
    clearance: float,
    effort: Effort | float = "normal",
    seed: int = 0,
    start: Sequence[Placement] | None = None,
    report: Report | None = None,
) -> tuple[Placement, ...] | None:
    """Places for items as they are, in the order of the items; None if the search found none."""
    begin = Packing(1.0, tuple(start)) if start is not None else None
    found = largest_scale(
        lambda _: items,
        regions,
        clearance=clearance,
        lowest=1.0,
        highest=1.0,
        effort=effort,
        seed=seed,
        report=report,
        start=begin,
    )
    return found.placements if found is not None else None


class _Quest:
    """One search for the largest scale: what is known of the zones, and the best packing so far."""

    def __init__(self, items_at: ItemsAt, regions: Sequence[Region], clearance: float, meter: Meter, seed: int) -> None:
        self._items_at, self._regions, self._clearance, self._meter = items_at, regions, clearance, meter
        self._rooms: tuple[Room, ...] = tuple(room_of(region, SURPLUS) for region in regions)
        self._random = np.random.default_rng(seed)
        self._known: dict[float, tuple[tuple[Item, ...], Bodies]] = {}
        self._hunt: Hunt | None = None
        self._first_fit = 0.0  # work done when something fitted for the first time
        self.best: Packing | None = None
        self._kept: Found | None = None  # the same, as bodies

    def climb(self, lowest: float, highest: float, start: Packing | None) -> Packing | None:
        """Hunt at one reference scale after the other until the work is done; then settle on the true zones."""
        scale = self._likely_scale(lowest, highest)
        if scale is None:
            return None
        items, bodies = self._zones(scale)
        if not items:
            return Packing(highest, ())
        layout = first_layout(items, bodies, self._rooms)
        if start is not None:
            scale, layout = self._restart(start, lowest, highest)
        self._hunt = self._hunt_at(scale)
        while self._goes_on(scale, lowest, highest):
            before, best = self._meter.used, self.best
            limit = self._limit(scale, lowest)
            found = self._hunt.run(layout, limit, scale, min(_DRIFT * scale, highest), self._drifted(scale))
            if found is None and scale <= lowest and self._meter.used == before:
                break
            if found is None:
                scale = max(lowest, scale * _RETREAT)
            else:
                scale, layout = self._settle(self._likely(found), lowest, highest)
            if self._hunt.exhausted and self.best is not None and self.best is best:
                break
            if found is None or self.best is best or not self._hunt.suits(self._zones(scale)[1], scale):
                self._hunt = self._hunt_at(scale)
        self._polish(lowest, highest)
        self._meter.finish()
        return self.best

    def hurry(self, lowest: float, highest: float) -> Packing | None:
        """The best packing so far, also from the midst of a hunt."""
        if self._hunt is not None and self._hunt.best is not None:
            self._settle(self._likely(self._hunt.best), lowest, highest)
        return self.best

    def _goes_on(self, scale: float, lowest: float, highest: float) -> bool:
        """Until the work is done; where nothing fitted yet and smaller may, up to `_GRACE` times that work."""
        if self.best is None and scale > lowest:
            return self._meter.used < _GRACE * self._meter.limit
        return self._meter.used < self._end() and not self._is_at(highest)

    def _end(self) -> float:
        """The limit of the work; what fitted only late gets half of it again to grow."""
        return max(self._meter.limit, self._first_fit + self._meter.limit / 2)

    def _is_at(self, highest: float) -> bool:
        return self.best is not None and self.best.scale >= highest

    def _restart(self, start: Packing, lowest: float, highest: float) -> tuple[float, Layout]:
        """Where an earlier packing leads if its items only slide."""
        scale = min(highest, max(lowest, start.scale))
        layout = started_layout(*self._zones(scale), self._rooms, start)
        return self._settle(Found(scale, layout), lowest, highest)

    def _zones(self, scale: float) -> tuple[tuple[Item, ...], Bodies]:
        if scale not in self._known:
            items = tuple(self._items_at(scale))
            self._known[scale] = items, bodies_of(items)
        return self._known[scale]

    def _likely_scale(self, lowest: float, highest: float) -> float | None:
        """A scale at which the zones take up about as much of the rooms as is easily packed; None if none fits."""
        room = sum(_claimed_room(room, self._clearance) for room in self._rooms)
        scale = float(np.sqrt(lowest * highest))
        for _ in range(3):
            growth = min(float(np.sqrt(_DENSE * room / max(_FLOOR, self._area(scale)))), self._longest_growth(scale))
            before, scale = scale, min(highest, max(lowest, scale * growth))
            if abs(scale / before - 1) < 0.03:
                break
        return None if scale <= lowest and self._is_too_crowded(lowest) else scale

    def _is_too_crowded(self, scale: float) -> bool:
        """Whether no arrangement can hold all items: their areas alone say so."""
        return crowding(self._zones(scale)[0], self._regions, self._clearance) > _TOO_CROWDED

    def _longest_growth(self, scale: float) -> float:
        """How many times as large every item alone could be, by width and height."""
        inner = [room.size - 2 * room.margin for room in self._rooms]
        growths = [
            max(float(np.min(size / np.ptp(body.ring, axis=0))) for body in poses for size in inner)
            for poses in self._zones(scale)[1]
        ]
        return max(_FLOOR, min(growths, default=np.inf))

    def _area(self, scale: float) -> float:
        """The area that all items are likely to take up, mm²."""
        return sum(min(_claimed(body.ring, self._clearance) for body in poses) for poses in self._zones(scale)[1])

    def _least_area(self, scale: float) -> float:
        """What no packing can save: the zones' own areas, mm²."""
        return sum(min(abs(doubled_area(body.ring)) / 2 for body in poses) for poses in self._zones(scale)[1])

    def _drifted(self, scale: float) -> float:
        """The scale from which zones of this one tell too little of the truth."""
        return np.inf if self._grow_alike(scale) else scale * _DRIFTED

    def _grow_alike(self, scale: float) -> bool:
        """Whether all zones grow like the scale, as far as is known."""
        return abs(self._stretched(_DRIFTED, scale) / _DRIFTED - 1) < _ALIKE

    def _hunt_at(self, scale: float) -> Hunt:
        bodies = self._zones(scale)[1]
        return Hunt(bodies, scale, self._rooms, self._clearance + SURPLUS, self._random, self._meter)

    def _limit(self, scale: float, lowest: float) -> float:
        """Until something fits, a third of what is left for each reference scale but the last; then all there is."""
        used, limit = self._meter.used, self._end()
        if self.best is not None:
            return limit
        return max(limit, used + limit / _SHARES) if scale <= lowest else used + max(limit - used, limit) / _SHARES

    def _settle(self, found: Found, lowest: float, highest: float, worth: float = _WORTH) -> tuple[float, Layout]:
        """Squeeze on the true zones of ever better guesses at the scale; returns where to go on from.

        It ends where the best packing is not beaten, or not by more than the factor `worth`.
        """
        scale, layout, too_large = found.scale, found.layout, np.inf
        for _ in range(_SETTLINGS):
            scale = min(highest, max(lowest, scale))
            if self._kept is not None and scale < self._kept.scale:
                return self._kept.scale, self._kept.layout
            items, bodies = self._zones(scale)
            settled, factor = self._squeezed(bodies, layout, highest / scale)
            if factor >= 1:
                # a concave zone that is made smaller about its middle does not stay within itself: slide once more
                layout = self._squeezed(bodies, settled, 1.0)[0] if factor > 1 else settled
                if not self._keep(scale, items, bodies, layout):
                    scale *= _LESS
                    continue
            if factor == 0 or 1 <= factor < worth or scale * factor < lowest:
                break
            if factor < 1:
                layout, too_large = settled, min(too_large, scale)
            guess = self._next_guess(scale, factor, too_large)
            if self.best is not None and guess < self.best.scale * worth:
                break
            scale = guess
        return scale, layout

    def _next_guess(self, scale: float, factor: float, too_large: float) -> float:
        """A better scale where zones of this one could be larger by a factor; below those known to be too large."""
        guess = scale * self._stretched(factor if factor > 1 else min(factor**_BEYOND, _NOTCH), scale)
        return guess if guess < too_large else float(np.sqrt(scale * too_large))

    def _likely(self, found: Found) -> Found:
        """A find on a hunt's zones at the scale at which it is likely to fit on true ones.

        Rather too small than too large: what does not fit is asked for again, what could still grow is hunted on.
        """
        assert self._hunt is not None
        grown = self._hunt.scale * self._stretched(found.scale / self._hunt.scale, found.scale)
        least = self.best.scale * _SETTLED if self.best is not None else 0.0
        cautious = grown if self._grow_alike(found.scale) else max(grown * _CAUTIOUS, min(grown, least))
        return replace(found, scale=cautious)

    def _polish(self, lowest: float, highest: float) -> None:
        """The last of what the best packing can grow."""
        if self._kept is not None:
            self._settle(self._kept, lowest, highest, _SETTLED)

    def _squeezed(self, bodies: Bodies, layout: Layout, ceiling: float) -> tuple[Layout, float]:
        return squeeze(bodies, layout, self._rooms, self._clearance + SURPLUS, ceiling=ceiling)[:2]

    def _stretched(self, factor: float, scale: float) -> float:
        """The factor of the scale for a factor of the zones, which hold parts of true size and grow slower.

        It goes by how the zones' area grew between this scale and the nearest one that is well apart.
        """
        others = [other for other in self._known if abs(np.log(other / scale)) > np.log(_APART)]
        if scale not in self._known:
            scale = min(self._known, key=lambda other: abs(np.log(other / scale)))
            others = [other for other in self._known if abs(np.log(other / scale)) > np.log(_APART)]
        if not others:
            return factor
        near = min(others, key=lambda other: abs(np.log(other / scale)))
        power = np.log(self._least_area(near) / self._least_area(scale)) / np.log(near / scale)
        return float(factor ** (2 / min(2.0, max(_STEEPEST, power))))

    def _keep(self, scale: float, items: tuple[Item, ...], bodies: Bodies, layout: Layout) -> bool:
        """Remember a packing that is larger than the best so far; False if the judge does not pass it."""
        if self.best is not None and scale <= self.best.scale:
            return True
        layout = exchanged(items, bodies, layout, self._rooms)
        placements = placements_of(items, bodies, layout)
        if violations(items, placements, self._regions, self._clearance):
            return False
        self._first_fit = self._first_fit if self.best else self._meter.used
        self.best, self._kept = Packing(scale, placements), Found(scale, layout)
        self._meter.best_scale = scale
        return True


def _claimed_room(room: Room, clearance: float) -> float:
    """The area (mm²) of a room and half the clearance around it: what its items can claim at most."""
    return room.area + room.edge * clearance / 2 + np.pi * clearance**2 / 4


def _claimed(ring: Floats, clearance: float) -> float:
    """The area (mm²) that a zone takes up: half of what is left of its hull, and half the clearance around it."""
    polygon = shapely.Polygon(ring)
    hull = polygon.convex_hull
    return float((polygon.area + hull.area) / 2 + hull.length * clearance / 2 + np.pi * clearance**2 / 4)
