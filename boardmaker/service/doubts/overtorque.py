"""Torques that are too much: for the thread and its class, or for the plastic that the screw goes into.

In: a bike. Out: problems. A torque is said to be doubtful, never corrected; without a class there is no verdict.
"""

from __future__ import annotations

from collections.abc import Iterator

from boardmaker.model import Bike, Fastener, Torque
from boardmaker.problems import Place, Problem, error, warning
from boardmaker.service.torque.preload import (
    REDUCED_HEAD,
    REDUCED_SHAPES,
    WARNED_SHARE,
    K,
    aimed_nm,
    highest_nm,
    proof_load,
    tension,
)
from boardmaker.standards import Thread

# N·m for each mm³ of diameter cubed, well above what makers print: ST4.8 into a boss 4.4 N·m, M5 in a well nut
# 3.8 N·m, M6 in a clip nut 10.8 N·m. Common practice, no source.
SOFT = {"plastic boss": 0.04, "well nut": 0.03, "clip nut": 0.05}


def overtorqued(bike: Bike) -> tuple[Problem, ...]:
    """Return a problem for each fastener and torque row that is tightened beyond what it bears.

    An error above the proof load, a warning above 75 % of it (a range is judged by its middle, and by its upper end
    for the error), and a warning for a torque that strips plastic and thin nuts.
    """
    return tuple(problem for found in (_fasteners(bike), _rows(bike), _soft(bike)) for problem in found if problem)


def _fasteners(bike: Bike) -> Iterator[Problem | None]:
    for one in bike.fasteners:
        if one.torque and one.thread:
            head = "" if one.head.shape_assumed else one.head.shape  # only what the file says is held against it
            yield _judged(f'fastener "{one.key}"', one.torque, one.thread, one.property_class, head, one.where)


def _rows(bike: Bike) -> Iterator[Problem | None]:
    for row in bike.torques:
        if row.thread:
            yield _judged(f'torque row "{row.key}"', row.torque, row.thread, row.property_class, "", row.where)


def _judged(
    name: str, torque: Torque, thread: Thread, property_class: str, head: str, where: Place | None
) -> Problem | None:
    bears = proof_load(thread, property_class, head)
    if bears is None:
        return None
    highest, aimed = highest_nm(torque), aimed_nm(torque)
    screw = f"{thread.designation} of class {property_class}{_with_head(head)}"
    hint = f"compare torque, thread and class with the maker's manual (tension by T = K F d, K = {K:.2f})"
    if tension(highest, thread.diameter) > bears:
        share = tension(highest, thread.diameter) / bears
        message = f"{name}: {highest:.4g} N·m is {share:.0%} of the proof load of {screw}: it stretches or breaks"
        return error(message, where, hint)
    if tension(aimed, thread.diameter) > WARNED_SHARE * bears:
        share = tension(aimed, thread.diameter) / bears
        return warning(f"{name}: {aimed:.4g} N·m is {share:.0%} of the proof load of {screw}", where, hint)
    return None


def _with_head(shape: str) -> str:
    """The share of the proof load that such a head carries, so that the number can be worked out again."""
    return f" with a {shape} head, {REDUCED_HEAD:.0%} of the thread's" if shape in REDUCED_SHAPES else ""


def _soft(bike: Bike) -> Iterator[Problem]:
    for fastener in bike.fasteners:
        for into, per_cube in SOFT.items():
            holes = [
                f"{panel.key}/{hole.id}"
                for panel in bike.panels
                for hole in panel.holes
                if hole.fastener == fastener.key and hole.into == into
            ]
            if holes and fastener.torque and highest_nm(fastener.torque) > _soft_limit(fastener, per_cube):
                yield _too_much_for(fastener, highest_nm(fastener.torque), _soft_limit(fastener, per_cube), into, holes)


def _soft_limit(fastener: Fastener, per_cube: float) -> float:
    return float("inf") if fastener.thread is None else per_cube * fastener.diameter**3


def _too_much_for(fastener: Fastener, torque_nm: float, limit: float, into: str, holes: list[str]) -> Problem:
    size = fastener.thread.designation if fastener.thread else ""
    more = f" and {len(holes) - 1} more" if len(holes) > 1 else ""
    return warning(
        f'fastener "{fastener.key}": {torque_nm:.4g} N·m is much for {size} in a {into} ({holes[0]}{more}); '
        f"in use is less than {limit:.2g} N·m",
        fastener.where,
        f"compare the torque with the maker's manual: a {into} strips or turns in the plastic",
    )
