"""Holes whose places are measured from other holes of their panel: `from: { 1: 212 mm, 2: 305 mm }` in place of `at`.

In: a panel's holes as written, and its outline. Out: the place of each, with what its distances miss by; complaints go
to the findings. Apart from `panels` because holes wait for each other here, and from `trilateration` because that knows
neither ids nor outlines.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter

from shapely import Point as ShapelyPoint
from shapely import Polygon

from boardmaker.geometry import Point, Ring
from boardmaker.inputs.bike.suspects import MISSES, ONE_SPOT, Suspect, suspects
from boardmaker.inputs.bike.trilateration import ACCURACY, Answer, Circle, answers, gap, is_left, widest
from boardmaker.inputs.findings import Findings
from boardmaker.inputs.schema import HoleShape
from boardmaker.inputs.values import LONGEST, as_written
from boardmaker.inputs.yaml.reader import KeyPath
from boardmaker.model import ByDistances, UnplacedHole

CANNOT_BE = 10.0  # mm that one of three or more distances may be off before they do not belong together
PLAUSIBLE = 20.0  # mm beyond an outline at which a hole may still be: on a tab that the outline leaves out; no source
MOST_SUSPECTS = 3  # named of distances that may be the wrong one
ON_LINE = 20.0  # `spread` from which a hole lies in line with the others, neither left nor right of them
MOST_DISTANCES = 10  # of a hole; three are enough
HANDS = ("left", "right")
EXAMPLE = "at: [220, 90], or from: { 1: 212 mm, 2: 305 mm }"


@dataclass(frozen=True)
class HolePlace:
    """Where a hole is, and how that came about; None where it was written as `at`."""

    at: Point
    by: ByDistances | None = None


class PanelHoles:
    """The holes of one panel as written. `ring` is its outline, () without one, None where that has a mistake."""

    def __init__(self, path: KeyPath, shapes: Sequence[HoleShape], ring: Ring | None, findings: Findings) -> None:
        self.path, self.shapes, self.ring, self.findings = path, shapes, ring, findings
        self.ids = [shape.id or str(index + 1) for index, shape in enumerate(shapes)]
        self.placed: dict[str, HolePlace] = {}
        self.circles: dict[str, tuple[Circle, ...]] = {}
        self.first = ""  # what is to be corrected before the distances of the hole that is being placed

    def places(self) -> tuple[HolePlace | None, ...]:
        """Return the place of each hole, None where there is a mistake, of which the findings tell."""
        written = [self._written(index, shape) for index, shape in enumerate(self.shapes)]
        self.placed = {id_: HolePlace(at) for id_, at in zip(self.ids, written, strict=True) if at is not None}
        waiting = {id_: dict(found) for id_, found in self._all_distances() if id_ not in self.placed}
        indices = {id_: index for index, id_ in enumerate(self.ids)}
        for id_ in self._in_order(waiting, indices):
            if waiting.get(id_) and all(other in self.placed for other in waiting[id_]):
                self._place(indices[id_], id_, waiting[id_])
        return tuple(self.placed.get(id_) for id_ in self.ids)

    def unplaced(self) -> tuple[UnplacedHole, ...]:
        """Return the holes that have no place, after `places`, each with what its distances say all the same."""
        left = ((index, id_) for index, id_ in enumerate(self.ids) if id_ not in self.placed)
        return tuple(self._without_place(index, id_) for index, id_ in left)

    def _without_place(self, index: int, id_: str) -> UnplacedHole:
        circles = self.circles.get(id_, ())
        near = answers(circles)[0].at if circles and widest(circles) >= ONE_SPOT else None
        where = self.findings.document.place((*self.path, index))
        return UnplacedHole(id_, self.shapes[index].fastener, circles, near, where)

    def _written(self, index: int, shape: HoleShape) -> Point | None:
        """A place that is written; complaints where there is none, or too much is said."""
        path = (*self.path, index)
        if shape.hand and shape.distances is None:
            self.findings.error((*path, "hand"), "`hand` goes with `from` only", "take it out")
        if shape.at is None and shape.distances is None:
            self.findings.error(path, "this entry lacks the key `at`", f"such as {EXAMPLE}", key=True)
        elif shape.at is not None and shape.distances is not None:
            message = "this hole has both `at` and `from`"
            self.findings.error((*path, "from"), message, "keep one of them", key=True)
        return shape.at

    def _all_distances(self) -> Iterator[tuple[str, Mapping[str, float]]]:
        """The distances of each hole that has some, by the ids that they are measured from; {} where one is wrong."""
        for index, shape in enumerate(self.shapes):
            if shape.distances is not None:
                yield self.ids[index], self._distances(index, shape.distances) or {}

    def _distances(self, index: int, written: Mapping[str, float]) -> Mapping[str, float] | None:
        path = (*self.path, index, "from")
        found = {as_written(key): length for key, length in written.items()}
        if self.ids[index] in found:
            message = f'hole "{self.ids[index]}" is measured from itself'
            self.findings.error((*path, self.ids[index]), message, "take it out", key=True)
            return None
        if not 2 <= len(found) <= MOST_DISTANCES:
            count = "no distance" if not found else "one distance" if len(found) == 1 else f"{len(found)} distances"
            hint = f"measure from two holes or three, {MOST_DISTANCES} at most: from: {{ 1: 212 mm, 2: 305 mm }}"
            self.findings.error(path, f"{count} cannot say where a hole is", hint, key=True)
            return None
        known = self.findings.known(path, "hole", found, self.ids)
        return found if len(known) == len(found) else None

    def _in_order(self, waiting: Mapping[str, Mapping[str, float]], indices: Mapping[str, int]) -> Iterator[str]:
        """The holes so that each comes after those that it is measured from; nothing where they go in a circle."""
        try:
            yield from TopologicalSorter(waiting).static_order()
        except CycleError as wrong:
            circle = list(reversed(wrong.args[1]))[:-1]  # from a hole to the one that it is measured from
            first = min(range(len(circle)), key=lambda place: indices[circle[place]])
            circle = [*circle[first:], *circle[:first]]
            shown = " -> ".join([*circle, circle[0]])
            message = f"these holes are measured from each other in a circle: {shown}"
            hint = "give one of them its place with `at`, or measure it from another hole"
            self.findings.error((*self.path, indices[circle[0]], "from"), message, hint, key=True)

    def _place(self, index: int, id_: str, distances: Mapping[str, float]) -> None:
        """Find the place of a hole whose others are all placed."""
        circles = self.circles[id_] = tuple((self.placed[other].at, far) for other, far in distances.items())
        names = list(distances)
        self.first = self._correct_first(names)
        found = self._answers(index, names, circles)
        chosen = self._chosen(index, names, (circles[0][0], circles[1][0]), found) if found else None
        if chosen is None:
            return
        if max(abs(chosen.at[0]), abs(chosen.at[1])) > LONGEST:
            self._error(index, f"this hole comes to lie more than {LONGEST / 1000:g} m away", "measure again")
            return
        by = ByDistances(tuple(zip(names, chosen.off, strict=True)), chosen.spread)
        self.placed[id_] = HolePlace(chosen.at, by)

    def _answers(self, index: int, names: Sequence[str], circles: Sequence[Circle]) -> tuple[Answer, ...]:
        """Where the distances meet; nothing, and a complaint, where they do not."""
        whose = f"the distances from holes {_listed(names)}"
        if widest(circles) < ONE_SPOT:
            self._error(index, f"holes {_listed(names)} lie on one spot", "measure from holes that lie apart")
            return ()
        if len(circles) == 2 and (off := gap(*circles)) > MISSES:
            again = "measure again, or from a third hole too: then the place that fits best is taken"
            self._error(index, f"{whose} miss each other by {off:.1f} mm", again)
            return ()
        found = answers(circles)
        best = found[0]
        if len(circles) > 2 and best.largest > CANNOT_BE:
            self._error(index, f"{whose} cannot meet: {self._why_not(names, best)}", self._which(names, circles))
            return ()
        return found

    def _why_not(self, names: Sequence[str], best: Answer) -> str:
        return f"at the place that fits best the one from hole {names[best.worst]} is off by {best.largest:.1f} mm"

    def _which(self, names: Sequence[str], circles: Sequence[Circle]) -> str:
        """What to measure again: the distance without which the others meet inside the outline."""
        found = suspects(circles, lambda at: not self.ring or _off(at, self.ring) <= ACCURACY)
        if len({one.which for one in found}) != 1:
            guesses = "; or ".join(_guess(names, one) for one in found[:MOST_SUSPECTS])
            return f"measure again: {guesses}" if guesses else "measure again"
        again = "; or ".join(_guess(names, one) for one in found[:MOST_SUSPECTS])
        return f"measure the one from hole {names[found[0].which]} again: {again}"

    def _chosen(
        self, index: int, names: Sequence[str], way: tuple[Point, Point], found: Sequence[Answer]
    ) -> Answer | None:
        """The one answer; of two the one on the side that `hand` says, else the one that alone lies inside."""
        hand = self.shapes[index].hand
        if hand:
            return self._on_side(index, names, way, found, hand)
        if len(found) == 1:
            return found[0]
        inside = [one for one in found if self.ring and _is_inside(one.at, self.ring)]
        if len(inside) == 1:
            return inside[0]
        if self.ring is not None:  # one with a mistake has its own complaint
            self._ask_for_hand(index, names, found, way, bool(inside))
        return None

    def _on_side(
        self, index: int, names: Sequence[str], way: tuple[Point, Point], found: Sequence[Answer], hand: str
    ) -> Answer | None:
        for one in found:
            if is_left(one.at, *way) is (hand == "left") or one.spread >= ON_LINE:
                return one
        where = f"by its distances this hole lies at {_shown(found[0].at)}"
        message = f"{where}, not {hand} of the way from hole {names[0]} to hole {names[1]}"
        self.findings.error((*self.path, index, "hand"), message, "take `hand` out, or measure again")
        return None

    def _ask_for_hand(
        self, index: int, names: Sequence[str], found: Sequence[Answer], way: tuple[Point, Point], inside: bool
    ) -> None:
        left, right = sorted(found, key=lambda one: not is_left(one.at, *way))
        if self.ring and not inside:
            self._doubt(index, names, (left, right), self.ring)
            return
        why = "both lie inside the outline" if self.ring else "there is no outline"
        message = f"this hole may be at {_shown(left.at)} or at {_shown(right.at)}: {why}"
        first = f"hand: left, as seen on the way from hole {names[0]} to hole {names[1]}, for {_shown(left.at)}"
        self._error(index, message, f"write {first}; hand: right for {_shown(right.at)}; or measure from a third hole")

    def _doubt(self, index: int, names: Sequence[str], sides: tuple[Answer, Answer], ring: Ring) -> None:
        """Of two places none lies inside: a distance is wrong, or the hole lies on a tab beside the outline."""
        off = [_off(one.at, ring) for one in sides]
        where = " and ".join(f"{_shown(one.at)}, {far:.0f} mm" for one, far in zip(sides, off, strict=True))
        wrong = "" if self.first else "; a distance is probably wrong"
        message = f"both places where this hole may be lie outside the outline: {where}{wrong}"
        near = [hand for hand, far in zip(HANDS, off, strict=True) if far <= PLAUSIBLE]
        hands = " or ".join(f"hand: {hand}" for hand in near)
        way = f", as seen on the way from hole {names[0]} to hole {names[1]}, for the place that is only just outside"
        self._error(
            index, message, f"measure again, or from a third hole too{f'; else write {hands}{way}' * bool(near)}"
        )

    def _correct_first(self, names: Sequence[str]) -> str:
        """A word about the holes that another is measured from and that lie outside themselves; "" for none."""
        off = {name: _off(self.placed[name].at, self.ring) for name in names if self.ring}
        outside = [f"hole {name}, {far:.0f} mm outside the outline" for name, far in off.items() if far > ACCURACY]
        return f"correct first what it is measured from: {' and '.join(outside)}; else " if outside else ""

    def _error(self, index: int, message: str, hint: str) -> None:
        self.findings.error((*self.path, index, "from"), message, self.first + hint, key=True)


def _is_inside(at: Point, ring: Ring) -> bool:
    """Also a little outside: holes and outlines are measured no better."""
    return _off(at, ring) <= ACCURACY


def _off(at: Point, ring: Ring) -> float:
    """How far outside of an outline a place lies, mm."""
    return float(Polygon(ring).distance(ShapelyPoint(at)))


def _guess(names: Sequence[str], one: Suspect) -> str:
    off = one.written - one.far
    less = f"{abs(off):.0f} mm {'less' if off > 0 else 'more'} than written"
    name = names[one.which]
    return f"without it the others meet at {_shown(one.at)}, where hole {name} is {one.far:.0f} mm away, {less}"


def _listed(names: Sequence[str]) -> str:
    return f"{', '.join(names[:-1])} and {names[-1]}"


def _shown(at: Point) -> str:
    return f"[{_short(at[0])}, {_short(at[1])}]"


def _short(value: float) -> str:
    return f"{math.floor(value * 10 + 0.5) / 10 + 0.0:g}"
