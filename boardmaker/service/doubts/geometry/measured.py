"""What is left over where a hole was placed by distances.

In: a bike. Out: a sentence for each hole with three distances or more, and warnings where they do not agree, or say
little of where it is.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from boardmaker.model import Bike, ByDistances
from boardmaker.problems import Problem, warning
from boardmaker.service.doubts.geometry.limits import MEASURED, POORLY_KNOWN

LEAST_SAID = 0.05  # mm; what is less was measured exactly


def left_over(bike: Bike) -> tuple[str, ...]:
    """Return a sentence for each hole with three distances or more: what they miss by, and which misses most."""
    return tuple(
        f"{panel.key}/{hole.id} by {len(hole.by.off)} distances: {_residual(hole.by)}"
        for panel in bike.panels
        for hole in panel.holes
        if hole.by is not None and (len(hole.by.off) > 2 or _worst(hole.by)[1] > LEAST_SAID)
    )


def doubtful_distances(bike: Bike) -> Iterator[Problem]:
    """Yield a warning for each hole whose distances do not agree, and for each that they hardly place."""
    for panel in bike.panels:
        for hole in panel.holes:
            if hole.by is None:
                continue
            name, off = _worst(hole.by)
            if off > MEASURED:
                message = f"the distances of {panel.key}/{hole.id} do not agree: {_residual(hole.by)}"
                yield warning(message, hole.where, f"measure it again, first from hole {name}")
            elif hole.by.spread > POORLY_KNOWN:
                message = f"{panel.key}/{hole.id} nearly lies in line with the holes that it is measured from"
                moved = f"1 mm in a distance may move it by {hole.by.spread:.0f} mm"
                yield warning(message, hole.where, f"{moved}: measure from a hole across from these as well")


def _residual(by: ByDistances) -> str:
    squares = [off * off for _, off in by.off]
    name, worst = _worst(by)
    if worst <= LEAST_SAID:
        return "they agree"
    rms = math.sqrt(math.fsum(squares) / len(squares))
    return f"off by {rms:.1f} mm in the mean (rms), {worst:.1f} mm from hole {name}"


def _worst(by: ByDistances) -> tuple[str, float]:
    name, off = max(by.off, key=lambda one: abs(one[1]))
    return name, abs(off)
