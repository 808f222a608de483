"""The third public question: how near items as they are come to fitting.

In come items and regions, out come placements, and by how much all zones would have to be smaller to fit so. Apart from
the search for a scale, which asks for zones laid out anew and refines on them: where only a fit counts, what comes
short of it is no more than a place to go on from.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from boardmaker.packing.bodies import Layout, bodies_of, placements_of
from boardmaker.packing.compaction import compact
from boardmaker.packing.container import container_of
from boardmaker.packing.effort import Meter
from boardmaker.packing.exploration import Exploration, ReferenceZones, Targets
from boardmaker.packing.first_scale import room_to_grow
from boardmaker.packing.initial import initial_layout, layout_from
from boardmaker.packing.judge import violations
from boardmaker.packing.problem import Effort, Item, Packing, Placement, Region, Report
from boardmaker.packing.scale_range import ScaleRange
from boardmaker.packing.settings import COMPACTION, GEOMETRY, NEAR_FIT
from boardmaker.packing.windows import fences_of
from boardmaker.packing.wishes import exchanged
from boardmaker.packing.zones import Zones


@dataclass(frozen=True)
class NearFit:
    """Places at which all zones fit if they are made `share` times as large about their middles; 1: as they are."""

    share: float
    placements: tuple[Placement, ...]

    @property
    def fits(self) -> bool:
        """Whether they fit as they are; the judge has passed it."""
        return self.share == 1.0


def nearest_fit(  # noqa: PLR0913 - all but two by keyword
    items: Sequence[Item],
    regions: Sequence[Region],
    *,
    clearance: float,
    least: float,
    effort: Effort | float = "normal",
    seed: int = 0,
    start: NearFit | None = None,
    report: Report | None = None,
) -> NearFit | None:
    """The nearest that the search comes to a fit, from `least` (a share, 0 to 1) on; None if not so near.

    It ends with the first fit. `start` is an arrangement to begin from. `effort` may be an amount of work in the
    meter's units. Same arguments, same answer. KeyboardInterrupt, and Enough from `report`, go on to the caller. Raises
    ValueError for a `least` that is not above 0 and at most 1, or an unknown effort.
    """
    return _FitSearch(items, regions, clearance, ScaleRange(least, 1.0), Meter(effort, report), seed).run(start)


class _FitSearch:
    """One search for a fit: an exploration whose reference zones are the true ones."""

    def __init__(
        self,
        items: Sequence[Item],
        regions: Sequence[Region],
        clearance: float,
        shares: ScaleRange,
        meter: Meter,
        seed: int,
    ) -> None:
        self._zones = Zones(1.0, tuple(items), bodies_of(items))
        self._regions, self._clearance, self._shares, self._meter = regions, clearance, shares, meter
        self._containers = tuple(container_of(region, GEOMETRY.surplus) for region in regions)
        self._random = np.random.default_rng(seed)

    def run(self, start: NearFit | None) -> NearFit | None:
        """Explore until something fits or the work is done; from smaller shares where nothing fits at the first."""
        if not self._zones.items:
            return NearFit(1.0, ())
        (share, layout), least = self._beginning(start), self._shares.lowest
        reference = ReferenceZones(self._zones, 1.0, self._containers, self._clearance + GEOMETRY.surplus)
        found = None
        while found is None and self._meter.used < self._meter.limit:
            targets = Targets(share, 1.0, self._limit(share), np.inf, 1.0)
            found = Exploration(reference, layout, targets, self._random, self._meter).run()
            if share == least:
                break
            share = least
        self._meter.finish()
        if found is None or found.scale < least:
            return None
        return self._judged(found.scale, found.layout)

    def _beginning(self, start: NearFit | None) -> tuple[float, Layout]:
        zones = self._zones
        if start is not None:
            packing = Packing(1.0, start.placements)
            return self._shares.nearest(start.share), layout_from(zones.items, zones.bodies, self._containers, packing)
        share = room_to_grow(zones.bodies, self._containers, self._clearance)
        return self._shares.nearest(share), initial_layout(zones.items, zones.bodies, self._containers)

    def _limit(self, share: float) -> float:
        """All there is for the least share, a part of it for one before."""
        used, limit = self._meter.used, self._meter.limit
        return limit if share == self._shares.lowest else used + (limit - used) * NEAR_FIT.first

    def _judged(self, share: float, layout: Layout) -> NearFit:
        """It with the word of the judge, if it is as large as can be."""
        items, bodies = self._zones.items, self._zones.bodies
        if share < 1.0 - COMPACTION.enough:
            return NearFit(share, placements_of(items, bodies, layout))
        fences = fences_of(items, layout, self._containers)
        clearance = self._clearance + GEOMETRY.surplus
        tight, factor, _ = compact(bodies, layout, self._containers, clearance, ceiling=1.0, fences=fences)
        placements = placements_of(items, bodies, exchanged(items, bodies, tight, self._containers))
        if factor < 1.0 or violations(items, placements, self._regions, self._clearance):
            return NearFit(NEAR_FIT.hardly, placements_of(items, bodies, layout))
        return NearFit(1.0, placements)
