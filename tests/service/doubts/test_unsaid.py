"""What a stranger would miss in a bike file."""

from __future__ import annotations

import pytest
from bikes import bike_text

from boardmaker.service import unsaid

FULL = """format: 1
bike: { name: Full, years: 2030, source: 'measured with a calliper on one bike, torques of the manual', checked: true,
        cautions: [ Let it cool. ] }
fasteners:
  A: { kind: screw, thread: M6, length: 16, head: { shape: pan, diameter: 12, height: 4 }, torque: 5 N·m, drive: T30,
       class: '8.8' }
panels:
  lid:
    name: Lid
    side: left
    on_bike: [500, 500]
    outline: [[0, 0], [100, 0], [100, 90], [0, 90]]
    holes: [ { at: [9, 9], fastener: A, into: threaded insert, stack: 3, depth: 14, behind: tank, room: 30 } ]
  lid-right: { mirrors: lid, side: right }
jobs:
  oil: { name: Oil, every: once a year, remove: [lid], supplies: [ { what: Oil } ] }
torques:
  plug: { what: Plug, torque: 20 N·m, thread: M12x1.5, tool: hexagon 17, jobs: [oil] }
"""


def missing(bike):
    return {(gap.group, gap.name): gap.missing for gap in unsaid(bike)}


def test_a_file_that_says_everything_misses_nothing(bike_from):
    """The one above."""
    assert unsaid(bike_from(FULL)) == ()


@pytest.mark.parametrize(
    ("there", "instead", "group", "name", "word"),
    [
        (", years: 2030", "", "bike", "bike", "years"),
        ("measured with a calliper on one bike, torques of the manual", "mine", "bike", "bike", "source"),
        ("checked: true", "checked: false", "bike", "bike", "checked"),
        (", torque: 5 N·m", "", "fasteners", "A", "torque"),
        (", drive: T30", "", "fasteners", "A", "drive"),
        ("class: '8.8'", "", "fasteners", "A", "class"),
        (", length: 16", "", "fasteners", "A", "length"),
        (", height: 4", "", "fasteners", "A", "height"),
        ("    on_bike: [500, 500]\n", "", "panels", "lid", "on_bike"),
        ("    outline: [[0, 0], [100, 0], [100, 90], [0, 90]]\n", "", "panels", "lid", "outline"),
        (", room: 30", "", "holes", "lid", "room"),
        (", stack: 3", "", "holes", "lid", "stack"),
        (", depth: 14", "", "holes", "lid", "depth"),
        (", depth: 14, behind: tank, room: 30", "", "holes", "lid", "behind"),
        (", supplies: [ { what: Oil } ]", "", "jobs", "oil", "supplies"),
        (", every: once a year", "", "jobs", "oil", "every"),
        (", tool: hexagon 17", "", "torques", "plug", "tool"),
        (", thread: M12x1.5", "", "torques", "plug", "thread"),
    ],
)
def test_each_thing_that_is_left_out_is_missed(bike_from, there, instead, group, name, word):
    """One at a time; what stands at the original is not said again of its mirror image."""
    assert there in FULL
    found = missing(bike_from(FULL.replace(there, instead)))
    assert any(word in said for said in found[group, name])
    assert {key for key in found if key[0] == group} <= {(group, name), ("panels", "lid-right")}


def test_holes_that_lack_the_same_are_said_together(bike_from):
    """By their ids; all of them as a number."""
    holes = "{ at: [0, 0], fastener: A, into: through }, { at: [9, 0], fastener: A }, { at: [0, 9], fastener: A }"
    found = missing(bike_from(bike_text(f"  p: {{ name: P, side: left, holes: [ {holes} ] }}")))
    assert found["holes", "p"] == ("`into` at holes 2, 3", "`stack` at hole 1", "`behind` or `room` at all 3 holes")


def test_every_gap_but_the_bikes_has_its_place(bike_from):
    """Where to write it."""
    gaps = unsaid(bike_from(FULL.replace(", torque: 5 N·m", "").replace(", tool: hexagon 17", "")))
    assert [(gap.name, gap.where.line) for gap in gaps] == [("A", 5), ("plug", 18)]
