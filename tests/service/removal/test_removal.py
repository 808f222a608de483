"""Which panels come off, in which order, and which fasteners that frees."""

from __future__ import annotations

from dataclasses import replace

import networkx
import pytest
from bikes import bike_text, random_bike_text

from boardmaker.problems import ProblemsFound
from boardmaker.service import plan_work
from boardmaker.service.removal.units import panel_waits, remove_for

SIMPLE = """
  seat: { name: Seat, side: centre, holes: [] }
  low: { name: Low, side: left, on_bike: [500, 300], after: [seat], holes: [ { at: [0, 0], fastener: A } ] }
  high: { name: High, side: left, on_bike: [500, 800], after: [low], holes: [ { at: [0, 0], fastener: B } ] }
  other: { name: Other, side: right, on_bike: [500, 300], holes: [ { at: [0, 0], fastener: C } ] }
"""

RIDER = """
  seat: { name: Seat, side: centre, holes: [] }
  carrier: { name: Carrier, side: left, holes: [ { at: [0, 0], fastener: A } ] }
  rider: { name: Rider, side: left, rides_on: carrier, after: [seat],
           holes: [ { at: [0, 0], fastener: B }, { at: [50, 0], fastener: C, also_holds: [neighbour] },
                    { at: [90, 0], fastener: C, also_holds: [carrier] } ] }
  neighbour: { name: Neighbour, side: left, holes: [ { at: [0, 0], fastener: B } ] }
"""


def carriers(work):
    return [step.carrier.key for step in work.steps]


def freed(work):
    return [one.hole_key for one in work.freed]


def test_a_job_takes_off_what_must_come_off_before_what_it_names(bike_from):
    """`remove` names the goal; `after` brings the rest, nothing else comes off."""
    bike = bike_from(bike_text(SIMPLE, "  job: { name: Job, remove: [high] }"))
    assert carriers(plan_work(bike, ["job"])) == ["seat", "low", "high"]
    assert freed(plan_work(bike, ["job"])) == ["low/1", "high/1"]


def test_without_a_job_every_panel_comes_off(bike_from):
    """No job chosen means all panels."""
    bike = bike_from(bike_text(SIMPLE))
    assert sorted(carriers(plan_work(bike))) == ["high", "low", "other", "seat"]


def test_an_unknown_job_is_refused_with_the_nearest(bike_from):
    """The error names the job that looks alike."""
    bike = bike_from(bike_text(SIMPLE, "  air-filter: { name: Job, remove: [high] }"))
    with pytest.raises(ProblemsFound) as found:
        plan_work(bike, ["air-fliter"])
    assert 'did you mean "air-filter"?' in found.value.problems[0].hint


def test_a_screw_that_also_holds_a_panel_comes_out_first_and_counts_once(bike_from):
    """The other panel cannot come off before the screw's own panel."""
    bike = bike_from(
        bike_text(
            """
  under: { name: Under, side: left, holes: [ { at: [0, 0], fastener: B } ] }
  over: { name: Over, side: left, holes: [ { at: [0, 0], fastener: A, also_holds: [under] } ] }
""",
            "  job: { name: Job, remove: [under] }",
        )
    )
    assert freed(plan_work(bike, ["job"])) == ["over/1", "under/1"]


def test_a_rider_stays_on_its_carrier_but_for_screws_that_hold_others(bike_from):
    """Naming the rider takes the carrier off; the rider's own screws stay in."""
    bike = bike_from(bike_text(RIDER, "  job: { name: Job, remove: [rider] }"))
    work = plan_work(bike, ["job"])
    assert carriers(work) == ["seat", "carrier"]
    assert [[rider.key for rider in step.riders] for step in work.steps] == [[], ["rider"]]
    assert freed(work) == ["rider/2", "carrier/1"]


def test_what_waits_for_a_rider_waits_for_its_carrier(bike_from):
    """A screw of the rider holds the neighbour: the carrier leaves first."""
    bike = bike_from(bike_text(RIDER, "  job: { name: Job, remove: [neighbour] }"))
    assert carriers(plan_work(bike, ["job"])) == ["seat", "carrier", "neighbour"]


def test_apart_takes_a_rider_off_its_carrier(bike_from):
    """Then all of its screws come out, after the carrier is off."""
    bike = bike_from(bike_text(RIDER, "  job: { name: Job, remove: [carrier], apart: [rider] }"))
    work = plan_work(bike, ["job"])
    assert carriers(work) == ["carrier", "seat", "rider"] or carriers(work) == ["seat", "carrier", "rider"]
    assert freed(work) == ["carrier/1", "rider/1", "rider/2", "rider/3"]


def test_equipment_that_is_off_takes_its_panels_and_holes_along(bike_from):
    """References to what is not there are dropped with it."""
    bike = bike_from(
        bike_text(
            """
  speaker: { name: Speaker, side: left, with: audio, holes: [ { at: [0, 0], fastener: A } ] }
  cover: { name: Cover, side: left, after: [speaker],
           holes: [ { at: [0, 0], fastener: B }, { at: [40, 0], fastener: C, without: audio } ] }
""",
            rest="equipment: { audio: Speakers }\n",
        )
    )
    assert freed(plan_work(bike)) == ["speaker/1", "cover/1"]
    assert sorted(freed(plan_work(bike, without=["audio"]))) == ["cover/1", "cover/2"]


def test_numbers_run_from_low_to_high_on_each_panel(bike_from):
    """The highest screw carries the panel and comes out last (common practice, no source)."""
    bike = bike_from(
        bike_text(
            "  p: { name: P, side: left, on_bike: [0, 100], holes: [ { at: [0, 90], fastener: A },"
            " { at: [0, 10], fastener: B }, { at: [0, 50], fastener: C } ] }"
        )
    )
    assert [(one.hole.id, one.number) for one in plan_work(bike).freed] == [("2", 1), ("3", 2), ("1", 3)]


def test_screws_of_one_height_are_numbered_from_the_rear(bike_from):
    """A left panel's x runs rearwards on the bike, so its largest x comes first; without a place x alone decides."""
    holes = "holes: [ { at: [0, 10], fastener: A }, { at: [90, 10], fastener: B }, { at: [40, 10], fastener: C } ]"
    bike = bike_from(bike_text(f"  p: {{ name: P, side: left, on_bike: [500, 100], {holes} }}"))
    assert [one.hole.id for one in plan_work(bike).freed] == ["2", "3", "1"]
    bike = bike_from(bike_text(f"  p: {{ name: P, side: left, {holes} }}"))
    assert [one.hole.id for one in plan_work(bike).freed] == ["1", "3", "2"]


def test_screws_of_one_height_as_far_ahead_are_numbered_by_x(bike_from):
    """A row across the bike, on a panel that is seen from above."""
    holes = "holes: [ { at: [30, 10], fastener: A }, { at: [10, 10], fastener: B }, { at: [20, 5], fastener: C } ]"
    bike = bike_from(bike_text(f"  p: {{ name: P, side: centre, view: top, on_bike: [500, 100], {holes} }}"))
    assert [one.hole.id for one in plan_work(bike).freed] == ["3", "2", "1"]


@pytest.mark.parametrize(
    ("jobs", "hint"),
    [
        ("  oil: { name: Oil, remove: [high] }", "its jobs are: oil"),
        ("  oil: { name: Oil, remove: [high] }\n  air: { name: Air, remove: [low] }", "its jobs are: oil, air"),
        ("", "this bike file has no jobs; leave --job out to take all panels off"),
    ],
)
def test_an_unknown_job_that_looks_like_none_is_refused_with_all(bike_from, jobs, hint):
    """Each unknown one by itself."""
    with pytest.raises(ProblemsFound) as found:
        plan_work(bike_from(bike_text(SIMPLE, jobs)), ["suspension", "zzzz"])
    assert [(problem.message, problem.hint) for problem in found.value.problems] == [
        ('no job "suspension" in bike.yaml', hint),
        ('no job "zzzz" in bike.yaml', hint),
    ]


CARDS = """torques:
  plug: { what: Plug, torque: 9 N·m, jobs: [oil, valves] }
  axle: { what: Axle, torque: 60 N·m }
  head: { what: Head, torque: 30 N·m, jobs: [valves] }
"""


@pytest.mark.parametrize(
    ("chosen", "cards"),
    [
        ([], [("oil", "Oil", ["plug"]), ("valves", "Valves", ["plug", "head"]), ("general", "General", ["axle"])]),
        (["valves"], [("valves", "Valves", ["plug", "head"])]),
        (["valves", "oil"], [("oil", "Oil", ["plug"]), ("valves", "Valves", ["plug", "head"])]),
        (["tidy"], []),  # no row of its own: no card
    ],
)
def test_torque_cards_are_those_of_the_jobs(bike_from, chosen, cards):
    """In the order of the file; rows of no job only where no job is chosen."""
    jobs = "  oil: { name: Oil }\n  tidy: { name: Tidy, remove: [low] }\n  valves: { name: Valves }"
    work = plan_work(bike_from(bike_text(SIMPLE, jobs, CARDS)), chosen)
    assert [(card.key, card.name, [row.key for row in card.rows]) for card in work.cards] == cards


def test_the_fasteners_of_one_panel_are_told_by_number(bike_from):
    """Those of the rider apart from its carrier's, though they leave in one step."""
    work = plan_work(bike_from(bike_text(RIDER)))
    assert [(one.hole_key, one.number) for one in work.freed_of("rider")] == [("rider/2", 1)]
    assert [(one.hole_key, one.number) for one in work.freed_of("carrier")] == [("carrier/1", 1)]
    assert work.freed_of("seat") == ()


@pytest.mark.parametrize("seed", range(20))
def test_the_order_is_a_topological_order(bike_from, seed):
    """Held against networkx: every panel comes after all that it waits for."""
    bike = bike_from(random_bike_text(seed, panels=4 + seed))
    graph = networkx.DiGraph((before, key) for key, waits in panel_waits(bike).items() for before in waits)
    graph.add_nodes_from(panel.key for panel in bike.panels)
    assert networkx.is_directed_acyclic_graph(graph)
    order = carriers(plan_work(bike))
    assert sorted(order) == sorted(graph.nodes)
    assert all(order.index(before) < order.index(after) for before, after in graph.edges)


@pytest.mark.parametrize("seed", range(10))
def test_a_job_removes_just_the_ancestors_of_its_goal(bike_from, seed):
    """Held against networkx: the closure is the set of ancestors."""
    text = random_bike_text(seed, panels=15) + "jobs: { job: { name: Job, remove: [panel-14] } }\n"
    bike = bike_from(text)
    graph = networkx.DiGraph((before, key) for key, waits in panel_waits(bike).items() for before in waits)
    graph.add_node("panel-14")
    assert set(carriers(plan_work(bike, ["job"]))) == networkx.ancestors(graph, "panel-14") | {"panel-14"}


def bike_with(bike_from, **waits):
    """Panels without screws, one for each name; what they wait for and ride on is set past the file's own check."""
    names = "\n".join(f"  {name}: {{ name: {name}, side: left, holes: [] }}" for name in waits)
    bike = bike_from(bike_text(names))
    return replace(bike, panels=tuple(replace(panel, **waits[panel.key]) for panel in bike.panels))


@pytest.mark.parametrize(
    ("waits", "circle"),
    [
        ({"a": {"after": ("b",)}, "b": {"after": ("a",)}}, "a -> b -> a"),
        ({"free": {}, "a": {"after": ("b", "free")}, "b": {"after": ("a",)}}, "a -> b -> a"),
        # the way into the circle is no part of it, nor is what waits for it, nor what can come off
        (
            {"x": {"after": ("a",)}, "a": {"after": ("b", "free")}, "b": {"after": ("c",)}, "c": {"after": ("b",)},
             "free": {}},
            "b -> c -> b",
        ),
        ({"a": {"rides_on": "b"}, "b": {"rides_on": "a"}}, "a -> b -> a"),
        ({"x": {"rides_on": "a"}, "a": {"rides_on": "b"}, "b": {"rides_on": "a"}}, "a -> b -> a"),
        # a rider waits for a panel that waits for its carrier: neither unit can leave
        ({"carrier": {}, "rider": {"rides_on": "carrier", "after": ("lid",)}, "lid": {"after": ("carrier",)}},
            "carrier -> lid -> carrier"),
    ],
)  # fmt: skip
def test_panels_that_wait_for_each_other_are_refused_by_name(bike_from, waits, circle):
    """In the order of waiting, closed."""
    with pytest.raises(ProblemsFound) as found:
        remove_for(bike_with(bike_from, **waits), None)
    (problem,) = found.value.problems
    assert problem.message == f"these panels wait for each other in a circle: {circle}"
    assert problem.hint.startswith("check `after`, `also_holds` and `rides_on` of these panels")


def units(bike, wanted=None, apart=()):
    return [[panel.key for panel in unit.panels] for unit in remove_for(bike, wanted, apart)]


def test_riders_of_riders_leave_with_the_lowest_carrier(bike_from):
    """Or with the one that is taken apart; a panel may wait for its own rider without harm."""
    bike = bike_with(
        bike_from, top={"rides_on": "middle"}, middle={"rides_on": "low", "after": ("top",)}, low={"after": ("top",)}
    )
    assert units(bike) == [["low", "top", "middle"]]
    assert units(bike, ["top"]) == [["low", "top", "middle"]]
    assert units(bike, (), ["middle"]) == [["low"], ["middle", "top"]]
    assert units(bike, (), ["middle", "top"]) == [["low"], ["middle"], ["top"]]
    assert units(bike, ()) == []


def test_what_holds_and_what_waits_is_named_once(bike_from):
    """`after` and a screw that also holds it say the same of one panel."""
    panels = """
  over: { name: Over, side: left, holes: [ { at: [0, 0], fastener: A, also_holds: [under] },
          { at: [9, 0], fastener: A, also_holds: [under] } ] }
  under: { name: Under, side: left, after: [over], holes: [] }
"""
    assert panel_waits(bike_from(bike_text(panels))) == {"over": (), "under": ("over",)}
