"""The plan: counted, in order, and the same backwards."""

from __future__ import annotations

from dataclasses import replace

import pytest
from bikes import bike_text, full_bike_text, noted_bike_text

from boardmaker.inputs import read_bike
from boardmaker.service import make_plan, plan_work, uncounted
from boardmaker.service.removal.plan import is_threaded


@pytest.fixture(scope="module", params=range(12))
def plan(request, tmp_path_factory):
    """The plan of a random bike with riders, fixings and notes."""
    path = tmp_path_factory.mktemp("plan") / "bike.yaml"
    path.write_text(noted_bike_text(request.param, panels=2 + 2 * request.param), encoding="utf-8")
    return make_plan(plan_work(read_bike(path)[0]))


def test_every_fastener_is_freed_once_in_the_order_of_the_work(plan):
    """The groups are the work's own list, cut in pieces; the count runs with them."""
    groups = [group for step in plan.removal for group in step.groups]
    assert [freed for group in groups for freed in group.freed] == list(plan.work.freed)
    assert len({freed.hole_key for freed in plan.work.freed}) == plan.count
    counts = [sum(len(one.freed) for one in groups[: index + 1]) for index in range(len(groups))]
    assert [group.done for group in groups] == counts


def test_refit_is_the_reverse_with_clips_after_screws(plan):
    """Steps from last to first; in each the screws backwards, then what is pushed home backwards; the count runs up."""
    assert [step.removal for step in plan.refit] == list(plan.removal[::-1])
    for step in plan.refit:
        back = [freed for group in step.groups for freed in group.freed]
        wanted = step.removal.step.freed[::-1]
        clips = [freed for freed in wanted if freed.fastener.kind == "push clip"]
        assert back == [freed for freed in wanted if freed not in clips] + clips
    done = [group.done for step in plan.refit for group in step.groups]
    assert done == sorted(done)
    assert not done or done[-1] == plan.count


def test_what_is_let_go_by_hand_goes_back_in_reverse(bike_from):
    """The latch that is opened first is locked when its hook is in; wires and hoses likewise."""
    fixings = (
        "{ kind: other, note: key }, { kind: connector, note: lamp }, { kind: grommet pin }, "
        "{ kind: hose }, { kind: hook, note: back }"
    )
    bike = bike_from(bike_text(f"  seat: {{ name: Seat, side: centre, fixings: [ {fixings} ], holes: [] }}"))
    plan = make_plan(plan_work(bike))
    assert [one.kind for one in plan.removal[0].by_hand] == ["other", "grommet pin", "hook"]
    assert [one.kind for one in plan.refit[0].by_hand] == ["hook", "grommet pin", "other"]
    assert [one.kind for one in plan.refit[0].connections] == ["hose", "connector"]


def test_a_group_is_one_kind_on_one_panel_with_numbers_that_follow(plan):
    """So that first and last pocket name them all, on the way out and back; the highest screw of several is alone.

    It carries the panel (common practice, no source); a clip carries nothing and is never marked.
    """
    for step in (*plan.removal, *plan.refit):
        for group in step.groups:
            assert len({(freed.panel.key, freed.fastener.key) for freed in group.freed}) == 1
            numbers = sorted(freed.number for freed in group.freed)
            assert numbers == list(range(numbers[0], numbers[0] + len(numbers)))
        marked = [group.freed for group in step.groups if group.last]
        whole = (step if step in plan.removal else step.removal).step.freed
        screws = [freed for freed in whole if freed.fastener.kind != "push clip"]
        assert marked == [(screw,) for screw in screws[-1:] if len(whole) > 1]


def test_every_fixing_is_let_go_or_left_alone_once(plan):
    """Nothing between a rider and its carrier is opened, but for wires and hoses."""
    for step in plan.removal:
        told = [one for part in (step.by_hand, step.connections, step.staying) for one in part]
        fixings = [fixing for panel in (step.carrier, *step.step.riders) for fixing in panel.fixings]
        assert sum(one.count for one in told) == len(fixings)
        assert all(one.panel.key == step.carrier.key for one in step.by_hand)
        assert all(one.panel.key != step.carrier.key for one in step.staying)


def test_what_is_behind_a_panel_comes_off_later(plan):
    """And nothing is behind itself."""
    order = {step.carrier.key: step.number for step in plan.removal}
    for step in plan.removal:
        assert all(order[panel.key] > step.number for panel in step.behind)


ROWS = """
torques:
  plug: { what: Sump plug, torque: 30 N·m, tool: hexagon 17, renew: sealing washer, jobs: [oil] }
  plugs: { what: Spark plugs, torque: 12 N·m, tool: T8, count: 4, renew: true, jobs: [oil, valves] }
  other: { what: Axle, torque: 60 N·m, tool: hexagon 27 }
"""
PANEL = "  p: { name: Cover, side: left, holes: [ { at: [0, 0], fastener: A }, { at: [9, 9], fastener: C } ] }"
JOBS = "  oil: { name: Oil, remove: [p] }\n  valves: { name: Valves }"


def test_tools_of_the_job_and_no_others(bike_from):
    """By name, then by size as a number: T8 before T25 before T30."""
    bike = bike_from(bike_text(PANEL, JOBS, ROWS))
    assert make_plan(plan_work(bike, ["oil"])).tools == ("hexagon 17", "T8", "T25", "T30")
    assert make_plan(plan_work(bike, ["valves"])).tools == ("T8",)


def test_what_is_renewed_and_how_often(bike_from):
    """A row that is renewed itself as often as it counts, what else it names once."""
    plan = make_plan(plan_work(bike_from(bike_text(PANEL, JOBS, ROWS)), ["oil"]))
    assert [(one.part.key, one.count) for one in plan.renewals] == [("plug", 1), ("plugs", 4)]


def test_rows_of_no_job_are_only_looked_up(bike_from):
    """Shown, but neither their tools nor their parts are asked for."""
    plan = make_plan(plan_work(bike_from(bike_text(PANEL, JOBS, ROWS.replace("60 N·m, ", "60 N·m, renew: true, ")))))
    assert [row.key for row in plan.services[-1].rows] == ["other"]
    assert [row.key for row in plan.rows] == ["plug", "plugs"]
    assert "hexagon 27" not in plan.tools
    assert [one.part.key for one in plan.renewals] == ["plug", "plugs"]


def test_a_torque_row_of_two_jobs_is_done_once(bike_from):
    """Under the first of them."""
    plan = make_plan(plan_work(bike_from(bike_text(PANEL, JOBS, ROWS))))
    assert [(one.job.key if one.job else "", [row.key for row in one.rows]) for one in plan.services] == [
        ("oil", ["plug", "plugs"]),
        ("valves", []),
        ("", ["other"]),
    ]


def test_a_rider_taken_apart_says_what_it_rode_on(bike_from):
    """It comes off after its carrier and goes back before it."""
    panels = """
  carrier: { name: Carrier, side: left, holes: [ { at: [0, 0], fastener: A } ] }
  rider: { name: Rider, side: left, rides_on: carrier, holes: [ { at: [0, 0], fastener: B } ] }
"""
    bike = bike_from(bike_text(panels, "  job: { name: Job, remove: [carrier], apart: [rider] }"))
    plan = make_plan(plan_work(bike, ["job"]))
    assert [(step.carrier.key, step.rode_on and step.rode_on.key) for step in plan.removal] == [
        ("carrier", None),
        ("rider", "carrier"),
    ]
    assert make_plan(plan_work(bike)).removal[0].step.riders[0].key == "rider"


def test_no_panels_is_no_plan_but_no_fault(bike_from):
    """A job that only names torques."""
    plan = make_plan(plan_work(bike_from(bike_text(PANEL, JOBS, ROWS)), ["valves"]))
    assert (plan.removal, plan.refit, plan.count) == ((), (), 0)


def test_only_a_screw_is_the_one_that_carries_the_panel(bike_from):
    """The highest is a clip or a quarter turn: the screw below it is marked, the numbers stay.

    Common practice, no source.
    """
    turn = "  K: { kind: quarter turn, hole: 10, length: 20 }\npanels:"
    for clip, kind in (("P", "push clip"), ("K", "quarter turn")):
        holes = f"{{ at: [0, 0], fastener: A }}, {{ at: [0, 10], fastener: A }}, {{ at: [0, 20], fastener: {clip} }}"
        text = bike_text(f"  lid: {{ name: Lid, side: left, holes: [ {holes} ] }}").replace("panels:", turn, 1)
        plan = make_plan(plan_work(bike_from(text)))
        assert groups_of(plan.removal[0]) == [("A", [1], 1, False), ("A", [2], 2, True), (clip, [3], 3, False)]
        assert groups_of(plan.refit[0]) == [("A", [2], 1, True), ("A", [1], 2, False), (clip, [3], 3, False)]
        assert [freed.number for freed in plan.work.freed] == [1, 2, 3]
        assert (plan.refit[0].screws, plan.refit[0].clips) == (2, (kind,))


def test_the_screw_of_a_rider_does_not_carry_the_panel(bike_from):
    """One screw a step is held, the last that comes out; where the panel itself has clips alone, a rider's."""
    panels = """
  lid: {{ name: Lid, side: left, holes: [ {{ at: [0, 0], fastener: {0} }} ] }}
  flap:
    name: Flap
    side: left
    rides_on: lid
    holes:
      - {{ at: [0, 0], fastener: A, also_holds: [tail] }}
      - {{ at: [0, 50], fastener: A, also_holds: [tail] }}
  tail: {{ name: Tail, side: left, holes: [ {{ at: [0, 0], fastener: A }} ] }}
"""
    for kind, marked in (("B", ("B", [1])), ("P", ("A", [2]))):
        step = make_plan(plan_work(bike_from(bike_text(panels.format(kind))))).removal[0]
        assert [found[:2] for found in groups_of(step) if found[3]] == [marked]


SHARED = """
  pan:
    name: Pan
    side: left
    holes:
      - { at: [0, 0], fastener: A, also_holds: [fairing] }
      - { at: [9, 20], fastener: A, also_holds: [fairing, vent] }
      - { at: [9, 40], fastener: A }
  fairing: { name: Fairing, side: left, holes: [ { at: [0, 0], fastener: A } ] }
  vent: { name: Vent, side: left, rides_on: pan, holes: [ { at: [0, 0], fastener: A } ] }
"""


def told(groups):
    return [
        ([freed.number for freed in one.freed], [panel.key for panel in one.panels])
        for group in groups
        for one in group.shared
    ]


def test_a_screw_of_several_panels_names_those_that_stay_on(bike_from):
    """Whether they come off later or not at all; not what leaves with it. On the way back all of them."""
    for job in ("all", "pan"):
        jobs = "  all: { name: All, remove: [fairing] }\n  pan: { name: Pan, remove: [pan] }"
        plan = make_plan(plan_work(bike_from(bike_text(SHARED, jobs)), [job]))
        assert told(plan.removal[0].groups) == [([1, 2], ["fairing"])]
        assert told(plan.refit[-1].groups) == [([2], ["fairing", "vent"]), ([1], ["fairing"])]


def test_what_stays_on_the_bike_is_recounted_from_the_steps(plan):
    """Every pocket with every panel that it holds and that leaves neither with it nor before."""
    off = set()
    for step in plan.removal:
        off |= {panel.key for panel in (step.carrier, *step.step.riders)}
        wanted = {(freed.hole_key, key) for freed in step.step.freed for key in freed.hole.also_holds if key not in off}
        named = {
            (freed.hole_key, panel.key)
            for group in step.groups
            for one in group.shared
            for freed in one.freed
            for panel in one.panels
        }
        assert named == wanted


def by_hand(found):
    return [(one.panel.key, one.kind, one.note, one.count) for one in found]


def groups_of(step):
    return [(one.fastener.key, [freed.number for freed in one.freed], one.done, one.last) for one in step.groups]


def test_every_part_of_a_removal_step_by_hand(bike_from):
    """The side cover with its vent: the vent's lamp is unplugged, its clips and its screws stay as they are."""
    tank, side, guard = make_plan(plan_work(bike_from(full_bike_text()))).removal
    assert [(one.number, one.carrier.key, one.walk) for one in (tank, side, guard)] == [
        (1, "tank", True),
        (2, "side", True),
        (3, "guard", True),
    ]
    assert by_hand(tank.by_hand) == [("tank", "hook", "", 1)]
    assert by_hand(tank.connections) == [("tank", "connector", "fuel gauge", 1), ("tank", "hose", "breather", 1)]
    assert by_hand(tank.staying) == []
    assert by_hand(side.by_hand) == [("side", "tab", "towards you", 1)]
    assert by_hand(side.connections) == [("vent", "connector", "lamp in the vent", 1)]
    assert by_hand(side.staying) == [("vent", "clip", "four of them", 1)]
    assert [[panel.key for panel in one.behind] for one in (tank, side, guard)] == [["side"], [], []]
    assert [[job.key for job in one.opens] for one in (tank, side, guard)] == [[], ["valves", "oil"], []]
    assert groups_of(tank) == [
        ("A", [1], 1, False),
        ("B", [2], 2, False),
        ("P", [3], 3, False),
        ("N", [4], 4, False),
        ("N", [5], 5, True),
    ]
    assert groups_of(side) == [("A", [1], 6, False), ("N", [2], 7, False), ("B", [3], 8, True)]
    assert groups_of(guard) == [("B", [1], 9, False)]


def test_every_part_of_a_refit_step_by_hand(bike_from):
    """For the job that takes the vent apart: it goes on first, on the side where one stands already."""
    plan = make_plan(plan_work(bike_from(full_bike_text()), ["valves"], without=["bars"]))
    assert [(one.carrier.key, one.walk, [job.key for job in one.opens]) for one in plan.removal] == [
        ("tank", True, []),
        ("side", True, ["valves"]),
        ("vent", False, ["valves"]),
    ]
    vent, side, tank = plan.refit
    assert [(one.walk, one.screws, one.clips) for one in plan.refit] == [
        (True, 2, ()),
        (False, 3, ()),
        (True, 4, ("push clip",)),
    ]
    assert groups_of(vent) == [("C", [2], 1, True), ("C", [1], 2, False)]
    assert groups_of(side) == [("B", [3], 3, True), ("N", [2], 4, False), ("A", [1], 5, False)]
    assert groups_of(tank)[-2:] == [("A", [1], 9, False), ("P", [3], 10, False)]
    assert told(tank.groups) == [([5], ["side"]), ([4], ["side"])]


def test_lists_of_a_plan_by_hand(bike_from):
    """What comes out, what is needed, what is renewed: `if loose` is a condition, a gasket and a washer are parts."""
    plan = make_plan(plan_work(bike_from(full_bike_text())))
    assert [(one.job.key if one.job else "", [row.key for row in one.rows]) for one in plan.services] == [
        ("valves", ["head", "cover"]),
        ("oil", ["plug"]),
        ("", ["axle"]),
    ]
    assert [row.key for row in plan.rows] == ["head", "cover", "plug"]
    assert [(one.key, count) for one, count in plan.fasteners] == [("A", 2), ("B", 3), ("P", 1), ("N", 3)]
    assert plan.tools == ("hex 4", "hexagon 17", "T30")
    assert [(one.part.key, one.count, one.is_conditional) for one in plan.renewals] == [
        ("P", 1, True),
        ("N", 3, False),
        ("head", 6, False),
        ("cover", 1, False),
        ("plug", 1, False),
    ]


def test_fixings_that_are_alike_are_counted_together(bike_from):
    """Down to their note."""
    fixings = "{ kind: tab }, { kind: hose }, { kind: tab, note: left }, { kind: tab }, { kind: hose }"
    bike = bike_from(bike_text(f"  p: {{ name: P, side: left, fixings: [ {fixings} ], holes: [] }}"))
    (step,) = make_plan(plan_work(bike)).removal
    assert by_hand(step.by_hand) == [("p", "tab", "", 2), ("p", "tab", "left", 1)]
    assert by_hand(step.connections) == [("p", "hose", "", 2)]


def test_kinds_of_clips_are_told_once(bike_from):
    """In the order in which they go in; they are no screws."""
    holes = ", ".join(f"{{ at: [0, {10 * place}], fastener: {key} }}" for place, key in enumerate("PPRPA"))
    rivet = "  R: { kind: screw rivet, hole: 6, length: 12 }\npanels:"
    text = bike_text(f"  p: {{ name: P, side: left, holes: [ {holes} ] }}").replace("panels:", rivet, 1)
    (step,) = make_plan(plan_work(bike_from(text))).refit
    assert (step.screws, step.clips) == (1, ("push clip", "screw rivet"))
    assert groups_of(step) == [("A", [5], 1, True), ("P", [4], 2, False), ("R", [3], 3, False), ("P", [2, 1], 5, False)]


@pytest.mark.parametrize(
    ("kind", "threaded"),
    [
        ("screw", True),
        ("shoulder screw", True),
        ("tapping screw", True),
        ("bolt", True),
        ("nut", True),
        ("push clip", False),
        ("screw rivet", False),
        ("quarter turn", False),
    ],
)
def test_what_is_screwed_in_can_carry_a_panel(bike_from, kind, threaded):
    """Common practice, no source: a clip, a rivet or a quarter turn carries nothing."""
    assert is_threaded(replace(bike_from(bike_text(PANEL)).fasteners[0], kind=kind)) is threaded


def test_what_a_rider_waits_for_on_its_own_carrier_is_not_behind_it(bike_from):
    """They leave the bike together; the lamp waits for both and is told once."""
    panels = """
  lid: { name: Lid, side: left, holes: [] }
  flap: { name: Flap, side: left, rides_on: lid, after: [lid], holes: [] }
  lamp: { name: Lamp, side: left, after: [lid, flap], holes: [] }
"""
    steps = make_plan(plan_work(bike_from(bike_text(panels)))).removal
    assert [(one.carrier.key, [panel.key for panel in one.behind]) for one in steps] == [
        ("lid", ["lamp"]),
        ("lamp", []),
    ]


def test_a_space_before_the_size_changes_no_order(bike_from):
    """As the file writes them: T 8 before T25."""
    rows = "torques: { a: { what: A, torque: 9 N·m, tool: T25, jobs: [job] }, "
    rows += "b: { what: B, torque: 9 N·m, tool: T 8, jobs: [job] } }\n"
    panel, job = "  p: { name: P, side: left, holes: [] }", "  job: { name: Job }"
    plan = make_plan(plan_work(bike_from(bike_text(panel, job, rows))))
    assert plan.tools == ("T 8", "T25")


def test_why_a_board_has_fewer_pockets_than_the_file_fasteners(bike_from):
    """A rider's screws stay in while it is on its carrier; equipment of another bike."""
    text = bike_text(
        "  a: { name: Wing, side: left, holes: [{ at: [0, 0], fastener: A }, { at: [9, 9], fastener: A, without: x}]}\n"
        "  b: { name: Vent, side: left, rides_on: a, holes: [ { at: [0, 0], fastener: A } ] }",
        rest="equipment: { x: Extra }\n",
    )
    bike = bike_from(text)
    assert [*uncounted(plan_work(bike), bike)] == [
        "1 fastener stays in and has no pocket: Vent leaves the bike on Wing (`rides_on`)",
        "1 fastener is not counted: only with other equipment",
    ]
