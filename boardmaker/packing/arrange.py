"""A finished packing made to read better, at its own scale: items change places where room allows.

In: items as they are, a packing of them, relations between items. Out: a packing that the judge passes and that reads
at least as well. Apart from the search for the largest scale because here the scale is given and another thing counts.

Each attempt lets two items change places, separates on the grid what overlaps then, squeezes that on the exact zones,
and keeps it where it fits and reads better. The exchanges that promise most come first.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

import numpy as np

from boardmaker.packing.arena import Arena, suitable_pitch
from boardmaker.packing.bodies import Bodies, Layout, bodies_of, placements_of
from boardmaker.packing.effort import PIECE_WORK, SQUEEZE_WORK, Meter
from boardmaker.packing.judge import violations
from boardmaker.packing.problem import Effort, Enough, Item, Packing, Placement, Region, Relations, Report
from boardmaker.packing.reading import Reader, Reading, Spread
from boardmaker.packing.room import SURPLUS, Room, room_of
from boardmaker.packing.search import Search
from boardmaker.packing.squeeze import squeeze
from boardmaker.packing.start import started_layout

_WORK: dict[Effort, float] = {"quick": 1e9, "normal": 5e9, "thorough": 2e10}
_NODES = 24_000  # in all rooms, as in a hunt
_PATIENCE = 12  # rounds of separation without progress
_NEARLY = 2.0  # of overlap for each item, in roots of cells: the squeeze can make up for so much
_BETTER = 1e-6  # of the reading; less is no gain
_ALIKE = 0.3  # of the logarithm of two items' sizes: an exchange of items that are more alike disturbs no less
_READ_WORK = 2e4  # of reading one layout


def arrange(  # noqa: PLR0913 - half of them by keyword
    items: Sequence[Item],
    regions: Sequence[Region],
    start: Packing,
    relations: Relations,
    *,
    clearance: float,
    effort: Effort = "normal",
    seed: int = 0,
    report: Report | None = None,
) -> Packing:
    """Return a packing of the same scale that reads at least as well as `start`, which must be one of these items.

    Ctrl-C, or `Enough` from `report`, ends it with what was reached so far, marked `cut_short`.
    """
    meter = Meter(_WORK[effort], report)
    meter.best_scale = start.scale
    improvement = _Improvement(
        items, regions, start.placements, relations, clearance, meter, np.random.default_rng(seed)
    )
    try:
        improvement.run()
    except (KeyboardInterrupt, Enough):
        return Packing(start.scale, improvement.placements, cut_short=True)
    return Packing(start.scale, improvement.placements)


def read_packing(
    items: Sequence[Item], regions: Sequence[Region], placements: Sequence[Placement], relations: Relations
) -> Reading:
    """Return how well a packing reads."""
    rooms = tuple(room_of(region, 0.0) for region in regions)
    layout = started_layout(items, bodies_of(items), rooms, Packing(1.0, tuple(placements)))
    return _Reader(items, rooms, relations).read(layout)


class _Reader:
    """Reads layouts of the same items in the same rooms."""

    def __init__(self, items: Sequence[Item], rooms: Sequence[Room], relations: Relations) -> None:
        self._reader = Reader([item.key for item in items], relations)
        self._lows = np.array([room.low for room in rooms])
        self._sizes = [(float(room.size[0]), float(room.size[1])) for room in rooms]

    def read(self, layout: Layout) -> Reading:
        middles = layout.middles - self._lows[list(layout.rooms)]
        return self._reader.read(Spread(layout.rooms, middles, self._sizes))


class _Improvement:
    """The best arrangement so far, and what it takes to try others."""

    def __init__(
        self,
        items: Sequence[Item],
        regions: Sequence[Region],
        start: tuple[Placement, ...],
        relations: Relations,
        clearance: float,
        meter: Meter,
        random: np.random.Generator,
    ) -> None:
        self.placements = start
        self._items, self._regions, self._clearance, self._meter = items, regions, clearance, meter
        self._rooms: tuple[Room, ...] = tuple(room_of(region, SURPLUS) for region in regions)
        self._bodies: Bodies = bodies_of(items)
        self._sizes = [float(np.prod(np.ptp(poses[0].ring, axis=0))) for poses in self._bodies]
        self._layout = started_layout(items, self._bodies, self._rooms, Packing(1.0, self.placements))
        self._reader = _Reader(items, self._rooms, relations)
        self._reading = self._reader.read(self._layout).total
        self._random = random

    def run(self) -> None:
        """Exchange until nothing reads better any more or the work is done."""
        wanted = self._clearance + SURPLUS
        arena = Arena(self._bodies, self._rooms, wanted, suitable_pitch(self._bodies, self._rooms, wanted, _NODES))
        search = Search(arena, self._layout, self._random, self._meter)
        while any(self._try(search, layout) for layout in self._promising()):
            pass
        self._meter.finish()

    def _read(self, layout: Layout) -> float:
        self._meter.spend(_READ_WORK)
        return self._reader.read(layout).total

    def _promising(self) -> Iterator[Layout]:
        """Layouts with two items exchanged that would read better: first those that gain most and disturb least."""
        found = []
        for one, other in combinations(range(len(self._items)), 2):
            layout = _exchanged(self._layout, one, other)
            gain = self._read(layout) - self._reading
            if gain > _BETTER:
                unlike = abs(float(np.log(self._sizes[one] / self._sizes[other])))
                found.append((gain / (_ALIKE + unlike), layout))
        found.sort(key=lambda pair: -pair[0])
        return (layout for _, layout in found if self._meter.used < self._meter.limit)

    def _try(self, search: Search, layout: Layout) -> bool:
        """Whether an exchange can be made to fit and still reads better; it is then the best so far."""
        search.place(layout)
        search.separate(_PATIENCE, self._meter.limit)
        apart = search.layout()
        if search.overlap() > _NEARLY * len(self._items) or self._read(apart) <= self._reading + _BETTER:
            return False
        settled = self._settled(apart)
        return settled is not None and self._keep(settled)

    def _settled(self, layout: Layout) -> Layout | None:
        pieces = sum(len(poses[pose].pieces) for poses, pose in zip(self._bodies, layout.poses, strict=True))
        self._meter.spend(SQUEEZE_WORK + PIECE_WORK * pieces)
        settled, factor, _ = squeeze(self._bodies, layout, self._rooms, self._clearance + SURPLUS, ceiling=1.0)
        return settled if factor >= 1.0 else None

    def _keep(self, layout: Layout) -> bool:
        reading = self._read(layout)
        placements = placements_of(self._items, self._bodies, layout)
        if reading <= self._reading + _BETTER or violations(self._items, placements, self._regions, self._clearance):
            return False
        self._layout, self._reading, self.placements = layout, reading, placements
        return True


def _exchanged(layout: Layout, one: int, other: int) -> Layout:
    rooms, middles = list(layout.rooms), layout.middles.copy()
    rooms[one], rooms[other] = rooms[other], rooms[one]
    middles[[one, other]] = middles[[other, one]]
    return Layout(tuple(rooms), layout.poses, middles)
