"""Holes so near to each other that two screws have no room: one is written twice, or measured wrongly.

In: a bike. Out: warnings for holes of a panel nearer than half of both heads together, and for screws of two panels at
one place of the bike that do not say that they hold both. Holes on one spot of a panel are a matter of `loose_ends`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from itertools import takewhile

from shapely import Point as ShapelyPoint

from boardmaker.geometry import Point
from boardmaker.model import Bike, Equipment, Hole, Panel, Side
from boardmaker.problems import Problem, warning
from boardmaker.service.doubts.geometry.limits import FREE, METRES_NEAR, ONE_SCREW, ONE_SPOT, WIDEST
from boardmaker.service.doubts.geometry.standing import own_holes, polygon_of
from boardmaker.service.removal.places import place_on_bike

MOST_COMPARED = 200  # places with which one is compared; more on one spot are told by `loose_ends`

_Placed = tuple[Point, Panel, Hole]
_Clash = Callable[[_Placed, _Placed], bool]


def doubled_holes(bike: Bike) -> Iterator[Problem]:
    """Yield a warning for each pair of holes that cannot both be there; for each hole one."""
    heads = {one.key: max(one.head.diameter, one.diameter) for one in bike.fasteners}
    order = {panel.key: place for place, panel in enumerate(bike.panels)}

    def no_room(one: _Placed, other: _Placed) -> bool:
        apart = math.dist(one[0], other[0])
        needed = (heads[one[2].fastener] + heads[other[2].fastener]) / 2
        return ONE_SPOT <= apart < needed and can_be_together(one[2].equipment, other[2].equipment)

    for panel in bike.panels:
        placed = [(hole.at, panel, hole) for hole in own_holes(bike, panel)]
        yield from (_too_near(one, other) for one, other in _pairs(placed, WIDEST, no_room))
    for side in ("left", "right"):
        for pair in _pairs(_on_side(bike, side), ONE_SCREW, _is_one_screw):
            yield _one_screw(*sorted(pair, key=lambda one: order[one[1].key]))


def can_be_together(first: Equipment, second: Equipment) -> bool:
    """Say whether a bike may have two things at once, by what they are tied to."""
    return not (set(first.present) & set(second.absent) or set(second.present) & set(first.absent))


def why_doubled(panel: Panel, hole: Hole, hint: str = "one of them is written twice or measured wrongly") -> str:
    """Return a hint about a hole that lies where another one is, with the slips that may have brought it there."""
    x, y = hole.at
    others = [other.at for other in panel.holes if other is not hole]
    free = all(math.dist(other, (-x, y)) > FREE for other in others)
    if abs(x) > FREE and free and panel.outline and polygon_of(panel.outline).covers(ShapelyPoint(-x, y)):
        return f"{hint}; or is x turned round in one of them?"
    if max(abs(x), abs(y)) < METRES_NEAR and (x, y) != (0.0, 0.0):
        return f"{hint}; or are these metres written for millimetres?"
    return hint


def _pairs(placed: Sequence[_Placed], within: float, clash: _Clash) -> Iterator[tuple[_Placed, _Placed]]:
    """For each place one before it, by their x, with which it clashes; not each with each."""
    ordered = sorted(placed, key=lambda one: one[0])
    for index, other in enumerate(ordered):
        near = reversed(ordered[max(0, index - MOST_COMPARED) : index])
        reached = takewhile(lambda one, x=other[0][0]: x - one[0][0] <= within, near)  # type: ignore[misc]
        if (one := next((one for one in reached if clash(one, other)), None)) is not None:
            yield one, other


def _too_near(one: _Placed, other: _Placed) -> Problem:
    panel = one[1]
    first, second = sorted((one[2], other[2]), key=panel.holes.index)
    apart = math.dist(first.at, second.at)
    where = f"{panel.key}/{second.id} is only {apart:.1f} mm away from {panel.key}/{first.id}"
    hint = why_doubled(panel, second, "is one of them the other, moved? Else one is measured wrongly")
    return warning(f"{where}: two screws' heads have no room", second.where, hint)


def _on_side(bike: Bike, side: Side) -> list[_Placed]:
    """The holes of all panels of a side that are placed, ahead and above."""
    found: list[_Placed] = []
    for panel in bike.panels:
        for hole in panel.holes if panel.side == side else ():
            ahead, above, _ = place_on_bike(panel, hole.at)
            if ahead is not None and above is not None:
                found.append(((ahead, above), panel, hole))
    return found


def _is_one_screw(one: _Placed, other: _Placed) -> bool:
    (_, panel, first), (_, second_panel, second) = one, other
    tied = second_panel.key in first.also_holds or panel.key in second.also_holds
    rides = panel.key == second_panel.rides_on or second_panel.key == panel.rides_on
    alike = first.fastener == second.fastener and can_be_together(first.equipment, second.equipment)
    near = math.dist(one[0], other[0]) <= ONE_SCREW
    return near and alike and panel != second_panel and not tied and not rides


def _one_screw(one: _Placed, other: _Placed) -> Problem:
    (_, panel, first), (_, second_panel, second) = one, other
    message = f"{panel.key}/{first.id} and {second_panel.key}/{second.id} are at one place of the bike"
    hint = "is it one screw, written twice? Keep it at the panel that comes off first, with `also_holds` for the other"
    return warning(message, second.where, hint)
