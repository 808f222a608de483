"""The two public questions: the largest common scale, and whether fixed items fit.

In come items and regions, out come placements that the judge has passed. Apart because here the exact zones of
`items_at` meet the exploration, which works on zones of a nearby scale taken larger or smaller.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from boardmaker.packing.bodies import Layout
from boardmaker.packing.container import Container, container_of
from boardmaker.packing.diagnosis import crowding
from boardmaker.packing.effort import Meter
from boardmaker.packing.exploration import Exploration, Found, ReferenceZones, Targets
from boardmaker.packing.first_scale import likely_scale
from boardmaker.packing.initial import initial_layout, layout_from
from boardmaker.packing.problem import Effort, Enough, Item, ItemsAt, Packing, Placement, Region, Report
from boardmaker.packing.refinement import Refinement
from boardmaker.packing.scale_range import ScaleRange
from boardmaker.packing.settings import GEOMETRY, SCALE_SEARCH
from boardmaker.packing.windows import in_windows
from boardmaker.packing.zones import ZonesByScale


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
    scales = ScaleRange(lowest, highest)
    search = ScaleSearch(items_at, regions, clearance, scales, Meter(effort, report), seed)
    try:
        return search.run(start)
    except (KeyboardInterrupt, Enough):
        best = search.best_in_hurry()
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


@dataclass(frozen=True)
class _Standpoint:
    """Where a search goes on from."""

    scale: float
    layout: Layout
    reference: ReferenceZones


class ScaleSearch:
    """One search for the largest scale."""

    def __init__(
        self,
        items_at: ItemsAt,
        regions: Sequence[Region],
        clearance: float,
        scales: ScaleRange,
        meter: Meter,
        seed: int,
    ) -> None:
        self._regions, self._clearance, self._scales, self._meter = regions, clearance, scales, meter
        self._containers: tuple[Container, ...] = tuple(container_of(region, GEOMETRY.surplus) for region in regions)
        self._random = np.random.default_rng(seed)
        self._zones = ZonesByScale(items_at)
        self._refinement = Refinement(self._zones, regions, self._containers, clearance, scales, meter)
        self._exploration: Exploration | None = None  # the last one
        self._first_fit = 0.0  # work done when something fitted for the first time

    def run(self, start: Packing | None) -> Packing | None:
        """Explore from one reference scale after the other until the work is done; then refine what is best."""
        scale = self._scales.nearest(start.scale) if start is not None else self._likely_scale()
        if scale <= self._scales.lowest and self._is_too_crowded():
            return None
        zones = self._zones.at(scale)
        if not zones.items:
            return Packing(self._scales.highest, ())
        layout = initial_layout(zones.items, zones.bodies, self._containers)
        if start is not None:
            scale, layout = self._restart(start)
        at: _Standpoint | None = _Standpoint(scale, layout, self._reference(scale))
        while at is not None and self._goes_on(at.scale):
            at = self._explore(at)
        incumbent = self._refinement.incumbent
        if incumbent is not None:
            self._refine(incumbent.scale, incumbent.layout, SCALE_SEARCH.last_worth)
        self._meter.finish()
        return self._best()

    def best_in_hurry(self) -> Packing | None:
        """The best packing so far, also from the midst of an exploration."""
        exploration = self._exploration
        if exploration is not None and exploration.best is not None:
            self._refine_likely(exploration.best, exploration.reference)
        return self._best()

    def _explore(self, at: _Standpoint) -> _Standpoint | None:
        """Explore from there and refine what was found; where to go on from, None where there is no more to find."""
        before, best = self._meter.used, self._best()
        exploration = self._exploration = self._exploration_from(at)
        found = exploration.run()
        if found is None and at.scale <= self._scales.lowest and self._meter.used == before:
            return None
        if found is None:
            scale = max(self._scales.lowest, at.scale * SCALE_SEARCH.retreat)
            return _Standpoint(scale, at.layout, self._reference(scale))
        scale, layout = self._refine_likely(found, at.reference)
        no_news = self._best() is best
        if exploration.exhausted and best is not None and no_news:
            return None
        stays = not no_news and at.reference.suits(self._zones.at(scale).bodies, scale)
        return _Standpoint(scale, layout, at.reference if stays else self._reference(scale))

    def _exploration_from(self, at: _Standpoint) -> Exploration:
        goal = min(SCALE_SEARCH.drift * at.scale, self._scales.highest)
        targets = Targets(at.scale, goal, self._limit(at.scale), self._zones.drifted(at.scale), self._scales.highest)
        return Exploration(at.reference, at.layout, targets, self._random, self._meter)

    def _likely_scale(self) -> float:
        return likely_scale(self._zones, self._containers, self._clearance, self._scales)

    def _reference(self, scale: float) -> ReferenceZones:
        return ReferenceZones(self._zones.at(scale), scale, self._containers, self._clearance + GEOMETRY.surplus)

    def _restart(self, start: Packing) -> tuple[float, Layout]:
        """Where an earlier packing leads if its items only slide; as it is where some are outside of their windows."""
        scale = self._scales.nearest(start.scale)
        zones = self._zones.at(scale)
        layout = layout_from(zones.items, zones.bodies, self._containers, start)
        if not in_windows(zones.items, zones.bodies, layout, self._containers):
            return scale, layout
        return self._refine(scale, layout, SCALE_SEARCH.worth)

    def _refine_likely(self, found: Found, reference: ReferenceZones) -> tuple[float, Layout]:
        """Refine a find at the scale at which it is likely to fit on true zones.

        Rather too small than too large: what does not fit is asked for again, what could still grow is explored.
        """
        grown = reference.scale * self._zones.stretched(found.scale / reference.scale, found.scale)
        best = self._best()
        least = best.scale * SCALE_SEARCH.last_worth if best is not None else 0.0
        if not self._zones.grow_alike(found.scale):
            grown = max(grown * SCALE_SEARCH.cautious, min(grown, least))
        return self._refine(grown, found.layout, SCALE_SEARCH.worth)

    def _refine(self, scale: float, layout: Layout, worth: float) -> tuple[float, Layout]:
        before = self._best()
        end = self._refinement.refine(scale, layout, worth)
        after = self._best()
        if before is None and after is not None:
            self._first_fit = self._meter.used
        self._meter.best_scale = after.scale if after is not None else None
        return end.scale, end.layout

    def _best(self) -> Packing | None:
        incumbent = self._refinement.incumbent
        return incumbent.packing if incumbent is not None else None

    def _is_too_crowded(self) -> bool:
        """Whether no arrangement can hold all items even at the lowest scale: their areas alone say so."""
        items = self._zones.at(self._scales.lowest).items
        return crowding(items, self._regions, self._clearance) > SCALE_SEARCH.too_crowded

    def _goes_on(self, scale: float) -> bool:
        """Until the work is done; where nothing fitted yet and smaller may, up to `grace` times that work."""
        best = self._best()
        if best is None and scale > self._scales.lowest:
            return self._meter.used < SCALE_SEARCH.grace * self._meter.limit
        return self._meter.used < self._end() and not (best is not None and best.scale >= self._scales.highest)

    def _end(self) -> float:
        """The limit of the work; what fitted only late gets some of it again to grow, if that is worth anything."""
        return max(self._meter.limit, self._first_fit + self._meter.limit * SCALE_SEARCH.late)

    def _limit(self, scale: float) -> float:
        """Until something fits, a third of what is left for each reference scale but the last; then all there is."""
        used, limit = self._meter.used, self._end()
        if self._best() is not None:
            return limit
        share = limit / SCALE_SEARCH.shares
        if scale <= self._scales.lowest:
            return max(limit, used + share)
        return used + max(limit - used, limit) / SCALE_SEARCH.shares
