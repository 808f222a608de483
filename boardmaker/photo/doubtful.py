"""Where along an outline the photos do not agree: what a mechanic should look at first.

In: the joined outline with how far the views are apart at each of its places. Out: stretches in the panel's frame. On
rendered photos they are a tenth of the outline at most, mostly less, and held every place that was off by more than
1.5 mm.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boardmaker.photo.joining import Joined
from boardmaker.tracing.found import Doubtful
from boardmaker.tracing.panel_frame import PanelFrame

LOOK = 1.0  # mm between two views, from which on
BRIDGED, SHORTEST = 6, 3  # places, about as many mm: between stretches that are one, and of one that counts
EVERY = 3  # places of a stretch from one point to the next
MOST = 12  # stretches; the worst


def doubtful_stretches(joined: Joined, frame: PanelFrame) -> tuple[Doubtful, ...]:
    """Return the stretches, the worst first."""
    runs = _runs(joined.apart > LOOK)
    found = [_stretch(joined, frame, run) for run in runs if len(run) >= SHORTEST]
    return tuple(sorted(found, key=lambda one: -one.apart)[:MOST])


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
    return Doubtful(tuple((round(x, 2), round(y, 2)) for x, y in line), round(float(joined.apart[run].max()), 1))
