"""A closed outline of few smooth pieces, as drawing programs have it: cubic Bézier curves, one after the other.

A side that is straight is a piece whose inner points lie on its ends. In: pieces in mm. Out: the same moved, turned
round, as a ring of points, as path data. Apart from `outline_file` because photos, drawings and the page of corrections
all speak of outlines so, and only one of them writes a file.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise

from shapely import Polygon

from boardmaker.geometry import Point, Ring
from boardmaker.inputs.svg.paths import bezier_points

FLATNESS = 0.005  # mm by which a chord may be off its curve: a hole's place counts from the outline's box, to 0.01 mm

MOST_PIECES = 120  # of an outline that is a curve: what is drawn with more is no hand's work
Bezier = tuple[Point, Point, Point, Point]  # start, two inner points, end; mm
Curve = tuple[Bezier, ...]  # closed: each piece begins where the one before ends


def straight_sides(ring: Sequence[Point]) -> Curve:
    """Return the curve of a ring whose sides are all straight."""
    return tuple((a, a, b, b) for a, b in pairwise((*ring, ring[0])))


def is_straight(piece: Bezier) -> bool:
    """Say whether a piece is written as a line."""
    start, leaving, arriving, end = piece
    return start == leaving and arriving == end


def oriented(curve: Curve) -> Curve:
    """Return the curve counter-clockwise."""
    ring = curve_ring(curve)
    return curve if len(ring) < 3 or Polygon(ring).exterior.is_ccw else turned_round(curve)


def moved_curve(curve: Curve, move: Callable[[Point], Point]) -> Curve:
    """Return the curve with each of its points moved; `move` keeps straight lines straight."""
    return tuple((move(a), move(b), move(c), move(d)) for a, b, c, d in curve)


def turned_round(curve: Curve) -> Curve:
    """Return the curve the other way round."""
    return tuple((d, c, b, a) for a, b, c, d in reversed(curve))


def curve_ring(curve: Curve) -> Ring:
    """Return points on the curve, no chord further from it than 0.005 mm; the first one is not repeated."""
    points: list[Point] = []
    for piece in curve:
        points += [piece[0]] if is_straight(piece) else [piece[0], *bezier_points(piece, FLATNESS)[:-1]]
    return tuple(points)


def curve_path(curve: Curve, height: float) -> str:
    """Return the curve as path data of a page of this height, mm, whose y goes down."""
    parts = [f"M {_place(curve[0][0], height)}"]
    for piece in curve[:-1] if is_straight(curve[-1]) else curve:
        inner = () if is_straight(piece) else piece[1:3]
        parts.append(f"{'C' if inner else 'L'} {' '.join(_place(one, height) for one in (*inner, piece[3]))}")
    return " ".join([*parts, "Z"])


def _place(point: Point, height: float) -> str:
    return f"{_number(point[0])},{_number(height - point[1])}"


def _number(value: float) -> str:
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
