"""What is left of a bike file when equipment is off, and what is refused."""

from __future__ import annotations

import pytest
from bikes import bike_text

from boardmaker.problems import ProblemsFound
from boardmaker.service.removal.equipment import choose_equipment, only_present

PANELS = """
  seat: { name: Seat, side: centre, with: audio, holes: [] }
  lid: { name: Lid, side: left, after: [seat, rail], rides_on: base,
         fixings: [ { kind: hook, with: rack }, { kind: tab, without: rack }, { kind: clip } ],
         holes: [ { at: [0, 0], fastener: A, also_holds: [vent, guard] },
                  { at: [9, 0], fastener: B, with: [audio, rack] },
                  { at: [18, 0], fastener: C, with: audio, without: rack } ] }
  rail: { name: Rail, side: left, without: rack, holes: [] }
  base: { name: Base, side: left, with: audio, holes: [] }
  vent: { name: Vent, side: left, with: audio, holes: [] }
  guard: { name: Guard, side: left, without: rack, holes: [] }
"""
JOBS = "  job: { name: Job, remove: [seat, lid], apart: [seat, lid] }"
REST = """equipment: { audio: Speakers, rack: Luggage rack }
torques: { one: { what: One, torque: 9 N·m, with: audio }, two: { what: Two, torque: 9 N·m, without: audio } }
"""


@pytest.fixture
def bike(bike_from):
    return bike_from(bike_text(PANELS, JOBS, REST))


@pytest.mark.parametrize(
    ("on", "panels", "holes", "fixings", "rows"),
    [
        (("audio", "rack"), ["seat", "lid", "base", "vent"], ["1", "2"], ["hook", "clip"], ["one"]),
        (("audio",), ["seat", "lid", "rail", "base", "vent", "guard"], ["1", "3"], ["tab", "clip"], ["one"]),
        (("rack",), ["lid"], ["1"], ["hook", "clip"], ["two"]),
        ((), ["lid", "rail", "guard"], ["1"], ["tab", "clip"], ["two"]),
    ],
)
def test_only_what_is_there_is_left(bike, on, panels, holes, fixings, rows):
    """With every key of `with` on and every key of `without` off; and no reference to a panel that is gone."""
    left = only_present(bike, on)
    lid = left.panel("lid")
    assert [panel.key for panel in left.panels] == panels
    assert [hole.id for hole in lid.holes] == holes
    assert [fixing.kind for fixing in lid.fixings] == fixings
    assert [row.key for row in left.torques] == rows
    assert lid.after == tuple(key for key in ("seat", "rail") if key in panels)
    assert lid.holes[0].also_holds == tuple(key for key in ("vent", "guard") if key in panels)
    assert lid.rides_on == ("base" if "base" in panels else "")
    named = tuple(key for key in ("seat", "lid") if key in panels)
    assert (left.jobs[0].remove, left.jobs[0].apart) == (named, named)


def test_everything_is_on_but_what_is_ruled_out(bike):
    """In the order of the file, whatever the order of the options."""
    assert choose_equipment(bike) == choose_equipment(bike, with_=["rack", "audio"]) == ("audio", "rack")
    assert choose_equipment(bike, without=["audio"]) == ("rack",)
    assert choose_equipment(bike, with_=["audio"], without=["rack"]) == ("audio",)


@pytest.mark.parametrize(
    ("with_", "without", "said"),
    [
        (["rak"], [], [('no equipment "rak" in bike.yaml', 'did you mean "rack"?')]),
        ([], ["xyz"], [('no equipment "xyz" in bike.yaml', "this bike has: audio, rack")]),
        (
            ["rack"],
            ["rack"],
            [('equipment "rack" is asked for and ruled out at once', "give --with or --without, not both")],
        ),
    ],
)
def test_what_cannot_be_chosen_is_refused(bike, with_, without, said):
    """With what there is."""
    with pytest.raises(ProblemsFound) as found:
        choose_equipment(bike, with_, without)
    assert [(problem.message, problem.hint) for problem in found.value.problems] == said


def test_what_is_asked_for_both_ways_is_told_by_name(bike):
    """In an order that no run changes."""
    with pytest.raises(ProblemsFound) as found:
        choose_equipment(bike, "fedcba", "abcdef")
    both = [problem.message for problem in found.value.problems if "at once" in problem.message]
    assert both == [f'equipment "{key}" is asked for and ruled out at once' for key in "abcdef"]


def test_a_bike_without_equipment_says_so(bike_from):
    """There is nothing to choose from."""
    bike = bike_from(bike_text("  p: { name: P, side: left, holes: [] }"))
    assert choose_equipment(bike) == ()
    with pytest.raises(ProblemsFound) as found:
        choose_equipment(bike, ["audio"])
    assert [problem.hint for problem in found.value.problems] == ["this bike file lists no equipment"]
