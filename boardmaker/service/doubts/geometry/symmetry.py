"""Holes that a slip has taken out of a symmetry: of a centre panel in itself, of two twins with each other.

In: a bike. Out: warnings. Said only where every other hole but one has its counterpart, and the one that is left over
would be that one's but for a slip; what is not symmetric by nature is left alone.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from boardmaker.geometry import Point
from boardmaker.model import Bike, Hole, Panel
from boardmaker.problems import Problem, warning
from boardmaker.service.doubts.geometry.limits import PAIRED
from boardmaker.service.doubts.geometry.slips import TURNED, Slip, asked
from boardmaker.service.doubts.geometry.standing import box_of, own_holes, twin_of

_Lone = tuple[Panel, Hole]


def broken_pairs(bike: Bike) -> Iterator[Problem]:
    """Yield a warning for each hole that one slip parts from its counterpart."""
    for index, panel in enumerate(bike.panels):
        if panel.side == "centre":
            x0, _, x1, _ = box_of(panel)
            yield from _broken(_lone_in_itself(panel, x0 + x1), x0 + x1)
            continue
        twin = twin_of(bike, panel)
        written = own_holes(bike, panel) == panel.holes  # else it has all from its twin
        if written and twin is not None and twin in bike.panels[:index] and own_holes(bike, twin) == twin.holes:
            yield from _broken([*_lone_beside(panel, twin), *_lone_beside(twin, panel)], 0.0)


def _lone_in_itself(panel: Panel, about: float) -> list[_Lone]:
    """The holes of a panel that have no mirror image in it; none where hardly any hole has one."""
    lone = [hole for hole in panel.holes if not _has(_across(hole.at, about), panel.holes)]
    return [(panel, hole) for hole in lone] if len(lone) < len(panel.holes) else []


def _lone_beside(panel: Panel, twin: Panel) -> list[_Lone]:
    lone = [hole for hole in panel.holes if not _has(_across(hole.at, 0.0), twin.holes)]
    return [(panel, hole) for hole in lone] if len(lone) < len(panel.holes) else []


def _broken(lone: Sequence[_Lone], about: float) -> Iterator[Problem]:
    """The one of two lone holes that a slip has parted from the other."""
    if len(lone) != 2:
        return
    for (_, first), (panel, second) in (lone, lone[::-1]):
        slips = [slip for slip in TURNED[:3] if _would_pair(slip, panel, second, _across(first.at, about))]
        if slips and first.fastener == second.fastener:
            message = f"{panel.key}/{second.id} alone has no counterpart across"
            yield warning(message, second.where, f"is it a slip: {asked(slips)} Without it there would be one")
            return


def _would_pair(slip: Slip, panel: Panel, hole: Hole, wanted: Point) -> bool:
    return math.dist(slip.undo(hole.at, box_of(panel)), wanted) <= PAIRED


def _across(at: Point, about: float) -> Point:
    return about - at[0], at[1]


def _has(at: Point, holes: Sequence[Hole]) -> bool:
    return any(math.dist(at, hole.at) <= PAIRED for hole in holes)
