"""The way of the pen around a panel: the closed line of ink, over gaps and over what the print hides.

In: the ink. Out: the closed way in pixels, roughly. The cheapest way around a place inside: along ink it costs next to
nothing, over the print's dark cells little, over clean tint much. Whether a way goes around the place is told by a ray
from it: an odd number of crossings. That holds whatever shape the panel has and however the tags cut its line.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import dijkstra

from boardmaker.photo.flattened import FINENESS
from boardmaker.photo.known_mat import Floats
from boardmaker.photo.pen_ink import PenInk
from boardmaker.photo.pen_print import Mask

CELL = 3  # pixels, a side of a cell of the search
COSTS = (0.004, 3.0, 20.0, 0.4, 10.0)  # of a cell, by its kind
STRAY = 2  # cells: what is hidden so near to ink that a line may well go on there
BESIDE = 8.0  # mm from ink in which clean tint may be crossed
MOST_CLEAN = 6.0  # mm of clean tint on the whole way: an open end of the drawing
SMALLEST = 2500.0  # mm2 inside
HIDDEN_COUNTS = 2.0  # so many mm of ink are worth one that is hidden
PLACES = 4  # inside that are tried
TRIES = 5
DEARER = 6.0  # times the cost, of what is not seen on a way that left ink over, in the next try
AT_SHORT_CUT, AT_SQUARE = 3, 2  # cells around it
LITTLE = 20.0  # mm of ink that may be left over: hardly more than a hole
FAR = 32.0  # mm from long lines, further than a tag hides one
NEAR = 4.0  # mm from the way: its own ink
LEAST_LOOP = 60.0  # mm2 inside of a tab or a bay: more than in a hole's loop
LONG = 15.0  # mm across of ink that is a part of the outline for sure
APART = 20.0  # mm between two of them
CELL_MM = CELL / FINENESS
_STEPS = ((0, 1), (1, -1), (1, 0), (1, 1))  # to half of the neighbours; ways run both ways
SEEN, UNSEEN, PLAIN, LIKELY, PRINT = range(5)
Cells = NDArray[np.int64]


@dataclass(frozen=True)
class PenWay:
    """The closed way, pixels, and how many mm of it run over ink, over clean tint and over what is hidden.

    `left_over`: mm of long lines of ink, about, that lie off the way.
    """

    places: Floats
    seen: float
    clean: float
    hidden: float
    left_over: float = 0.0


def pen_way(ink: PenInk) -> PenWay | None:
    """Return the closed way of the pen; None where there is none."""
    kinds, squares = _kinds(ink), _grown(_cells(ink.square, any_pixel=True), AT_SQUARE)
    places = tuple(_inside(kinds, squares))
    dearer = np.ones(kinds.shape)
    found: list[PenWay] = []
    for _ in range(TRIES):
        graph = _Cells(kinds, dearer)
        ways = [way for place in places if (way := graph.around(*place)) and _sound(way)]
        if not ways:
            break
        way = max(ways, key=lambda way: way.seen - HIDDEN_COUNTS * way.hidden)
        found.append(replace(way, left_over=_left_over(kinds, squares, way)))
        if found[-1].left_over <= LITTLE:
            break
        dearer[_grown(_along(kinds, way, 1), AT_SHORT_CUT)] *= DEARER  # it took a short cut where nothing is seen
    best = min(found, key=lambda way: way.left_over, default=None)
    return _around_loops(kinds, squares, best) if best and best.left_over > LITTLE else best


def _around_loops(kinds: NDArray[np.int8], squares: Mask, way: PenWay) -> PenWay:
    """The way led around closed loops that it passes at their necks: tabs and bays whose lines run together there."""
    ink = (kinds == SEEN).astype(np.uint8)
    within = cv2.fillPoly(np.zeros_like(ink), [_cells_of(way.places)], 1)
    _, faces = cv2.connectedComponents(1 - ink, connectivity=4)
    inside = np.bincount(faces[(within > 0) & (ink == 0)].ravel(), minlength=1).argmax()
    others = {int(inside), *faces[0], *faces[-1], *faces[:, 0], *faces[:, -1]}
    for face in sorted({*faces[_grown(_off_way(kinds, squares, way), 1) & (ink == 0)].tolist()} - others):
        loop = faces == face
        if loop.sum() * CELL_MM**2 > LEAST_LOOP:
            bay = within[loop].mean() > 0.5
            within[_grown(loop, 1)] = 0 if bay else 1
    brush = np.ones((3, 3), np.uint8)
    within = cv2.morphologyEx(cv2.morphologyEx(within, cv2.MORPH_CLOSE, brush), cv2.MORPH_OPEN, brush)
    contours, _ = cv2.findContours(within, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    led = _way_along(kinds, max(contours, key=cv2.contourArea).reshape(-1, 2))
    return replace(led, left_over=_left_over(kinds, squares, led))


def _way_along(kinds: NDArray[np.int8], cells: Cells) -> PenWay:
    """The closed way over cells (column, row), and over what it leads."""
    kind = kinds[cells[:, 1], cells[:, 0]]
    places = (cells + 0.5) * CELL - 0.5
    long = np.hypot(*np.diff(np.vstack([places, places[:1]]), axis=0).T) / FINENESS
    seen, clean, hidden = (
        float(long[np.isin(kind, of)].sum()) for of in ([SEEN], [PLAIN, -1], [UNSEEN, LIKELY, PRINT])
    )
    return PenWay(np.asarray(places, float), seen, clean, hidden)


def _left_over(kinds: NDArray[np.int8], squares: Mask, way: PenWay) -> float:
    """How many mm of long lines of ink, about, lie off the way; in tags the print itself may look like ink."""
    return float(_off_way(kinds, squares, way).sum()) * CELL_MM


def _off_way(kinds: NDArray[np.int8], squares: Mask, way: PenWay) -> Mask:
    """Long lines off the way; a hole's loop beside the outline may have run into it, and is none."""
    off = _long_ink(np.where(squares, UNSEEN, kinds)) & ~_along(kinds, way, 2 * int(NEAR / CELL_MM) + 1)
    return _long_parts(off)


def _along(kinds: NDArray[np.int8], way: PenWay, width: int) -> Mask:
    along = np.zeros(kinds.shape, np.uint8)
    cv2.polylines(along, [_cells_of(way.places)], True, 1, width)
    return along > 0


def _cells_of(places: Floats) -> NDArray[np.int32]:
    return np.round((places + 0.5) / CELL - 0.5).astype(np.int32)


def _grown(mask: Mask, by: int) -> Mask:
    return np.asarray(cv2.dilate(mask.astype(np.uint8), np.ones((2 * by + 1,) * 2, np.uint8)) > 0)


def _sound(way: PenWay) -> bool:
    area = cv2.contourArea(way.places.astype(np.float32)) / FINENESS**2
    return way.clean <= MOST_CLEAN and area >= SMALLEST


def _kinds(ink: PenInk) -> NDArray[np.int8]:
    """What is in each cell: ink, something hidden, or clean tint; -1 outside of the mat and far from all ink."""
    inked = _cells(ink.inked, any_pixel=True)
    hidden = _cells(ink.mat & ~ink.told, any_pixel=True)
    printed = _cells(ink.mat & ink.square, any_pixel=True)
    mat = _cells(ink.mat, any_pixel=False)
    kinds = np.full(inked.shape, PLAIN, np.int8)
    kinds[printed] = PRINT
    kinds[hidden] = UNSEEN
    kinds[hidden & _grown(inked, STRAY)] = LIKELY
    kinds[inked] = SEEN
    near = _grown(inked | hidden | printed, int(BESIDE / CELL_MM)) & _grown(_long_ink(kinds), int(FAR / CELL_MM))
    kinds[~(mat & near)] = -1
    return kinds


def _cells(mask: Mask, any_pixel: bool) -> Mask:
    rows, columns = (side // CELL for side in mask.shape)
    parts = mask[: rows * CELL, : columns * CELL].reshape(rows, CELL, columns, CELL)
    return np.asarray((parts.any if any_pixel else parts.all)(axis=(1, 3)))


def _inside(kinds: NDArray[np.int8], squares: Mask) -> Iterator[tuple[int, int]]:
    """Cells that may be inside of the drawing, those furthest from all ink first."""
    rows, columns = np.nonzero(_long_ink(np.where(squares, UNSEEN, kinds)))
    if not len(rows):
        return
    hull = cv2.convexHull(np.column_stack([columns, rows]).astype(np.int32))
    clear = (kinds == PLAIN) | (kinds < 0)
    within = cv2.fillConvexPoly(np.zeros(kinds.shape, np.uint8), hull, 1)
    away = cv2.distanceTransform(clear.astype(np.uint8), cv2.DIST_L2, 5) * within
    for _ in range(PLACES):
        row, column = np.unravel_index(int(away.argmax()), away.shape)
        if away[row, column] < 4.0 / CELL_MM:
            return
        yield int(row), int(column)
        cv2.circle(away, (int(column), int(row)), int(APART / CELL_MM), 0.0, -1)


def _long_ink(kinds: NDArray[np.int8]) -> Mask:
    """Cells of ink that is too long for a hole or a stain."""
    return _long_parts(kinds == SEEN)


def _long_parts(mask: Mask) -> Mask:
    _, labels, stats, _ = cv2.connectedComponentsWithStats(mask.astype(np.uint8), connectivity=8)
    sizes = np.maximum(stats[:, cv2.CC_STAT_WIDTH], stats[:, cv2.CC_STAT_HEIGHT])
    sizes[0] = 0
    long: Mask = np.isin(labels, np.flatnonzero(sizes >= LONG / CELL_MM))
    return long


class _Cells:
    """The cells as a graph, twice: the second time for ways that have crossed the ray an odd number of times."""

    def __init__(self, kinds: NDArray[np.int8], dearer: Floats) -> None:
        self.kinds = kinds
        self.number = np.full(kinds.shape, -1, np.int64)
        self.rows, self.columns = np.nonzero(kinds >= 0)
        self.count = len(self.rows)
        self.number[self.rows, self.columns] = np.arange(self.count)
        kind = kinds[self.rows, self.columns]
        costs = np.array(COSTS)[kind] * np.where(kind == SEEN, 1.0, dearer[self.rows, self.columns])
        ways = [self._neighbours(down, right, costs) for down, right in _STEPS]
        self.start, self.end, self.cost = (np.concatenate(part) for part in zip(*ways, strict=True))

    def _neighbours(self, down: int, right: int, costs: Floats) -> tuple[Cells, Cells, Floats]:
        rows, columns = self.rows + down, self.columns + right
        height, width = self.kinds.shape
        there = (rows < height) & (columns >= 0) & (columns < width)
        start = np.flatnonzero(there)
        end = self.number[rows[there], columns[there]]
        start, end = start[end >= 0], end[end >= 0]
        return start, end, (costs[start] + costs[end]) / 2 * float(np.hypot(down, right))

    def around(self, row: int, column: int) -> PenWay | None:
        """The cheapest way around a cell."""
        crosses = self._crosses(row, column)
        other = np.where(crosses, self.count, 0)
        starts = np.concatenate([self.start, self.start + self.count])
        ends = np.concatenate([self.end + other, self.end + self.count - other])
        graph = csr_matrix((np.tile(self.cost, 2), (starts, ends)), shape=(2 * self.count,) * 2)
        best: tuple[float, list[int]] | None = None
        for source in self._on_ray(row, column):
            far, before = dijkstra(graph, directed=False, indices=source, return_predecessors=True)
            if np.isfinite(far[source + self.count]) and (best is None or far[source + self.count] < best[0]):
                best = float(far[source + self.count]), _back(before, source + self.count)
        return self._way(best[1]) if best else None

    def _crosses(self, row: int, column: int) -> Mask:
        """Whether a step leads over the ray: right of the cell, between its row and the next."""
        upper = np.minimum(self.rows[self.start], self.rows[self.end]) == row
        steps = self.rows[self.start] != self.rows[self.end]
        right = (self.columns[self.start] + self.columns[self.end]) / 2 > column
        crosses: Mask = upper & steps & right
        return crosses

    def _on_ray(self, row: int, column: int) -> Iterator[int]:
        """The first cell of each run of ink, or of what is hidden, along the ray; ink comes first."""
        line = self.kinds[row, column:]
        for kind in (SEEN, UNSEEN):
            runs = np.flatnonzero((line == kind) & (np.r_[-1, line[:-1]] != kind))
            yield from (int(self.number[row, column + at]) for at in runs)

    def _way(self, nodes: list[int]) -> PenWay:
        cells = np.array(nodes) % self.count
        return _way_along(self.kinds, np.column_stack([self.columns[cells], self.rows[cells]]))


def _back(before: NDArray[np.int32], end: int) -> list[int]:
    """The way from its source to a node, the source's second self left out."""
    nodes = []
    at = int(before[end])
    while at >= 0:
        nodes.append(at)
        at = int(before[at])
    return nodes[::-1]
