"""The outline as a bike file wants it: few pieces, smooth where the panel is smooth, with its corners.

In: a closed line with a place about every mm, with the noise of where an edge was seen. Out: at most 120 cubic curves
that run through that noise. Each is the least squares fit between two places of the line with the line's directions
there, and where one is off by more than what is allowed it becomes two (Schneider, An algorithm for automatically
fitting digitized curves, in Graphics Gems, 1990).
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import count, pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.signal import savgol_filter
from shapely import Polygon, make_valid
from shapely.geometry.polygon import orient

from boardmaker.geometry import ring_of
from boardmaker.photo.closed_line import even_line, smooth_line
from boardmaker.photo.known_mat import Floats
from boardmaker.tracing.curve import MOST_PIECES, Bezier, Curve, curve_ring, straight_sides

ALLOWED = (0.12, 0.16, 0.2, 0.25, 0.3, 0.4, 0.5, 0.6, 0.8, 1.0, 1.5, 2.0)  # mm off the line
STEP = 1.0  # mm from place to place
SMOOTHING = 0.6  # steps, standard deviation: noise of the edge, no corner of a panel
REACH = 3  # steps to both sides by which the line's direction is told
AROUND = 6  # steps to both sides that a parabola runs through
CORNER = np.radians(60)  # that the line turns within the reach on both sides: it is no rounded one
ROUNDS = 4  # of looking anew where along a piece each place of the line belongs
SHORTEST, LONGEST = 0.05, 1.0  # of a piece's way: how far its inner points may be from its ends

Numbers = NDArray[np.int64]


def fitted_curve(line: Floats, noise: float) -> Curve:
    """Return the outline, counter-clockwise; a line that crosses itself becomes its largest part.

    `noise`: mm by which the pieces may be off the line in any case; more only where there would be too many.
    """
    whole = _whole(smooth_line(even_line(line, STEP), SMOOTHING))
    places = even_line(np.array(ring_of(whole)), STEP)
    line_seen = _SeenLine(places, noise)
    for allowed in (noise, *(one for one in ALLOWED if one > noise)):
        curve = tuple(_as_points(piece) for piece in _pieces(line_seen, allowed))
        if len(curve) <= MOST_PIECES and Polygon(curve_ring(curve)).is_valid:
            return curve
    return straight_sides(_few_points(whole))


def _whole(places: Floats) -> Polygon:
    """The line without the small loops where it crosses itself, as where sheets meet."""
    whole = make_valid(Polygon(places))
    parts = [part for part in getattr(whole, "geoms", [whole]) if isinstance(part, Polygon)]
    return orient(Polygon(max(parts, key=lambda part: part.area).exterior))


def _few_points(whole: Polygon) -> list[tuple[float, float]]:
    coarser = (ALLOWED[-1] * 1.2**step for step in count())
    return next(list(ring) for allowed in coarser if len(ring := ring_of(whole.simplify(allowed))) <= MOST_PIECES)


def _as_points(piece: Floats) -> Bezier:
    start, leaving, arriving, end = ((float(x), float(y)) for x, y in piece)
    return start, leaving, arriving, end


class _SeenLine:
    """The line, and for each of its places where a piece would end there and in which unit directions it would.

    A piece that ends on a place as it was seen has its noise. So ends lie on what a parabola makes of the places
    around, where one fits.
    """

    def __init__(self, places: Floats, noise: float) -> None:
        before, after = (_direction(places, way) for way in (-1, 1))
        turn = np.arccos(np.clip((before * after).sum(axis=1), -1, 1))
        self.places = places
        self.is_corner = (turn > CORNER) & (turn >= _largest_near(turn))
        firm = savgol_filter(places, 2 * AROUND + 1, 2, axis=0, mode="wrap")
        ahead = _unit(savgol_filter(places, 2 * AROUND + 1, 2, deriv=1, axis=0, mode="wrap"))
        fits = _largest_near(np.hypot(*(firm - places).T)) <= noise
        self.ends = np.where(fits[:, None], firm, places)
        either = np.where(fits[:, None], ahead, _unit(before + after))
        self.arriving = np.where(self.is_corner[:, None], before, either)
        self.leaving = np.where(self.is_corner[:, None], after, either)


def _largest_near(values: Floats) -> Floats:
    near: Floats = np.stack([np.roll(values, k) for k in range(-REACH, REACH + 1)]).max(axis=0)
    return near


def _direction(places: Floats, way: int) -> Floats:
    """The line's direction before (-1) or after (1) each place; what is further away counts for more."""
    steps = range(1, REACH + 1)
    return _unit(np.sum([way * (np.roll(places, -way * k, axis=0) - places) * k for k in steps], axis=0))


def _unit(vectors: Floats) -> Floats:
    unit: Floats = vectors / np.maximum(np.hypot(*vectors.T), 1e-9)[:, None]
    return unit


def _pieces(line: _SeenLine, allowed: float) -> Iterator[Floats]:
    """The curves in the line's order, each of four points (4, 2)."""
    starts = _starts(line)
    stack = [(a, b) for a, b in pairwise((*starts, starts[0] + len(line.places)))][::-1]
    while stack:
        first, last = stack.pop()
        index = np.arange(first, last + 1) % len(line.places)
        places = np.vstack([line.ends[index[:1]], line.places[index[1:-1]], line.ends[index[-1:]]])
        piece, off = _fitted(places, line.leaving[index[0]], line.arriving[index[-1]])
        if off.max() <= allowed or last - first < 3:
            yield piece
        else:
            middle = first + min(max(int(off.argmax()), 1), last - first - 1)
            stack += [(middle, last), (first, middle)]


def _starts(line: _SeenLine) -> list[int]:
    """Where pieces begin in any case: the corners, and the edges of the line's box, from which holes are counted."""
    edges = [int(pick(line.ends[:, axis])) for pick in (np.argmin, np.argmax) for axis in (0, 1)]
    return sorted({*edges, *np.flatnonzero(line.is_corner).tolist()})


def _fitted(places: Floats, leaving: Floats, arriving: Floats) -> tuple[Floats, Floats]:
    """The curve through the first and the last place that is nearest to the others, and how far off each is, mm."""
    along = np.r_[0, np.cumsum(np.hypot(*np.diff(places, axis=0).T))]
    way = float(along[-1])
    at = along / way
    for _ in range(ROUNDS):
        piece = _least_squares(places, at, leaving, arriving, way)
        at = _nearest(piece, places, at)
    return piece, np.hypot(*(_on_piece(piece, at) - places).T)


def _least_squares(places: Floats, at: Floats, leaving: Floats, arriving: Floats, way: float) -> Floats:
    """How far out along both directions the inner points lie: two unknowns."""
    one = at[:, None]
    fixed = places[0] * ((1 - one) ** 2 * (1 + 2 * one)) + places[-1] * (one**2 * (3 - 2 * one))
    basis = leaving * (3 * one * (1 - one) ** 2), -arriving * (3 * one**2 * (1 - one))
    a, b, c = ((basis[i] * basis[j]).sum() for i, j in ((0, 0), (0, 1), (1, 1)))
    p, q = ((part * (places - fixed)).sum() for part in basis)
    determinant = a * c - b * b
    out = (p * c - q * b, a * q - b * p) / determinant if determinant > 1e-9 * a * c else np.full(2, way / 3)
    if not (np.all(out >= SHORTEST * way) and np.all(out <= LONGEST * way)):
        out = np.full(2, way / 3)
    return np.array([places[0], places[0] + out[0] * leaving, places[-1] - out[1] * arriving, places[-1]])


def _on_piece(piece: Floats, at: Floats) -> Floats:
    one = at[:, None]
    a, b, c, d = piece
    on: Floats = a * (1 - one) ** 3 + b * (3 * one * (1 - one) ** 2) + c * (3 * one**2 * (1 - one)) + d * one**3
    return on


def _nearest(piece: Floats, places: Floats, at: Floats) -> Floats:
    """Where on the piece the nearest point to each place lies: one step of Newton's method, in order."""
    one = at[:, None]
    first, second = np.diff(piece, axis=0), np.diff(piece, n=2, axis=0)
    slope = 3 * (first[0] * (1 - one) ** 2 + first[1] * (2 * one * (1 - one)) + first[2] * one**2)
    bend = 6 * (second[0] * (1 - one) + second[1] * one)
    away = _on_piece(piece, at) - places
    steep = (slope**2).sum(axis=1) + (away * bend).sum(axis=1)
    moved = at - np.where(steep > 1e-9, (away * slope).sum(axis=1) / np.maximum(steep, 1e-9), 0.0)
    ordered: Floats = np.maximum.accumulate(np.clip(moved, 0.0, 1.0))
    ordered[0], ordered[-1] = 0.0, 1.0
    return ordered
