"""Refinement: a find on a reference's zones made exact on the true zones of its scale, and the best packing kept.

In: a scale and a layout that are likely to fit. Out: where to go on from, and in `incumbent` the best packing that the
judge has passed. Apart because only here figures are laid out again and again, which is slow.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from boardmaker.fixed_order import settled
from boardmaker.packing.bodies import Layout, count_pieces, placements_of
from boardmaker.packing.compaction import compact
from boardmaker.packing.container import Container
from boardmaker.packing.effort import Meter
from boardmaker.packing.judge import violations
from boardmaker.packing.problem import Packing, Region
from boardmaker.packing.scale_range import ScaleRange
from boardmaker.packing.settings import GEOMETRY, SCALE_SEARCH
from boardmaker.packing.windows import fences_of
from boardmaker.packing.wishes import exchanged
from boardmaker.packing.zones import Zones, ZonesByScale


@dataclass(frozen=True)
class Incumbent:
    """The best packing so far, and the same as a layout of its bodies."""

    packing: Packing
    layout: Layout

    @property
    def scale(self) -> float:
        """The packing's scale."""
        return self.packing.scale


@dataclass(frozen=True)
class Trial:
    """A scale and a layout to try there; `too_large` is the least scale known to be too large for it."""

    scale: float
    layout: Layout
    too_large: float = np.inf
    last: bool = False


class Refinement:
    """Compacts on true zones, and keeps the best packing of all that were asked for."""

    def __init__(
        self,
        zones: ZonesByScale,
        regions: Sequence[Region],
        containers: Sequence[Container],
        clearance: float,
        scales: ScaleRange,
        meter: Meter,
    ) -> None:
        self.incumbent: Incumbent | None = None
        self._zones, self._regions, self._containers = zones, regions, containers
        self._clearance, self._scales, self._meter = clearance, scales, meter

    def refine(self, scale: float, layout: Layout, worth: float) -> Trial:
        """Compact on the true zones of ever better guesses at the scale; return where to go on from.

        It ends where the incumbent is not beaten, or not by more than the factor `worth`.
        """
        trial = Trial(scale, layout)
        for _ in range(SCALE_SEARCH.refinements):
            trial = self._tried(trial, worth)
            if trial.last:
                break
        return trial

    def _tried(self, trial: Trial, worth: float) -> Trial:
        """Compact at one scale; the next trial."""
        scale = self._scales.nearest(trial.scale)
        if self.incumbent is not None and scale < self.incumbent.scale:
            return Trial(self.incumbent.scale, self.incumbent.layout, last=True)
        zones = self._zones.at(scale)
        layout, factor = self._compacted(zones, trial.layout, self._scales.highest / scale)
        if factor == 0 or scale * factor < self._scales.lowest:
            return Trial(scale, trial.layout, last=True)
        if factor < 1:
            too_large = min(trial.too_large, scale)
            return self._next(Trial(scale, layout, too_large), factor, worth)
        # A concave zone that is made smaller about its middle does not stay within itself: slide once more.
        layout = self._compacted(zones, layout, 1.0)[0] if factor > 1 else layout
        if not self._keep(zones, layout):
            return Trial(scale * SCALE_SEARCH.less, layout, trial.too_large)
        return self._next(Trial(scale, layout, trial.too_large, last=factor < worth), factor, worth)

    def _next(self, tried: Trial, factor: float, worth: float) -> Trial:
        """What to try after a layout whose zones could be larger by a factor; the same as the last if not worth it."""
        guess = self._scales.nearest(self._better_scale(tried.scale, factor, tried.too_large))
        beaten = self.incumbent is not None and guess < self.incumbent.scale * worth
        if tried.last or beaten:
            return replace(tried, last=True)
        return replace(tried, scale=guess)

    def _better_scale(self, scale: float, factor: float, too_large: float) -> float:
        """A better scale where zones of this one could be larger by a factor; below those known to be too large."""
        wanted = factor if factor > 1 else min(settled(factor**SCALE_SEARCH.beyond), SCALE_SEARCH.notch)
        guess = scale * self._zones.stretched(wanted, scale)
        return guess if guess < too_large else float(np.sqrt(scale * too_large))

    def _compacted(self, zones: Zones, layout: Layout, ceiling: float) -> tuple[Layout, float]:
        self._meter.spend_refinement(count_pieces(zones.bodies, layout))
        clearance, fences = self._clearance + GEOMETRY.surplus, fences_of(zones.items, layout, self._containers)
        return compact(zones.bodies, layout, self._containers, clearance, ceiling=ceiling, fences=fences)[:2]

    def _keep(self, zones: Zones, layout: Layout) -> bool:
        """Remember a packing that is larger than the best so far; False if the judge does not pass it."""
        if self.incumbent is not None and zones.scale <= self.incumbent.scale:
            return True
        layout = exchanged(zones.items, zones.bodies, layout, self._containers)
        placements = placements_of(zones.items, zones.bodies, layout)
        if violations(zones.items, placements, self._regions, self._clearance):
            return False
        self.incumbent = Incumbent(Packing(zones.scale, placements), layout)
        return True
