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
from shapely import Polygon

from boardmaker.geometry import Point
from boardmaker.model import Bike, Hole, Panel, other_side, swap_words
from boardmaker.problems import Problem, warning
from boardmaker.service.doubts.geometry.limits import RIDES, UNDER_HEAD, WAITS
from boardmaker.service.doubts.geometry.slips import TURNED, asked, undone
from boardmaker.service.doubts.geometry.standing import (
    Standing,
    box_of,
    own_holes,
    polygon_of,
    side_view,
    standing_of,
    twin_of,
)

MOST_EXPLAINED = 100  # ties whose slip is looked for; `check` says 50 problems

_Body = tuple[Standing | None, Polygon]  # where a panel stands; its shape as seen from its side, empty where unknown


def untenable_ties(bike: Bike) -> Iterator[Problem]:
    """Yield a warning for each tie that the places of its panels speak against."""
    ties = _Ties(bike)
    for panel in bike.panels:
        for hole in own_holes(bike, panel):
            for key in hole.also_holds:
                yield from ties.held(panel, hole, ties.panels[key])
        yield from ties.ridden(panel)
        yield from ties.waiting(panel)


class _Ties:
    """The panels of a bike by their keys, each with its twin and its place, worked out once."""

    def __init__(self, bike: Bike) -> None:
        self.panels = {panel.key: panel for panel in bike.panels}
        self.twins = {panel.key: twin_of(bike, panel) for panel in bike.panels}
        self.bodies = {panel.key: _body(panel) for panel in bike.panels}
        self.explained = 0

    def _are_twins(self, panel: Panel, other: Panel) -> bool:
        twin = self.twins[panel.key]
        return twin is not None and twin.key == other.key

    def held(self, panel: Panel, hole: Hole, held: Panel) -> Iterator[Problem]:
        name = f"{panel.key}/{hole.id}"
        if _is_across(panel, held) and not self._are_twins(panel, held):
            message = (
                f"{name} is a screw of the {panel.side} side and also holds `{held.key}`, on the other side of the bike"
            )
            yield warning(message, hole.where, self._other_meant(panel, held))
            return
        off = _off(panel, hole.at, self.bodies[held.key])
        if off > UNDER_HEAD:
            message = f"{name} also holds `{held.key}`, but lies {off:.0f} mm away from it by their places on the bike"
            yield warning(message, hole.where, self._why_off(panel, hole, held))

    def _why_off(self, panel: Panel, hole: Hole, held: Panel) -> str:
        """The slips that would bring the screw under the other panel."""
        self.explained += 1
        if self.explained > MOST_EXPLAINED:
            return ""
        slips = undone(hole.at, box_of(panel), lambda at: _off(panel, at, self.bodies[held.key]) <= UNDER_HEAD, TURNED)
        twin = self.twins[held.key]
        guesses = []
        if twin is not None and _off(panel, hole.at, self.bodies[twin.key]) <= UNDER_HEAD:
            guesses.append(f'did you mean "{twin.key}"?')
        if slips:
            guesses.append(f"is it a slip of the hole, or of the whole panel: {asked(slips)}")
        elif _off_flipped(panel, hole.at, held) <= UNDER_HEAD:
            guesses.append(f"is `{held.key}` drawn from the other side, or its x turned round?")
        return " Or ".join(guesses) or "correct `also_holds`, the place of the hole, or `on_bike` of the two panels"

    def ridden(self, panel: Panel) -> Iterator[Problem]:
        if not panel.rides_on or self._is_inherited(panel, panel.rides_on, "rides_on"):
            return
        carrier = self.panels[panel.rides_on]
        if _is_across(panel, carrier):
            message = f"`{panel.key}`, a {panel.side} panel, rides on `{carrier.key}`, on the other side of the bike"
            yield warning(message, panel.where, self._other_meant(panel, carrier))
        elif (off := _apart(self.bodies[panel.key], self.bodies[carrier.key])) > RIDES:
            message = f"`{panel.key}` rides on `{carrier.key}`, but sits {off:.0f} mm away from it"
            yield warning(message, panel.where, "correct `on_bike` of the two, or `rides_on`")

    def waiting(self, panel: Panel) -> Iterator[Problem]:
        for key in panel.after:
            other = self.panels[key]
            if self._is_inherited(panel, key, "after") or self._are_twins(panel, other):
                continue
            twin = self.twins[other.key]
            if _is_across(panel, other) and (
                _apart(self.bodies[panel.key], self.bodies[other.key]) > RIDES or (twin and twin.side == panel.side)
            ):
                message = f"`{panel.key}`, a {panel.side} panel, waits for `{key}`, on the other side of the bike"
                yield warning(message, panel.where, self._other_meant(panel, other))
            elif (off := _apart(self.bodies[panel.key], self.bodies[other.key])) > WAITS:
                message = f"`{panel.key}` waits for `{key}`, but sits {off:.0f} mm away from it"
                yield warning(message, panel.where, "correct `after`, or `on_bike` of the two")

    def _is_inherited(self, panel: Panel, key: str, name: str) -> bool:
        """Whether a mirror image has this tie from its original, where it is judged."""
        if not panel.mirrors:
            return False
        written = getattr(self.panels[panel.mirrors], name)
        names = [written] if isinstance(written, str) else written
        return key in [swap_words(one) if swap_words(one) in self.panels else one for one in names]

    def _other_meant(self, panel: Panel, named: Panel) -> str:
        twin = self.twins[named.key]
        if twin is not None and twin.side == panel.side:
            return f'did you mean "{twin.key}"? Or is the `side` of one of the two wrong'
        return "correct the reference, or the `side` of one of the two"


def _is_across(panel: Panel, other: Panel) -> bool:
    return panel.side != "centre" and other.side == other_side(panel.side)


def _apart(one: _Body, other: _Body) -> float:
    """How far two panels are apart at least, mm; 0 where it is not known."""
    (standing, view), (other_standing, other_view) = one, other
    if standing is None or other_standing is None:
        return 0.0
    if view.is_empty or other_view.is_empty:
        return standing.gap(other_standing)
    return float(view.distance(other_view))


def _off(panel: Panel, at: Point, held: _Body) -> float:
    """How far a place of a panel is from another panel at least, mm; 0 where it is not known."""
    place, (standing, view) = standing_of(panel, at), held
    if place is None or standing is None:
        return 0.0
    if view.is_empty or panel.side == "centre":
        return place.gap(standing)
    return float(view.distance(ShapelyPoint(place.ahead[0], place.above[0])))


def _off_flipped(panel: Panel, at: Point, held: Panel) -> float:
    """The same, with the held panel turned round in its own box or at its own [0, 0], whichever is nearer."""
    x0, _, x1, _ = box_of(held)
    return min(_off(panel, at, _body(_turned_round(held, about))) for about in (x0 + x1, 0.0))


def _turned_round(panel: Panel, about: float) -> Panel:
    return replace(panel, outline=tuple((about - x, y) for x, y in reversed(panel.outline)))


def _body(panel: Panel) -> _Body:
    return standing_of(panel), polygon_of(side_view(panel))
