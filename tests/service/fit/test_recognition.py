"""Which fastener of the file is the one in the hand?"""

from __future__ import annotations

from dataclasses import replace

import pytest
from bikes import bike_text
from hypothesis import given, settings
from hypothesis import strategies as st

from boardmaker.model import Bike, Fastener, Head, Shoulder
from boardmaker.service import Measured, recognise
from boardmaker.standards import parse_thread

BOUNDED = settings(max_examples=300, deadline=None, derandomize=True, database=None)
THREADS = ("M5", "M6", "M6x0.75", "M8", "ST4.2", "1/4-20")
PANEL = "  p: { name: P, side: left, holes: [ { at: [0, 0], fastener: A } ] }"


@st.composite
def screws(draw):
    length = draw(st.integers(8, 60))
    shoulder = draw(st.none() | st.integers(2, length - 4)) if length > 8 else None
    return Fastener(
        key="?",
        kind="shoulder screw" if shoulder else "screw",
        length=float(length),
        head=Head("button", float(draw(st.integers(9, 20))), float(draw(st.integers(2, 6)))),
        thread=parse_thread(draw(st.sampled_from(THREADS))),
        shoulder=Shoulder(float(shoulder), float(draw(st.integers(8, 10)))) if shoulder else None,
        drive=draw(st.sampled_from(("T30", "hex 4"))),
    )


def bike_of(fasteners):
    named = tuple(replace(fastener, key=f"K{index}") for index, fastener in enumerate(fasteners))
    return Bike("Test", "test.yaml", "", named, ())


def measure(fastener):
    shoulder = fastener.shoulder
    return Measured(
        thread=fastener.thread,
        length=fastener.length,
        shoulder=shoulder.length if shoulder else 0.0,
        shoulder_diameter=shoulder.diameter if shoulder else None,
        head=fastener.head.diameter,
        head_height=fastener.head.height,
        drive=fastener.drive,
    )


def same(one, other):
    return replace(one, key="") == replace(other, key="")


@BOUNDED
@given(st.lists(screws(), min_size=1, max_size=8), st.data())
def test_a_screw_measured_exactly_is_recognised_first(fasteners, data):
    """Whatever else is in the file; only a kind of the same sizes may stand before it."""
    bike = bike_of(fasteners)
    true = data.draw(st.sampled_from(bike.fasteners))
    first = recognise(measure(true), bike)[0]
    assert not first.differing
    assert same(first.fastener, true)


@BOUNDED
@given(st.lists(screws(), min_size=1, max_size=6), st.data())
def test_more_tolerance_never_rules_a_kind_out(fasteners, data):
    """A ruler knows less than a calliper."""
    bike = bike_of(fasteners)
    measured = measure(data.draw(st.sampled_from(bike.fasteners)))
    ruled_out = {match.fastener.key: bool(match.differing) for match in recognise(measured, bike)}
    for match in recognise(replace(measured, tolerance=1.0), bike):
        assert ruled_out[match.fastener.key] or not match.differing


def names(found):
    return [match.fastener.key for match in found if match.agreeing and not match.differing]


def test_a_bare_diameter_finds_threads_of_any_pitch(bike_from):
    """Outside diameters lie below the nominal size: M6 is 5.79 to 5.97 mm (6g)."""
    bike = bike_from(bike_text(PANEL))
    for diameter in (5.8, 5.97, 6.0):
        assert names(recognise(Measured(diameter=diameter, tolerance=0.05), bike)) == ["A", "B"]
    assert names(recognise(Measured(diameter=4.9), bike)) == ["C"]


def test_what_the_file_does_not_give_is_unknown(bike_from):
    """No agreement and no difference: an assumed length, a head of the usual size, a missing drive."""
    fasteners = "fasteners: { A: { kind: screw, thread: M6 }, B: { kind: screw, thread: M6, length: 20 } }\n"
    bike = bike_from(f"format: 1\nbike: {{ name: T }}\n{fasteners}panels:\n{PANEL}\n")
    first, second = recognise(Measured(length=20.0, head=12.0, drive="T30"), bike)
    assert (first.fastener.key, [one.what for one in first.agreeing]) == ("B", ["length"])
    assert [one.what for one in second.unknown] == ["length", "head", "drive"]
    assert not second.agreeing
    assert not second.differing


def test_a_clip_is_known_by_having_no_thread(bike_from):
    """And a screw is never taken for one."""
    bike = bike_from(bike_text(PANEL))
    assert names(recognise(Measured(threadless=True), bike)) == ["P"]
    assert names(recognise(Measured(threadless=True, head=18.0), bike)) == ["P"]
    assert names(recognise(Measured(diameter=8.0), bike)) == []


@pytest.mark.parametrize(("head", "kinds"), [(13.6, ["A", "B"]), (12.9, ["B"]), (13.8, ["A", "B"]), (12.0, [])])
def test_a_head_may_be_as_small_as_its_standard_lets_it(bike_from, head, kinds):
    """ISO 7380-2 M6: 12.9 to 13.6 mm; a head that the owner measured (14) is taken at its word, with paint and wear."""
    bike = bike_from(bike_text(PANEL))
    assert sorted(names(recognise(Measured(thread=parse_thread("M6"), head=head), bike))) == kinds


def test_without_a_shoulder_only_plain_screws_agree(bike_from):
    """`--shoulder none`."""
    bike = bike_from(bike_text(PANEL))
    assert names(recognise(Measured(shoulder=0.0), bike)) == ["B", "C", "P"]
    assert names(recognise(Measured(shoulder=11.0, shoulder_diameter=9.0), bike)) == ["A"]


def test_a_jis_cross_is_not_told_from_a_phillips_one(bike_from):
    """Who looks at a cross says PH2 (common practice, no source); T25 and T30 are told apart."""
    fasteners = "fasteners: { A: { kind: screw, thread: M5, length: 14, drive: JIS 2 } }\n"
    bike = bike_from(f"format: 1\nbike: {{ name: T }}\n{fasteners}panels:\n{PANEL}\n")
    assert names(recognise(Measured(drive="PH2"), bike)) == ["A"]
    assert names(recognise(Measured(drive="T25"), bike)) == []
