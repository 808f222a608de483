"""Places that several views see, in space: where their sights meet, or come closest.

In: places on the mat's plane as each view shows them. Out: where they are, how high, and how far the sights pass each
other. Apart because marks and holes both need it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from boardmaker.photo.known_mat import Floats


@dataclass(frozen=True)
class Lifted:
    """A place in space; `gap`: how far off it the worst sight passes, mm."""

    at: tuple[float, float]
    height: float
    gap: float


def lifted(places: Sequence[Floats], centres: Sequence[Floats]) -> Lifted:
    """Return where the sights from camera centres through places on the mat's plane meet (two or more)."""
    ways = [(centre[:2] - place) / centre[2] for place, centre in zip(places, centres, strict=True)]
    rows = np.vstack([np.column_stack([np.eye(2), -way]) for way in ways])
    x, y, height = np.linalg.lstsq(rows, np.concatenate(places), rcond=None)[0]
    gaps = [np.hypot(*(place + height * way - (x, y))) for place, way in zip(places, ways, strict=True)]
    return Lifted((float(x), float(y)), float(height), float(max(gaps)))


def angle_between(places: Floats, first: Floats, second: Floats) -> float:
    """Return the angle in degrees at which two cameras see the middle of some places."""
    middle = np.append(places.mean(axis=0), 0.0)
    one, two = ((centre - middle) / np.linalg.norm(centre - middle) for centre in (first, second))
    return float(np.degrees(np.arccos(np.clip(one @ two, -1, 1))))
