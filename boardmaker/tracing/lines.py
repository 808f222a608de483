"""Lines of a drawing made whole: open ones joined to closed ones, closed ones that are round told from others.

In: shapes in mm. Out: shapes. Apart from `sorting` because this is plane geometry and knows no panel.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
import shapely
from shapely import LineString, Polygon

from boardmaker.geometry import Point
from boardmaker.tracing.drawn import DrawnShape, RoundShape

JOINED = 0.1  # mm between two ends that meet
ROUND = 0.02  # of the diameter by which a round hole's width and height may differ
THINNED = 0.03  # mm by which points may be off the line that is left of them; with FLATNESS 0.035, and 0.05 is allowed
LEAST_CORNERS = 8  # of a line that is a circle

End = tuple[int, int]  # number of a line, 0 for its first point and 1 for its last


def joined(shapes: Sequence[DrawnShape]) -> list[DrawnShape]:
    """Return the shapes with open lines put together where their ends meet within 0.1 mm and no third one does.

    A line put together has the names of its first part, and stands where that stood.
    """
    open_lines = {i: shape for i, shape in enumerate(shapes) if not shape.closed}
    partners = _partners(open_lines)
    made: dict[int, DrawnShape] = {}
    used: set[int] = set()
    for i in open_lines:
        if i not in used:
            chain, closed = _chain(i, partners)
            used |= {number for number, _ in chain}
            made[min(number for number, _ in chain)] = _one_line(chain, closed, shapes)
    return [made.get(i, shape) for i, shape in enumerate(shapes) if shape.closed or i in made]


def _partners(lines: dict[int, DrawnShape]) -> dict[End, End]:
    """For each end the one other end that meets it."""
    ends = [((i, side), lines[i].points[-side]) for i in lines for side in (0, 1)]
    cells: dict[tuple[int, int], list[tuple[End, Point]]] = defaultdict(list)
    for end, place in ends:
        cells[_cell(place)].append((end, place))
    near = {end: [*_meeting(end, place, cells)] for end, place in ends}
    return {end: others[0] for end, others in near.items() if len(others) == 1 and near[others[0]] == [end]}


def _cell(place: Point) -> tuple[int, int]:
    return math.floor(place[0] / JOINED), math.floor(place[1] / JOINED)


def _meeting(end: End, place: Point, cells: dict[tuple[int, int], list[tuple[End, Point]]]) -> Iterator[End]:
    """The first two other ends that meet this one: a third changes nothing, and many would take without end."""
    count = 0
    x, y = _cell(place)
    for cell in ((x + i, y + j) for i in (-1, 0, 1) for j in (-1, 0, 1)):
        for other, there in cells.get(cell, ()):
            if other != end and math.dist(place, there) <= JOINED:
                yield other
                count += 1
                if count == 2:
                    return


def _chain(start: int, partners: dict[End, End]) -> tuple[list[End], bool]:
    """Lines in their order, each with the end at which it is entered; and whether the last leads to the first."""
    first: End = (start, 0)
    chain = _followed(first, partners)
    if partners.get(_other(chain[-1])) == first:
        return chain, True
    return [_other(end) for end in reversed(_followed((start, 1), partners))][:-1] + chain, False


def _followed(entered: End, partners: dict[End, End]) -> list[End]:
    chain = [entered]
    while (following := partners.get(_other(chain[-1]))) is not None and following != entered:
        chain.append(following)
    return chain


def _other(end: End) -> End:
    return end[0], 1 - end[1]


def _one_line(chain: Sequence[End], closed: bool, shapes: Sequence[DrawnShape]) -> DrawnShape:
    points: list[Point] = []
    for number, side in chain:
        part = shapes[number].points[::-1] if side else shapes[number].points
        points += part[1:] if points else part
    first = shapes[min(number for number, _ in chain)]
    what = first.what if len(chain) == 1 else f"{first.what} and {len(chain) - 1} more that it meets"
    return replace(first, points=tuple(points), closed=closed and len(points) > 3, what=what)


def gap(shape: DrawnShape) -> float:
    """Return how far the ends of a line are apart, mm."""
    return math.dist(shape.points[0], shape.points[-1])


def round_of(shape: DrawnShape) -> RoundShape | None:
    """Return the circle that a closed line is, also one that is drawn by curves or many corners; else None."""
    if shape.round is not None:
        return shape.round if shape.round.width - shape.round.height <= ROUND * shape.round.width else None
    ring = _without_end(shape.points)
    if len(ring) < LEAST_CORNERS:
        return None
    centre = _fitted_centre(ring)
    if centre is None:
        return None
    middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in pairwise((*ring, ring[0]))]
    near, far = min(math.dist(one, centre) for one in middles), max(math.dist(one, centre) for one in ring)
    nearest_corner = min(math.dist(one, centre) for one in ring)
    if far - near > ROUND * far or _windings(ring, centre) != 1:
        return None
    return RoundShape(centre, 2 * far, 2 * nearest_corner)


def _without_end(points: Sequence[Point]) -> list[Point]:
    return [*points[:-1]] if math.dist(points[0], points[-1]) <= JOINED else [*points]


def _fitted_centre(ring: Sequence[Point]) -> Point | None:
    """The centre of the circle that fits best, None for points on one line.

    Least squares of x² + y² + a x + b y + c, about the mean (Kåsa, A circle fitting procedure and its error analysis,
    IEEE Transactions on Instrumentation and Measurement 25, 1976).
    """
    x0, y0 = (math.fsum(values) / len(ring) for values in zip(*ring, strict=True))
    local = [(x - x0, y - y0) for x, y in ring]
    xx, xy, yy = (math.fsum(p * q for p, q in pairs) for pairs in _products(local))
    across = math.fsum(x * (x * x + y * y) for x, y in local) / 2
    up = math.fsum(y * (x * x + y * y) for x, y in local) / 2
    determinant = xx * yy - xy * xy
    if determinant <= 1e-6 * xx * yy:
        return None
    return x0 + (across * yy - up * xy) / determinant, y0 + (up * xx - across * xy) / determinant


def _products(local: Sequence[Point]) -> Iterable[list[Point]]:
    return [(x, x) for x, _ in local], [*local], [(y, y) for _, y in local]


def _windings(ring: Sequence[Point], centre: Point) -> int:
    """How often a line goes round a point, whichever way."""
    ways = [math.atan2(y - centre[1], x - centre[0]) for x, y in ring]
    turn = math.fsum(math.remainder(b - a, math.tau) for a, b in pairwise((*ways, ways[0])))
    return abs(round(turn / math.tau))


def thinned(ring: Sequence[Point]) -> tuple[Point, ...]:
    """Return a ring with fewer points, off the given one by no more than 0.03 mm; the corners of its box stay.

    It is cut at the points that lie furthest left, right, down and up, so that these stay (Douglas and Peucker).
    """
    places = np.array(ring)
    kept = sorted({int(pick(places[:, axis])) for pick in (np.argmin, np.argmax) for axis in (0, 1)})
    turned = [*ring[kept[0] :], *ring[: kept[0] + 1]]
    cuts = [one - kept[0] for one in (*kept, kept[0] + len(ring))]
    parts = [shapely.simplify(LineString(turned[a : b + 1]), THINNED).coords[:-1] for a, b in pairwise(cuts)]
    made = tuple((float(x), float(y)) for part in parts for x, y in part)
    return made if len(made) >= 3 and Polygon(made).is_valid else tuple(ring)
