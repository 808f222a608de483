"""Holes that lie outside of their panel, and the slip that would put them there.

In: a bike. Out: warnings. Of holes that one slip explains all together there is one for the panel; a mirror image's
holes are judged at their original.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from shapely import Point as ShapelyPoint
from shapely import Polygon

from boardmaker.geometry import Point, bounds
from boardmaker.model import Bike, ByDistances, Hole, Panel
from boardmaker.problems import Problem, warning
from boardmaker.service.doubts.geometry.limits import CORNER, MEASURED, SHARE, SPREAD, TOGETHER
from boardmaker.service.doubts.geometry.slips import TURNED, UNITS, Box, Slip, asked, undone
from boardmaker.service.doubts.geometry.standing import box_of, own_holes

_AGAIN = "measure it again, or correct the outline"


def strays(bike: Bike) -> tuple[Problem, ...]:
    """Return a warning for every hole more than `MEASURED` mm outside of its panel, and for holes of another scale."""
    return tuple(
        problem
        for panel in bike.panels
        if panel.outline and not panel.outline_drawn
        for problem in _of_panel(panel, _holes_judged(bike, panel))
    )


def _holes_judged(bike: Bike, panel: Panel) -> tuple[Hole, ...]:
    """Those that are written at the panel; all of them where only the outline is its own."""
    if not panel.mirrors:
        return panel.holes
    turned = {(0.0 - x, y) for x, y in bike.panel(panel.mirrors).outline}
    return own_holes(bike, panel) if turned == {*panel.outline} else panel.holes


def _of_panel(panel: Panel, holes: tuple[Hole, ...]) -> Iterator[Problem]:
    polygon, box = Polygon(panel.outline), box_of(panel)
    off = {hole.id: float(polygon.distance(ShapelyPoint(hole.at))) for hole in holes}
    outside = [hole for hole in holes if off[hole.id] > MEASURED]

    def inside(at: Point) -> bool:
        return bool(polygon.distance(ShapelyPoint(at)) <= MEASURED)

    if len(outside) >= TOGETHER and (common := _common(holes, outside, box, inside)):
        yield _together(panel, holes, outside, max(off.values()), common)
        return
    for hole in outside:
        slips = (*undone(hole.at, box, inside, TURNED), *_units(hole, box, off[hole.id], inside))
        message = f"{panel.key}/{hole.id} lies {off[hole.id]:.0f} mm outside of its panel's outline"
        yield warning(message, hole.where, _measured_hint(hole.by, outside) if hole.by else _hint(slips))
    if not outside:
        yield from _in_corner(panel, holes, box, inside)


def _hint(slips: tuple[Slip, ...]) -> str:
    return f"is it a slip: {asked(slips)} Else {_AGAIN}" if slips else _AGAIN


def _measured_hint(by: ByDistances, outside: list[Hole]) -> str:
    """Of a hole that is measured from others no sign can be wrong: but theirs may be, or a distance."""
    names = [name for name, _ in by.off]
    wrong = [hole.id for hole in outside if hole.id in names]
    if wrong:
        return f"correct first what it is measured from and lies outside too: hole {', hole '.join(wrong)}"
    return f"measure its distances from holes {', '.join(names[:-1])} and {names[-1]} again, or correct the outline"


def _common(
    holes: tuple[Hole, ...], outside: list[Hole], box: Box, inside: Callable[[Point], bool]
) -> tuple[Slip, ...]:
    """The slips without which all holes lie inside; if there is none, those without which the outer ones do."""
    for some in (holes, outside):
        found = [slip for slip in (*TURNED, *UNITS) if all(inside(slip.undo(hole.at, box)) for hole in some)]
        if found:
            return tuple(found)
    return ()


def _together(
    panel: Panel, holes: tuple[Hole, ...], outside: list[Hole], furthest: float, slips: tuple[Slip, ...]
) -> Problem:
    message = (
        f"{len(outside)} of the {len(holes)} holes of `{panel.key}` lie outside of its outline, up to {furthest:.0f} mm"
    )
    hint = f"is it one slip of all of them, or of the outline: {asked(slips)} Without it they lie inside"
    return warning(message, outside[0].where, hint)


def _units(hole: Hole, box: Box, off: float, inside: Callable[[Point], bool]) -> tuple[Slip, ...]:
    """Slips of unit, for a hole that is far outside, or near [0, 0]."""
    size = max(box[2] - box[0], box[3] - box[1])
    far, near = off > SHARE * size, max(abs(hole.at[0]), abs(hole.at[1])) < SHARE * size
    found = undone(hole.at, box, inside, UNITS)
    return tuple(slip for slip in found if (near if slip.undo((1.0, 1.0), box)[0] > 1.0 else far))


def _in_corner(panel: Panel, holes: tuple[Hole, ...], box: Box, inside: Callable[[Point], bool]) -> Iterator[Problem]:
    """All holes lie in the corner at [0, 0], and spread over the panel once their unit is another."""
    reach = max(map(abs, box[::2])), max(map(abs, box[1::2]))
    for unit, share in CORNER.items():
        by = _FACTORS[unit]
        few = 1 if unit == "metres" else 2 if unit == "inches" else TOGETHER
        shrunk = [hole for hole in holes if hole.at != (0.0, 0.0) and _is_within(hole.at, reach, share)]
        spread = [hole for hole in shrunk if inside((hole.at[0] * by, hole.at[1] * by))]
        if len(spread) == len(shrunk) >= few and (unit == "metres" or _is_spread(holes, shrunk, by, box)):
            message = f"{len(shrunk)} of the {len(holes)} holes of `{panel.key}` lie in the corner at its [0, 0]"
            hint = f"are they in {unit} and the outline in millimetres, or the outline in pixels and they not?"
            plain = f"are these {unit} written for millimetres?"
            yield warning(message, shrunk[0].where, hint if unit == "pixels" else plain)
            return


def _is_spread(holes: tuple[Hole, ...], shrunk: list[Hole], by: float, box: Box) -> bool:
    """Whether these are all holes, and would lie all over the panel if they were so much further apart."""
    x0, y0, x1, y1 = bounds([hole.at for hole in holes])
    wide, high = box[2] - box[0], box[3] - box[1]
    return len(shrunk) == len(holes) and (x1 - x0) * by >= SPREAD * wide and (y1 - y0) * by >= SPREAD * high


def _is_within(at: Point, reach: Point, share: float) -> bool:
    return abs(at[0]) <= share * reach[0] and abs(at[1]) <= share * reach[1]


_FACTORS = {"pixels": 96 / 25.4, "centimetres": 10.0, "inches": 25.4, "metres": 1000.0}
