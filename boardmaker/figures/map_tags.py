"""Where the tags go in a small view of the bike: in their panels, else beside them with a fine leader.

In: a view at its scale on paper, how large each tag is. Out: a place for each, or None where they cannot all be told
apart. Apart from the picture because this is a search. A place in several outlines belongs to the smallest of them, as
on a map; there a tag stands, or its leader ends.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from boardmaker.figures.tag_clashes import Truths, boxes_meet, runs_cross, runs_meet, runs_meet_boxes
from boardmaker.fixed_order import FINEST, Floats, lengths
from boardmaker.geometry import Point, Ring
from boardmaker.typeset.label import Box

STEP, STEP_BESIDE = 0.5, 1.0  # mm between two places that are tried for a tag in its panel, beside the panels
AIR = 0.4  # mm between a tag and the line around it
APART = 0.6  # mm between two tags, and between a leader and anything that is not its own
BESIDE = 9.0  # mm around the outlines where tags may stand
LONGEST = 14.0  # mm of a leader: further off, nobody looks for a tag
SHORTEST = 0.8  # mm of a leader: a shorter one is not seen
DOT_AIR = 0.5  # mm from a leader's end to the lines around it, where there is so much room
CROSSING = 0.8  # what it costs a leader to cross a line, in mm of its length
COVERING = 4.0  # what it costs a tag to lie over another panel's line
LEADING = 3.0  # what it costs a tag to stand beside its panel
MOST_INSIDE, MOST_BESIDE, MOST_DOTS = 40, 160, 60  # places that are looked at, of one panel
LOOKED_AT = 400  # of them, at first
MOST_TRIED = 5000  # places, about, for a tag of one size
ROUNDS = 30  # of choosing anew
CLASH = 1000.0
MOST_TAGS = 40  # of a view: no picture of a hand's width has room for more, and a search for it takes its time


@dataclass(frozen=True)
class Tagged:
    """A thing that wants a tag: its outline, or the two ends of its line, and width and height of the tag; mm.

    Without an outline the tag (a view's own words) may stand anywhere beside the panels, without a leader.
    """

    ring: Ring
    size: Point


@dataclass(frozen=True)
class TagPlace:
    """Where a tag goes; `leader` from the place that it names to the tag, empty where the tag stands there itself."""

    box: Box
    leader: tuple[Point, ...] = ()


@dataclass(frozen=True)
class _Scene:
    """All outlines of a view: areas, lines, and of each tagged thing the part that belongs to no smaller one."""

    areas: BaseGeometry
    lines: BaseGeometry
    edges: Floats  # the lines' straight pieces, (pieces, 2, 2)
    own: tuple[BaseGeometry, ...]
    bounds: Box

    def edges_within(self, low: Floats, high: Floats) -> Floats:
        """The pieces that reach into a box: no others can be crossed there."""
        into = (self.edges.min(axis=1) <= high) & (self.edges.max(axis=1) >= low)
        edges: Floats = self.edges[into.all(axis=1)]
        return edges


@dataclass(frozen=True)
class _Spots:
    """The places that one tag may take, the cheapest first."""

    costs: Floats
    boxes: Floats  # (places, 4)
    leaders: Floats  # (places, 2, 2); both ends in the middle of the box where there is none

    @cached_property
    def bounds(self) -> tuple[Floats, Floats]:
        """The lowest and the highest x and y of each place with its leader, (places, 2) each."""
        low, high = np.minimum(self.boxes[:, :2], self.leaders.min(axis=1)), self.leaders.max(axis=1)
        return low, np.maximum(self.boxes[:, 2:], high)

    def near(self, low: Floats, high: Floats) -> NDArray[np.int64]:
        """The numbers of the places that come near to what lies between two corners: no others can clash with it."""
        (lows, highs), (x0, y0), (x1, y1) = self.bounds, low - APART, high + APART
        across, up = (lows[:, 0] < x1) & (highs[:, 0] > x0), (lows[:, 1] < y1) & (highs[:, 1] > y0)
        return np.flatnonzero(across & up)

    def place(self, index: int) -> TagPlace:
        x0, y0, x1, y1 = self.boxes[index].tolist()
        (x, y), (end_x, end_y) = self.leaders[index].tolist()
        led = (x, y) != (end_x, end_y)
        return TagPlace((x0, y0, x1, y1), ((x, y), (end_x, end_y)) if led else ())


def place_tags(things: Sequence[Tagged]) -> tuple[TagPlace, ...] | None:
    """Return a place for the tag of each thing, mm; None where they cannot all be placed clear of each other."""
    if len(things) > MOST_TAGS:
        return None
    scene = _scene(things)
    free = {size: _free_boxes(size, scene) for size in dict.fromkeys(one.size for one in things)}
    choices = [_choice(one, own, scene, free[one.size]) for one, own in zip(things, scene.own, strict=True)]
    if any(not len(one.costs) for one in choices):
        return None
    taken = _chosen(choices)
    return tuple(one.place(index) for one, index in zip(choices, taken, strict=True)) if taken else None


def _scene(things: Sequence[Tagged]) -> _Scene:
    shapes = [_shape(one.ring) for one in things]
    areas = [round(float(shape.area), FINEST) for shape in shapes]
    own = []
    for index, shape in enumerate(shapes):
        smaller = [
            other for place, other in enumerate(shapes) if other.area and (areas[place], place) < (areas[index], index)
        ]
        rest = shapely.difference(shape, shapely.union_all(smaller)) if shape.area else shape
        own.append(shape if rest.is_empty else rest)
    whole = shapely.union_all(shapes)
    outlines = [shape.boundary if shape.area else shape for shape in shapes]
    lines = shapely.union_all(outlines)
    x0, y0, x1, y1 = whole.bounds
    for shape in (whole, lines, *own):
        shapely.prepare(shape)  # asked thousands of times
    return _Scene(whole, lines, _edges(outlines), tuple(own), (x0, y0, x1, y1))


def _edges(outlines: Sequence[BaseGeometry]) -> Floats:
    corners = [shapely.get_coordinates(one) for one in outlines]
    return np.concatenate([np.stack([one[:-1], one[1:]], axis=1) for one in corners])


def _shape(ring: Ring) -> BaseGeometry:
    if len(ring) < 3:
        return shapely.LineString(ring)
    return shapely.Polygon(ring)


def _choice(thing: Tagged, own: BaseGeometry, scene: _Scene, free: Floats) -> _Spots:
    if not thing.ring:
        return _anywhere(free, scene)
    parts = [_beside(free, own, scene)]
    if own.area:
        parts.append(_inside(thing.size, own, scene))
    costs, boxes, leaders = (np.concatenate(group) for group in zip(*parts, strict=True))
    order = np.argsort(costs, kind="stable")
    return _Spots(costs[order], boxes[order], leaders[order])


def _inside(size: Point, own: BaseGeometry, scene: _Scene) -> tuple[Floats, Floats, Floats]:
    """Places within the panel, away from all lines and near the panel's middle."""
    middles = _grid(own.bounds)
    boxes = _boxes(middles, size)
    fit = shapely.contains_properly(own, _rectangles(boxes, AIR))
    middles, boxes = _thinned(middles[fit]), _thinned(boxes[fit])
    far = shapely.distance(scene.lines, shapely.points(middles))
    x0, y0, x1, y1 = own.bounds
    off = lengths(middles[:, 0] - (x0 + x1) / 2, middles[:, 1] - (y0 + y1) / 2)
    covered = shapely.intersects(scene.lines, _rectangles(boxes, 0.0))
    costs = (COVERING * covered - np.minimum(far, 4.0) / 2 + off / 10 + 2.0).round(6)
    best = np.argsort(costs, kind="stable")[:MOST_INSIDE]
    return costs[best], boxes[best], np.stack([middles[best], middles[best]], axis=1)


def _beside(boxes: Floats, own: BaseGeometry, scene: _Scene) -> tuple[Floats, Floats, Floats]:
    """Places off all panels, each with the shortest leader."""
    dots = _dots(own, scene)
    boxes = boxes[lengths(*_off(dots.min(axis=0), dots.max(axis=0), boxes)) < LONGEST + STEP]  # of others, no leader
    long = lengths(*_off(dots, dots, boxes[:, None])).round(6)
    nearest = np.argmin(long, axis=1)
    long = long[np.arange(len(boxes)), nearest]
    leaders = np.stack([dots[nearest], np.clip(dots[nearest], boxes[:, :2], boxes[:, 2:])], axis=1)
    good = (long >= SHORTEST) & (long <= LONGEST)
    order = np.argsort(np.where(good, long, np.inf), kind="stable")[: min(int(np.count_nonzero(good)), LOOKED_AT)]
    long, boxes, leaders = long[order], boxes[order], leaders[order]
    edges = scene.edges_within(leaders.min(axis=(0, 1)), leaders.max(axis=(0, 1))) if len(leaders) else scene.edges
    met = np.count_nonzero(runs_cross(leaders[:, None], edges[None]), axis=1)
    costs = (LEADING + long + CROSSING * met).round(6)
    best = np.argsort(costs, kind="stable")[:MOST_BESIDE]
    return costs[best], boxes[best], leaders[best]


def _off(low: Floats, high: Floats, boxes: Floats) -> tuple[Floats, Floats]:
    """How far boxes are across and up from what reaches from one corner to another, 0 where they are not."""
    gaps = [np.maximum(boxes[..., side] - high[..., side], low[..., side] - boxes[..., side + 2]) for side in (0, 1)]
    return np.maximum(gaps[0], 0.0), np.maximum(gaps[1], 0.0)


def _anywhere(boxes: Floats, scene: _Scene) -> _Spots:
    """Places off all panels: close below them, not beyond them to either side, and far to the left."""
    x0, y0, x1, _ = scene.bounds
    beyond = np.maximum(x0, boxes[:, 0]) - boxes[:, 0] + np.maximum(x1, boxes[:, 2]) - x1
    costs = (np.abs(boxes[:, 3] - y0 + APART) + 2 * beyond + (boxes[:, 0] - x0) / 10).round(6)
    best = np.argsort(costs, kind="stable")[:MOST_BESIDE]
    middles = (boxes[best, :2] + boxes[best, 2:]) / 2
    return _Spots(costs[best], boxes[best], np.stack([middles, middles], axis=1))


def _free_boxes(size: Point, scene: _Scene) -> Floats:
    x0, y0, x1, y1 = scene.bounds
    middles = _grid((x0 - BESIDE, y0 - BESIDE, x1 + BESIDE, y1 + BESIDE), STEP_BESIDE)
    boxes = _boxes(middles[~shapely.contains_xy(scene.areas, middles)], size)  # what is over an outline is soon told
    free: Floats = boxes[~shapely.intersects(scene.areas, _rectangles(boxes, APART))]
    return free


def _dots(own: BaseGeometry, scene: _Scene) -> Floats:
    """Where a leader may end: in the panel, clear of lines where there is room; of a line anywhere but at its ends."""
    dots: Floats
    if not own.area:
        steps = max(2, int(own.length / STEP))
        shares = [0.2 + 0.6 * (step + 0.5) / steps for step in range(steps)]
        along = [own.interpolate(share, normalized=True) for share in shares]
        dots = shapely.get_coordinates(along).round(FINEST)
        return dots
    points = _grid(own.bounds)
    points = points[shapely.contains_xy(own, points)]
    points = points[shapely.distance(scene.lines, shapely.points(points)) >= DOT_AIR]
    if not len(points):
        points = shapely.get_coordinates(own.representative_point()).round(FINEST)
    dots = points[:: -(-len(points) // MOST_DOTS)]
    return dots


def _thinned(rows: Floats) -> Floats:
    """Not more than are looked at, evenly."""
    return rows[:: max(1, -(-len(rows) // LOOKED_AT))]


def _grid(sides: Box, step: float = STEP) -> Floats:
    """Points so many mm apart, further where there would be too many of them."""
    x0, y0, x1, y1 = (round(side, FINEST) for side in sides)
    step = max(step, round(math.sqrt((x1 - x0) * (y1 - y0) / MOST_TRIED), FINEST))
    xs, ys = np.arange(x0, x1, step), np.arange(y0, y1, step)
    return np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)


def _boxes(middles: Floats, size: Point) -> Floats:
    half = np.array(size) / 2
    return np.concatenate([middles - half, middles + half], axis=1).round(FINEST)


def _rectangles(boxes: Floats, air: float) -> NDArray[np.object_]:
    sides = boxes[:, 0] - air, boxes[:, 1] - air, boxes[:, 2] + air, boxes[:, 3] + air
    rectangles: NDArray[np.object_] = shapely.box(*sides)
    return rectangles


def _chosen(choices: Sequence[_Spots]) -> list[int] | None:
    """The place of each, chosen again and again beside those of the others; None where some still clash.

    Whatever clashes when all have had their turn weighs more from then on, so that the others give way (the breakout
    method; Morris 1993).
    """
    search = _TagSearch(choices)
    for index in sorted(range(len(choices)), key=lambda one: len(choices[one].costs)):
        search.choose(index)
    for _ in range(ROUNDS):
        before = dict(search.taken)
        for index in range(len(choices)):
            search.choose(index)
        clashing = search.clashing()
        if not clashing and search.taken == before:
            break
        search.weights[clashing] += 1.0
    return None if clashing else [search.taken[index] for index in range(len(choices))]


class _TagSearch:
    """The places taken so far, and how heavily each tag's place weighs for the others."""

    def __init__(self, choices: Sequence[_Spots]) -> None:
        self.choices = choices
        self.weights = np.ones(len(choices))
        self.taken: dict[int, int] = {}
        self._known: dict[tuple[int, int, int], Truths] = {}

    def choose(self, index: int) -> None:
        """Take the best place for one tag beside those of the others."""
        self.taken[index] = int(np.argmin(self.choices[index].costs + CLASH * self._clashes(index)))

    def clashing(self) -> list[int]:
        """The tags whose place clashes with another's."""
        return [index for index, place in self.taken.items() if self._clashes(index)[place] > 0.0]

    def _clashes(self, index: int) -> Floats:
        """The weight of the places taken by others that clash with each place of one tag."""
        found = np.zeros(len(self.choices[index].costs))
        for other, place in self.taken.items():
            if other != index:
                found += self._near(index, other, place) * self.weights[other]
        return found

    def _near(self, index: int, other: int, place: int) -> Truths:
        """Whether each place of one tag clashes with one of another."""
        if (index, other, place) not in self._known:
            one, theirs = self.choices[index], self.choices[other]
            box, leader = theirs.boxes[place], theirs.leaders[place]
            some = one.near(*(corners[place] for corners in theirs.bounds))
            boxes, leaders, near = one.boxes[some], one.leaders[some], np.zeros(len(one.costs), dtype=bool)
            if len(some):
                near[some] = boxes_meet(boxes, box, APART) | runs_meet(leaders, leader, APART)
                near[some] |= runs_meet_boxes(leaders, box, APART) | runs_meet_boxes(leader, boxes, APART)
            self._known[index, other, place] = near
        return self._known[index, other, place]
