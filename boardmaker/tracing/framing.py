"""Where a drawing's outline lies in the panel's own frame: by its lower left, or by what did not move.

In: outline and holes as drawn, and as the bike file has them. Out: the way from the one frame to the other. A drawing's
frame begins at the lower left of its outline's box, so that a change of the leftmost or lowest point would shift all
holes; where holes (and the rest of the outline) agree on another way, the panel's frame stays and the point has moved.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LinearRing
from shapely.affinity import translate

from boardmaker.fixed_order import FINEST
from boardmaker.geometry import Point, bounds
from boardmaker.tracing.matching import MOST_SHIFTED, REACH, shift_to
from boardmaker.tracing.turned import PanelPlaces, ring_gap

SAME_RING = 0.1  # mm; an outline that is as near did not change, and its lower left says where the frame is
EXACT = 0.02  # mm; a hole that nobody moved comes back as near, from whatever drawing was made of the bike file
OVERLAY = 0.05, 1.0  # mm by which an outline that did not change may be off: of the same drawing, of another one
CLEARLY = 0.02  # of the outline's length, by which more of it must lie on the old one
STEPS = 400  # places along the outline that are compared
MOST_EXACT = 2500  # pairs of holes of which the way is tried
Floats = NDArray[np.float64]


@dataclass(frozen=True)
class _Agreement:
    """How well a way fits: holes that come to lie within reach of one, exactly on one, shares of the old outline."""

    near: int
    exact: int
    same: float
    similar: float


def lower_left_way(found: PanelPlaces, there: PanelPlaces) -> Point:
    """Return the way by which the lower left of both outlines is one place."""
    (x, y, _, _), (u, v, _, _) = bounds(found.outline), bounds(there.outline)
    return u - x, v - y


def frame_way(found: PanelPlaces, there: PanelPlaces) -> Point:
    """Return the way from the drawing's frame to the panel's; both have an outline."""
    usual = lower_left_way(found, there)
    if not found.holes or not there.holes or max(len(found.holes), len(there.holes)) > MOST_SHIFTED:
        return usual
    moved = PanelPlaces(tuple((x + usual[0], y + usual[1]) for x, y in found.outline), ())
    if ring_gap(moved, there) <= SAME_RING:
        return usual
    fewer = min(len(found.holes), len(there.holes))
    before = _fit(found, there, usual)
    fits = [(_fit(found, there, way), way) for way in dict.fromkeys(_other_ways(found, there))]
    better = [(_rank(fit, fewer), way) for fit, way in fits if _is_better(fit, before, fewer)]
    return max(better, key=lambda one: one[0])[1] if better else usual


def _is_better(fit: _Agreement, usual: _Agreement, fewer: int) -> bool:
    """Whether a way is to be taken before the usual one; `fewer`: the holes of the side that has fewer."""
    if fit.exact > usual.exact and _is_exact(fit, fewer):
        return fit.exact > 1 or fit.same > usual.same + CLEARLY
    if fit.near <= usual.near or 2 * fit.near < fewer:
        return False
    return fit.similar > usual.similar + CLEARLY or (fit.near > 2 and fit.near >= fewer - 1)


def _rank(fit: _Agreement, fewer: int) -> tuple[int, int]:
    return (fit.exact if _is_exact(fit, fewer) else 0), fit.near


def _is_exact(fit: _Agreement, fewer: int) -> bool:
    return 2 * fit.exact >= fewer


def _other_ways(found: PanelPlaces, there: PanelPlaces) -> Iterator[Point]:
    """By most holes in the mean, by another side of the outlines' boxes, by holes that are exactly on others."""
    if (most := shift_to(found.holes, there.holes)) is not None:
        yield most
    box, old = bounds(found.outline), bounds(there.outline)
    yield from ((old[x] - box[x], old[y] - box[y]) for x in (0, 2) for y in (1, 3))
    new_holes, old_holes = np.array(found.holes), np.array(there.holes)
    if len(new_holes) * len(old_holes) <= MOST_EXACT:
        ways = (old_holes[None, :, :] - new_holes[:, None, :]).reshape(-1, 2)
        counts = np.array([_covered(new_holes + way, old_holes, EXACT) for way in ways])
        for way in ways[counts == counts.max()][: len(old_holes)]:
            yield _refined(new_holes, old_holes, way)


def _refined(new: Floats, old: Floats, way: Floats) -> Point:
    """The median of the ways of all holes that come to lie exactly on one."""
    apart = old[None, :, :] - new[:, None, :] - way
    near = np.hypot(apart[..., 0], apart[..., 1]) <= EXACT
    x, y = way + np.median(apart[near], axis=0)
    return round(float(x), FINEST), round(float(y), FINEST)


def _covered(moved: Floats, old: Floats, reach: float) -> int:
    apart = moved[:, None, :] - old[None, :, :]
    return int((np.hypot(apart[..., 0], apart[..., 1]).min(axis=0) <= reach).sum())


def _fit(found: PanelPlaces, there: PanelPlaces, way: Point) -> _Agreement:
    moved, old = np.array(found.holes) + way, np.array(there.holes)
    ring, line = translate(LinearRing(found.outline), *way), LinearRing(there.outline)
    shapely.prepare(ring)
    off = shapely.distance(
        ring, shapely.line_interpolate_point(line, np.linspace(0.0, line.length, STEPS, endpoint=False))
    )
    same, similar = (float((off <= reach).mean()) for reach in OVERLAY)
    return _Agreement(_covered(moved, old, REACH), _covered(moved, old, EXACT), same, similar)
