"""Holes outside of their panel are pointed out."""

from __future__ import annotations

import pytest
from bikes import bike_text

from boardmaker.service import strays

OUTLINE = "outline: [[0, 0], [400, 0], [400, 120], [0, 120]]"


@pytest.mark.parametrize(
    ("at", "hint"), [("[100, 60]", None), ("[401, 60]", None), ("[100, 300]", "swapped"), ("[500, 500]", "measure")]
)
def test_a_hole_outside_its_outline_is_a_warning(bike_from, at, hint):
    """Within measuring accuracy nothing is said; swapped x and y are recognised."""
    panel = f"  p: {{ name: P, side: left, {OUTLINE}, holes: [ {{ at: {at}, fastener: A }} ] }}"
    found = strays(bike_from(bike_text(panel)))
    assert [problem.severity for problem in found] == (["warning"] if hint else [])
    assert all(hint in problem.hint for problem in found)
