"""Outlines of few smooth pieces: as points, turned round, written as a drawing, and read from one."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from shapely import LinearRing, Polygon
from svgelements import Matrix
from svgelements import Path as PathData

from boardmaker.inputs.outlines import points_of_svg
from boardmaker.inputs.svg.paths import closed_pieces
from boardmaker.tracing.curve import (
    FLATNESS,
    curve_path,
    curve_ring,
    is_straight,
    moved_curve,
    oriented,
    straight_sides,
    turned_round,
)
from boardmaker.tracing.outline_file import outline_svg

RADIUS = 90.0
# Four pieces for a circle, inner points at 0.551915 of the radius: 0.019 % of it off at most (Goldapp, Approximation of
# circular arcs by cubic polynomials, Computer Aided Geometric Design 8, 1991; the value itself from memory).
INNER = 0.551915 * RADIUS
GOLDAPP = 0.00020 * RADIUS
QUARTER = ((RADIUS, 0.0), (RADIUS, INNER), (INNER, RADIUS), (0.0, RADIUS))


def turned(point):
    x, y = point
    return -y, x


def circle():
    """Counter-clockwise about [0, 0]."""
    pieces, piece = [], QUARTER
    for _ in range(4):
        pieces.append(piece)
        piece = tuple(turned(point) for point in piece)
    return tuple(pieces)


def test_points_lie_on_the_curve():
    """No chord is further inside than the flatness, no point off the circle by more than the four pieces are."""
    ring = curve_ring(circle())
    off = [abs(math.hypot(*point) - RADIUS) for point in ring]
    assert max(off) <= GOLDAPP
    middles = [math.dist((0, 0), ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)) for a, b in pairwise(ring)]
    assert min(middles) >= RADIUS - FLATNESS - GOLDAPP
    assert 2 * math.pi * RADIUS / len(ring) > 1.0  # and they are not many: a chord is 1.9 mm at this flatness


def test_straight_sides_are_their_corners():
    square = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))
    curve = straight_sides(square)
    assert all(map(is_straight, curve))
    assert curve_ring(curve) == square
    assert curve_path(curve, 10.0) == "M 0,10 L 10,10 L 10,0 L 0,0 Z"


def test_turned_round_is_the_same_line():
    curve = circle()
    back = turned_round(curve)
    assert Polygon(curve_ring(curve)).exterior.is_ccw
    assert not Polygon(curve_ring(back)).exterior.is_ccw
    assert oriented(back) == curve == oriented(curve)
    assert all(a[3] == b[0] for a, b in zip(back, (*back[1:], back[0]), strict=True))


def test_what_is_written_is_read_as_the_same_curve(tmp_path):
    """By a bike file's reader, by `closed_pieces`, and by another one (svgelements), point by point."""
    curve = moved_curve(
        (*circle()[:3], (circle()[3][0],) * 2 + (circle()[0][0],) * 2), lambda p: (p[0] + 95, p[1] + 97)
    )
    (tmp_path / "o.svg").write_bytes(outline_svg("a bowl", curve))
    read = LinearRing(points_of_svg(tmp_path, "o.svg"))
    assert read.hausdorff_distance(LinearRing(curve_ring(curve))) < 0.1 + FLATNESS  # chords as a bike file's are
    data = curve_path(curve, 200.0)
    pieces = closed_pieces(data, Matrix(1, 0, 0, -1, 0, 200), 120)
    assert [is_straight(piece) for piece in pieces] == [False, False, False, True]
    for one, other in zip(pieces, PathData(data)[1:], strict=True):
        for share in (0.2, 0.5, 0.9):
            x, y = other.point(share)
            a, b, c, d = ((1 - share) ** 3, 3 * share * (1 - share) ** 2, 3 * share**2 * (1 - share), share**3)
            mine = [sum(part * point[k] for part, point in zip((a, b, c, d), one, strict=True)) for k in (0, 1)]
            if not is_straight(one):  # of a straight one the share of the way is another
                assert mine == pytest.approx([x, 200 - y], abs=1e-6)


@pytest.mark.parametrize(
    "data",
    [
        "",
        "M 0,0 L 10,0 L 10,10",  # open
        "M 0,0 L 10,0 L 10,10 Z M 2,2 L 4,2 L 4,4 Z",  # two parts
        "M 0,0 A 5 5 0 0 1 10,0 L 10,10 Z",  # an arc
        "M 0,0 " + " ".join(f"L {i},{i * i}" for i in range(1, 30)) + " Z",  # more pieces than were asked for
    ],
)
def test_other_paths_are_no_curve(data):
    assert closed_pieces(data, Matrix(), 20) == ()


def test_quadratic_curves_become_cubic_ones():
    """The same points: a quadratic curve is a cubic one whose inner points lie at two thirds of the way (degree
    elevation, in any book on Bézier curves)."""
    (first, last) = closed_pieces("M 0,0 Q 10,20 30,0 Z", Matrix(), 20)
    assert is_straight(last)
    for share in (0.25, 0.5, 0.75):
        quadratic = PathData("M 0,0 Q 10,20 30,0")[1].point(share)
        parts = ((1 - share) ** 3, 3 * share * (1 - share) ** 2, 3 * share**2 * (1 - share), share**3)
        cubic = [sum(part * point[k] for part, point in zip(parts, first, strict=True)) for k in (0, 1)]
        assert cubic == pytest.approx(list(quadratic), abs=1e-9)
