"""Words that grow into the room that packing has left: a board with few panels need not whisper.

In: a candidate, and its figures in larger type, or with level words. Out: the candidate with everything where it was,
some of it in larger words, and with level words where a panel lies turned. Apart from the search, because nothing
moves: a figure keeps its turn, its shape and its pockets, a panel its origin, a table one of its corners, an edge or
its middle, and what it claims more was nobody's. Step by step all grow alike, so that none takes the room of another;
panels all or none, so that the size of a number means nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import replace
from itertools import product

import numpy as np
import shapely
from shapely import Polygon

from boardmaker.boards.candidate import Candidate
from boardmaker.boards.poses import placed_at
from boardmaker.drawing import Placed
from boardmaker.figures import Figure, FigureKind, Things
from boardmaker.geometry import bounds
from boardmaker.typeset.label import Box

STEPS = (1.1, 1.2, 1.4, 1.7, 2.0)  # times the usual type
ANCHORS = (0.0, 1.0, 0.5)  # of a table's width and of its height: what may keep its place
HAIR = 1e-6  # mm
DECIMALS = 3  # of a place in mm, as packing has them: the board file keeps all of them

PanelsIn = Callable[[float], Iterable[tuple[Figure, ...]]]  # in words so many times as large
PanelsAt = Callable[[Mapping[str, int]], Iterable[tuple[Figure, ...]]]
TitlesAt = Callable[[Mapping[str, int]], Things]
TablesIn = Callable[[float, Collection[FigureKind]], Things]  # those of some kinds


def with_larger_words(found: Candidate, panels_in: PanelsIn, tables_in: TablesIn, clearance: float) -> Candidate:
    """Return the candidate with words as large as there is room for.

    Panels and tables are drawn in words so many times as large, in the order of the candidate's. Zones keep the
    clearance (mm) from each other and the margin from the edge, as before.
    """
    left = _RoomLeft(found, clearance)
    kinds = [left.kind_of(index) for index in range(len(found.packing.placements))]
    panels = [index for index, kind in enumerate(kinds) if kind == "panel"]
    tables = [index for index, kind in enumerate(kinds) if kind != "panel"]
    for times in STEPS:
        drawn = zip(panels, panels_in(times) if panels else (), strict=True)
        larger = ((index, placed_at(figures, found.packing.placements[index])) for index, figures in drawn)
        panels = panels if left.are_taken(larger) else []
        wanted = {kinds[index] for index in tables}
        alike = [index for index, kind in enumerate(kinds) if kind in wanted]
        forms = dict(zip(alike, tables_in(times, wanted) if tables else (), strict=True))
        tables = [index for index in tables if left.is_taken(index, forms[index])]
    return left.candidate()


def with_level_words(
    found: Candidate, panels_at: PanelsAt, titles_at: TitlesAt, clearance: float
) -> tuple[Candidate, dict[str, int]]:
    """Return the candidate with level words on panels that lie turned, where there is room; and the turns of these.

    Panels, in the order of the candidate's, and the title block are drawn with level words at these turns, by their
    keys: a note on a hole for which a level label has no room stands in the title block.
    """
    left = _RoomLeft(found, clearance)
    kinds = [left.kind_of(index) for index in range(len(found.packing.placements))]
    panels = [index for index, kind in enumerate(kinds) if kind == "panel"]
    turns = {left.lies(index).figure.key: left.lies(index).turn_deg for index in panels}
    level: dict[str, int] = {}
    for index, figures in zip(panels, panels_at(turns) if any(turns.values()) else (), strict=False):
        panel = placed_at(figures, found.packing.placements[index])
        key, turn_deg = panel.figure.key, panel.turn_deg
        if turn_deg == 0:
            continue
        told = left.are_taken([(index, panel)])
        if told or left.is_taken_with_notes(index, panel, kinds.index("title"), titles_at({**level, key: turn_deg})):
            level[key] = turn_deg
    return left.candidate(), level


class _RoomLeft:
    """What lies on the boards, and whether something larger has room in the place of what lies there."""

    def __init__(self, found: Candidate, clearance: float) -> None:
        self._found, self._clearance = found, clearance
        margin = found.setup.board.margin
        self._insides = [
            Polygon(blank.outline).buffer(HAIR - margin, join_style="mitre") for blank in found.stack.blanks
        ]
        self._lying = [list(on_board) for on_board in found.placed]
        self._zones = [[Polygon(one.figure.zone) for one in on_board] for on_board in found.placed]
        self._where: list[tuple[int, int]] = []  # of each thing: its board, and its number there
        seen = [0] * len(found.placed)
        for placement in found.packing.placements:
            self._where.append((placement.region, seen[placement.region]))
            seen[placement.region] += 1

    def lies(self, index: int) -> Placed:
        """Return this thing where it lies."""
        board, number = self._where[index]
        return self._lying[board][number]

    def kind_of(self, index: int) -> FigureKind:
        """Return what this thing is."""
        return self.lies(index).figure.kind

    def are_taken(self, larger: Iterable[tuple[int, Placed]]) -> bool:
        """Put things in larger type where they lie, if all of them have the room; say whether they had.

        None is asked for after the first that has no room.
        """
        lying, zones = ([list(on_board) for on_board in all_] for all_ in (self._lying, self._zones))
        for index, thing in larger:
            if not self._has_room(index, thing):
                self._lying, self._zones = lying, zones
                return False
            self._put(index, thing)
        return True

    def is_taken_with_notes(self, index: int, panel: Placed, title: int, titles: Things) -> bool:
        """Put a panel where it lies and the notes that have no room on it into the title block, if both have room."""
        lying, zones = ([list(on_board) for on_board in all_] for all_ in (self._lying, self._zones))
        told = replace(self.lies(index), figure=replace(self.lies(index).figure, notes=panel.figure.notes))
        self._put(index, told)
        if self.are_taken([(index, panel)]) and self.is_taken(title, titles[0]):
            return True
        self._lying, self._zones = lying, zones
        return False

    def _put(self, index: int, thing: Placed) -> None:
        board, number = self._where[index]
        self._lying[board][number], self._zones[board][number] = thing, Polygon(thing.figure.zone)

    def is_taken(self, index: int, alternatives: tuple[Figure, ...]) -> bool:
        """Put a table in larger type about where it lies, if it has the room; say whether it had."""
        board, number = self._where[index]
        lies, placement = self._lying[board][number], self._found.packing.placements[index]
        larger = placed_at(alternatives, placement)
        x0, y0, x1, y1 = (now - then for now, then in zip(_box(larger), _box(lies), strict=True))
        if min(x1 - x0, y1 - y0) < -HAIR:
            return False  # another form: packing again would not find the usual one's place in it
        for share_x, share_y in product(ANCHORS, repeat=2):
            way = (x0 + (x1 - x0) * share_x, y0 + (y1 - y0) * share_y)
            at = round(placement.at[0] - way[0], DECIMALS), round(placement.at[1] - way[1], DECIMALS)
            if self.are_taken([(index, placed_at(alternatives, replace(placement, at=at)))]):
                return True
        return False

    def _has_room(self, index: int, larger: Placed) -> bool:
        board, number = self._where[index]
        if not _reads_as_well(larger.figure, self._lying[board][number].figure):
            return False
        zone = Polygon(larger.figure.zone)
        apart = shapely.distance(zone, self._zones[board])
        apart[number] = self._clearance
        return bool(apart.min() >= self._clearance - HAIR and self._insides[board].covers(zone))

    def candidate(self) -> Candidate:
        """Return the candidate as it lies now."""
        return replace(self._found, placed=tuple(map(tuple, self._lying)))


def _box(placed: Placed) -> Box:
    return bounds(placed.figure.zone)


def _reads_as_well(larger: Figure, figure: Figure) -> bool:
    """Whether larger words keep the pockets, want no more leaders and lie over no more of the outline."""
    return (
        larger.pockets == figure.pockets
        and len(larger.leaders) <= len(figure.leaders)
        and len(larger.notes) <= len(figure.notes)
        and _over_outline(larger) <= _over_outline(figure)
    )


def _over_outline(figure: Figure) -> int:
    """How many labels lie over their panel's outline."""
    if not figure.outline:
        return 0
    boxes = shapely.box(*zip(*(label.box for label in figure.labels), strict=True))
    return int(np.count_nonzero(shapely.intersects(shapely.linearrings(figure.outline), boxes)))
