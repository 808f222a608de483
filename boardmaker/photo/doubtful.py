"""Where along an outline a mechanic should look first: photos disagree, or no panel is cut so narrowly.

In: the joined outline with how far the views are apart at each of its places. Out: stretches in the panel's frame. On
rendered photos they are a tenth of the outline at most, mostly less, and held every place that was off by more than
1.5 mm; but for stickers of nearly the mat's colour, which all photos take for the mat, and which are a narrow notch
then.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np
from numpy.typing import NDArray
from shapely import Point as Spot
from shapely import Polygon

from boardmaker.geometry import Point
from boardmaker.photo.joining import Joined
from boardmaker.tracing.found import Doubtful
from boardmaker.tracing.panel_frame import PanelFrame

LOOK = 1.0  # mm between two views, from which on
BRIDGED, SHORTEST = 6, 3  # places, about as many mm: between stretches that are one, and of one that counts
EVERY = 3  # places of a stretch from one point to the next
NARROW, DEEP = 4.0, 1.5  # mm: a notch or tip that is no wider, and deeper; round ends and corners are not so deep
MOST = 12  # stretches; the worst


def doubtful_stretches(joined: Joined, frame: PanelFrame) -> tuple[Doubtful, ...]:
    """Return the stretches, the worst first."""
    runs = _runs(joined.apart > LOOK)
    found = [_stretch(joined, frame, run) for run in runs if len(run) >= SHORTEST]
    found += _narrow(Polygon(frame.outline))
    return tuple(sorted(found, key=lambda one: -one.off)[:MOST])


def _runs(is_doubtful: NDArray[np.bool_]) -> list[NDArray[np.int64]]:
    """The numbers of the places of each stretch of a closed line, short gaps between them bridged."""
    count = len(is_doubtful)
    places = np.flatnonzero(is_doubtful)
    if len(places) == 0:
        return []
    gaps = np.diff(np.r_[places, places[0] + count])
    ends = np.flatnonzero(gaps > BRIDGED)
    if len(ends) == 0:
        return [np.arange(count)]
    starts = np.roll(ends, 1) + 1
    pairs = [(places[first % len(places)], places[last]) for first, last in zip(starts, ends, strict=True)]
    return [np.arange(first, last + 1 + (count if last < first else 0)) % count for first, last in pairs]


def _stretch(joined: Joined, frame: PanelFrame, run: NDArray[np.int64]) -> Doubtful:
    shown = np.unique(np.r_[np.arange(0, len(run), EVERY), len(run) - 1])
    line = tuple(frame.place((float(x), float(y))) for x, y in joined.outline[run[shown]])
    return Doubtful(_rounded(line), "apart", round(float(joined.apart[run].max()), 1))


def _narrow(panel: Polygon) -> Iterator[Doubtful]:
    """Notches that a disc of this width does not reach into, tips that it does not fill."""
    closed, opened = (panel.buffer(by * NARROW / 2).buffer(-by * NARROW / 2) for by in (1, -1))
    for rest, edge in ((closed.difference(panel), closed.boundary), (panel.difference(opened), opened.boundary)):
        for part in getattr(rest, "geoms", [rest]):
            line = [] if part.is_empty else list(part.exterior.coords)
            deep = max((edge.distance(Spot(point)) for point in line), default=0.0)
            if deep > DEEP:
                yield Doubtful(_rounded(line), "narrow", round(deep, 1))


def _rounded(line: Iterable[tuple[float, ...]]) -> tuple[Point, ...]:
    return tuple((round(point[0], 2), round(point[1], 2)) for point in line)
