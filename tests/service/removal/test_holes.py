"""Every hole as the mechanic finds it: its number on the board, its mark, the jobs that free its screw."""

from __future__ import annotations

from dataclasses import replace

import pytest
from bikes import bike_text

from boardmaker.service.removal.holes import holes_on_board

# The vent's first screw stays in but for the job `apart`; its second holds the lid too and comes out with the fairing.
PANELS = """
  vent: { name: Vent, side: left, tag: V, rides_on: fairing,
          holes: [ { at: [0, 50], fastener: A }, { at: [0, 10], fastener: B, also_holds: [lid] } ] }
  fairing: { name: Fairing, side: left, tag: F, holes: [ { at: [0, 20], fastener: A }, { at: [0, 5], fastener: B } ] }
  lid: { name: Lid, side: left, tag: L, holes: [ { at: [0, 0], fastener: C } ] }
  cover: { name: Cover, side: right, tag: C, with: rack, holes: [ { at: [0, 0], fastener: C } ] }
"""
JOBS = """  apart: { name: Apart, apart: [vent] }
  lid: { name: Lid off, remove: [lid] }"""


@pytest.fixture
def holes_of(bike_from):
    """Return key, number, mark and jobs of each hole."""
    bike = bike_from(bike_text(PANELS, JOBS, "equipment: { rack: Rack }\n"))

    def told(*jobs, **equipment):
        return [(one.key, one.number, one.mark, one.jobs) for one in holes_on_board(bike, jobs, **equipment)]

    return told


def test_without_a_job_the_numbers_are_those_of_the_whole_board(holes_of):
    """By panel in the file's order, then by number: from low to high; the vent's own screw has that of its job."""
    assert holes_of() == [
        ("vent/2", 1, "V 1", ("apart", "lid")),
        ("vent/1", 2, "V 2", ("apart",)),
        ("fairing/2", 1, "F 1", ("apart", "lid")),
        ("fairing/1", 2, "F 2", ("apart", "lid")),
        ("lid/1", 1, "L 1", ("lid",)),
        ("cover/1", 1, "C 1", ()),
    ]


def test_with_a_job_only_its_holes_have_numbers(holes_of):
    """Those that stay in come after them, by their key; equipment that is off has no holes."""
    assert holes_of("lid", without=["rack"]) == [
        ("vent/2", 1, "V 1", ("lid",)),
        ("vent/1", None, "vent/1", ()),
        ("fairing/2", 1, "F 1", ("lid",)),
        ("fairing/1", 2, "F 2", ("lid",)),
        ("lid/1", 1, "L 1", ("lid",)),
    ]


def test_a_panel_without_a_tag_is_named_by_its_key(bike_from):
    """There is no mark on the board to go by."""
    bike = bike_from(bike_text("  p: { name: P, side: left, holes: [ { at: [0, 0], fastener: A } ] }"))
    (hole,) = holes_on_board(replace(bike, panels=(replace(bike.panels[0], tag=""),)))
    assert (hole.number, hole.mark) == (1, "p/1")
