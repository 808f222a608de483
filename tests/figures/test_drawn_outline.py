"""Outlines as they are drawn: simple also where files round them, and otherwise the bike file's."""

from __future__ import annotations

import math
import random

import pytest
from shapely import Polygon, affinity

from boardmaker.figures.drawn_outline import drawn_outline

SHIFTS = [(0.0, 0.0), (0.00004, 0.00003), (123.45678, 67.00005), (7.123449, 331.55551), (0.00006, 0.00009)]


def rounded(outline, shift):
    return Polygon([(round(x + shift[0], 4), round(y + shift[1], 4)) for x, y in outline])


def test_an_ordinary_outline_is_drawn_as_it_is():
    """Not a point changes."""
    outline = ((0.0, 0.0), (40.0, 0.0), (40.0, 0.01), (13.3333333, 29.9))
    assert drawn_outline(outline) == outline


@pytest.mark.parametrize("width", [1e-5, 4e-5, 1e-4, 2e-4])
def test_a_needle_of_no_width_is_simple_when_rounded(width):
    """A slit and a spike, both next to nothing wide; unmended, they cross themselves at one shift or another."""
    slit = ((0.0, 0.0), (30.0, 0.0), (30.0, 20.0), (15.0 + width, 20.0), (15.00003, 3.33333), (15.0, 20.0), (0.0, 20.0))
    spike = ((0.0, 0.0), (30.0, 0.0), (30.0, 9.0), (44.44444, 9.0 + width / 3), (30.0, 9.0 + width), (0.0, 20.0))
    for outline in (slit, spike):
        drawn = drawn_outline(outline)
        assert all(rounded(drawn, shift).is_valid for shift in SHIFTS)
        assert Polygon(drawn).symmetric_difference(Polygon(outline).buffer(0)).area < 0.05


@pytest.mark.parametrize("seed", range(20))
def test_crowded_points_are_simple_when_rounded(seed):
    """Star-shaped outlines of hundreds of points, many of them a fraction of a rounding step apart."""
    dice = random.Random(seed)
    angles = sorted([dice.uniform(0.0, 6.28) for _ in range(60)] + [1.0 + dice.uniform(0.0, 1e-4) for _ in range(60)])
    outline = tuple(
        (reach * math.cos(angle), reach * math.sin(angle))
        for angle, reach in ((angle, 10.0 + dice.uniform(0.0, 1e-3)) for angle in angles)
    )
    drawn = drawn_outline(outline)
    assert all(rounded(drawn, shift).is_valid for shift in SHIFTS)
    assert all(rounded(affinity.rotate(Polygon(drawn), 90).exterior.coords[:-1], shift).is_valid for shift in SHIFTS)
    assert Polygon(drawn).exterior.hausdorff_distance(Polygon(outline).exterior) < 0.02


def test_the_samples_would_cross_themselves_unmended():
    """Else the tests above could not fail."""
    outline = ((0.0, 0.0), (30.0, 0.0), (30.0, 9.0), (44.44444, 9.00002), (30.0, 9.00004), (0.0, 20.0))
    assert not all(rounded(outline, shift).is_valid for shift in SHIFTS)
