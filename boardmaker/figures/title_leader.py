"""The line from a title that found no room inside its panel to the panel that it names.

In: the panel's shape, what such a line must not meet. Out: for a title's box the shortest line that can be followed:
under no head or mark, across no other leader. Apart from `titles` because that finds room and this looks for a way.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cached_property

import numpy as np
import shapely
from shapely import Polygon

from boardmaker.figures.labels import Surroundings
from boardmaker.figures.sight import all_around, entering, how_far
from boardmaker.fixed_order import FINEST, lengths
from boardmaker.geometry import Point, distance
from boardmaker.typeset.label import Box

Line = tuple[()] | tuple[Point, Point]

ENDS = 6  # points at which a leader may end, to either side of a panel's box,
RIM = 36  # and along its rim
DIRECTIONS = 180  # in which it may leave from there
STANDS_BY = 2.5  # mm; a title that is no further off stands at its panel, and a leader would be a mere tick
CLEAR = 0.3  # mm between a leader and a head, a mark, another's end


def shortest_line(box: Box, shape: Polygon) -> Line:
    """Return the shortest line from a title's box to its panel, whatever it meets; () where it stands at its panel."""
    title = shapely.box(*box)
    if shape.distance(title) < STANDS_BY:
        return ()
    (x, y), (end_x, end_y) = shapely.shortest_line(title, shape).coords
    return (x, y), (end_x, end_y)


def until_circle(line: Line, circles: Sequence[tuple[Point, float]]) -> Line:
    """Return a line as far as the first circle (centre, radius): to a panel that lies under a head it goes no further.

    () where that leaves no more than a tick.
    """
    if not line:
        return ()
    (x, y), end = line
    long = distance((x, y), end)
    way = (end[0] - x) / long, (end[1] - y) / long
    free = long
    for at, radius in circles:
        along = (at[0] - x) * way[0] + (at[1] - y) * way[1]
        beside2 = (at[0] - x - way[0] * along) * (at[0] - x - way[0] * along)
        beside2 += (at[1] - y - way[1] * along) * (at[1] - y - way[1] * along)
        reach = radius + CLEAR
        if along > 0.0 and beside2 < reach * reach:
            free = min(free, max(0.0, along - math.sqrt(reach * reach - beside2)))
    return ((x, y), (x + way[0] * free, y + way[1] * free)) if free >= STANDS_BY else ()


def up_to_words(line: Line, ink: Sequence[Box], box: Box) -> Line:
    """Return a line that begins at a title's box prolonged into it, up to its words: a short one may stand in air.

    As it is where it would pass between them.
    """
    if not line:
        return ()
    (x, y), (end_x, end_y) = line
    long = distance((x, y), (end_x, end_y))
    way = np.array([[(x - end_x) / long, (y - end_y) / long]])
    reach = max(box[2] - box[0], box[3] - box[1])
    further = min(float(entering(np.array([[x, y]]), way, one)[0]) for one in ink)
    if not 0.0 < further < reach:
        return line
    gap = max(0.0, further - CLEAR)
    return (round(x + float(way[0, 0]) * gap, FINEST), round(y + float(way[0, 1]) * gap, FINEST)), (end_x, end_y)


def meets(line: Line, around: Surroundings) -> bool:
    """Say whether a line runs under a circle, across a leader or through a box."""
    drawn = shapely.LineString(line)
    circles = [(shapely.Point(at), radius) for at, radius in around.circles]
    return (
        any(drawn.distance(at) < radius for at, radius in circles)
        or any(drawn.intersects(shapely.LineString(leader)) for leader in around.leaders)
        or any(drawn.intersects(shapely.box(*box)) for box in around.boxes)
    )


class WaysOut:
    """How far one sees from points of a panel before something is in the way: circles, points, leaders, boxes."""

    def __init__(self, shape: Polygon, around: Surroundings) -> None:
        self.shape, self.around = shape, around

    def line_to(self, box: Box) -> tuple[Point, Point] | None:
        """Return the shortest line from a box to the panel that meets nothing; None where none was found."""
        ends, ways, reach = self._rays
        if not len(ends):
            return None
        enter = entering(ends, ways, box)
        seen = np.where(enter <= reach, enter, np.inf)
        best = int(np.argmin(seen.round(FINEST)))  # of equal ones the first, whatever the last digits are
        if not math.isfinite(seen[best]):
            return None
        start = ends[best] + ways[best] * seen[best]
        return (float(start[0]), float(start[1])), (float(ends[best][0]), float(ends[best][1]))

    @cached_property
    def _rays(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Where rays begin, their ways (of length 1), and how far they go, mm."""
        ends = self._ends()
        ways = all_around(DIRECTIONS)
        begins, along = np.repeat(ends, DIRECTIONS, axis=0), np.tile(ways, (len(ends), 1))
        return begins, along, how_far(begins, along, self._circles(), self.around.leaders, self.around.boxes)

    def _circles(self) -> list[tuple[Point, float]]:
        circles = [(at, radius + CLEAR) for at, radius in self.around.circles]
        return circles + [(point, CLEAR) for point in self.around.points]

    def _ends(self) -> np.ndarray:
        """Points of the panel, on its rim and inside, that nothing covers."""
        x0, y0, x1, y1 = self.shape.bounds
        across, up = (np.linspace(low, high, ENDS + 2)[1:-1] for low, high in ((x0, x1), (y0, y1)))
        grid = np.stack([axis.ravel() for axis in np.meshgrid(across, up)], axis=1)
        rim = shapely.line_interpolate_point(self.shape.exterior, np.arange(RIM) / RIM, normalized=True)
        ends = np.concatenate([shapely.get_coordinates(rim), grid[shapely.contains_xy(self.shape, grid)]])
        for at, radius in self._circles():
            ends = ends[lengths(*(ends - at).T) > radius]
        for leader in self.around.leaders:
            ends = ends[shapely.distance(shapely.LineString(leader), shapely.points(ends)) > CLEAR]
        return ends
