"""Torques beyond what thread, class, head or plastic bear."""

from __future__ import annotations

import pytest
from bikes import bike_text

from boardmaker.service import overtorqued

PANEL = "  p: { name: P, side: left, holes: [ { at: [0, 0], fastener: A } ] }"


def rows(bike_from, row):
    return overtorqued(bike_from(bike_text(PANEL, rest=f"torques: {{ plug: {{ what: Plug, {row} }} }}\n")))


@pytest.mark.parametrize(
    ("row", "severity", "share"),
    [
        ("thread: M10, class: '8.8', torque: 50 N·m", None, ""),  # 74 %
        ("thread: M10, class: '8.8', torque: 52 N·m", "warning", "77%"),
        ("thread: M10, class: '8.8', torque: 68 N·m", "error", "101%"),
        ("thread: M10, class: '4.8', torque: 50 N·m", "error", "139%"),
        ("thread: M6, class: '8.8', torque: 9 to 11 N·m", None, ""),  # judged by its middle
        ("thread: M6, class: '8.8', torque: 10 to 15 N·m", "error", "107%"),  # and by its end
        ("thread: M10, class: '10.9', torque: [20 N·m, 40 N·m, 90 deg]", None, ""),
        ("thread: M10, class: '10.9', torque: [20 N·m, 100 N·m, 90 deg]", "error", "104%"),
        ("thread: M10, torque: 80 N·m", None, ""),  # no class, no verdict: 71 % of what 12.9 bears
        ("thread: M10, torque: 100 N·m", "warning", "even of class 12.9 this is 89% of the proof load: a slip"),
        ("thread: M10, torque: 500 N·m", "warning", "not even class 12.9 would bear this: a slip of the pen?"),
        ("thread: M14x1.5, torque: 26 N·m", None, ""),
        ("thread: M14x1.5, torque: 260 N·m", "warning", "no class is given; even of class 12.9"),
        ("thread: M10x1, torque: 12 N·m", None, ""),
        ("thread: M10x1, torque: 120 N·m", "warning", "no class is given; even of class 12.9"),
        ("thread: ST4.8, torque: 120 N·m", None, ""),  # no proof load of a tapping thread
        ("class: '8.8', torque: 500 N·m", None, ""),
        ("thread: M10, class: A2-70, torque: 55 N·m", "error", "105%"),  # yield stands for the proof stress
    ],
)
def test_rows_are_held_against_the_proof_load(bike_from, row, severity, share):
    """T = K F d with K = 0.20; M10 8.8 has a proof load of 33.7 kN (slsbearings.com, ISO 898-1), so 67.4 N·m.

    12.9 has 970 MPa against 580 (ISO 898-1, from memory): 56.3 kN, so 113 N·m; no class, no verdict below 75 % of that.
    """
    found = rows(bike_from, row)
    assert [problem.severity for problem in found] == ([severity] if severity else [])
    assert all(share in problem.message and problem.where and "K = 0.20" in problem.hint for problem in found)


@pytest.mark.parametrize(
    ("fastener", "severity"),
    [
        ("{ part: ISO 7380-2 - M6 x 16 - 10.9, torque: 11 N·m }", None),  # 69 %
        ("{ part: ISO 7380-2 - M6 x 16 - 10.9, torque: 13 N·m }", "warning"),  # 81 % of the flat head's
        ("{ part: ISO 4762 - M6 x 16 - 10.9, torque: 13 N·m }", None),  # 65 % of the whole
        ("{ part: ISO 7380-2 - M6 x 16 - 10.9, torque: 17 N·m }", "error"),
        ("{ kind: screw, thread: M6, length: 16, torque: 16 N·m }", None),
        ("{ kind: screw, thread: M6, length: 16, torque: 60 N·m }", "warning"),  # whatever it is made of
        ("{ kind: push clip, hole: 8, torque: 60 N·m }", None),
        ("{ part: ISO 7380-2 - M6 x 16 - 10.9 }", None),
    ],
)
def test_a_fastener_is_held_against_what_its_head_carries(bike_from, fastener, severity):
    """A flat head carries 80 % (ISO 7380-2:2022, scope)."""
    text = f"format: 1\nbike: {{ name: T }}\nfasteners:\n  A: {fastener}\npanels:\n{PANEL}\n"
    assert [problem.severity for problem in overtorqued(bike_from(text))] == ([severity] if severity else [])


@pytest.mark.parametrize(
    ("into", "torque", "found"),
    [
        ("plastic boss", "2 N·m", 0),
        ("plastic boss", "6 N·m", 1),
        ("clip nut", "5 N·m", 0),
        ("clip nut", "9 N·m", 1),
        ("well nut", "1.5 N·m", 0),
        ("well nut", "5 N·m", 1),
        ("metal thread", "9 N·m", 0),
    ],
)
def test_plastic_and_thin_nuts_bear_little(bike_from, into, torque, found):
    """M5: common practice, no source. Far above it somebody took the torque of a metal thread."""
    panel = (
        "  p: { name: P, side: left, holes: [ "
        f"{{ at: [0, 0], fastener: A, into: {into} }}, {{ at: [9, 0], fastener: A, into: {into} }} ] }}"
    )
    text = "format: 1\nbike: { name: T }\nfasteners:\n"
    text += f"  A: {{ kind: screw, thread: M5, length: 16, torque: {torque} }}\npanels:\n{panel}\n"
    problems = overtorqued(bike_from(text))
    assert [problem.severity for problem in problems] == ["warning"] * found
    assert all(f"in a {into} (p/1 and 1 more)" in problem.message for problem in problems)
