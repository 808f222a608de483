"""Outlines from points: simple or refused with the place; smooth ones; ones drawn around the holes."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LinearRing, LineString, Point, Polygon

from boardmaker.inputs.curves import smooth_ring
from boardmaker.inputs.outlines import AROUND_HOLES, outline_around, outline_from_points
from boardmaker.inputs.simple_rings import OutlineError

PANEL = ((0.0, 0.0), (420.0, 20.0), (455.0, 190.0), (300.0, 240.0), (60.0, 210.0))
BOUNDED = settings(max_examples=150, deadline=None, derandomize=True, database=None)


def test_points_stay_as_they_are():
    """Nothing is rounded or moved; a clockwise outline is turned round, a repeated last point is dropped."""
    assert outline_from_points(PANEL, smooth=False) == PANEL
    assert set(outline_from_points(PANEL[::-1], smooth=False)) == set(PANEL)
    assert Polygon(outline_from_points(PANEL[::-1], smooth=False)).exterior.is_ccw
    assert outline_from_points((*PANEL, PANEL[0]), smooth=False) == PANEL


@pytest.mark.parametrize(
    ("points", "place"),
    [
        ([(0, 0), (100, 0), (0, 80), (100, 80)], r"\[50, 40\]"),
        ([(0, 0), (100, 0), (50, 50), (100, 80), (0, 80), (50, 50)], r"\[50, 50\]"),
        ([(0, 0), (100, 0), (100, 50), (150, 50), (100, 50), (0, 50)], r"\[1[05]0, 50\]"),
        ([(0, 0), (100, 0), (100, 100), (50, 0), (0, 100)], r"\[50, 0\]"),
        ([(0, 0), (90, 0), (90, 90), (60, 90), (60, -30), (30, -30), (30, 90), (0, 90)], r"\[30, 0\] and \[60, 0\]"),
    ],
    ids=["crossing", "touching itself in a corner", "out and back", "corner on a side", "two crossings"],
)
def test_an_outline_that_is_not_simple_names_the_place(points, place):
    """Where it crosses, touches, or runs back along itself."""
    with pytest.raises(OutlineError, match=f"crosses itself at .*{place}") as found:
        outline_from_points(points, smooth=False)
    assert found.value.hint


@pytest.mark.parametrize(
    "points",
    [
        [],
        [(1, 1)],
        [(0, 0), (9, 9)],
        [(0, 0), (9, 9), (0, 0)],
        [(0, 0), (9, 9), (5, 5)],
        [(0, 0), (100, 0), (50, 1e-3)],
    ],
)
def test_an_outline_needs_an_area(points):
    """Too few points, points on one line, a sliver."""
    with pytest.raises(OutlineError, match=r"three different points|no area"):
        outline_from_points(points, smooth=False)


def test_a_smooth_outline_passes_through_its_points():
    """Every measured point is a point of the curve; between them it bends outward and stays simple."""
    ring = outline_from_points(PANEL, smooth=True)
    assert set(PANEL) <= set(ring)
    assert LinearRing(ring).is_simple
    assert Polygon(ring).area > Polygon(PANEL).area
    assert max(math.dist(a, b) for a, b in pairwise(ring)) < 9.0


def test_a_smooth_circle_is_nearly_a_circle():
    """Twelve points of a circle of radius 100: centripetal Catmull-Rom is within 1 mm of it."""
    twelve = [(100 * math.cos(math.tau * i / 12), 100 * math.sin(math.tau * i / 12)) for i in range(12)]
    assert [math.hypot(*point) for point in smooth_ring(twelve)] == pytest.approx(
        [100] * len(smooth_ring(twelve)), abs=1
    )


@BOUNDED
@given(st.lists(st.floats(0.3, 1.0), min_size=4, max_size=14), st.floats(0.1, 1.0))
@pytest.mark.slow
def test_a_smooth_outline_is_simple_whatever_its_points(reaches, flat):
    """A star of any reach, squeezed flat: the curve is simple, or gives way to rounded corners near the points."""
    count = len(reaches)
    star = [
        (300 * reach * math.cos(math.tau * i / count), 300 * flat * reach * math.sin(math.tau * i / count))
        for i, reach in enumerate(reaches)
    ]
    ring = outline_from_points(star, smooth=True)
    assert LinearRing(ring).is_simple
    assert Polygon(ring).exterior.is_ccw
    assert max(LineString([*ring, ring[0]]).distance(Point(point)) for point in star) < 60


def test_a_narrow_outline_falls_back_to_rounded_corners():
    """Where the curve through the points would cross itself."""
    narrow = [(0, 0), (300, 0), (300, 4), (150, 2), (0, 4)]
    ring = outline_from_points(narrow, smooth=True)
    assert LinearRing(ring).is_simple
    assert Polygon(ring).area > 0


@BOUNDED
@given(st.lists(st.tuples(st.integers(-500, 500), st.integers(-500, 500)), min_size=1, max_size=9))
def test_an_outline_around_holes_keeps_its_distance(holes):
    """Every hole is inside, and at least 98 % of 25 mm from the outline (a circle of 32 sides)."""
    ring = outline_around(holes)
    assert Polygon(ring).exterior.is_ccw
    for hole in holes:
        assert Polygon(ring).contains(Point(hole))
        assert LineString([*ring, ring[0]]).distance(Point(hole)) >= 0.98 * AROUND_HOLES
