"""Plane geometry of zones for the search: arrays in, simpler or cut-up arrays out.

Apart because separation, compaction and no-fit rasters look at a zone in one of three ways: as a coarser ring that
holds it, as convex pieces that make it up, or as the cells of a raster that it covers. Rings are (n, 2) float arrays
in mm, counter-clockwise. Coarser rings err outward, pieces are exact, cells are rounded.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from boardmaker.fixed_order import lengths, total
from boardmaker.packing.problem import Point, Ring

Floats = NDArray[np.float64]
Cells = NDArray[np.bool_]

_FLAT = 1e-9  # mm²: twice the area of a corner that counts as straight


def _after(ring: Floats) -> Floats:
    """What follows each corner, from the first on; as `np.roll`, which takes three times as long for so few."""
    return np.concatenate([ring[1:], ring[:1]])


def _before(ring: Floats) -> Floats:
    return np.concatenate([ring[-1:], ring[:-1]])


def array_of(ring: Ring | Floats) -> Floats:
    """The ring as an (n, 2) array, counter-clockwise, without repeated neighbours."""
    points = np.asarray(ring, dtype=np.float64)
    points = points[np.any(points != _before(points), axis=1)]
    return points if doubled_area(points) >= 0 else points[::-1].copy()


def doubled_area(points: Floats) -> float:
    """Twice the signed area (mm²), positive counter-clockwise."""
    after = _after(points)
    return total(points[:, 0] * after[:, 1] - points[:, 1] * after[:, 0])


def middle_of(points: Floats) -> Floats:
    """The middle of the bounding box, (2,)."""
    middle: Floats = (points.min(axis=0) + points.max(axis=0)) / 2
    return middle


def corner_turns(points: Floats) -> Floats:
    """For each corner twice the signed area of it and its neighbours: positive where the ring is convex, (n,)."""
    before, after = points - _before(points), _after(points) - points
    turns: Floats = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    return turns


def is_convex(points: Floats) -> bool:
    """Whether no corner of a counter-clockwise ring is reflex."""
    return bool(np.all(corner_turns(points) >= -_FLAT))


# --- convex pieces ----------------------------------------------------------------------------------------------------


def convex_rings(points: Floats) -> tuple[Floats, ...]:
    """Cut a simple ring into convex rings: Delaunay triangles, merged over their longest sides while convex.

    The merging is the one of Hertel and Mehlhorn (1983): at most four times as many pieces as needed.
    """
    if is_convex(points):
        return (points,)
    triangles = shapely.orient_polygons(shapely.constrained_delaunay_triangles(shapely.Polygon(points)))
    corners = shapely.get_coordinates(triangles).reshape(-1, 4, 2)[:, :3].tolist()
    return _merge([tuple((x, y) for x, y in triangle) for triangle in corners])


def _merge(pieces: list[Ring]) -> tuple[Floats, ...]:
    owner = {side: number for number, piece in enumerate(pieces) for side in _sides(piece)}
    inner = [side for side in owner if side < side[::-1] and side[::-1] in owner]
    alive: dict[int, Ring] = dict(enumerate(pieces))
    for side in sorted(inner, key=lambda side: (-_length(side), side)):
        one, other = owner[side], owner[side[::-1]]
        joined = _joined(alive[one], alive[other], side)
        if not (_bends_left(joined, side[0]) and _bends_left(joined, side[1])):
            continue
        del alive[other]
        alive[one] = joined
        owner.update(dict.fromkeys(_sides(joined), one))
    return tuple(np.array(piece) for piece in alive.values())


def _bends_left(ring: Ring, corner: Point) -> bool:
    """Whether a ring is convex at one of its corners."""
    at = ring.index(corner)
    (ax, ay), (bx, by), (cx, cy) = ring[at - 1], corner, ring[(at + 1) % len(ring)]
    return (bx - ax) * (cy - by) - (by - ay) * (cx - bx) >= -_FLAT


def _sides(piece: Ring) -> list[tuple[Point, Point]]:
    return list(zip(piece, piece[1:] + piece[:1], strict=True))


def _length(side: tuple[Point, Point]) -> float:
    (ax, ay), (bx, by) = side
    return math.sqrt((bx - ax) * (bx - ax) + (by - ay) * (by - ay))


def _joined(one: Ring, other: Ring, side: tuple[Point, Point]) -> Ring:
    """Both rings as one, without the side they share: `one` runs along it forwards, `other` backwards."""
    start, end = one.index(side[0]) + 1, other.index(side[1])
    return one[start:] + one[:start] + (other[end:] + other[:end])[2:]


def sliced(piece: Floats, corners: int) -> tuple[Floats, ...]:
    """A convex ring as a fan of convex rings of at most so many corners."""
    step = corners - 2
    starts = range(1, len(piece) - 1, step)
    return tuple(np.concatenate([piece[:1], piece[start : start + step + 1]]) for start in starts)


# --- coarser rings ----------------------------------------------------------------------------------------------------


def coarsened(points: Floats, tolerance: float) -> Floats:
    """A ring with fewer corners that holds the given one and reaches nowhere more than `tolerance` (mm) beyond it."""
    ring, spent = points, np.zeros(len(points))
    while len(ring) > 4:
        costs, corners = _costs_of_cuts(ring, spent)
        chosen = _independent(costs, tolerance)
        if not chosen:
            break
        ring, spent = _cut(ring, spent, chosen, costs, corners)
    return ring if shapely.Polygon(ring).is_valid else points


def _costs_of_cuts(ring: Floats, spent: Floats) -> tuple[Floats, Floats]:
    """What dropping corner i (columns 0) or stretching the sides around side i until they meet (column 1) would add.

    Returns the reach beyond the first ring, (n, 2) mm, inf where it would cut into the ring; and where the stretched
    sides meet, (n, 2).
    """
    before, after, second = _before(ring), _after(ring), _after(_after(ring))
    turns, chords = corner_turns(ring), lengths(*(after - before).T)
    with np.errstate(divide="ignore", invalid="ignore"):
        drop = np.where(turns <= _FLAT, -turns / chords, np.inf)
        along, back, side = ring - before, after - second, after - ring
        opening = along[:, 0] * back[:, 1] - along[:, 1] * back[:, 0]
        reach = (side[:, 0] * back[:, 1] - side[:, 1] * back[:, 0]) / opening
        meets = ring + reach[:, None] * along
        height = (side[:, 0] * (meets - ring)[:, 1] - side[:, 1] * (meets - ring)[:, 0]) / lengths(*side.T)
    convex = (turns > _FLAT) & (_after(turns) > _FLAT) & (opening < -_FLAT) & (reach > 0)
    stretch = np.where(convex, -height, np.inf)
    spent_after = _after(spent)
    return np.stack([drop + spent, stretch + np.maximum(spent, spent_after)], axis=1), meets


def _independent(costs: Floats, tolerance: float) -> dict[int, int]:
    """Cheap cuts that do not touch one another: corner number -> 0 (drop it) or 1 (stretch around its side)."""
    count = len(costs)
    cheap = [(float(costs[i, kind]), i, kind) for i, kind in np.argwhere(costs <= tolerance).tolist()]
    touched: set[int] = set()
    chosen: dict[int, int] = {}
    for _, corner, kind in sorted(cheap):
        around = {(corner + step) % count for step in range(-1, kind + 2)}
        if count - len(chosen) > 4 and not around & touched:
            touched |= around
            chosen[corner] = kind
    return chosen


def _cut(ring: Floats, spent: Floats, chosen: dict[int, int], costs: Floats, meets: Floats) -> tuple[Floats, Floats]:
    ring, spent = ring.copy(), spent.copy()
    keep = np.ones(len(ring), dtype=bool)
    for corner, kind in chosen.items():
        after = (corner + 1) % len(ring)
        keep[corner if kind == 0 else after] = False
        if kind == 1:
            ring[corner] = meets[corner]
        for end in (corner - 1, corner, after):
            spent[end] = max(spent[end], costs[corner, kind])
    return ring[keep], spent[keep]


# --- cells of a raster ------------------------------------------------------------------------------------------------


def covered_cells(rings: Sequence[Floats], pitch: float) -> tuple[Cells, tuple[int, int]]:
    """Which nodes of the raster of this pitch (mm) through the origin lie in any of the rings.

    Returns (rows, columns) of booleans and the (column, row) number of the first one.
    """
    low = np.ceil(np.min([ring.min(axis=0) for ring in rings], axis=0) / pitch).astype(int)
    high = np.floor(np.max([ring.max(axis=0) for ring in rings], axis=0) / pitch).astype(int)
    high = np.maximum(high, low)
    columns, rows = (np.arange(low[axis], high[axis] + 1) * pitch for axis in (0, 1))
    cells = np.zeros((len(rows), len(columns)), dtype=bool)
    for ring in rings:
        cells |= _inside(ring, columns, rows)
    return cells, (int(low[0]), int(low[1]))


def _inside(ring: Floats, columns: Floats, rows: Floats) -> Cells:
    """Even-odd rule along each row, (rows, columns)."""
    after = _after(ring)
    crosses = (ring[:, 1] <= rows[:, None]) != (after[:, 1] <= rows[:, None])
    with np.errstate(divide="ignore", invalid="ignore"):
        slope = (after[:, 0] - ring[:, 0]) / (after[:, 1] - ring[:, 1])
        at = ring[:, 0] + (rows[:, None] - ring[:, 1]) * slope
    at = np.where(crosses, at, np.inf)
    left = np.sum(at[:, None, :] < columns[None, :, None], axis=2)
    inside: Cells = left % 2 == 1
    return inside
