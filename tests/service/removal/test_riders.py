"""Riders that stay on their carrier without a job: whoever makes boards for everything is told what they lack."""

from __future__ import annotations

import pytest
from bikes import bike_text

from boardmaker.service import plan_work, staying_riders

PANELS = """
  fairing: { name: Left fairing, side: left, tag: FL, holes: [ { at: [0, 0], fastener: A } ] }
  vent: { name: Left vent, side: left, tag: VL, rides_on: fairing,
          holes: [ { at: [0, 0], fastener: B }, { at: [50, 0], fastener: B } ] }
"""
VALVES = "  valves: { name: Valves, remove: [fairing], apart: [vent] }"
SAID = (
    'VL Left vent stays on Left fairing here; job "valves" takes it off: its 2 screws have pockets only on boards made '
    "with --job valves"
)


def said(bike, jobs=()):
    return [problem.message for problem in staying_riders(plan_work(bike, jobs))]


def test_a_rider_that_a_job_takes_off_is_told_without_a_job(bike_from):
    """With its place in the file; with a job chosen the user has said what comes off."""
    bike = bike_from(bike_text(PANELS, VALVES))
    assert said(bike) == [SAID]
    assert next(staying_riders(plan_work(bike))).where
    assert said(bike, ["valves"]) == []


def test_who_chose_another_job_is_told_nothing(bike_from):
    """Its fairing comes off with the vent on it, as was asked for."""
    bike = bike_from(bike_text(PANELS, VALVES + "\n  wheel: { name: Wheel, remove: [fairing] }"))
    assert said(bike) == [SAID]
    assert said(bike, ["wheel"]) == []


def test_a_rider_whose_screws_all_come_out_lacks_nothing(bike_from):
    """Each of them also holds a panel outside."""
    panels = PANELS.replace("fastener: B", "fastener: B, also_holds: [other]")
    assert said(bike_from(bike_text(panels + "  other: { name: Other, side: left, holes: [] }\n", VALVES))) == []


@pytest.mark.parametrize(("second", "what"), [("B", "2 screws"), ("P", "2 fasteners")])
def test_a_clip_among_them_is_no_screw(bike_from, second, what):
    """One screw and one clip are two fasteners."""
    panels = PANELS.replace("at: [50, 0], fastener: B", f"at: [50, 0], fastener: {second}")
    (message,) = said(bike_from(bike_text(panels, VALVES)))
    assert f"its {what} have pockets" in message


def test_a_rider_that_no_job_takes_off_is_no_news(bike_from):
    """Its screws never come out."""
    assert said(bike_from(bike_text(PANELS, "  valves: { name: Valves, remove: [fairing] }"))) == []


@pytest.mark.parametrize(
    ("more", "jobs", "words"),
    [
        ("", "\n  coolant: { name: Coolant, apart: [vent] }", 'jobs "valves" and "coolant" take it off'),
        (", also_holds: [other]", "", "its screw has a pocket only on boards made with --job valves"),
    ],
)
def test_what_stays_is_counted(bike_from, more, jobs, words):
    """Several jobs are all named; a screw that also holds a panel outside comes out and is not counted."""
    panels = PANELS.replace("at: [50, 0], fastener: B", f"at: [50, 0], fastener: B{more}")
    other = "  other: { name: Other, side: left, holes: [] }\n"
    (message,) = said(bike_from(bike_text(panels + other, VALVES + jobs)))
    assert words in message
