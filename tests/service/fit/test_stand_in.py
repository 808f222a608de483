"""Another fastener in a hole of the proper one: thread, shoulder and seat beside what `judge_fit` says."""

from __future__ import annotations

from dataclasses import replace

import pytest

from boardmaker.model import Fastener, Head, Hole, Shoulder
from boardmaker.service import Verdict, judge_fit
from boardmaker.service.fit.stand_in import differences, judge_stand_in
from boardmaker.standards import parse_thread


def screw(thread="M6", length=16.0, shape="button", shoulder=None, across=14.0, **more):
    return Fastener(
        "X", "screw", length, Head(shape, across, 3.0), parse_thread(thread),
        shoulder=Shoulder(*shoulder) if shoulder else None, **more,
    )  # fmt: skip


def clip(hole=8.0, kind="push clip"):
    return Fastener("P", kind, 15.0, Head("round", 18.0, 2.0), hole=hole)


HOLE = Hole("1", (0.0, 0.0), "B", into="metal thread", stack=3.0, depth=14.0)


def test_the_same_fastener_is_judged_as_judge_fit_does():
    """One judgement: nothing is added where nothing differs."""
    for length in (4.0, 8.0, 16.0, 30.0):
        fit = judge_fit(screw(length=length), HOLE)
        assert judge_stand_in(screw(length=length), screw(length=length), HOLE) == fit


# ISO 261: M6 and M6x0.75 have one diameter and two pitches; neither goes into the other's thread.
@pytest.mark.parametrize("thread", ["M5", "M6x0.75", "M6-LH", "ST4.8", "1/4-20"])
def test_another_thread_must_not(thread):
    """However well the length suits."""
    fit = judge_stand_in(screw(thread), screw("M6"), HOLE)
    assert fit.verdict is Verdict.MUST_NOT
    assert "thread" in fit.reason


def test_clips_must_have_the_same_hole_and_kind():
    """A clip has no thread to go by."""
    through = Hole("1", (0.0, 0.0), "P", into="through")
    assert judge_stand_in(clip(), clip(), through).verdict is Verdict.FITS
    assert judge_stand_in(clip(6.0), clip(8.0), through).verdict is Verdict.MUST_NOT
    assert judge_stand_in(clip(kind="screw rivet"), clip(), through).verdict is Verdict.MUST_NOT
    assert judge_stand_in(screw(), clip(), through).verdict is Verdict.MUST_NOT


def test_one_that_no_thread_holds_is_no_stand_in():
    """`judge_fit` calls it doubtful; as a proposal it is none."""
    assert judge_stand_in(screw(length=3.0), screw(), HOLE).verdict is Verdict.MUST_NOT


# Common practice, no source: a shoulder keeps the panel from being clamped; a countersunk head needs its cone.
@pytest.mark.parametrize(
    ("other", "proper", "word"),
    [
        (screw(shoulder=(3.0, 9.0), length=14.0), screw(), "shoulder has to pass"),
        (screw(shoulder=(3.0, 10.0), length=14.0), screw(shoulder=(3.0, 9.0), length=14.0), "10 mm thick"),
        (screw(shape="countersunk"), screw(), "does not sit"),
    ],
)
def test_what_is_doubtful_beside_the_length(other, proper, word):
    """The hole itself would take it."""
    assert judge_fit(other, HOLE).verdict is Verdict.FITS
    fit = judge_stand_in(other, proper, HOLE)
    assert fit.verdict is Verdict.DOUBTFUL
    assert word in fit.reason


def test_a_plain_screw_must_not_go_where_a_shoulder_belongs():
    """Common practice, no source: it clamps hard what the shoulder keeps loose."""
    assert judge_fit(screw(), HOLE).verdict is Verdict.FITS
    fit = judge_stand_in(screw(), screw(shoulder=(3.0, 9.0), length=14.0), HOLE)
    assert fit.verdict is Verdict.MUST_NOT
    assert "no shoulder" in fit.reason


def test_differences_that_do_not_forbid_are_named():
    """Class, head, drive, washer, threadlocker."""
    proper = screw(property_class="10.9", drive="T30", with_it=("washer",), threadlocker="medium")
    told = differences(screw(length=20.0, property_class="8.8", drive="hex 4", across=10.0), proper, HOLE)
    assert told == (
        "4 mm longer",
        "class 8.8 for 10.9", "head 10 mm for 14 mm", "another drive", "take over what is kept with X",
        "medium threadlocker",
    )  # fmt: skip
    assert differences(proper, proper, HOLE) == ()


def test_notes_of_the_file_are_shown():
    """Whoever wrote "never longer than this one" is heard, though the program cannot read it."""
    noted = Hole("1", (0.0, 0.0), "B", note="C and no other")
    told = differences(screw(length=10.0), screw(note="never longer"), noted)
    assert told == ("6 mm shorter", 'the file notes "never longer"', 'the file notes "C and no other"')


@pytest.mark.parametrize(
    ("into", "depth", "verdict"),
    [
        ("threaded insert", 9.0, Verdict.DOUBTFUL),
        ("metal thread", 16.0, Verdict.DOUBTFUL),
        ("metal thread", 17.0, Verdict.FITS),  # 20 - 3 = 17 mm past the joint, by hand
        ("clip nut", 9.0, Verdict.FITS),  # open at its end
    ],
)
def test_a_longer_one_may_bottom_out_in_a_blind_thread(into, depth, verdict):
    """Common practice, no source: it clamps nothing, or breaks the boss."""
    hole = Hole("1", (0.0, 0.0), "B", into=into, stack=3.0, depth=depth)
    assert judge_stand_in(screw(length=20.0), screw(length=12.0), hole).verdict is verdict
    with_room = replace(hole, room=17.0)  # the file says how far the tip may go: no doubt is left
    assert judge_stand_in(screw(length=20.0), screw(length=12.0), with_room).verdict is Verdict.FITS


# The rule that board and plan print: something behind, never a longer screw. Common practice, no source.
@pytest.mark.parametrize(
    ("length", "behind", "verdict"),
    [
        (20.0, "fuel tank", Verdict.DOUBTFUL),
        (20.0, "", Verdict.FITS),
        (16.2, "fuel tank", Verdict.FITS),  # nobody measures better with a calliper
        (16.21, "fuel tank", Verdict.DOUBTFUL),
        (12.0, "fuel tank", Verdict.FITS),
    ],
)
def test_longer_than_the_proper_one_is_doubtful_over_something(length, behind, verdict):
    """Even where the file's arithmetic leaves room for it."""
    hole = Hole("1", (0.0, 0.0), "B", into="metal thread", stack=3.0, depth=30.0, room=40.0, behind=behind)
    assert judge_fit(screw(length=length), hole).verdict is Verdict.FITS
    fit = judge_stand_in(screw(length=length), screw(length=16.0), hole)
    assert fit.verdict is verdict
    words = f"{length - 16:.4g} mm longer than the one that belongs here, and the fuel tank is behind it"
    assert (words in fit.reason) == (verdict is Verdict.DOUBTFUL)


def test_a_length_that_is_assumed_is_not_called_longer():
    """Nobody knows it: over the tank nobody can say, and no difference of length is told."""
    hole = replace(HOLE, room=40.0, behind="fuel tank")
    other = screw(length=30.0, length_assumed=True)
    assert judge_stand_in(other, screw(), hole).verdict is Verdict.CANNOT_SAY
    assert differences(other, screw(), HOLE) == ()
    assert differences(screw(), other, HOLE) == ()


def test_a_clip_need_not_reach_past_the_stack():
    """It has no thread that would have to hold: 15 mm in a stack of 20 mm."""
    thick = Hole("1", (0.0, 0.0), "P", into="through", stack=20.0)
    assert judge_stand_in(clip(), clip(), thick).verdict is Verdict.FITS


@pytest.mark.parametrize("unknown", ["stack", "depth"])
def test_what_the_file_does_not_say_of_the_hole_leaves_it_open(unknown):
    """Longer than the proper one, and perhaps too long: as `judge_fit` says, nobody can say."""
    hole = replace(HOLE, **{unknown: None})
    fit = judge_stand_in(screw(length=30.0), screw(), hole)
    assert fit == judge_fit(screw(length=30.0), hole)
    assert fit.verdict is Verdict.CANNOT_SAY


@pytest.mark.parametrize(
    ("across", "verdict"),
    [(8.0, Verdict.FITS), (9.0, Verdict.FITS), (9.04, Verdict.FITS), (9.06, Verdict.DOUBTFUL)],
)
def test_a_shoulder_of_the_same_thickness_passes_where_the_proper_one_does(across, verdict):
    """To a tenth of a millimetre, as shoulders are given."""
    other, proper = screw(shoulder=(3.0, across), length=14.0), screw(shoulder=(3.0, 9.0), length=14.0)
    assert judge_stand_in(other, proper, HOLE).verdict is verdict
