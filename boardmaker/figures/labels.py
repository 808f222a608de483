"""Point-feature label placement: a place near its pocket for every label.

Candidates around each pocket, a cost for every conflict, then a local search (Christensen, Marks and Shieber, "An
empirical study of algorithms for point-feature label placement", ACM TOG 14(3), 1995). What a label must never do
(cover a head, a mark, a leader's end or another label) is ruled out beforehand or at the end; what it should not do
(lie over an outline or a leader) costs. A label that finds no place beside its pocket goes further out with a leader.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

import numpy as np
import shapely
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from boardmaker.figures.sight import all_around, how_far
from boardmaker.fixed_order import direction, lengths
from boardmaker.geometry import Point, segments_cross
from boardmaker.typeset.label import Box
from boardmaker.typeset.lettering import box_at

GAP = 0.3  # mm between a head's rim and its label's box
APART = 1.8  # mm between two labels' boxes, so that they do not read as one
FURTHER = (0.0, 3.0, 6.0, 10.0, 15.0, 21.0, 28.0, 36.0)  # mm out from the rim; beyond the first with a leader
DIRECTIONS = 16
RINGS_OUTWARD = 12
RING_STEP = 4.0
SWEEPS = 12
HAIR = 1e-6  # mm
ORDERS = 4  # in which labels have their choice in the end
FORBIDDEN = 1000.0
RAYS = 48  # points of a rim from which a leader may start as a last resort, and directions from each
OUTWARDS = 0.2  # cosine of the angle to the rim's normal; flatter ones would run along the rim
FAR_OUT = (*range(2, 40, 2), *range(40, 120, 5))  # mm; how long such leaders may be
OVER_OUTLINE = 100.0  # more than any place further out costs: an outline is crossed where there is no other place
OVER_LEADER = 250.0  # more than any place over an outline costs, which has a white ground: a line that ends in words
AMBIGUOUS = 5.0  # a label as near to another head reads as that one's
TOO_NEAR = 2.5  # mm to another head
OUTSIDE = 6.0  # a label beside its panel makes the figure larger, and so the drawing smaller

Leader = tuple[()] | tuple[Point, Point]

ENOUGH = 4  # good spots from which a label can choose
OUTWARD = 2.5  # cost of a millimetre further out, so that a leader is the last resort


# Of each direction: beside before above before below; straight before slanting.
TASTES = np.array([{0: 0.0, 8: 0.3, 4: 0.6, 12: 0.7}.get(way, 1.2 if way > 8 else 1.0) for way in range(DIRECTIONS)])


@dataclass(frozen=True)
class WantedLabel:
    """A label to be placed beside the circle around `at`; size of its box, and its gap to the circle in mm."""

    at: Point
    radius: float
    size: Point
    gap: float = GAP


class LabelPlace(NamedTuple):
    """A candidate: the box, and the leader from the circle's rim where the box lies further out."""

    box: Box
    leader: Leader
    cost: float  # infinite where the leader crosses something, or the box lies over another's

    @property
    def can_be_followed(self) -> bool:
        """Whether its leader runs under nothing and across nothing, and its box lies over no other leader."""
        return math.isfinite(self.cost)


@dataclass(frozen=True)
class Surroundings:
    """What labels must keep off (circles, points, boxes) and should keep off (lines)."""

    circles: Sequence[tuple[Point, float]] = ()
    points: Sequence[Point] = ()
    boxes: tuple[Box, ...] = ()
    leaders: Sequence[tuple[Point, Point]] = ()
    outline: BaseGeometry = field(default_factory=LineString)
    over_outline: float = OVER_OUTLINE  # what it costs to lie over the outline
    inside: BaseGeometry = field(default_factory=Polygon)  # where a label makes the figure no larger


def place_labels(wanted: Sequence[WantedLabel], around: Surroundings) -> tuple[LabelPlace, ...]:
    """Return a spot for each label; none of them covers a circle, a point, a box or another label."""
    shapely.prepare(around.outline)
    shapely.prepare(around.inside)
    candidates = _candidates(wanted, around)
    cheapest_first = [sorted(spots, key=lambda spot: spot.cost) for spots in candidates]
    chosen = [spots[0] for spots in cheapest_first]
    for _ in range(SWEEPS):
        if not _improve(candidates, cheapest_first, chosen):
            break
    return _in_the_best_order(wanted, chosen, around)


def _in_the_best_order(
    wanted: Sequence[WantedLabel], chosen: list[LabelPlace], around: Surroundings
) -> tuple[LabelPlace, ...]:
    """The chosen spots without conflict; labels that were left without a free leader have the first choice then."""
    order, results = list(range(len(wanted))), []
    for _ in range(ORDERS):
        in_order = _without_conflict([wanted[i] for i in order], [chosen[i] for i in order], around)
        spots = dict(zip(order, in_order, strict=True))
        results.append(tuple(spots[i] for i in range(len(wanted))))
        walled_in = [i for i in order if not spots[i].can_be_followed]
        if not walled_in:
            break
        order = walled_in + [i for i in order if i not in walled_in]
    return min(results, key=lambda spots: sum(not spot.can_be_followed for spot in spots))


def _improve(
    candidates: list[list[LabelPlace]], cheapest_first: list[list[LabelPlace]], chosen: list[LabelPlace]
) -> bool:
    """Give each label the best spot that the others leave; say whether that changed anything."""
    changed = False
    for i, spots in enumerate(candidates):
        others = chosen[:i] + chosen[i + 1 :]
        free = next((spot for spot in cheapest_first[i] if not any(_clash(spot, other) for other in others)), None)
        best = free or min(spots, key=lambda spot: spot.cost + FORBIDDEN * _clashes(spot, others))
        changed = changed or best != chosen[i]
        chosen[i] = best
    return changed


def _clashes(spot: LabelPlace, others: Sequence[LabelPlace]) -> int:
    return sum(_clash(spot, other) for other in others)


def _clash(spot: LabelPlace, other: LabelPlace) -> bool:
    """Boxes that touch, a leader under the other's box, or two leaders that cross."""
    if _boxes_touch(spot.box, other.box, APART):
        return True
    if not spot.leader and not other.leader:
        return False
    runs, other_runs = _runs(spot.leader), _runs(other.leader)
    return (
        any(_run_meets_box(run, other.box) for run in runs)
        or any(_run_meets_box(run, spot.box) for run in other_runs)
        or any(segments_cross(*run, *other_run) for run in runs for other_run in other_runs)
    )


def _without_conflict(
    wanted: Sequence[WantedLabel], chosen: list[LabelPlace], around: Surroundings
) -> Iterator[LabelPlace]:
    """The chosen spots; a label still in conflict, or over the outline, goes outward until it is free of everything."""
    placed: list[LabelPlace] = []
    for one, spot in zip(wanted, chosen, strict=True):
        placed.append(_settled(one, spot, around, placed))
        yield placed[-1]


def _settled(one: WantedLabel, spot: LabelPlace, around: Surroundings, placed: Sequence[LabelPlace]) -> LabelPlace:
    """The spot itself where it covers nothing, else the nearest that does not; over the outline as a last choice."""
    if _final_cost(spot, placed) < around.over_outline:
        return spot
    over = spot if _final_cost(spot, placed) < OVER_LEADER else None
    for found in _outward(one, around, placed):
        cost = _final_cost(found, placed)
        if cost < around.over_outline:
            return found
        over = over or (found if cost < OVER_LEADER else None)
    return over or _last_resort(one, around, placed)


def _outward(one: WantedLabel, around: Surroundings, placed: Sequence[LabelPlace]) -> Iterator[LabelPlace]:
    """The best on ever wider rings."""
    further = (*FURTHER[1:], *(FURTHER[-1] + RING_STEP * step for step in range(1, RINGS_OUTWARD)))
    for far in further:
        (spots,) = _rings_of_spots([one], around, far)
        yield min(spots, key=lambda found: _final_cost(found, placed))


def _last_resort(one: WantedLabel, around: Surroundings, placed: Sequence[LabelPlace]) -> LabelPlace:
    """A pocket walled in by others: the nearest spot that a straight leader reaches from anywhere on its rim.

    Where there is none: the nearest box outside that is free, though its leader crosses something.
    """
    begins, ways, reach = _ways_from(one, around, placed)
    for dearest in (OVER_LEADER, FORBIDDEN):
        for far in FAR_OUT:
            seen = reach > far
            boxes = _boxes_along(one.size, begins[seen], ways[seen], far)
            free = _may_be_free(boxes, around, placed, dearest)
            for begin, way in zip(begins[seen][free].tolist(), ways[seen][free].tolist(), strict=True):
                spot = _spot_along(one, (begin[0], begin[1]), (way[0], way[1]), far)
                if _is_free(spot, one, around, placed, dearest):
                    return spot if dearest == OVER_LEADER else spot._replace(cost=math.inf)
    for step in itertools.count(1):
        (spots,) = _rings_of_spots([one], around, RING_STEP * step)
        for spot in spots:
            if _is_free(spot._replace(leader=()), one, around, placed, FORBIDDEN):
                return spot._replace(cost=math.inf)
    raise AssertionError("the plane is endless")


def _ways_from(
    one: WantedLabel, around: Surroundings, placed: Sequence[LabelPlace]
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Rays from the rim of a label's circle outwards, and how far they go."""
    out = all_around(RAYS)
    begins = np.repeat(np.asarray(one.at) + out * one.radius, RAYS, axis=0)
    ways = np.tile(out, (RAYS, 1))
    outwards = _side_by_side(np.repeat(out, RAYS, axis=0), ways) > OUTWARDS
    begins, ways = begins[outwards], ways[outwards]
    others = [circle for circle in around.circles if circle[0] != one.at]
    lines = (*around.leaders, *(spot.leader for spot in placed if spot.leader))
    return begins, ways, how_far(begins, ways, others, lines, (*around.boxes, *(spot.box for spot in placed)))


def _side_by_side(some: np.ndarray, others: np.ndarray) -> np.ndarray:
    """The cosine between each way and the one beside it."""
    cosines: np.ndarray = some[:, 0] * others[:, 0] + some[:, 1] * others[:, 1]
    return cosines


def _boxes_along(size: Point, begins: np.ndarray, ways: np.ndarray, far: float) -> np.ndarray:
    """The boxes whose middles leaders of this length point at, as rows x0, y0, x1, y1: those of `_spot_along`."""
    half = np.asarray(size) / 2
    with np.errstate(divide="ignore"):
        to_middle = np.min(half / np.abs(ways), axis=1)
    middles = begins + ways * (far + to_middle)[:, None]
    return np.hstack([middles - half, middles + half])


def _may_be_free(boxes: np.ndarray, around: Surroundings, placed: Sequence[LabelPlace], dearest: float) -> np.ndarray:
    """Which boxes nothing rules out at once; a hair nearer than `_is_free` allows, which has the last word."""
    free = np.ones(len(boxes), dtype=bool)
    for at, radius in (
        *((at, radius + GAP / 2) for at, radius in around.circles),
        *((at, GAP) for at in around.points),
    ):
        across = np.maximum(0.0, np.maximum(boxes[:, 0] - at[0], at[0] - boxes[:, 2]))
        up = np.maximum(0.0, np.maximum(boxes[:, 1] - at[1], at[1] - boxes[:, 3]))
        free &= across * across + up * up > (radius - HAIR) * (radius - HAIR)
    for x0, y0, x1, y1 in (*around.boxes, *(spot.box for spot in placed)):
        beside = (boxes[:, 0] > x1 + APART - HAIR) | (boxes[:, 2] < x0 - APART + HAIR)
        free &= beside | (boxes[:, 1] > y1 + APART - HAIR) | (boxes[:, 3] < y0 - APART + HAIR)
    lines = [spot.leader for spot in placed if spot.leader]
    for line in (*lines, *(around.leaders if dearest <= OVER_LEADER else ())):
        free &= ~_met_by(line, boxes)
    return free


def _met_by(line: tuple[Point, Point], boxes: np.ndarray) -> np.ndarray:
    """Which boxes a line passes through by more than a hair (clipping by Liang and Barsky)."""
    start, run = np.asarray(line[0]), np.subtract(line[1], line[0])
    with np.errstate(divide="ignore", invalid="ignore"):
        one, other = (boxes[:, :2] + HAIR - start) / run, (boxes[:, 2:] - HAIR - start) / run
    enter = np.fmax(np.fmin(one, other).max(axis=1), 0.0)
    leave = np.fmin(np.fmax(one, other).min(axis=1), 1.0)
    met: np.ndarray = enter < leave
    return met


def _spot_along(one: WantedLabel, begin: Point, way: Point, far: float) -> LabelPlace:
    """The box whose middle a leader of this length points at."""
    sides = (side / 2 / abs(along) if along else math.inf for side, along in zip(one.size, way, strict=True))
    half = min(sides)
    end = begin[0] + way[0] * far, begin[1] + way[1] * far
    return LabelPlace(box_at((end[0] + way[0] * half, end[1] + way[1] * half), one.size), (begin, end), 0.0)


def _is_free(
    spot: LabelPlace, one: WantedLabel, around: Surroundings, placed: Sequence[LabelPlace], dearest: float
) -> bool:
    cost = float(_costs(np.array([spot.box]), None, np.array([one.at]), around)[0])
    return cost < dearest and not any(_clash(spot, other) for other in placed)


def _final_cost(spot: LabelPlace, placed: Sequence[LabelPlace]) -> float:
    return spot.cost + FORBIDDEN * _clashes(spot, placed)


def _candidates(wanted: Sequence[WantedLabel], around: Surroundings) -> list[list[LabelPlace]]:
    """For each label spots on the nearest ring, and on further ones until there are enough good ones to choose from."""
    candidates: list[list[LabelPlace]] = [[] for _ in wanted]
    short = list(range(len(wanted)))
    for further in FURTHER:
        if not short:
            break
        for i, spots in zip(short, _rings_of_spots([wanted[i] for i in short], around, further), strict=True):
            candidates[i] += spots
        short = [i for i in short if sum(spot.cost < around.over_outline for spot in candidates[i]) < ENOUGH]
    return candidates


def _rings_of_spots(wanted: Sequence[WantedLabel], around: Surroundings, further: float) -> list[list[LabelPlace]]:
    """For each label the spots so many mm further out than beside its circle; all at once, because that is faster."""
    each = [
        (one.at, one.radius, way, (one.size[0] / 2, one.size[1] / 2))
        for one in wanted
        for way in _ways_out(one.size, one.radius + one.gap + further)
    ]
    ats, radii, ways, halves = (np.array(values) for values in zip(*each, strict=True))
    middles = ats + ways
    boxes = np.concatenate([middles - halves, middles + halves], axis=1)
    shapes = shapely.box(*boxes.T)
    by_outline = around.over_outline * shapely.intersects(around.outline, shapes)
    by_outline += OUTSIDE * ~shapely.contains(around.inside, shapes)
    leaders = _leaders(ats, radii, boxes) if further else None
    tastes = np.tile(TASTES, len(wanted))
    costs = _costs(boxes, leaders, ats, around) + OUTWARD * further + tastes + by_outline
    drawn: Sequence[Leader] = _as_lines(leaders) if leaders is not None else [()] * len(boxes)
    places = zip(boxes.tolist(), drawn, costs.tolist(), strict=True)
    spots = [LabelPlace((x0, y0, x1, y1), leader, cost) for (x0, y0, x1, y1), leader, cost in places]
    return [spots[first : first + DIRECTIONS] for first in range(0, len(spots), DIRECTIONS)]


def _as_lines(leaders: np.ndarray) -> list[Leader]:
    return [((x, y), (end_x, end_y)) for (x, y), (end_x, end_y) in leaders.tolist()]


@lru_cache(maxsize=1024)
def _ways_out(size: Point, reach: float) -> tuple[Point, ...]:
    """For each direction the way to the middle of the box whose nearest point is `reach` away."""
    ways = []
    for number in range(DIRECTIONS):
        x, y = direction(2 * math.pi * number / DIRECTIONS)
        way = _way_out((abs(x), abs(y)), size[0] / 2, size[1] / 2, reach)
        ways.append((x * way, y * way))
    return tuple(ways)


def _way_out(along: Point, half_width: float, half_height: float, reach: float) -> float:
    """How far out the middle of a box goes so that it is `reach` away: by its side, its top, or its corner."""
    right, up = along
    if right > 0.0 and (way := (reach + half_width) / right) * up <= half_height:
        return way
    if up > 0.0 and (way := (reach + half_height) / up) * right <= half_width:
        return way
    middle = half_width * right + half_height * up
    return middle + math.sqrt(
        max(0.0, middle * middle - half_width * half_width - half_height * half_height + reach * reach)
    )


def _leaders(ats: np.ndarray, radii: np.ndarray, boxes: np.ndarray) -> np.ndarray:
    """From the rim of each box's circle to the nearest point of the box, (boxes, 2, 2)."""
    ends = np.minimum(np.maximum(ats, boxes[:, :2]), boxes[:, 2:])
    length = lengths(*(ats - ends).T)
    return np.stack([ats + (ends - ats) * radii[:, None] / length[:, None], ends], axis=1)


def _costs(boxes: np.ndarray, leaders: np.ndarray | None, ats: np.ndarray, around: Surroundings) -> np.ndarray:
    """What each box costs, with its leader if it has one, by what it lies over and near to.

    `ats`, (boxes, 2), are the middles of their circles.
    """
    ruled_out, ambiguous, over_leader = (np.zeros(len(boxes), dtype=bool) for _ in range(3))
    centres = np.array([at for at, _ in around.circles]).reshape(-1, 2)
    radii = np.array([radius for _, radius in around.circles])
    others = (centres != ats[:, None]).any(axis=2)
    if around.circles:
        gaps = _off_boxes(centres, boxes) - radii
        ruled_out |= (gaps < GAP / 2).any(axis=1)
        ambiguous |= (others & (gaps < TOO_NEAR)).any(axis=1)
    if around.points:
        ruled_out |= (_off_boxes(np.array(around.points), boxes) < GAP).any(axis=1)
    for x0, y0, x1, y1 in around.boxes:
        across = (boxes[:, 0] < x1 + APART) & (x0 < boxes[:, 2] + APART)
        ruled_out |= across & (boxes[:, 1] < y1 + APART) & (y0 < boxes[:, 3] + APART)
    if around.leaders:
        over_leader |= _pass_through(np.array(around.leaders), boxes).any(axis=0)
    if leaders is not None:
        ruled_out |= (others & (_off_lines(centres, leaders) < radii)).any(axis=1) | _blocked(leaders, around)
    costs: np.ndarray = FORBIDDEN * ruled_out + OVER_LEADER * over_leader + AMBIGUOUS * ambiguous
    return costs


def _blocked(leaders: np.ndarray, around: Surroundings) -> np.ndarray:
    """Which leaders run through a box or across another leader."""
    blocked = np.zeros(len(leaders), dtype=bool)
    if around.boxes:
        blocked |= _pass_through(leaders, np.array(around.boxes)).any(axis=1)
    if around.leaders:
        blocked |= _cross(leaders, np.array(around.leaders)).any(axis=1)
    return blocked


def _off_boxes(points: np.ndarray, boxes: np.ndarray) -> np.ndarray:
    """How far each point is from each box, (boxes, points)."""
    nearest = np.minimum(np.maximum(points, boxes[:, None, :2]), boxes[:, None, 2:])
    off = points - nearest
    return lengths(off[..., 0], off[..., 1])


def _off_lines(points: np.ndarray, lines: np.ndarray) -> np.ndarray:
    """How far each point is from each line, all of some length, (lines, points)."""
    starts, runs = lines[:, None, 0], lines[:, None, 1] - lines[:, None, 0]
    to = points - starts
    shares = to[..., 0] * runs[..., 0] + to[..., 1] * runs[..., 1]
    shares = shares / (runs[..., 0] * runs[..., 0] + runs[..., 1] * runs[..., 1])
    off = points - (starts + np.minimum(1.0, np.maximum(0.0, shares))[..., None] * runs)
    return lengths(off[..., 0], off[..., 1])


def _pass_through(lines: np.ndarray, boxes: np.ndarray) -> np.ndarray:
    """Which lines pass through which boxes (clipping by Liang and Barsky), (lines, boxes)."""
    starts, runs = lines[:, None, 0], lines[:, None, 1] - lines[:, None, 0]
    low, high = boxes[:, :2] - starts, boxes[:, 2:] - starts
    with np.errstate(divide="ignore", invalid="ignore"):
        one, other = low / runs, high / runs
    level = (low <= 0.0) & (high >= 0.0)  # where a line runs along the other axis alone
    enter = np.where(runs == 0.0, np.where(level, -np.inf, np.inf), np.minimum(one, other))
    leave = np.where(runs == 0.0, np.where(level, np.inf, -np.inf), np.maximum(one, other))
    met: np.ndarray = np.maximum(enter.max(axis=2), 0.0) < np.minimum(leave.min(axis=2), 1.0)
    return met


def _cross(some: np.ndarray, others: np.ndarray) -> np.ndarray:
    """Which lines cross which others in their insides, (some, others)."""
    (a, b), (c, d) = (some[:, None, 0], some[:, None, 1]), (others[None, :, 0], others[None, :, 1])
    crossed: np.ndarray = (_sides(a, b, c) * _sides(a, b, d) < 0) & (_sides(c, d, a) * _sides(c, d, b) < 0)
    return crossed


def _sides(a: np.ndarray, b: np.ndarray, c: np.ndarray) -> np.ndarray:
    """On which side of the lines a-b the points c lie, by the sign."""
    run, to = b - a, c - a
    side: np.ndarray = run[..., 0] * to[..., 1] - run[..., 1] * to[..., 0]
    return side


def _runs(leader: tuple[Point, ...]) -> list[tuple[Point, Point]]:
    return list(pairwise(leader))


def _boxes_touch(a: Box, b: Box, gap: float) -> bool:
    return a[0] < b[2] + gap and b[0] < a[2] + gap and a[1] < b[3] + gap and b[1] < a[3] + gap


def _run_meets_box(run: tuple[Point, Point], box: Box) -> bool:
    """Whether a segment passes through a box (clipping by Liang and Barsky)."""
    (x, y), (end_x, end_y) = run
    enter, leave = 0.0, 1.0
    for start, way, low, high in ((x, end_x - x, box[0], box[2]), (y, end_y - y, box[1], box[3])):
        if way == 0.0:
            if not low <= start <= high:
                return False
            continue
        near, far = sorted(((low - start) / way, (high - start) / way))
        enter, leave = max(enter, near), min(leave, far)
    return enter < leave
