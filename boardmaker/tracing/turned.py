"""A drawing that was laid the wrong way: whether it fits when it is mirrored, upside down or turned half round.

In: outline and holes as drawn and as the bike file has them. Out: the way that fits, if it fits clearly better than the
drawing as it is. Places only; what is to be said of it, the merge knows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from shapely import LinearRing

from boardmaker.geometry import Point, Ring, bounds, shift_point
from boardmaker.tracing.matching import match_holes, shift_to

WAYS = {
    (-1, 1): "the mirror image of",
    (1, -1): "the mirror image, upside down, of",
    (-1, -1): "upside down to",
}
SAME_RING = 1.0  # mm by which a ring may be off that is the same when it is turned
OTHER_RING = 4.0  # mm from which it is not the same as it is; a cardboard outline is good to 3 mm
LEAST_HOLES = 4  # of which one may be missing


@dataclass(frozen=True)
class PanelPlaces:
    """Outline (empty: none) and holes of one panel in one frame, mm."""

    outline: Ring
    holes: tuple[Point, ...]


def way_turned(found: PanelPlaces, there: PanelPlaces) -> str:
    """Return how the drawing lies to the panel, "" where it lies as it should or nothing can be told."""
    straight = len(match_holes(found.holes, there.holes).pairs)
    fitting = []
    for number, way in enumerate(WAYS):
        turned = turned_places(found, there, way)
        fits, gap = len(match_holes(turned.holes, there.holes).pairs), ring_gap(turned, there)
        by_holes = _nearly_all(fits, len(found.holes), len(there.holes)) and fits >= straight + 2
        by_outline = fits >= straight and gap <= SAME_RING and ring_gap(found, there) >= OTHER_RING
        if by_holes or by_outline:
            fitting.append((-fits, gap, number))
    return [*WAYS.values()][min(fitting)[2]] if fitting else ""


def _nearly_all(fits: int, found: int, there: int) -> bool:
    fewer = min(found, there)
    return fits >= fewer - (fewer >= LEAST_HOLES) and 2 * fits >= max(found, there)


def turned_places(found: PanelPlaces, there: PanelPlaces, way: tuple[int, int]) -> PanelPlaces:
    """Return what was found turned about the middle of its outline; without outlines, laid over the holes there."""
    x0, y0, x1, y1 = bounds(found.outline) if found.outline else (0.0, 0.0, 0.0, 0.0)
    outline, holes = (
        tuple((x if way[0] > 0 else x0 + x1 - x, y if way[1] > 0 else y0 + y1 - y) for x, y in places)
        for places in (found.outline, found.holes)
    )
    if found.outline and there.outline:
        return PanelPlaces(outline, holes)
    by = shift_to(holes, there.holes) or (0.0, 0.0)
    return PanelPlaces(tuple(shift_point(point, by) for point in outline), tuple(shift_point(one, by) for one in holes))


def ring_gap(found: PanelPlaces, there: PanelPlaces) -> float:
    """Return how far two outlines are apart at most, mm; endless where there is none."""
    if not found.outline or not there.outline:
        return float("inf")
    return float(LinearRing(found.outline).hausdorff_distance(LinearRing(there.outline)))


def partners_nearby(
    lost: Sequence[tuple[int, Point, str]], new: Sequence[tuple[int, Point, str | None]], reach: float
) -> dict[int, tuple[int, float]]:
    """Return for each hole that is not found the new one that it may be: the nearest of its fastener within reach.

    Both come as number, place and fastener (None fits any); each new one is taken once, the nearest pairs first.
    """
    near = sorted(
        (((x - u) ** 2 + (y - v) ** 2) ** 0.5, i, j)
        for i, (x, y), key in lost
        for j, (u, v), other in new
        if other in (None, key)
    )
    pairs: dict[int, tuple[int, float]] = {}
    for gap, i, j in near:
        if gap <= reach and i not in pairs and all(j != taken for taken, _ in pairs.values()):
            pairs[i] = j, gap
    return pairs
