"""Holes outside of their panel are pointed out."""

from __future__ import annotations

from dataclasses import replace

import pytest
from bikes import bike_text

from boardmaker.service import strays

OUTLINE = "outline: [[0, 0], [400, 0], [400, 120], [0, 120]]"


@pytest.mark.parametrize(
    ("at", "hint"),
    [
        ("[100, 60]", None),
        ("[401, 60]", None),
        ("[402.9, 60]", None),
        ("[403, 60]", None),  # 3 mm is within what a tape measures
        ("[403.1, 60]", "measure"),
        ("[100, 300]", "swapped"),
        ("[500, 500]", "measure"),
    ],
)
def test_a_hole_outside_its_outline_is_a_warning(bike_from, at, hint):
    """Within measuring accuracy nothing is said; swapped x and y are recognised."""
    panel = f"  p: {{ name: P, side: left, {OUTLINE}, holes: [ {{ at: {at}, fastener: A }} ] }}"
    found = strays(bike_from(bike_text(panel)))
    assert [problem.severity for problem in found] == (["warning"] if hint else [])
    assert all(hint in problem.hint for problem in found)


@pytest.mark.parametrize("outline", ["", OUTLINE + ", "])
def test_only_a_given_outline_is_held_against_the_holes(bike_from, outline):
    """Around the holes of a panel without one the program draws an outline; nothing can lie outside of that."""
    bike = bike_from(bike_text(f"  p: {{ name: P, side: left, {outline}holes: [ {{ at: [10, 10], fastener: A }} ] }}"))
    (panel,) = bike.panels
    far = replace(panel, holes=(replace(panel.holes[0], at=(999.0, 999.0)),))
    assert len(strays(replace(bike, panels=(far,)))) == (1 if outline else 0)
