"""What leads nowhere in a bike file, or says one thing twice."""

from __future__ import annotations

import pytest
from bikes import bike_text

from boardmaker.service import loose_ends

USED = (
    "{ at: [0, 0], fastener: A }, { at: [9, 0], fastener: B }, { at: [0, 9], fastener: C }, { at: [9, 9], fastener: P }"
)
PANEL = f"  p: {{ name: P, side: left, holes: [ {USED} ] }}"
ROW = "torques: {{ a: {{ what: Plug, torque: 20 N·m{first} }}, b: {{ what: plug, torque: 21 N·m{second} }} }}\n"


def found(bike_from, panels=PANEL, jobs="", rest=""):
    problems = loose_ends(bike_from(bike_text(panels, jobs, rest)))
    assert all(problem.severity == "warning" and problem.where and problem.hint for problem in problems)
    return [problem.message for problem in problems]


def test_a_tidy_file_has_none(bike_from):
    """Each fastener in a hole."""
    assert found(bike_from) == []


def test_a_fastener_in_no_hole(bike_from):
    """It would be on no board and in no bag."""
    panel = "  p: { name: P, side: left, holes: [ { at: [0, 0], fastener: A } ] }"
    assert found(bike_from, panel) == [f'fastener "{key}" is in no hole' for key in "BCP"]


@pytest.mark.parametrize(
    ("job", "row", "count"),
    [
        ("{ name: Oil }", "", 1),
        ("{ name: Oil, remove: [p] }", "", 0),
        ("{ name: Oil, torques: [plug] }", "torques: { plug: { what: Plug, torque: 20 N·m } }\n", 0),
        ("{ name: Oil }", "torques: { plug: { what: Plug, torque: 20 N·m, jobs: [oil] } }\n", 0),
        ("{ name: Oil, supplies: [ { what: Oil } ] }", "", 1),
    ],
)
def test_a_job_that_does_nothing(bike_from, job, row, count):
    """Takes nothing off and tightens nothing."""
    assert len(found(bike_from, jobs=f"  oil: {job}", rest=row)) == count


def test_a_panel_taken_apart_that_rides_on_nothing(bike_from):
    """`apart` takes riders off their carrier; of another panel it says nothing."""
    rider = f"{PANEL}\n  r: {{ name: R, side: left, rides_on: p, holes: [] }}"
    assert found(bike_from, rider, "  oil: { name: Oil, apart: [r] }") == []
    (said,) = found(bike_from, rider, "  oil: { name: Oil, apart: [r, p] }")
    assert said == 'job "oil" takes "p" apart, but that panel rides on nothing'


@pytest.mark.parametrize(
    ("seat", "after", "count"),
    [
        ("holes: []", "", 1),
        ("holes: []", ", after: [seat]", 0),
        ("holes: [], after: [p]", "", 0),
        ("holes: [], fixings: [ { kind: hook } ]", "", 0),
        ("holes: [], rides_on: p", "", 0),
    ],
)
def test_a_panel_that_nothing_holds_and_nobody_asks_for(bike_from, seat, after, count):
    """A latch without screws is fine if another panel waits for it, or if its fixings are given."""
    panels = f"  seat: {{ name: Seat, side: centre, {seat} }}\n  p: {{ name: P, side: left{after}, holes: [ {USED} ] }}"
    assert len(found(bike_from, panels)) == count


@pytest.mark.parametrize(
    ("first", "second", "count"),
    [
        ("at: [50, 0]", "at: [50.5, 0]", 1),
        ("at: [50, 0]", "at: [50, 0.95]", 1),
        ("at: [50, 0]", "at: [50, 1]", 0),  # from 1 mm on they are two
        ("at: [50, 0]", "at: [51, 0]", 0),
        ("at: [50, 0]", "at: [51.05, 0]", 0),
        ("at: [50, 0]", "at: [50, 1.05]", 0),
        ("at: [50, 0]", "at: [50, 30]", 0),
        ("at: [0, 0]", "at: [0, 0], with: audio", 1),
        ("at: [0, 0], with: audio", "at: [0, 0]", 1),
        ("at: [0, 0], with: audio", "at: [0, 0], without: audio", 0),
        ("at: [0, 0], without: audio", "at: [0, 0], with: audio", 0),
    ],
)
def test_two_holes_on_one_spot(bike_from, first, second, count):
    """Unless the bike never has both."""
    holes = f"[ {{ {first}, fastener: A }}, {{ {second}, fastener: A }} ]"
    panels = f"{PANEL}\n  q: {{ name: Q, side: right, holes: {holes} }}"
    messages = found(bike_from, panels, rest="equipment: { audio: Speakers }\n")
    assert len(messages) == count
    assert all("q/2 lies on q/1" in message for message in messages)


@pytest.mark.parametrize(
    ("first", "second", "count"),
    [
        ("", "", 1),
        (", where: engine", ", where: frame", 0),
        (", thread: M10", ", thread: M12", 0),
        (", thread: M10", "", 1),
        (", with: audio", ", without: audio", 0),
        (", without: audio", ", with: audio", 0),
        (", with: audio", "", 1),
    ],
)
def test_one_thing_with_two_torques(bike_from, first, second, count):
    """Same words, different numbers: one of them is wrong."""
    rest = ROW.format(first=first, second=second) + "equipment: { audio: Speakers }\n"
    assert len(found(bike_from, rest=rest)) == count


def test_one_thing_with_the_same_torque_twice_is_no_doubt(bike_from):
    """A row for each of two jobs may say the same."""
    rest = ROW.format(first="", second="").replace("21 N·m", "20 N·m")
    assert found(bike_from, rest=rest) == []


def test_many_holes_on_one_spot_are_one_problem_each(bike_from):
    """Each with each would be a multitude; the first that it lies on is named."""
    holes = ", ".join(["{ at: [5, 5], fastener: A }"] * 40)
    panel = f"{PANEL}\n  q: {{ name: Q, side: left, holes: [ {holes} ] }}"
    assert found(bike_from, panel) == [f"q/{number} lies on q/1, 0 mm away" for number in range(2, 41)]


def test_many_rows_of_one_name_are_one_problem_each(bike_from):
    """As with holes."""
    rows = "".join(f"  r{number}: {{ what: Plug, torque: {number} N·m }}\n" for number in range(10, 40))
    messages = found(bike_from, rest="torques:\n" + rows)
    assert messages == [
        f'torque rows "r10" and "r{number}" give different torques for Plug' for number in range(11, 40)
    ]
