"""Does a screw suit its hole? The rules of `service/suitability.py`, case by case."""

from __future__ import annotations

import math

import pytest
from bikes import bike_text

from boardmaker.model import Fastener, Head, Hole, Shoulder
from boardmaker.service import Verdict, judge_fit, misfits
from boardmaker.service.fit.suitability import bottoms_out, longer_than_own
from boardmaker.standards import parse_thread

FITS, SAY, DOUBT, NOT = Verdict.FITS, Verdict.CANNOT_SAY, Verdict.DOUBTFUL, Verdict.MUST_NOT


def screw(length, shoulder=None, thread="M6"):
    plain = Shoulder(shoulder, 9.0) if shoulder else None
    return Fastener("A", "screw", length, Head("button", 14.0, 3.3), parse_thread(thread), shoulder=plain)


def hole(**keys):
    return Hole("1", (0.0, 0.0), "A", **keys)


NO_STACK, NO_DEPTH = "the file does not say how thick the stack is", "the file does not say how deep the thread is"
SHOULDERED = {"depth": 10.0, "into": "clip nut"}


@pytest.mark.parametrize(
    ("fastener", "place", "verdict", "reason"),
    [
        (screw(16), {"stack": 3.0, "depth": 14.0, "into": "metal thread"}, FITS, "fits by the file's numbers"),
        # 16 - 3 = 13 past the joint
        (screw(16), {"stack": 3.0, "depth": 14.0, "room": 12.9, "into": "metal thread"}, NOT,
            "the tip reaches 13 mm past the joint and what is behind is at 12.9 mm"),
        (screw(16), {"stack": 3.0, "depth": 14.0, "room": 12.9, "behind": "tank", "into": "clip nut"}, NOT,
            "the tip reaches 13 mm past the joint and the tank is at 12.9 mm"),
        (screw(16), {"stack": 3.0, "depth": 14.0, "room": 13.0, "into": "metal thread"}, FITS, "fits"),
        (screw(16), {"stack": 0.5, "depth": 20.0, "room": 15.4, "into": "metal thread"}, NOT, "reaches 15.5 mm past"),
        (screw(16), {"stack": 3.0, "depth": 14.0, "behind": "tank", "into": "metal thread"}, SAY,
            "the file does not say how far away the tank is"),
        # 16 - 11 = 5 hold; just 1 diameter; what is deepest does not help where the screw, or the thread, is short
        (screw(16), {"stack": 11.0, "depth": 14.0, "into": "metal thread"}, DOUBT,
            "only 5 mm of thread hold, under one diameter (6 mm)"),
        (screw(16), {"stack": 10.0, "depth": 14.0, "into": "metal thread"}, FITS, "fits"),
        (screw(16), {"stack": 3.0, "depth": 6.0, "into": "metal thread"}, FITS, "fits"),
        (screw(16), {"stack": 3.0, "depth": 4.0, "into": "threaded insert"}, DOUBT,
            "only 4 mm of thread hold, under one diameter (6 mm)"),
        (screw(16), {"stack": 3.0, "depth": 4.0, "into": "clip nut"}, FITS, "fits"),  # the rule is one for metal
        (screw(16), {"stack": 17.0, "depth": 4.0, "into": "clip nut"}, DOUBT,
            "the screw does not reach past the stack, so no thread holds it"),
        (screw(16), {"stack": 16.0, "depth": 4.0, "into": "clip nut"}, DOUBT, "does not reach past the stack"),
        (screw(21, shoulder=11), {"stack": 10.5, **SHOULDERED}, FITS, "fits"),
        (screw(21, shoulder=11), {"stack": 11.0, **SHOULDERED}, FITS, "fits"),
        (screw(21, shoulder=11), {"stack": 11.5, **SHOULDERED}, NOT,
            "the 11 mm shoulder does not clear the 11.5 mm stack: leaves no grip or crushes it"),
        (screw(21, shoulder=11), {"stack": 11.5, "depth": 10.0, "into": "metal thread"}, NOT,
            "the 11 mm shoulder does not clear the 11.5 mm stack: crushes it"),
        (screw(21, shoulder=11), {"stack": 10.0, **SHOULDERED}, FITS, "fits"),  # 1 mm is still good
        (screw(21, shoulder=11), {"stack": 9.95, **SHOULDERED}, DOUBT, "the shoulder is 1.05 mm longer"),  # rattles
        # 21 - 11 past the joint, whatever thinner the stack is
        (screw(21, shoulder=11), {"stack": 10.5, "room": 9.9, **SHOULDERED}, NOT, "reaches 10 mm past the joint"),
        (screw(16), {"depth": 14.0, "into": "metal thread"}, SAY, NO_STACK),
        (screw(16), {"stack": 3.0, "into": "metal thread"}, SAY, NO_DEPTH),
        (screw(16), {"stack": 3.0, "into": "clip nut"}, SAY, NO_DEPTH),
        (screw(16), {"stack": 3.0, "into": "through"}, FITS, "fits"),
        (screw(16), {}, SAY, NO_STACK),
    ],
)  # fmt: skip
def test_verdicts(fastener, place, verdict, reason):
    """Tip against room, engagement, shoulder against stack, each by hand; what is not given cannot be said."""
    fit = judge_fit(fastener, hole(**place))
    assert fit.verdict is verdict
    assert reason in fit.reason


def test_written_decimals_do_not_tip_a_verdict():
    """0.1 + 0.2 is not 0.3 in binary, and a mechanic must not see that."""
    assert judge_fit(screw(10.3), hole(stack=0.3, depth=10.0, room=10.0, into="metal thread")).verdict is FITS


def test_a_clip_has_no_thread_to_judge():
    """A push clip is no screw."""
    clip = Fastener("P", "push clip", 15.0, Head("round", 18.0, 3.0), None, hole=8.0)
    assert judge_fit(clip, hole(stack=3.0)).verdict is FITS
    assert judge_fit(clip, hole()).verdict is FITS


def test_verdicts_run_from_good_to_bad_in_words():
    """Four of them, and the worse is the greater."""
    assert [one.words for one in sorted(Verdict)] == ["fits", "cannot say", "doubtful", "must not"]


def test_the_worst_finding_decides():
    """5 mm of thread hold, which is doubtful; and the tip reaches what is behind, which must not be."""
    fit = judge_fit(screw(16), hole(stack=11.0, depth=14.0, room=4.0, into="metal thread"))
    assert (fit.verdict, fit.reason) == (NOT, "the tip reaches 5 mm past the joint and what is behind is at 4 mm")


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


ENGAGED = [  # stress area, largest minor diameter of 6H, smallest pitch diameter of 6g (ISO 965-2, from memory), pitch
    ("M4", 8.78, 3.422, 3.433, 0.7, 0.802),
    ("M5", 14.2, 4.334, 4.361, 0.8, 0.802),
    ("M6", 20.1, 5.153, 5.212, 1.0, 0.776),
    ("M8", 36.6, 6.912, 7.042, 1.25, 0.753),
    ("M10", 58.0, 8.676, 8.862, 1.5, 0.744),
]


def least_held(shown):
    """The least that has to hold for a verdict of `fits`, by halving; `shown(mm)` is a screw and a hole."""
    low, high = 0.01, 30.0
    while high - low > 1e-7:
        middle = (low + high) / 2
        low, high = (low, middle) if judge_fit(*shown(middle)).verdict is FITS else (middle, high)
    return high


@pytest.mark.parametrize(("thread", "area", "minor", "pitch_diameter", "pitch", "diameters"), ENGAGED)
def test_one_diameter_is_asked_for_and_errs_to_the_safe_side(thread, area, minor, pitch_diameter, pitch, diameters):
    """One diameter of the thread, exactly, whether the screw or the thread is the short one. Machinery's Handbook,
    equation 1 for length of engagement, 6g in 6H of equal strength, asks for 0.74 to 0.80 diameters."""
    size = float(thread[1:])
    handbook = 2 * area / (math.pi * minor * (0.5 + (pitch_diameter - minor) / (math.sqrt(3) * pitch)))
    assert handbook == pytest.approx(diameters * size, rel=0.002)
    for shown in (
        lambda held: (screw(3 + 40, thread=thread), hole(stack=3.0, depth=held, into="metal thread")),
        lambda held: (screw(3 + held, thread=thread), hole(stack=3.0, depth=40.0, into="metal thread")),
    ):
        assert least_held(shown) == pytest.approx(size, abs=1e-6)
        assert least_held(shown) > 1.2 * handbook


BLIND = {"stack": 3.0, "depth": 12.5, "into": "metal thread"}


def test_a_screw_longer_than_its_blind_hole_may_bottom_out():
    """16 - 3 = 13 mm past the joint, and the thread is 12.5 mm deep."""
    fit = bottoms_out(screw(16), hole(**BLIND))
    assert fit.verdict is DOUBT
    assert "reaches 13 mm past the joint and the thread is 12.5 mm deep" in fit.reason


@pytest.mark.parametrize(
    ("fastener", "place"),
    [
        (screw(15.5), BLIND),  # just down to its end
        (screw(16), {**BLIND, "depth": 13.5}),
        (screw(16), {**BLIND, "room": 20.0}),  # not blind
        (screw(16), {**BLIND, "into": "clip nut"}),
        (screw(16), {**BLIND, "stack": None}),
        (screw(16), {**BLIND, "depth": None}),
        (Fastener("A", "screw", 16.0, Head("button", 14.0, 3.3), parse_thread("M6"), length_assumed=True), BLIND),
        (Fastener("P", "push clip", 16.0, Head("round", 18.0, 3.0), None, hole=8.0), BLIND),
    ],
)
def test_what_does_not_bottom_out_or_cannot_be_said(fastener, place):
    """Short enough, room behind, no metal, numbers that are missing or assumed, no thread."""
    assert bottoms_out(fastener, hole(**place)) is None


@pytest.mark.parametrize(
    ("length", "longest", "assumed", "behind", "reason"),
    [
        (
            18.0,
            16.5,
            False,
            "fuel tank",
            "it is 2 mm longer than the one that belongs here, and the fuel tank is behind",
        ),
        (16.5, 16.5, False, "fuel tank", None),
        (18.0, 16.5, True, "fuel tank", None),
        (18.0, 16.5, False, None, None),
    ],
)
def test_a_screw_longer_than_the_one_that_belongs_there(length, longest, assumed, behind, reason):
    """Only where something is behind, and the proper one's length is known."""
    own = Fastener("A", "screw", 16.0, Head("button", 14.0, 3.3), parse_thread("M6"), length_assumed=assumed)
    fit = longer_than_own(length, own, hole(behind=behind), longest)
    assert (fit is None) if reason is None else (fit.verdict is DOUBT and reason in fit.reason)


@pytest.mark.parametrize(
    ("place", "severity", "message", "hint"),
    [
        (
            "stack: 3, depth: 9, room: 5, behind: tank",
            "error",
            "must not go into this hole: the tip reaches 9 mm",
            "use a shorter",
        ),
        (
            "stack: 3, depth: 9, room: 5",
            "warning",
            "must not go into this hole: the tip reaches 9 mm",
            "measure stack, depth",
        ),
        ("stack: 3, behind: tank", "warning", "cannot be judged here: the file", "so that the tank is safe"),
        ("stack: 30, behind: tank", "warning", "is doubtful here: the screw does not reach", "measure stack, depth"),
        (
            "stack: 3, depth: 7, into: metal thread",
            "warning",
            "is doubtful here: the tip reaches 9 mm",
            "measure stack",
        ),
        # too little thread comes before a blind hole that is too short
        ("stack: 3, depth: 4, into: metal thread", "warning", "is doubtful here: only 4 mm of thread", "measure stack"),
        ("stack: 3", None, "", ""),  # cannot be said, and nothing is behind
    ],
)
def test_what_check_says_of_a_hole(bike_from, place, severity, message, hint):
    """Screw C is an M5 of 12 mm: 9 mm past a joint of 3 mm. Whatever is worse is said."""
    bike = bike_from(bike_text(f"  p: {{ name: P, side: left, holes: [ {{ at: [0, 0], fastener: C, {place} }} ] }}"))
    found = [(one.severity.value, f"p/1: screw C {message}" in one.message, hint in one.hint) for one in misfits(bike)]
    assert found == ([(severity, True, True)] if severity else [])


def test_an_assumed_length_is_no_ground_for_a_verdict():
    """What is not given cannot be said, for good or bad."""
    assumed = Fastener("A", "screw", 20.0, Head("button", 14.0, 3.3), parse_thread("M6"), length_assumed=True)
    why = "the screw's length is assumed, not given"
    for place in ({"stack": 3.0, "depth": 6.0, "room": 6.0, "behind": "tank"}, {"stack": 3.0}, {"behind": "tank"}):
        fit = judge_fit(assumed, hole(**place))
        assert (fit.verdict, fit.reason) == (SAY, why)
    assert judge_fit(assumed, hole()).reason == NO_STACK


def test_a_clip_may_not_reach_what_is_behind_either():
    """Tip past the joint against the room, whatever the kind."""
    clip = Fastener("P", "push clip", 20.0, Head("round", 18.0, 3.0), None, hole=8.0)
    assert judge_fit(clip, hole(stack=3.0, room=6.0, behind="fuel tank")).verdict is NOT
    assert judge_fit(clip, hole(stack=3.0, room=17.0, behind="fuel tank")).verdict is FITS


def test_a_blind_hole_hides_nothing_worse(bike_from):
    """The 11 mm shoulder of A does not clear 12 mm, and its tip, 9 mm past the joint, bottoms out at 5 mm."""
    place = "at: [0, 0], fastener: A, stack: 12, depth: 5, into: metal thread"
    (problem,) = misfits(bike_from(bike_text(f"  p: {{ name: P, side: left, holes: [ {{ {place} }} ] }}")))
    assert "must not go into this hole: the 11 mm shoulder does not clear the 12 mm stack" in problem.message
