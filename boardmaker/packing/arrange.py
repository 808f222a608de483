"""A finished packing made to read better, at its own scale: items change places where space allows.

In: items as they are, a packing of them, relations between items. Out: a packing that the judge passes and that reads
at least as well. Apart from the search for the largest scale because here the scale is given and another thing counts.

Each attempt lets two items change places, separates on the raster what overlaps then, compacts that on the exact zones,
and keeps it where it fits and reads better. The exchanges that promise most come first.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import combinations

import numpy as np

from boardmaker.fixed_order import lengths, settled
from boardmaker.packing.bodies import Bodies, Layout, bodies_of, count_pieces, placements_of
from boardmaker.packing.compaction import compact
from boardmaker.packing.container import Container, container_of
from boardmaker.packing.effort import Meter
from boardmaker.packing.initial import layout_from
from boardmaker.packing.judge import violations
from boardmaker.packing.problem import Effort, Enough, Instance, Item, Packing, Placement, Region, Relations, Report
from boardmaker.packing.raster import Raster, ScaledRaster, suitable_pitch
from boardmaker.packing.reading import Reading, RelationsReader, Spread
from boardmaker.packing.separation import Separation
from boardmaker.packing.settings import ARRANGEMENT, GEOMETRY, RASTER, WORK
from boardmaker.packing.shapes import Floats
from boardmaker.packing.windows import fences_of, homes_of

_WORK_OF: dict[Effort, float] = {
    "quick": ARRANGEMENT.quick,
    "normal": ARRANGEMENT.normal,
    "thorough": ARRANGEMENT.thorough,
}


def arrange(
    instance: Instance,
    start: Packing,
    relations: Relations,
    *,
    effort: Effort = "normal",
    seed: int = 0,
    report: Report | None = None,
) -> Packing:
    """Return a packing of the same scale that reads at least as well as `start`, a packing of this instance.

    Ctrl-C, or `Enough` from `report`, ends it with what was reached so far, marked `cut_short`.
    """
    meter = Meter(_WORK_OF[effort], report)
    meter.best_scale = start.scale
    improvement = _Improvement(instance, start.placements, relations, meter, np.random.default_rng(seed))
    try:
        improvement.run()
    except (KeyboardInterrupt, Enough):
        return Packing(start.scale, improvement.placements, cut_short=True)
    return Packing(start.scale, improvement.placements)


def read_packing(
    items: Sequence[Item], regions: Sequence[Region], placements: Sequence[Placement], relations: Relations
) -> Reading:
    """Return how well a packing reads."""
    containers = tuple(container_of(region, 0.0) for region in regions)
    layout = layout_from(items, bodies_of(items), containers, Packing(1.0, tuple(placements)))
    return LayoutReader(items, bodies_of(items), containers, relations).read(layout)


class LayoutReader:
    """Reads layouts of the same items in the same containers."""

    def __init__(
        self, items: Sequence[Item], bodies: Bodies, containers: Sequence[Container], relations: Relations
    ) -> None:
        self._reader = RelationsReader([item.key for item in items], relations)
        self._reads = [np.array([body.read for body in poses]) for poses in bodies]
        self._turns = [[pose.turn_deg for pose in item.poses] for item in items]
        self._lows = np.array([container.low for container in containers])
        self._sizes = [(float(container.size[0]), float(container.size[1])) for container in containers]

    def read(self, layout: Layout) -> Reading:
        """Return how well a layout reads."""
        reads = np.array([reads[pose] for reads, pose in zip(self._reads, layout.poses, strict=True)]).reshape(-1, 2)
        middles = layout.middles + reads - self._lows[list(layout.containers)]
        turns = [turns[pose] for turns, pose in zip(self._turns, layout.poses, strict=True)]
        return self._reader.read(Spread(layout.containers, middles, self._sizes, turns))


class _Aside:
    """How far items that should lie aside are from the rim of their container, and whether they stand upright."""

    def __init__(
        self, items: Sequence[Item], bodies: Bodies, containers: Sequence[Container], keys: Sequence[str]
    ) -> None:
        self.items = [number for number, item in enumerate(items) if item.key in keys]
        self._bodies, self._containers = bodies, containers
        self._turns = [[pose.turn_deg for pose in item.poses] for item in items]

    def share(self, layout: Layout) -> float:
        """From 0 to 1, all upright at the rim; 0 where there are none."""
        if not self.items:
            return 0.0
        return math.fsum(self._share(item, layout) for item in self.items) / len(self.items)

    def moved(self, layout: Layout) -> Iterator[tuple[Layout, float]]:
        """Layouts with one of them at a wall, or upright; how far that is in shares of its container."""
        for item in self.items:
            if self._turns[item][layout.poses[item]] != 0:
                yield from self._upright(item, layout)
            for way in self._gaps(item, layout):
                container = self._containers[layout.containers[item]]
                middles = layout.middles.copy()
                middles[item] += way
                yield Layout(layout.containers, layout.poses, middles), float(lengths(*(way / container.size)))

    def _upright(self, item: int, layout: Layout) -> Iterator[tuple[Layout, float]]:
        for pose, turn_deg in enumerate(self._turns[item]):
            if turn_deg == 0:
                poses = (*layout.poses[:item], pose, *layout.poses[item + 1 :])
                yield Layout(layout.containers, poses, layout.middles), 0.0

    def _share(self, item: int, layout: Layout) -> float:
        container = self._containers[layout.containers[item]]
        gap = min(float(np.abs(way).max()) for way in self._gaps(item, layout))
        near = max(0.0, 1.0 - gap / (ARRANGEMENT.rim * float(container.size.min())))
        upright = self._turns[item][layout.poses[item]] == 0
        return (near + ARRANGEMENT.standing * upright) / (1.0 + ARRANGEMENT.standing)

    def _gaps(self, item: int, layout: Layout) -> list[Floats]:
        """The ways from an item to the four sides of the box around its container, less the margin."""
        container, ring = self._containers[layout.containers[item]], self._bodies[item][layout.poses[item]].ring
        low = container.low + container.margin - layout.middles[item] - ring.min(axis=0)
        high = container.low + container.size - container.margin - layout.middles[item] - ring.max(axis=0)
        return [np.array(way) for way in ((low[0], 0.0), (high[0], 0.0), (0.0, low[1]), (0.0, high[1]))]


class _Improvement:
    """The best arrangement so far, and what it takes to try others."""

    def __init__(
        self,
        instance: Instance,
        start: tuple[Placement, ...],
        relations: Relations,
        meter: Meter,
        random: np.random.Generator,
    ) -> None:
        self.placements = start
        self._instance, self._meter, self._random = instance, meter, random
        self._containers = tuple(container_of(region, GEOMETRY.surplus) for region in instance.regions)
        self._bodies: Bodies = bodies_of(instance.items)
        self._sizes = [_box_area(poses[0].ring) for poses in self._bodies]
        self._layout = layout_from(instance.items, self._bodies, self._containers, Packing(1.0, self.placements))
        self._reader = LayoutReader(instance.items, self._bodies, self._containers, relations)
        numbers = {item.key: number for number, item in enumerate(instance.items)}
        self._twins = [(numbers[one], numbers[other]) for one, other in relations.twins]
        self._aside = _Aside(instance.items, self._bodies, self._containers, relations.aside)
        self._asides: Sequence[int] = ()  # those that are moved there now
        self._reading = self._reader.read(self._layout).total
        self._worth = self._worth_of(self._layout, self._reading)

    def run(self) -> None:
        """Exchange until nothing reads better any more or the work is done; then see to what should lie aside."""
        wanted = self._instance.clearance + GEOMETRY.surplus
        pitch = suitable_pitch(self._bodies, self._containers, wanted, RASTER.nodes)
        raster = Raster(self._bodies, self._containers, wanted, pitch, homes_of(self._instance.items)).enlarged(1.0)
        Separation(raster, self._layout, self._random, self._meter)  # looks up all pairs as they lie now, without cost
        self._exchange(raster)
        self._asides, limit = self._aside.items, self._meter.limit
        if self._asides:
            self._meter.limit = min(limit, self._meter.used) + ARRANGEMENT.for_aside * limit
            self._worth = self._worth_of(self._layout, self._reading)
            self._exchange(raster)
        self._meter.finish()

    def _exchange(self, raster: ScaledRaster) -> None:
        while any(self._try(raster, layout) for layout in self._promising()):
            pass

    def _gain(self, layout: Layout) -> float:
        """How much better than the best a layout is; 0 where it reads worse."""
        self._meter.spend(WORK.reading)
        reading = self._reader.read(layout).total
        if self._asides and reading < self._reading - ARRANGEMENT.lost:
            return 0.0
        return self._worth_of(layout, reading) - self._worth

    def _worth_of(self, layout: Layout, reading: float) -> float:
        return reading + (ARRANGEMENT.aside * self._aside.share(layout) if self._asides else 0.0)

    def _promising(self) -> Iterator[Layout]:
        """Layouts that would read better: first those that gain most and disturb least."""
        found = []
        asides = self._aside.moved(self._layout) if self._asides else ()
        for layout, disturbance in (*self._exchanges(), *self._mirrorings(), *asides):
            gain = self._gain(layout)
            if gain > ARRANGEMENT.better:
                found.append((gain / (ARRANGEMENT.alike + disturbance), layout))
        found.sort(key=lambda pair: -pair[0])
        return (layout for _, layout in found if self._meter.used < self._meter.limit)

    def _exchanges(self) -> Iterator[tuple[Layout, float]]:
        """Layouts with two items exchanged; like ones disturb little."""
        for one, other in combinations(range(len(self._sizes)), 2):
            unlike = abs(settled(math.log(self._sizes[one] / self._sizes[other])))
            yield _exchanged(self._layout, one, other), unlike

    def _mirrorings(self) -> Iterator[tuple[Layout, float]]:
        """Layouts with an item where its twin would be seen in a mirror; the farther, the more it disturbs."""
        for item, twin in (*self._twins, *((twin, item) for item, twin in self._twins)):
            layout, container = self._layout, self._containers[self._layout.containers[twin]]
            middles = layout.middles.copy()
            reads = [self._bodies[number][layout.poses[number]].read for number in (item, twin)]
            x, y = middles[twin] + reads[1] - container.low
            middles[item] = container.low + np.array((container.size[0] - x, y)) - reads[0]
            containers = list(layout.containers)
            containers[item] = layout.containers[twin]
            way = float(lengths(*((middles[item] - layout.middles[item]) / container.size)))
            yield Layout(tuple(containers), layout.poses, middles), way

    def _try(self, raster: ScaledRaster, layout: Layout) -> bool:
        """Whether an exchange can be made to fit and still reads better; it is then the best so far."""
        separation = Separation(raster, layout, self._random, self._meter)
        separation.separate(ARRANGEMENT.patience, self._meter.limit)
        apart = separation.layout()
        if not separation.is_nearly_done() or self._gain(apart) <= ARRANGEMENT.better:
            return False
        compacted = self._compacted(apart)
        return compacted is not None and self._keep(compacted)

    def _compacted(self, layout: Layout) -> Layout | None:
        self._meter.spend_compaction(count_pieces(self._bodies, layout))
        clearance = self._instance.clearance + GEOMETRY.surplus
        fences = fences_of(self._instance.items, layout, self._containers)
        found = compact(self._bodies, layout, self._containers, clearance, ceiling=1.0, fences=fences)
        return found.layout if found.factor >= 1.0 else None

    def _keep(self, layout: Layout) -> bool:
        instance = self._instance
        placements = placements_of(instance.items, self._bodies, layout)
        sound = not violations(instance.items, placements, instance.regions, instance.clearance)
        if self._gain(layout) <= ARRANGEMENT.better or not sound:
            return False
        reading = self._reader.read(layout).total
        self._layout, self.placements = layout, placements
        self._reading, self._worth = max(reading, self._reading), self._worth_of(layout, reading)
        return True


def _box_area(ring: Floats) -> float:
    width, height = np.ptp(ring, axis=0).tolist()
    return float(width * height)


def _exchanged(layout: Layout, one: int, other: int) -> Layout:
    containers, middles = list(layout.containers), layout.middles.copy()
    containers[one], containers[other] = containers[other], containers[one]
    middles[[one, other]] = middles[[other, one]]
    return Layout(tuple(containers), layout.poses, middles)
