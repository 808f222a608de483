"""Does a screw suit its hole? The rules of `service/suitability.py`, case by case."""

from __future__ import annotations

import pytest
from bikes import bike_text

from boardmaker.model import Fastener, Head, Hole, Shoulder
from boardmaker.service import Verdict, judge_fit, misfits
from boardmaker.standards import parse_thread

FITS, SAY, DOUBT, NOT = Verdict.FITS, Verdict.CANNOT_SAY, Verdict.DOUBTFUL, Verdict.MUST_NOT


def screw(length, shoulder=None, thread="M6"):
    plain = Shoulder(shoulder, 9.0) if shoulder else None
    return Fastener("A", "screw", length, Head("button", 14.0, 3.3), parse_thread(thread), shoulder=plain)


def hole(**keys):
    return Hole("1", (0.0, 0.0), "A", **keys)


@pytest.mark.parametrize(
    ("fastener", "place", "verdict"),
    [
        (screw(16), {"stack": 3.0, "depth": 14.0, "into": "metal thread"}, FITS),
        (screw(16), {"stack": 3.0, "depth": 14.0, "room": 12.9, "into": "metal thread"}, NOT),
        (screw(16), {"stack": 3.0, "depth": 14.0, "room": 13.0, "into": "metal thread"}, FITS),
        (screw(16), {"stack": 11.0, "depth": 14.0, "into": "metal thread"}, DOUBT),  # 5 mm hold, under 1 diameter
        (screw(16), {"stack": 10.0, "depth": 14.0, "into": "metal thread"}, FITS),  # just 1 diameter
        (screw(16), {"stack": 3.0, "depth": 4.0, "into": "threaded insert"}, DOUBT),
        (screw(16), {"stack": 17.0, "depth": 4.0, "into": "clip nut"}, DOUBT),  # does not reach
        (screw(21, shoulder=11), {"stack": 10.5, "depth": 10.0, "into": "clip nut"}, FITS),
        (screw(21, shoulder=11), {"stack": 11.0, "depth": 10.0, "into": "clip nut"}, FITS),
        (screw(21, shoulder=11), {"stack": 11.5, "depth": 10.0, "into": "clip nut"}, NOT),  # does not clear the stack
        (screw(21, shoulder=11), {"stack": 10.0, "depth": 10.0, "into": "clip nut"}, FITS),  # 1 mm is still good
        (screw(21, shoulder=11), {"stack": 9.5, "depth": 10.0, "into": "clip nut"}, DOUBT),  # rattles
        (screw(16), {"depth": 14.0, "into": "metal thread"}, SAY),
        (screw(16), {"stack": 3.0, "into": "metal thread"}, SAY),
        (screw(16), {}, SAY),
    ],
)
def test_verdicts(fastener, place, verdict):
    """Tip against room, engagement, shoulder against stack; what is not given cannot be said."""
    assert judge_fit(fastener, hole(**place)).verdict is verdict


def test_written_decimals_do_not_tip_a_verdict():
    """0.1 + 0.2 is not 0.3 in binary, and a mechanic must not see that."""
    assert judge_fit(screw(10.3), hole(stack=0.3, depth=10.0, room=10.0, into="metal thread")).verdict is FITS


def test_a_clip_has_no_thread_to_judge():
    """A push clip is no screw."""
    clip = Fastener("P", "push clip", 15.0, Head("round", 18.0, 3.0), None, hole=8.0)
    assert judge_fit(clip, hole(stack=3.0)).verdict is FITS


@pytest.mark.parametrize(("room", "severity"), [("room: 5, behind: fuel tank", "error"), ("room: 5", "warning")])
def test_a_tip_that_reaches_what_is_behind_is_an_error(bike_from, room, severity):
    """Where something is behind, it is no longer a matter of taste."""
    bike = bike_from(
        bike_text(
            f"  p: {{ name: P, side: left, holes: [ {{ at: [0, 0], fastener: C, stack: 3, depth: 9, {room} }} ] }}"
        )
    )
    (problem,) = misfits(bike)
    assert problem.severity == severity
    assert "must not" in problem.message
    assert problem.where is not None


@pytest.mark.parametrize(
    ("thread", "diameters"), [("M4", 0.802), ("M5", 0.802), ("M6", 0.776), ("M8", 0.753), ("M10", 0.744)]
)
def test_one_diameter_is_on_the_safe_side_of_published_engagement(thread, diameters):
    """Machinery's Handbook, equation 1 for length of engagement, 6g in 6H of equal strength, worked for each size: less
    than one diameter would do for steel in steel, so the rule of one diameter errs to the safe side."""
    size = parse_thread(thread).diameter
    need = diameters * size
    assert need < size
    enough = hole(stack=3.0, depth=size, into="metal thread")
    assert judge_fit(screw(3 + size, thread=thread), enough).verdict is FITS
    short = hole(stack=3.0, depth=need, into="metal thread")
    assert judge_fit(screw(3 + size, thread=thread), short).verdict is DOUBT


def test_an_assumed_length_is_no_ground_for_a_verdict():
    """What is not given cannot be said, for good or bad."""
    assumed = Fastener("A", "screw", 20.0, Head("button", 14.0, 3.3), parse_thread("M6"), length_assumed=True)
    assert judge_fit(assumed, hole(stack=3.0, depth=6.0, room=6.0, behind="tank")).verdict is SAY


def test_a_clip_may_not_reach_what_is_behind_either():
    """Tip past the joint against the room, whatever the kind."""
    clip = Fastener("P", "push clip", 20.0, Head("round", 18.0, 3.0), None, hole=8.0)
    assert judge_fit(clip, hole(stack=3.0, room=6.0, behind="fuel tank")).verdict is NOT
    assert judge_fit(clip, hole(stack=3.0, room=17.0, behind="fuel tank")).verdict is FITS
