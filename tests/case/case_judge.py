"""A judge of boards in cases that shares nothing with the case's own code: the definition in the handbook and shapely.

The inside at a height is a rectangle with round corners, or an outline; its sides run straight from the floor's size to
the rim's, the floor in the middle under the rim. A board keeps the clearance from walls and keep-outs at every height
that it takes up. `largest_rectangle` looks, cell by cell, for what would fit at least.
"""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely import Polygon, affinity

HEIGHTS = 41  # at which the walls are looked at
ARC = 128  # chords of a quarter circle; they lie inside the arc, by 0.002 mm at a radius of 100 mm
ROUNDING = 0.005  # mm: the chords above, and 0.001 mm by which a board may lie on the edge
CELLS = 60  # of the grid along the longer side


def inside_at(case, height):
    """The inside at a height, the rim's lower left at the origin."""
    share = height / case.height if case.floor else 1.0
    width, depth = (
        low + (high - low) * share for low, high in zip(case.floor or case.inside, case.inside, strict=True)
    )
    outline = Polygon(case.outline) if case.outline else rounded(width, depth, case.corner_radius)
    x_share, y_share = (width / case.inside[0], depth / case.inside[1]) if case.outline else (1.0, 1.0)
    scaled = affinity.affine_transform(outline, [x_share, 0, 0, y_share, 0, 0])
    return affinity.translate(scaled, (case.inside[0] - width) / 2, (case.inside[1] - depth) / 2)


def rounded(width, depth, radius):
    """A rectangle with round corners, point by point."""
    corners = [(width - radius, depth - radius), (radius, depth - radius), (radius, radius), (width - radius, radius)]
    angles = [np.linspace(quarter * math.pi / 2, (quarter + 1) * math.pi / 2, ARC + 1) for quarter in range(4)]
    points = [
        (x + radius * math.cos(angle), y + radius * math.sin(angle))
        for (x, y), turns in zip(corners, angles, strict=True)
        for angle in turns
    ]
    return Polygon(points)


def walls_between(case, low, high):
    """What is inside the walls at every height from low to high."""
    heights = np.linspace(low, case.height or 0.0 if high is None else high, HEIGHTS if case.floor else 1)
    return shapely.intersection_all([inside_at(case, height) for height in heights])


def keep_outs(case):
    """The rectangles that no board may come near."""
    return [
        shapely.box(x, y, x + width, y + height)
        for (x, y), (width, height) in ((one.at, one.size) for one in case.keep_out)
    ]


def clear_of_all(board, case, low=0.0, high=None):
    """Whether a board, where it lies, keeps the clearance from walls and keep-outs at all its heights."""
    return bool(_clear(np.array([board]), case, low, high, ROUNDING)[0])


def _clear(shapes, case, low, high, rounding):
    walls = walls_between(case, low, high)
    grown = walls.buffer(rounding)
    shapely.prepare(grown)
    clear = shapely.covers(grown, shapes) & (shapely.distance(walls.boundary, shapes) >= case.clearance - rounding)
    for keep_out in keep_outs(case):
        clear &= shapely.distance(keep_out, shapes) >= case.clearance - rounding
        clear &= ~shapely.intersects(keep_out.buffer(-rounding, join_style="mitre"), shapes)
    return clear


def largest_rectangle(case, stock, low=0.0, high=None):
    """The largest board without cuts, square to the walls and along the lines of a grid, that is clear of all, mm².

    At most as large as the stock, one way round or the other; width and height, (0, 0) where not one cell is clear.
    """
    x0, y0, x1, y1 = walls_between(case, low, high).bounds
    x0, y0, x1, y1 = x0 + case.clearance, y0 + case.clearance, x1 - case.clearance, y1 - case.clearance
    if x1 <= x0 or y1 <= y0:
        return 0.0, 0.0
    cell = max(x1 - x0, y1 - y0) / CELLS
    columns, rows = (max(1, math.ceil(side / cell - 1e-9)) for side in (x1 - x0, y1 - y0))
    xs, ys = np.linspace(x0, x1, columns + 1), np.linspace(y0, y1, rows + 1)
    cells = shapely.box(*(one.ravel() for one in (*np.meshgrid(xs[:-1], ys[:-1]), *np.meshgrid(xs[1:], ys[1:]))))
    free = _clear(cells, case, low, high, 1e-6).reshape(rows, columns)
    return _largest_window(free, (x1 - x0) / columns, (y1 - y0) / rows, stock)


def _largest_window(free, cell_x, cell_y, stock):
    """The largest window of free cells no larger than the stock, by a table of sums."""
    rows, columns = free.shape
    sums = np.zeros((rows + 1, columns + 1), dtype=int)
    sums[1:, 1:] = (~free).cumsum(axis=0).cumsum(axis=1)
    best = (0.0, 0.0)
    for high in range(1, rows + 1):
        for wide in range(1, columns + 1):
            size = (wide * cell_x, high * cell_y)
            if size[0] * size[1] <= best[0] * best[1] or not _within(size, stock):
                continue
            blocked = sums[high:, wide:] - sums[:-high, wide:] - sums[high:, :-wide] + sums[:-high, :-wide]
            if (blocked == 0).any():
                best = size
    return best


def _within(size, stock):
    return (size[0] <= stock[0] and size[1] <= stock[1]) or (size[0] <= stock[1] and size[1] <= stock[0])
