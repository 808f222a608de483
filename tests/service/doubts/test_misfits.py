"""What `check` says of the screws of a file in their own holes."""

from __future__ import annotations

import pytest
from bikes import bike_text

from boardmaker.service import misfits, overtorqued, unsettled

NUT = "into: clip nut, stack: 3, depth: 6"


def panel(*holes):
    return bike_text("  p: { name: P, side: left, holes: [ " + ", ".join(f"{{ {hole} }}" for hole in holes) + " ] }")


@pytest.mark.parametrize(
    ("place", "severity", "message", "hint"),
    [
        # screw C is an M5 of 12 mm: 9 mm past a joint of 3 mm, and up to 9.35
        (f"{NUT}, room: 5, behind: tank", "error", "must not go into this hole: the tip reaches 9 mm", "use a shorter"),
        (f"{NUT}, room: 9, behind: tank", "error", "must not go into this hole: the tip reaches 9 mm", "mind the tank"),
        (f"{NUT}, room: 10, behind: tank", "warning", "is doubtful here: the tip reaches 9 mm", "measure stack"),
        (f"{NUT}, room: 5", "warning", "must not go into this hole: the tip", "measure stack"),
        (
            f"{NUT}, behind: tank",
            "warning",
            "cannot be judged here: the file",
            "give `room`, the way to the tank, so that the tank is safe",
        ),
        (
            "stack: 30, behind: tank, into: clip nut",
            "warning",
            "must not go into this hole: the screw does not reach",
            "measure stack, depth",
        ),
        (
            "stack: 3, depth: 3.7, into: metal thread",  # half of 1.5 d is 3.75
            "warning",
            "must not go into this hole: only 2.9 mm of thread",
            "measure",
        ),
        (
            "stack: 3, depth: 3.8, into: metal thread",
            "warning",
            "is doubtful here: the tip reaches 9 mm past the joint and the thread is 3.8 mm deep",
            "measure",
        ),
        (
            "stack: 3, depth: 8.9, into: metal thread",
            "warning",
            "is doubtful here: the tip reaches 9 mm past",
            "measure stack",
        ),
        ("stack: 3, depth: 9, into: metal thread", None, "", ""),
        ("stack: 3", None, "", ""),  # cannot be said, and nothing is behind
    ],
)
def test_what_check_says_of_a_hole(bike_from, place, severity, message, hint):
    """An error where the tip reaches what is behind; else a warning."""
    bike = bike_from(panel(f"at: [0, 0], fastener: C, {place}"))
    found = [(one.severity.value, f"p/1: screw C {message}" in one.message, hint in one.hint) for one in misfits(bike)]
    assert found == ([(severity, True, True)] if severity else [])
    assert all(one.where is not None for one in misfits(bike))


def test_a_doubt_does_not_hide_that_nobody_knows_how_near_the_tank_is(bike_from):
    """9 mm past the joint in a clip nut of 8.5 mm: doubtful; and the way to the tank is not given."""
    (problem,) = misfits(
        bike_from(panel("at: [0, 0], fastener: C, into: clip nut, stack: 3, depth: 8.5, behind: tank"))
    )
    assert "is doubtful here" in problem.message
    assert problem.hint.endswith("give `room`, the way to the tank too, so that the tank is safe")


def test_a_hole_and_its_mirror_image_are_told_once(bike_from):
    """They stand in one line of the file, and one correction mends both."""
    left = "  l: { name: Left, side: left, holes: [ { at: [0, 0], fastener: C, stack: 30 } ] }"
    panels = f"{left}\n  r: {{ mirrors: l, side: right }}"
    (problem,) = misfits(bike_from(bike_text(panels)))
    assert problem.message.startswith("l/1 and r/1: screw C must not go into this hole")


def test_a_torque_that_a_screw_does_not_bear_is_told_once(bike_from):
    """M6 8.8 under a button head: 20.12 mm² x 580 MPa x 80 % = 9.34 kN, and 12.9 of 800; 12 N·m pull 10 kN."""
    head = "head: { shape: button, diameter: 14 }"
    kind = f"  Z: {{ kind: screw, thread: M6, length: 16, class: '8.8', {head}, torque: 12 }}"
    text = panel("at: [0, 0], fastener: Z, into: metal thread, stack: 3, depth: 14")
    bike = bike_from(text.replace("fasteners:\n", f"fasteners:\n{kind}\n", 1))
    assert misfits(bike) == ()
    (problem,) = overtorqued(bike)
    assert problem.message == (
        'fastener "Z": 12 N·m is 107% of the proof load of M6 of class 8.8 with a button head, 80% of the thread\'s '
        "(p/1): it stretches above 9.34 kN and may break from 12.9 kN, this pulls 10 kN"
    )


def test_every_wrong_screw_of_a_panel_is_told(bike_from):
    """Each at its own line."""
    bike = bike_from(panel("at: [0, 0], fastener: C, stack: 30", "at: [9, 0], fastener: B, stack: 30"))
    assert [one.message.split(":")[0] for one in misfits(bike)] == ["p/1", "p/2"]


def test_what_nobody_measured_is_asked_for_once(bike_from):
    """A sentence for each measurement, with the holes that want it; not where something worse is said."""
    places = ["stack: 3, into: clip nut", "stack: 3, into: clip nut", "into: clip nut", "stack: 3", "stack: 30",
              "stack: 3, into: clip nut", "stack: 3, into: clip nut"]  # fmt: skip
    bike = bike_from(panel(*(f"at: [{20 * n}, 0], fastener: C, {place}" for n, place in enumerate(places))))
    assert unsettled(bike) == (
        "4 screws cannot be judged without `depth`, the length of the clip nut's thread: p/1, p/2, p/6 and 1 more",
        "1 screw cannot be judged without `stack`, the thickness that the screw clamps: p/3",
        "1 screw cannot be judged without `into`, what the screw is turned into: p/4",
    )
