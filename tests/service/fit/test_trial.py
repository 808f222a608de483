"""Would the screw in the hand do in this hole?"""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boardmaker.model import Fastener, Head, Hole, Shoulder
from boardmaker.service import Measured, Verdict, judge_fit, try_in
from boardmaker.service.fit.suitability import bottoms_out
from boardmaker.standards import parse_thread

FITS, SAY, DOUBT, NOT = Verdict.FITS, Verdict.CANNOT_SAY, Verdict.DOUBTFUL, Verdict.MUST_NOT
M6 = parse_thread("M6")
HEAD = Head("button", 14.0, 3.3)
PLAIN = Fastener("B", "screw", 16.0, HEAD, M6)
SHOULDERED = Fastener("A", "shoulder screw", 21.0, HEAD, M6, shoulder=Shoulder(11.0, 9.0))
CLIP = Fastener("P", "push clip", 15.0, HEAD, hole=8.0)
TANK = Hole("1", (0.0, 0.0), "B", into="threaded insert", stack=3.0, depth=10.0, room=13.0, behind="fuel tank")
CLIP_NUT = Hole("1", (0.0, 0.0), "A", into="clip nut", stack=10.5, depth=10.0)
OVER_A_CLIP_NUT = replace(CLIP_NUT, room=10.0, behind="fuel tank")
FLUSH = Hole("1", (0.0, 0.0), "B", into="metal thread", stack=0.0, depth=10.0)


@pytest.mark.parametrize(
    ("measured", "hole", "own", "verdict", "said"),
    [
        (Measured(M6, length=15.0), TANK, PLAIN, FITS, "same thread"),
        (Measured(M6, length=15.9), TANK, PLAIN, DOUBT, "within 0.2 mm of measuring"),
        (Measured(M6, length=16.1), TANK, PLAIN, NOT, "the fuel tank is at 13 mm"),  # as measured: no benefit of doubt
        (Measured(M6, length=15.3, tolerance=1.0), TANK, PLAIN, DOUBT, "fuel tank"),
        (Measured(M6, length=8.0), TANK, PLAIN, DOUBT, "under one diameter"),
        (Measured(M6, length=9.1), TANK, PLAIN, DOUBT, "within 0.2 mm of measuring, it could be that only 5.9 mm"),
        (Measured(M6, length=9.3), TANK, PLAIN, FITS, ""),
        (Measured(parse_thread("M5"), length=12.0), TANK, PLAIN, NOT, "thread is M5, the hole's M6"),
        (Measured(parse_thread("M6x0.75"), length=12.0), TANK, PLAIN, NOT, "thread is M6x0.75, the hole's M6"),
        (Measured(parse_thread("M6-LH"), length=12.0), TANK, PLAIN, NOT, "M6-LH"),
        (Measured(diameter=4.9, length=12.0), TANK, PLAIN, NOT, "4.9 mm across"),
        (Measured(diameter=5.9, length=12.0), TANK, PLAIN, SAY, "pitch was not measured"),
        (Measured(diameter=5.9, length=17.0), TANK, PLAIN, NOT, "fuel tank"),
        (Measured(length=12.0), TANK, PLAIN, SAY, "thread was not measured"),
        (Measured(M6), TANK, PLAIN, SAY, "length was not measured"),
        (
            Measured(threadless=True, length=15.0),
            TANK,
            PLAIN,
            NOT,
            "this one is a clip or rivet, and the hole takes M6",
        ),
        (Measured(M6, length=12.0), TANK, CLIP, NOT, "this one has a thread, and the hole takes a push clip"),
        (Measured(diameter=5.9, length=12.0), TANK, CLIP, NOT, "this one has a thread, and the hole takes a push clip"),
        (Measured(head=14.0, length=12.0), TANK, CLIP, SAY, "takes a push clip"),
        (Measured(threadless=True, length=12.0), TANK, CLIP, FITS, ""),
        (Measured(M6, length=21.0, shoulder=11.0), CLIP_NUT, SHOULDERED, FITS, ""),
        (Measured(M6, length=21.0), CLIP_NUT, SHOULDERED, SAY, "shoulder was not measured"),
        (Measured(M6, length=21.0, shoulder=0.0), CLIP_NUT, SHOULDERED, NOT, "no shoulder"),
        (Measured(M6, length=18.0, shoulder=8.0), CLIP_NUT, SHOULDERED, NOT, "does not clear"),  # one panel, not two
        (
            Measured(M6, length=25.0, shoulder=15.0),
            CLIP_NUT,
            SHOULDERED,
            DOUBT,
            "the panel is not held and rattles: the shoulder is 4.5 mm",
        ),
        (Measured(M6, length=21.0, shoulder=10.4), CLIP_NUT, SHOULDERED, DOUBT, "within 0.2 mm"),
        (Measured(M6, length=21.0, shoulder=10.6), CLIP_NUT, SHOULDERED, DOUBT, "the 10.4 mm shoulder does not clear"),
        (Measured(M6, length=21.0, shoulder=10.8), CLIP_NUT, SHOULDERED, FITS, ""),
        (Measured(M6, length=21.0, shoulder=11.0, shoulder_diameter=11.0), CLIP_NUT, SHOULDERED, DOUBT, "11 mm across"),
        (Measured(M6, length=21.0, shoulder=11.0, shoulder_diameter=8.0), CLIP_NUT, SHOULDERED, FITS, ""),
        (Measured(M6, length=21.0, shoulder=11.0, shoulder_diameter=9.19), CLIP_NUT, SHOULDERED, FITS, ""),
        (
            Measured(M6, length=21.0, shoulder=11.0, shoulder_diameter=9.21),
            CLIP_NUT,
            SHOULDERED,
            DOUBT,
            "9.21 mm across",
        ),
        # the tip ends where the tank begins: 21 - 11 = 10 mm past the joint
        (Measured(M6, length=21.0, shoulder=11.0), OVER_A_CLIP_NUT, SHOULDERED, DOUBT, "within 0.2 mm of measuring"),
        (Measured(M6, length=21.1, shoulder=11.0), OVER_A_CLIP_NUT, SHOULDERED, NOT, "the fuel tank is at 10 mm"),
        # straight into the metal, without a stack: all of its 10.5 mm
        (Measured(M6, length=10.5), FLUSH, PLAIN, DOUBT, "blind hole"),
        (
            Measured(M6, length=18.0),
            replace(TANK, into="metal thread", room=None, behind=""),
            PLAIN,
            DOUBT,
            "blind hole",
        ),
        (Measured(M6, length=12.0), replace(TANK, stack=None), PLAIN, SAY, "how thick the stack is"),
        (Measured(M6, length=12.0), replace(TANK, depth=None), PLAIN, SAY, "how deep"),
        (Measured(M6, length=12.0), replace(TANK, into="through", depth=None, room=None), PLAIN, SAY, "how far away"),
    ],
)
def test_verdicts(measured, hole, own, verdict, said):
    """Thread first, then the rules of screw and hole, then what was not measured. Common practice, no source: too long
    a screw reaches what is behind an insert; a shoulder for one panel is too short for two and crushes them."""
    fit = try_in(measured, hole, own)
    assert fit.verdict is verdict
    assert said in fit.reason


BOUNDED = settings(max_examples=300, deadline=None, derandomize=True, database=None)

sizes = st.integers(0, 300).map(lambda tenths: tenths / 10)
measurements = st.builds(
    Measured,
    thread=st.sampled_from([None, M6]),
    diameter=st.sampled_from([None, 5.9]),
    length=st.integers(81, 400).map(lambda tenths: tenths / 10),
    shoulder=st.none() | st.integers(0, 80).map(lambda tenths: tenths / 10),
    tolerance=st.sampled_from([0.0001, 0.2, 1.0]),
)
holes = st.builds(
    Hole,
    id=st.just("1"),
    at=st.just((0.0, 0.0)),
    fastener=st.just("A"),
    into=st.sampled_from(["metal thread", "threaded insert", "clip nut", "through", ""]),
    stack=st.none() | sizes,
    depth=st.none() | sizes,
    room=st.none() | sizes,
    behind=st.sampled_from(["", "fuel tank"]),
)


@BOUNDED
@given(measurements, holes, sizes, st.sampled_from([PLAIN, SHOULDERED]))
def test_no_verdict_gets_better_when_the_tip_comes_nearer_to_what_is_behind(measured, hole, nearer, own):
    """Less room is never safer."""
    if hole.room is None:
        return
    before = try_in(measured, hole, own).verdict
    after = try_in(measured, replace(hole, room=max(0.0, hole.room - nearer)), own).verdict
    assert after >= before


@BOUNDED
@given(measurements, holes, sizes)
def test_a_longer_tip_that_holds_well_is_never_better(measured, hole, longer):
    """Past one diameter of engagement there is nothing to win, only something to reach."""
    if hole.stack is None or measured.length - max(hole.stack, measured.shoulder or 0.0) < 8.0:
        return
    before = try_in(measured, hole, PLAIN).verdict
    assert try_in(replace(measured, length=measured.length + longer), hole, PLAIN).verdict >= before


@BOUNDED
@given(measurements, holes)
def test_a_screw_measured_without_error_is_judged_like_one_of_the_file(measured, hole):
    """One judgement: without tolerance and shoulder the verdict of the rules, or bottoming if that is worse."""
    exact = replace(measured, thread=M6, shoulder=0.0, tolerance=1e-12)
    screw = replace(PLAIN, length=exact.length)
    bottom = bottoms_out(screw, hole)
    expected = max(judge_fit(screw, hole).verdict, bottom.verdict if bottom else FITS)
    assert try_in(exact, hole, screw).verdict is expected


@BOUNDED
@given(measurements, holes, st.floats(0.0, 2.0))
def test_more_tolerance_never_makes_it_fit(measured, hole, more):
    """Who measures worse knows less; but for "longer than the one that belongs here", which a ruler cannot see."""
    own = replace(PLAIN, length=max(PLAIN.length, measured.length or 0.0))
    if try_in(measured, hole, own).verdict is not FITS:
        looser = replace(measured, tolerance=measured.tolerance + more)
        assert try_in(looser, hole, own).verdict is not FITS


OVER_TANK = replace(TANK, room=30.0)  # the file's own arithmetic leaves room for more than the screw of the hole


# The rule that board and plan print: something behind, never a longer screw. Common practice, no source.
@pytest.mark.parametrize(
    ("length", "tolerance", "verdict"),
    [
        (20.0, 0.2, DOUBT),
        (16.6, 0.2, DOUBT),
        (16.5, 0.2, FITS),  # a 16 mm screw may be 16.35 mm (js15 by ISO 4759-1), and be measured 0.2 mm too long
        (17.2, 1.0, FITS),  # a ruler
        (17.5, 1.0, DOUBT),
        (12.0, 0.2, FITS),
    ],
)
def test_longer_than_the_proper_one_is_doubtful_over_something(length, tolerance, verdict):
    """However much room there is; without anything behind the hole the arithmetic alone speaks."""
    measured = Measured(M6, length=length, tolerance=tolerance)
    fit = try_in(measured, OVER_TANK, PLAIN)
    assert fit.verdict is verdict
    assert ("longer than the one that belongs here, and the fuel tank is behind it" in fit.reason) == (verdict is DOUBT)
    assert try_in(measured, replace(OVER_TANK, behind=""), PLAIN).verdict is FITS
