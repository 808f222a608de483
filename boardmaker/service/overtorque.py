"""Torques that are too much: for the thread and its class, or for the plastic that the screw goes into.

In: a bike. Out: problems. A torque is said to be doubtful, never corrected; without a class there is no verdict on
strength, only a word where the strongest class there is would be tightened too far: then a digit is wrong somewhere.
"""

from __future__ import annotations

from collections.abc import Iterator

from boardmaker.inputs.model import Bike, Fastener, Torque
from boardmaker.problems import Place, Problem, error, warning
from boardmaker.service.preload import WARNED_SHARE, K, aimed_nm, highest_nm, proof_load, tension
from boardmaker.standards import Thread

# N·m for each mm³ of diameter cubed, well above what makers print: ST4.8 into a boss 4.4 N·m, M5 in a well nut
# 3.8 N·m, M6 in a clip nut 10.8 N·m. Common practice, no source.
SOFT = {"plastic boss": 0.04, "well nut": 0.03, "clip nut": 0.05}
STRONGEST = "12.9"  # of the classes of ISO 898-1


def overtorqued(bike: Bike) -> tuple[Problem, ...]:
    """Return a problem for each fastener and torque row that is tightened beyond what it bears.

    An error above the proof load, a warning above 75 % of it (a range is judged by its middle, and by its upper end
    for the error), and a warning for a torque that strips plastic and thin nuts. Where no class is given, a warning
    above 75 % of what class 12.9 bears: more is a slip of the pen.
    """
    return tuple(problem for found in (_fasteners(bike), _rows(bike), _soft(bike)) for problem in found if problem)


def _fasteners(bike: Bike) -> Iterator[Problem | None]:
    for one in bike.fasteners:
        if one.torque and one.thread:
            name = f'fastener "{one.key}"'
            yield _judged(name, one.torque, one.thread, one.property_class, one.head.shape, one.where)


def _rows(bike: Bike) -> Iterator[Problem | None]:
    for row in bike.torques:
        if row.thread:
            yield _judged(f'torque row "{row.key}"', row.torque, row.thread, row.property_class, "", row.where)


def _judged(
    name: str, torque: Torque, thread: Thread, property_class: str, head: str, where: Place | None
) -> Problem | None:
    if not property_class:
        return _implausible(name, torque, thread, where)
    bears = proof_load(thread, property_class, head)
    if bears is None:
        return None
    highest, aimed = highest_nm(torque), aimed_nm(torque)
    screw = f"{thread.designation} of class {property_class}"
    hint = f"compare torque, thread and class with the maker's manual (tension by T = K F d, K = {K:.2f})"
    if tension(highest, thread.diameter) > bears:
        share = tension(highest, thread.diameter) / bears
        message = f"{name}: {highest:.4g} N·m is {share:.0%} of the proof load of {screw}: it stretches or breaks"
        return error(message, where, hint)
    if tension(aimed, thread.diameter) > WARNED_SHARE * bears:
        share = tension(aimed, thread.diameter) / bears
        return warning(f"{name}: {aimed:.4g} N·m is {share:.0%} of the proof load of {screw}", where, hint)
    return None


def _implausible(name: str, torque: Torque, thread: Thread, where: Place | None) -> Problem | None:
    """What no usual screw is tightened to, whatever it is made of; None where the strongest class would stand it."""
    bears, highest = proof_load(thread, STRONGEST), highest_nm(torque)
    if bears is None or tension(highest, thread.diameter) <= WARNED_SHARE * bears:
        return None
    share = tension(highest, thread.diameter) / bears
    strongest = f"not even class {STRONGEST} would bear this"
    if share <= 1.0:
        strongest = f"even of class {STRONGEST} this is {share:.0%} of the proof load"
    return warning(
        f"{name}: {highest:.4g} N·m for {thread.designation}: no class is given; {strongest}: a slip of the pen?",
        where,
        f"compare torque and thread with the maker's manual (tension by T = K F d, K = {K:.2f})",
    )


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
