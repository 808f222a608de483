"""Panels that are tied to each other and cannot be: a screw through both, a rider, one that waits for another.

In: a bike. Out: warnings for ties across the bike, and between panels that do not touch where `on_bike` says so.
Two halves that meet in the middle may share a screw, and a panel may wait for one of the other side that reaches over
to it; so a tie to a panel's own twin is no slip, and `after` across the bike is one only where the twin of the panel
that is named stands on the right side, or where the two do not touch.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from shapely import Point as ShapelyPoint

from boardmaker.geometry import Point
from boardmaker.model import Bike, Hole, Panel, other_side, swap_words
from boardmaker.problems import Problem, warning
from boardmaker.service.doubts.geometry.limits import RIDES, UNDER_HEAD, WAITS
from boardmaker.service.doubts.geometry.slips import TURNED, asked, undone
from boardmaker.service.doubts.geometry.standing import (
    box_of,
    own_holes,
    polygon_of,
    side_view,
    standing_of,
    twin_of,
)


def untenable_ties(bike: Bike) -> Iterator[Problem]:
    """Yield a warning for each tie that the places of its panels speak against."""
    for panel in bike.panels:
        for hole in own_holes(bike, panel):
            for key in hole.also_holds:
                yield from _held(bike, panel, hole, bike.panel(key))
        yield from _ridden(bike, panel)
        yield from _waiting(bike, panel)


def _held(bike: Bike, panel: Panel, hole: Hole, held: Panel) -> Iterator[Problem]:
    name = f"{panel.key}/{hole.id}"
    if _is_across(panel, held) and twin_of(bike, panel) != held:
        message = (
            f"{name} is a screw of the {panel.side} side and also holds `{held.key}`, on the other side of the bike"
        )
        yield warning(message, hole.where, _other_meant(bike, panel, held))
        return
    off = _off(panel, hole.at, held)
    if off > UNDER_HEAD:
        message = f"{name} also holds `{held.key}`, but lies {off:.0f} mm away from it by their places on the bike"
        yield warning(message, hole.where, _why_off(bike, panel, hole, held))


def _why_off(bike: Bike, panel: Panel, hole: Hole, held: Panel) -> str:
    """The slips that would bring the screw under the other panel."""
    slips = undone(hole.at, box_of(panel), lambda at: _off(panel, at, held) <= UNDER_HEAD, TURNED)
    twin = twin_of(bike, held)
    guesses = []
    if twin is not None and _off(panel, hole.at, twin) <= UNDER_HEAD:
        guesses.append(f'did you mean "{twin.key}"?')
    if slips:
        guesses.append(f"is it a slip of the hole, or of the whole panel: {asked(slips)}")
    elif _off_flipped(panel, hole.at, held) <= UNDER_HEAD:
        guesses.append(f"is `{held.key}` drawn from the other side, or its x turned round?")
    return " Or ".join(guesses) or "correct `also_holds`, the place of the hole, or `on_bike` of the two panels"


def _ridden(bike: Bike, panel: Panel) -> Iterator[Problem]:
    if not panel.rides_on or _is_inherited(bike, panel, panel.rides_on, "rides_on"):
        return
    carrier = bike.panel(panel.rides_on)
    if _is_across(panel, carrier):
        message = f"`{panel.key}`, a {panel.side} panel, rides on `{carrier.key}`, on the other side of the bike"
        yield warning(message, panel.where, _other_meant(bike, panel, carrier))
    elif (off := _apart(panel, carrier)) > RIDES:
        message = f"`{panel.key}` rides on `{carrier.key}`, but sits {off:.0f} mm away from it"
        yield warning(message, panel.where, "correct `on_bike` of the two, or `rides_on`")


def _waiting(bike: Bike, panel: Panel) -> Iterator[Problem]:
    for key in panel.after:
        other = bike.panel(key)
        if _is_inherited(bike, panel, key, "after") or twin_of(bike, panel) == other:
            continue
        twin = twin_of(bike, other)
        if _is_across(panel, other) and (_apart(panel, other) > RIDES or (twin and twin.side == panel.side)):
            message = f"`{panel.key}`, a {panel.side} panel, waits for `{key}`, on the other side of the bike"
            yield warning(message, panel.where, _other_meant(bike, panel, other))
        elif (off := _apart(panel, other)) > WAITS:
            message = f"`{panel.key}` waits for `{key}`, but sits {off:.0f} mm away from it"
            yield warning(message, panel.where, "correct `after`, or `on_bike` of the two")


def _is_inherited(bike: Bike, panel: Panel, key: str, name: str) -> bool:
    """Whether a mirror image has this tie from its original, where it is judged."""
    if not panel.mirrors:
        return False
    written = getattr(bike.panel(panel.mirrors), name)
    keys = {one.key for one in bike.panels}
    names = [written] if isinstance(written, str) else written
    return key in [swap_words(one) if swap_words(one) in keys else one for one in names]


def _other_meant(bike: Bike, panel: Panel, named: Panel) -> str:
    twin = twin_of(bike, named)
    if twin is not None and twin.side == panel.side:
        return f'did you mean "{twin.key}"? Or is the `side` of one of the two wrong'
    return "correct the reference, or the `side` of one of the two"


def _is_across(panel: Panel, other: Panel) -> bool:
    return panel.side != "centre" and other.side == other_side(panel.side)


def _apart(panel: Panel, other: Panel) -> float:
    """How far two panels are apart at least, mm; 0 where it is not known."""
    one, two = standing_of(panel), standing_of(other)
    if one is None or two is None:
        return 0.0
    views = side_view(panel), side_view(other)
    return float(polygon_of(views[0]).distance(polygon_of(views[1]))) if all(views) else one.gap(two)


def _off(panel: Panel, at: Point, held: Panel) -> float:
    """How far a place of a panel is from another panel at least, mm; 0 where it is not known."""
    one, two = standing_of(panel, at), standing_of(held)
    if one is None or two is None:
        return 0.0
    view = side_view(held)
    if not view or panel.side == "centre":
        return one.gap(two)
    return float(polygon_of(view).distance(ShapelyPoint(one.ahead[0], one.above[0])))


def _off_flipped(panel: Panel, at: Point, held: Panel) -> float:
    """The same, with the held panel turned round in its own box or at its own [0, 0], whichever is nearer."""
    x0, _, x1, _ = box_of(held)
    return min(_off(panel, at, _turned_round(held, about)) for about in (x0 + x1, 0.0))


def _turned_round(panel: Panel, about: float) -> Panel:
    return replace(panel, outline=tuple((about - x, y) for x, y in reversed(panel.outline)))
