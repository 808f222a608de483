"""Exploration: from a layout to ever larger ones. Separate on the raster, compact, raise the target, again.

In: bodies of one reference scale and a layout. Out: the largest scale found with those bodies made larger or smaller,
and its layout. Apart because both public questions, the largest scale and "does it fit", are this with another first
target and goal.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from boardmaker.packing.bodies import Bodies, Layout, count_pieces
from boardmaker.packing.compaction import compact
from boardmaker.packing.container import Container
from boardmaker.packing.effort import Meter
from boardmaker.packing.raster import Raster, ScaledRaster, suitable_pitch
from boardmaker.packing.separation import Separation
from boardmaker.packing.settings import EXPLORATION, RASTER
from boardmaker.packing.shapes import doubled_area
from boardmaker.packing.windows import fences_of, homes_of
from boardmaker.packing.zones import Zones


@dataclass(frozen=True)
class Found:
    """A layout that fits at a scale, as far as the reference zones tell, and the items in the way of a larger one."""

    scale: float
    layout: Layout
    critical: tuple[int, ...] = ()


@dataclass(frozen=True)
class Targets:
    """What an exploration is asked for: the first scale, the one that is enough, and when to stop.

    It stops at `limit` (work), and where it is beyond the scale `drifted` and gains nothing more. Nothing grows beyond
    the scale `most`: what has grown further and is laid out smaller again has moved for nothing.
    """

    first: float
    goal: float
    limit: float
    drifted: float
    most: float = np.inf


class ReferenceZones:
    """The bodies of one scale and their raster: what an exploration makes larger or smaller."""

    def __init__(self, zones: Zones, scale: float, containers: Sequence[Container], clearance: float) -> None:
        bodies, self._items = zones.bodies, zones.items
        self.bodies, self.scale = bodies, scale
        self._containers, self._clearance = containers, clearance
        pitch = suitable_pitch(bodies, containers, clearance, RASTER.nodes)
        self._raster = Raster(bodies, containers, clearance, pitch, homes_of(zones.items))

    def suits(self, bodies: Bodies, scale: float) -> bool:
        """Whether the bodies of another scale are about these, larger or smaller."""
        growth = scale / self.scale
        areas = [
            (doubled_area(other.ring), growth * growth * doubled_area(own.ring))
            for poses, own_poses in zip(bodies, self.bodies, strict=True)
            for other, own in zip(poses, own_poses, strict=True)
        ]
        return all(abs(area / expected - 1) < EXPLORATION.alike for area, expected in areas)

    def raster_at(self, scale: float) -> ScaledRaster:
        """The raster enlarged to a scale."""
        return self._raster.enlarged(scale / self.scale)

    def first_roomy(self, scales: Iterable[float]) -> ScaledRaster | None:
        """The raster at the first of the scales at which every item alone has room; None if there is none."""
        return next((raster for raster in map(self.raster_at, scales) if raster.seats_all()), None)

    def compacted(self, layout: Layout, factor: float, wanted: float, most: float, meter: Meter) -> Found | None:
        """What a layout grows to from bodies `factor` times these, at most to the scale `most`.

        None if not at all, or if the factor `wanted` is out of reach.
        """
        meter.spend_compaction(count_pieces(self.bodies, layout))
        fences = fences_of(self._items, layout, self._containers)
        limits = {"first": factor, "wanted": wanted, "ceiling": most / self.scale}
        found = compact(self.bodies, layout, self._containers, self._clearance, **limits, fences=fences)
        scale = found.factor * self.scale
        return Found(scale, found.layout, found.critical) if scale > 0 else None


@dataclass(frozen=True)
class _Approach:
    """A line of layouts that nothing has come of yet: targets go down until something fits."""

    begun: float  # work done then

    @property
    def gained(self) -> float:
        """Work done when the line last gained."""
        return self.begun


@dataclass(frozen=True)
class _Ascent:
    """A line of finds, each larger than the one before: its last, what is tried next from, and when it gained."""

    head: Found
    base: Found
    begun: float  # work done when the line began,
    gained: float  # and when it last gained


class Exploration:
    """One run from a layout to the largest scale that it finds; what was found so far is in `best`.

    A line of layouts leads from one find to the next larger one. Where a line stalls, the next one begins at a
    shuffled layout, and the one after that again at the best. `exhausted` says, after the run, whether it ended because
    some item alone has no room at a larger scale.
    """

    def __init__(
        self, reference: ReferenceZones, layout: Layout, targets: Targets, random: np.random.Generator, meter: Meter
    ) -> None:
        self.best: Found | None = None
        self.exhausted = False
        self.reference = reference
        self._layout, self._targets, self._random, self._meter = layout, targets, random, meter

    def run(self) -> Found | None:
        """Search until the goal or the limit of work; None if nothing fitted."""
        raster = self.reference.first_roomy([self._targets.first])
        separation = self._separation(raster, self._layout) if raster is not None else None
        trail: _Approach | _Ascent = _Approach(self._meter.used)
        while separation is not None and self._meter.used < self._targets.limit:
            before = self._meter.used
            found = self._attempt(separation, trail)
            if isinstance(trail, _Approach) and found is None:
                separation = self._lowered(separation)
            elif self._has_drifted() and self._meter.used - trail.gained > EXPLORATION.pause:
                break
            elif found is not None and (isinstance(trail, _Approach) or found.scale > trail.head.scale):
                trail = _Ascent(found, found, trail.begun, self._meter.used)
                separation = self._raised(found, self._meter.used - before)
            elif isinstance(trail, _Ascent):
                trail, separation = self._elsewhere(_based(trail, found), separation)
        return self.best

    def _separation(self, raster: ScaledRaster, layout: Layout) -> Separation:
        return Separation(raster, layout, self._random, self._meter)

    def _has_drifted(self) -> bool:
        """Whether the best is at a scale whose true zones are too unlike the reference."""
        return self.best is not None and self.best.scale > self._targets.drifted

    def _attempt(self, separation: Separation, trail: _Approach | _Ascent) -> Found | None:
        """Separate as well as possible and compact what came of it; None if that is hopeless."""
        on_line = isinstance(trail, _Ascent)
        separation.separate(EXPLORATION.patience if on_line else EXPLORATION.haste, self._targets.limit)
        if not separation.is_nearly_done():
            return None
        scale = self.reference.scale
        factor = separation.scaled.factor * scale / scale
        wanted = EXPLORATION.farthest * factor
        if isinstance(trail, _Ascent):
            wanted = EXPLORATION.nearly_as_large * trail.head.scale / scale
        return self.reference.compacted(separation.layout(), factor, wanted, self._targets.most, self._meter)

    def _lowered(self, separation: Separation) -> Separation:
        """Ask for less; at the least, shuffle."""
        target, least = separation.scaled.factor * self.reference.scale, EXPLORATION.farthest * self._targets.first
        raster = self.reference.raster_at(max(EXPLORATION.back * target, least))
        lowered = self._separation(raster, separation.layout())
        if target <= least:
            lowered.shuffle()
        return lowered

    def _raised(self, found: Found, work: float) -> Separation | None:
        """From a find that took so much work, on to a larger target; None where there is none."""
        if self.best is None or found.scale > self.best.scale:
            self.best = found
        if found.scale >= self._targets.goal:
            return None
        steps = EXPLORATION.steps if work < EXPLORATION.easy else EXPLORATION.steps[1:]
        raster = self.reference.first_roomy(min(self._targets.goal, found.scale * step) for step in steps)
        self.exhausted = raster is None
        return self._separation(raster, found.layout) if raster is not None else None

    def _elsewhere(self, line: _Ascent, separation: Separation) -> tuple[_Approach | _Ascent, Separation]:
        """From where the line is, with a small change; where that has long led nowhere, along another line."""
        assert self.best is not None
        used, best = self._meter.used, self.best
        if used - line.gained <= max(EXPLORATION.stall, EXPLORATION.late_stall * used, line.gained - line.begun):
            return line, self._disturbed(separation.scaled, line.base)
        if line.head is not best:
            raster = self.reference.raster_at(best.scale * EXPLORATION.steps[1])
            return _Ascent(best, best, used, used), self._disturbed(raster, best)
        shuffled = self._separation(self.reference.raster_at(best.scale * EXPLORATION.fresh), best.layout)
        shuffled.shuffle()
        return _Approach(used), shuffled

    def _disturbed(self, raster: ScaledRaster, base: Found) -> Separation:
        separation = self._separation(raster, base.layout)
        separation.disturb(base.critical)
        return separation


def _based(line: _Ascent, found: Found | None) -> _Ascent:
    """The line going on from what was just found, if that is nearly as large as its last find."""
    if found is not None and found.scale >= EXPLORATION.nearly_as_large * line.head.scale:
        return replace(line, base=found)
    return line
