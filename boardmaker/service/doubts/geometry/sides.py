"""Panels on the wrong side, and panels drawn from the wrong side.

In: a bike. Out: warnings. A name or a key that says left or right is held against `side`; a panel against its twin
across the bike, of which it must be the mirror image and beside which it must sit.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from boardmaker.geometry import Point, Ring, bounds
from boardmaker.model import Bike, Panel, other_side, side_words
from boardmaker.problems import Problem, warning
from boardmaker.service.doubts.geometry.limits import CLEARER, LIKE, MEASURED, TWINS_APART, TWINS_OFF
from boardmaker.service.doubts.geometry.standing import box_of, polygon_of, standing_of, twin_of


def wrong_sides(bike: Bike) -> Iterator[Problem]:
    """Yield a warning for each panel that cannot be of its side, or was drawn from the other one."""
    for index, panel in enumerate(bike.panels):
        yield from _named(panel)
        twin = twin_of(bike, panel)
        yield from _left_of_its_corner(panel, twin)
        if twin is None or bike.panels.index(twin) > index:
            continue  # each pair once, at the second of the two
        yield from _one_side(panel, twin)
        yield from _drawn_alike(panel, twin)
        yield from _far_from_twin(panel, twin)


def _named(panel: Panel) -> Iterator[Problem]:
    """A key or a name that says one side, of a panel of another."""
    for what, text in (("key", panel.key), ("name", panel.name)):
        said = set(side_words(text))
        if len(said) == 1 and panel.side not in said:
            (word,) = said
            message = f"the {what} of `{panel.key}` says {word}, but its side is {panel.side}"
            yield warning(message, panel.where, f"write side: {word}, or another {what}")
            return


def _one_side(panel: Panel, twin: Panel) -> Iterator[Problem]:
    if panel.side == twin.side and panel.side != "centre" and twin.key in (panel.mirrors, *_mirrored(twin, panel)):
        message = f"`{panel.key}` is the mirror image of `{twin.key}`, but both are of the {panel.side} side"
        yield warning(message, panel.where, f"write side: {other_side(panel.side)} at one of the two")


def _mirrored(twin: Panel, panel: Panel) -> tuple[str, ...]:
    return (twin.key,) if twin.mirrors == panel.key else ()


def _left_of_its_corner(panel: Panel, twin: Panel | None) -> Iterator[Problem]:
    """A panel is drawn from its lower left corner; one of the left side that lies at minus x was turned round.

    Unless its twin is written for itself at plus x: then this one is that one's mirror image, written out.
    """
    if twin is not None and not twin.mirrors and box_of(twin)[0] >= -MEASURED:
        return
    if panel.side != "left" or panel.mirrors or panel.outline_drawn or not panel.outline:
        return
    x0, _, x1, _ = box_of(panel)
    if x1 <= MEASURED and x1 - x0 > 2 * MEASURED:
        message = f"`{panel.key}` lies from x {x0:.0f} to {x1:.0f}, left of its own [0, 0]"
        hint = "is x turned round, or the panel drawn from the other side? A left panel is seen from the left"
        yield warning(message, panel.where, hint)


def _drawn_alike(panel: Panel, twin: Panel) -> Iterator[Problem]:
    """Of a pair, one as the other is and not as its mirror image: seen from inside."""
    if panel.side in ("centre", twin.side) or _is_mirror_image(panel, twin):
        return
    as_it_is = _likeness(panel, twin.outline, twin)
    mirrored = _likeness(panel, _turned(twin.outline), twin, turned=True)
    if as_it_is >= LIKE and as_it_is > mirrored + CLEARER:
        message = f"`{panel.key}` is like `{twin.key}` as it is drawn, and not like its mirror image"
        hint = "one of the two is drawn from the other side: draw each as it is seen from its own side of the bike"
        yield warning(message, panel.where, hint)


def _is_mirror_image(panel: Panel, twin: Panel) -> bool:
    """Whether one has outline and holes from the other."""
    holes = [(-x, y) for x, y in (hole.at for hole in twin.holes)]
    return {*_turned(twin.outline)} == {*panel.outline} and [hole.at for hole in panel.holes] == holes


def _turned(ring: Ring) -> Ring:
    return tuple((0.0 - x, y) for x, y in reversed(ring))


def _likeness(panel: Panel, ring: Ring, twin: Panel, turned: bool = False) -> float:
    """How alike two panels are, from 0 to 1: outlines laid lower left on lower left; without outlines, their holes."""
    if panel.outline and ring and not panel.outline_drawn and not twin.outline_drawn:
        shape, other = polygon_of(_from_corner(panel.outline)), polygon_of(_from_corner(ring))
        both = shape.intersection(other).area
        return float(both / (shape.area + other.area - both))
    holes = [hole.at for hole in twin.holes]
    return _holes_alike([hole.at for hole in panel.holes], [(-x, y) for x, y in holes] if turned else holes)


def _holes_alike(holes: Sequence[Point], others: Sequence[Point]) -> float:
    """The share of the holes that have another one within reach, laid corner on corner; 0 where there are too few."""
    if len(holes) < 3 or len(others) < 3:
        return 0.0
    moved = _from_corner(tuple(others))
    near = [min(math.dist(hole, other) for other in moved) for hole in _from_corner(tuple(holes))]
    return sum(off <= 2 * MEASURED for off in near) / len(near)


def _from_corner(ring: Ring) -> Ring:
    x0, y0, _, _ = bounds(ring)
    return tuple((x - x0, y - y0) for x, y in ring)


def _far_from_twin(panel: Panel, twin: Panel) -> Iterator[Problem]:
    """Both are on the bike at their places, and do not sit across from each other."""
    one, other = standing_of(panel), standing_of(twin)
    if one is None or other is None or panel.side in ("centre", twin.side):
        return
    apart = max(
        abs(sum(one.ahead) - sum(other.ahead)) / 2 - TWINS_APART * (one.ahead[1] - one.ahead[0]),
        abs(sum(one.above) - sum(other.above)) / 2 - TWINS_APART * (one.above[1] - one.above[0]),
    )
    if apart > TWINS_OFF:
        ahead, across = (f"{sum(two.ahead) / 2:.0f} ahead, {sum(two.above) / 2:.0f} above" for two in (one, other))
        message = f"`{panel.key}` sits at {ahead}, its twin `{twin.key}` at {across}"
        hint = "x of a left panel runs rearwards from its `on_bike`, of a right one forwards; is x or `on_bike` wrong?"
        yield warning(message, panel.where, hint)
