"""Noisy lines as few smooth pieces: near, smooth where the panel is, sharp where it has a corner."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.interpolate import splev, splprep
from shapely import LinearRing, Point, Polygon, affinity, box, points

from boardmaker.photo.fitted_curve import fitted_curve
from boardmaker.tracing.curve import MOST_PIECES, curve_ring, is_straight

NOISE = 0.2


def line_of(shape, noise=0.08, seed=1):
    """Places about a mm apart on the shape's edge, each moved across it by noise, as an edge in a photo is seen."""
    edge = shape.exterior
    count = int(edge.length)
    at = [edge.interpolate(k / count * edge.length) for k in range(count)]
    ahead = [edge.interpolate((k / count * edge.length + 0.1) % edge.length) for k in range(count)]
    moved = np.random.default_rng(seed).normal(0, noise, count)
    along = np.array([[b.x - a.x, b.y - a.y] for a, b in zip(at, ahead, strict=True)])
    along /= np.hypot(*along.T)[:, None]
    return np.array([[p.x, p.y] for p in at]) + np.column_stack([along[:, 1], -along[:, 0]]) * moved[:, None]


def turns(curve):
    """By how many degrees the outline turns where one piece ends and the next begins."""
    found = []
    for (_, _, before, at), (_, behind, _, end) in zip(curve, (*curve[1:], curve[0]), strict=True):
        came = (at[0] - before[0], at[1] - before[1])
        goes = (behind[0] - at[0], behind[1] - at[1]) if behind != at else (end[0] - at[0], end[1] - at[1])
        found.append(math.degrees(math.atan2(came[0] * goes[1] - came[1] * goes[0], np.dot(came, goes))))
    return np.abs(found)


EGG = affinity.rotate(affinity.scale(Point(0, 0).buffer(100, quad_segs=200), 1.6, 0.8), 25)


def test_a_smooth_panel_has_no_corner_and_few_pieces():
    """As near as its noise, and to FITPACK's smoothing spline through the same places (Dierckx; in scipy)."""
    line = line_of(EGG)
    curve = fitted_curve(line, NOISE)
    assert len(curve) < 40
    assert turns(curve).max() < 1e-6
    ring = LinearRing(curve_ring(curve))
    assert ring.hausdorff_distance(EGG.exterior) < 0.3 < EGG.exterior.distance(points(line)).max() + 0.1
    spline, _ = splprep(np.vstack([line, line[:1]]).T, s=len(line) * 0.08**2, per=True)
    assert ring.hausdorff_distance(LinearRing(np.array(splev(np.linspace(0, 1, 3000)[:-1], spline)).T)) < 0.3


def test_rounded_corners_are_round_and_sharp_ones_sharp():
    """A plate of 200 x 120: corners of 8 mm radius have no kink, four sharp ones come within half a mm."""
    plate = box(8, 8, 192, 112).buffer(8, quad_segs=40)
    curve = fitted_curve(line_of(plate, 0.04), NOISE)
    assert turns(curve).max() < 1e-6
    assert LinearRing(curve_ring(curve)).hausdorff_distance(plate.exterior) < 0.5
    sharp = fitted_curve(line_of(box(0, 0, 200, 120), 0.04), NOISE)
    assert min(sorted(turns(sharp))[-4:]) > 60 > 5 > sorted(turns(sharp))[-5]
    for corner in ((0, 0), (200, 0), (200, 120), (0, 120)):
        assert LinearRing(curve_ring(sharp)).distance(Point(corner)) < 0.6


@pytest.mark.slow
def test_a_ragged_panel_keeps_to_the_limit():
    """Sixty teeth: more than 120 pieces would be nearer; the outline stays simple, and near."""
    around = np.linspace(0, 2 * np.pi, 2400, endpoint=False)
    reach = 150 + 6 * np.sign(np.sin(60 * around))
    ragged = Polygon(np.column_stack([reach * np.cos(around), reach * np.sin(around)]))
    curve = fitted_curve(line_of(ragged, 0.0), NOISE)
    assert 3 <= len(curve) <= MOST_PIECES
    ring = Polygon(curve_ring(curve))
    assert ring.is_valid
    assert ring.exterior.hausdorff_distance(ragged.exterior) < 7


def test_a_line_that_crosses_itself_becomes_its_largest_part():
    """A small loop, as where two sheets meet askew."""
    line = line_of(EGG, 0.0)
    place, ahead = line[200], line[203] - line[200]
    across = np.array([-ahead[1], ahead[0]])
    loop = [place + ahead + across, place + across, place + 0.5 * ahead - 0.5 * across]
    curve = fitted_curve(np.vstack([line[:203], loop, line[203:]]), NOISE)
    ring = Polygon(curve_ring(curve))
    assert ring.is_valid
    assert ring.exterior.is_ccw
    assert ring.symmetric_difference(EGG).area < 0.01 * EGG.area


def test_the_same_whichever_way_the_line_runs():
    """Counter-clockwise in both cases, and as near."""
    line = line_of(EGG)
    for one in (line, line[::-1]):
        ring = Polygon(curve_ring(fitted_curve(one, NOISE)))
        assert ring.exterior.is_ccw
        assert ring.exterior.hausdorff_distance(EGG.exterior) < 0.4


def test_a_tiny_panel():
    """A clip of 12 mm, whose line has hardly more places than a piece."""
    curve = fitted_curve(line_of(Point(0, 0).buffer(6), 0.02), NOISE)
    assert not any(is_straight(piece) for piece in curve)
    assert Polygon(curve_ring(curve)).area == pytest.approx(math.pi * 36, rel=0.05)
