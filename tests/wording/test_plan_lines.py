"""What a plan says and when, before it has any form."""

from __future__ import annotations

import pytest
from bikes import bike_text, full_bike_text

from boardmaker.service import make_plan, plan_work
from boardmaker.wording import cautions
from boardmaker.wording.cautions import COVER_OUT, INTAKES_COVERED
from boardmaker.wording.plan.line import Line, begun_by, bunches
from boardmaker.wording.plan.stream import plan_lines
from boardmaker.wording.steps import BACK_IN_GUIDE, given_name


@pytest.fixture
def lines_of(bike_from):
    """Return a function that gives the lines of the small bike's plan."""
    bike = bike_from(full_bike_text())
    return lambda jobs=(), without=(): plan_lines(make_plan(plan_work(bike, jobs, without=without)), given_name)


def step(lines, name):
    """The lines of one step, after its own."""
    (found,) = (run for run in begun_by(lines, "step", "side") if run[0].cells[-1] == name)
    return [line.text for line in found[1:]]


@pytest.mark.parametrize(
    ("without", "said"),
    [
        ((), ["With: Crash bars, Luggage rack."]),
        (("bars",), ["With: Luggage rack.", "Without: Crash bars."]),
        (("bars", "rack"), ["Without: Crash bars, Luggage rack."]),
    ],
)
def test_equipment_is_named_whether_it_is_on_or_not(lines_of, without, said):
    """Whoever finds on the bike what the plan is without has the wrong plan."""
    facts = [line.text for line in lines_of((), without).ready if line.kind == "fact"]
    assert [fact for fact in facts if fact.startswith("With")] == said


def test_what_stays_on_a_panel_is_said_before_its_first_screw(lines_of):
    """Afterwards is too late; what the panel was in the way of is true only when it is off."""
    said = step(lines_of().removal, "Side cover")
    assert said[:3] == ["stays on it: Vent", "leave done up on Vent: clip, four of them", "two hands"]
    assert said[-3:] == ["Vent: connector, lamp in the vent", "tab, towards you", "off for: Valves, Oil change"]
    assert step(lines_of().removal, "Tank cover")[-1] == "frees: Side cover"


def test_plugs_and_hoses_are_off_before_the_last_that_holds_the_panel(lines_of):
    """Or it hangs by its wire; loud, with what there is to part, each kind once (common practice, no source)."""
    removal = lines_of().removal
    for name, ties, ticks in (
        ("Side cover", "connector", ["Vent: connector"]),
        ("Tank cover", "connector and hose", []),
    ):
        said = step(removal, name)
        (held,) = (
            at for at, text in enumerate(said) if text.startswith(f"hold it close to the bike: {ties} off before")
        )
        last = said[held].removeprefix(f"hold it close to the bike: {ties} off before the ").removesuffix(" lets go")
        rest = [text for text in said[held + 1 :] if not text.startswith(("off for", "frees"))]
        assert rest[-1].split(",")[0] == last.removeprefix("last ")
        assert all("connector" in text or "hose" in text for text in rest[:-1])
        assert [text.split(",")[0] for text in rest[: len(ticks)]] == ticks
    found = [line for line in removal if line.text.startswith("hold it close")]
    assert {line.weight for line in found} == {"loud"}
    assert not [text for text in step(removal, "Guard") if text.startswith("hold it close")]


def test_the_way_back_says_the_same_at_the_same_place(lines_of):
    """What comes back with it, connectors, what goes by hand, then the screws; its note is for the way out."""
    said = step(lines_of().refit, "Side cover")
    assert said[0] == "comes back with it: Vent"
    assert said[1].startswith("Vent: connector: plug in")
    assert said[3] == "Line it up and start all 3 screws; hand-tight until Tank cover is on (shared screws)."


def test_a_rider_that_is_taken_apart_says_where_it_is(lines_of):
    """Loud, first thing."""
    lines = lines_of(["valves"])
    assert step(lines.removal, "Vent")[0] == "it is still on Side cover, which is off"
    assert step(lines.refit, "Vent")[0] == "it goes on Side cover, before that goes on the bike"


def test_what_lies_behind_a_thread_stands_at_its_screw_both_ways(lines_of):
    """The last of what is loud there, with what must not go back in; that also stands in front of everything."""
    lines = lines_of()
    for way in (lines.removal, lines.refit):
        (own,) = (bunch for bunch in bunches(way) if "pocket 1 A" in bunch[0].text and "fuel tank" in bunch[-1].text)
        assert [line.weight for line in own[1:]] == ["loud", "loud"]
        assert own[1].text == "▲ 1 A: fuel tank behind, never a longer screw"
        assert own[2].text.startswith("✖ 1 A: must not go back in: the tip reaches 10 mm")
    cautions = [line for line in lines.ready if line.kind == "caution"]
    assert cautions[0].text.startswith("✖ Tank cover 1: screw A must not go back in")
    assert [line.weight for line in cautions[:3]] == ["loud", "loud", "plain"]
    assert cautions[-1].weight == "quiet"


def test_notes_of_screws_and_holes_are_louder_than_routine(lines_of):
    """A mark, bold, a line each: both ways, and where the kinds are listed. Washers and collars are routine."""
    lines = lines_of()
    said = [(line.text, line.weight) for line in lines if line.kind == "note"]
    assert said.count(("! 3 P: push the pin in", "loud")) == 2
    assert said.count(("! the long ones", "loud")) == 1
    assert {weight for text, weight in said if text == "with washer, collar"} == {"plain"}
    assert sum(text == "with washer, collar" for text, _ in said) == 1 + 2 * 3
    assert {weight for text, weight in said if text == "medium threadlocker"} == {"loud"}
    marked = {text for text, _ in said if text.startswith("! ")}
    assert marked == {"! 3 P: push the pin in", "! the long ones"}


def test_how_torques_are_meant_is_said_once_before_the_first(lines_of):
    """Not after the work."""
    service = lines_of().service
    torques = next(run for run in begun_by(service, "heading") if run[0].text.startswith("Torques"))
    assert [line.kind for line in torques[:4]] == ["heading", "how", "how", "staged"]
    assert sum("Clean, dry threads" in line.text for line in service) == 1
    assert sum("in the order of its row: take this sheet along" in line.text for line in service) == 1


def test_what_is_renewed_is_in_before_anything_over_it_is_tight(bike_from):
    """Rings of the plugs before the cover's torque, gaskets too: a list that is ticked from the top (common practice,
    no source).
    """
    jobs = "  job: { name: Valves, supplies: [ { what: Plug hole ring, count: 2 } ] }"
    rest = "torques: { cover: { what: Valve cover, torque: 9 N·m, renew: gasket, jobs: [job] } }\n"
    plan = make_plan(plan_work(bike_from(bike_text("  p: { name: P, side: left, holes: [] }", jobs, rest)), ["job"]))
    said = [line.text for line in plan_lines(plan, given_name).service]
    places = [
        said.index(text) for text in ("gasket (Valve cover)", "2 × Plug hole ring", "Valve cover, new gasket on, 9 N·m")
    ]
    assert places == sorted(places)
    assert said.index("Valves: done as the maker's manual has it") > places[-1]


@pytest.mark.parametrize(
    ("panel", "back"),
    [
        ("note: lay a cloth over the intake", ["no cloth left under it: look in"]),
        ("note: lay it on a blanket", []),
        (
            "note: two dowels - keep them",
            ["dowels in their places: look first"],
        ),
        ("fixings: [ { kind: hose, note: a Rag under it } ]", ["no rag left under it: look in"]),
        ("fixings: [ { kind: hose, note: a rag } ], note: cloth first", ["no cloth left under it: look in"]),
    ],
)
def test_what_was_laid_in_comes_out_before_the_panel_closes(bike_from, panel, back):
    """Loud, above what goes on: at the last look the lid is shut (common practice, no source)."""
    text = bike_text(f"  p: {{ name: Lid, side: left, {panel}, holes: [ {{ at: [0, 0], fastener: A }} ] }}")
    found = begun_by(plan_lines(make_plan(plan_work(bike_from(text))), given_name).refit, "step")[-1]
    assert [line.text for line in found if line.text.split()[0] in ("no", "dowels")] == back
    assert not back or (found[1].text, found[1].weight) == (back[0], "loud")


@pytest.mark.parametrize(
    ("name", "note", "back"),
    [
        ("Seat", "lift the rear edge", "put back as it came off, lock it if it locks; pull to test"),
        ("Top case", "key in the lock", "put back as it came off, lock it if it locks; pull to test"),
        ("Tank", "swing it up, prop under it", "the other way round"),
    ],
)
def test_only_what_locks_is_locked(bike_from, name, note, back):
    """A tank on its prop is not pulled to test it."""
    text = bike_text(
        f"  p: {{ name: {name}, side: centre, holes: [], fixings: [ {{ kind: other, note: '{note}' }} ] }}"
    )
    said = [line.text for line in plan_lines(make_plan(plan_work(bike_from(text))), given_name).refit]
    assert said[-1] == f"by hand: {back} (removal: {note})"


def test_an_order_of_a_row_goes_before_the_usual_one(bike_from):
    """Crosswise in the row and from the middle outwards at the lid: whoever reads both has to know which."""
    panel = "  p: { name: Lid, side: left, holes: [ { at: [0, 0], fastener: A } ] }"
    for more, told in ((", order: crosswise", True), ("", False)):
        rest = f"torques: {{ lid: {{ what: Lid screws, torque: 3 N·m{more}, jobs: [job] }} }}\n"
        plan = make_plan(plan_work(bike_from(bike_text(panel, "  job: { name: J, remove: [p] }", rest))))
        refit = plan_lines(plan, given_name).refit
        assert refit[1].text.endswith("that order goes first.") == told


def plan_from(bike_from, panels, jobs="", rest="", kinds=""):
    """The lines of a plan for the job `job` where there is one, else for everything; `kinds` are further fasteners."""
    text = bike_text(panels, jobs, rest).replace("panels:", f"{kinds}panels:", 1)
    return plan_lines(make_plan(plan_work(bike_from(text), ["job"] if jobs else [])), given_name)


def holes_of(*holes):
    return f"holes: [ {', '.join(f'{{ at: {at}, fastener: {more} }}' for at, more in holes)} ]"


def test_a_panel_stays_loose_until_those_that_share_its_screws_are_on(bike_from):
    """`All tight` first and `line up all holes` later cannot both be done (common practice, no source)."""
    inner = f"  inner: {{ name: Inner, side: left, {holes_of(('[0, 0]', 'A'), ('[9, 9]', 'A'), ('[0, 9]', 'A'))} }}\n"
    lone = f"  lone: {{ name: Lone, side: left, {holes_of(('[0, 0]', 'B'))} }}\n"
    outer = holes_of(("[0, 0]", "A, also_holds: [inner, lone]"), ("[0, 9]", "A"))
    panels = f"{inner}{lone}  outer: {{ name: Outer, side: left, {outer} }}"
    refit = plan_from(bike_from, panels).refit
    assert "Line it up and start all 3 screws; hand-tight until Outer is on (shared screws)." in step(refit, "Inner")
    assert "Line it up and start the screw; hand-tight until Outer is on (shared screws)." in step(refit, "Lone")
    for name in ("Inner", "Lone"):
        assert not [text for text in step(refit, name) if "tight," in text]
    on = " and ".join(line.cells[-1] for line in refit if line.kind == "step" and line.cells[-1] != "Outer")
    assert step(refit, "Outer")[-2:] == [
        "both screws tight, to the torque beside each",
        f"now all 4 screws of {on} tight, evenly in two rounds: B as the manual has it; A 5 N·m",
    ]
    strip = holes_of(("[0, 0]", "A, also_holds: [inner]"), ("[0, 9]", "A"))
    clamped = f"{inner}{lone}  strip: {{ name: Strip, side: left, {strip} }}\n{panels.removeprefix(inner + lone)}"
    refit = plan_from(bike_from, clamped).refit
    order = [line.cells[-1] for line in refit if line.kind == "step"]
    first, last = sorted(("Strip", "Outer"), key=order.index)
    assert f"Line it up and start both screws; hand-tight until {last} is on (shared screws)." in step(refit, first)
    clips = plan_from(bike_from, panels.replace("A, also_holds", "P, also_holds")).refit
    assert not [line.text for line in clips if "hand-tight" in line.text]


@pytest.mark.parametrize(
    ("places", "order"),
    [
        ([(0, 0), (100, 0), (50, 80)], ", evenly,"),
        ([(0, 0), (100, 0), (200, 0), (300, 0)], ", crosswise in two rounds,"),
        ([(0, 0), (100, 9), (200, 0), (300, 9), (400, 0)], ", from the middle outwards,"),
        ([(0, 0), (9, 100), (0, 200), (9, 300), (0, 400)], ", from the middle outwards,"),
        ([(0, 0), (100, 0), (100, 90), (0, 90), (50, 120)], ", crosswise in two rounds,"),
    ],
)
def test_screws_are_tightened_in_one_order(bike_from, places, order):
    """Only a long row from its middle (common practice, no source); said once, where it is done."""
    panel = f"  p: {{ name: Lid, side: left, {holes_of(*((f'[{x}, {y}]', 'A') for x, y in places))} }}"
    said = step(plan_from(bike_from, panel).refit, "Lid")
    assert said[-1] == f"all {len(places)} screws tight{order} to the torque beside each"
    assert sum("crosswise" in text or "middle" in text or "evenly" in text for text in said) == 1


@pytest.mark.parametrize(
    ("fixing", "back"),
    [
        ("kind: hook, note: slide the panel back", "hook: slide the panel forward into the hook"),
        (
            "kind: hook, note: pull the seat back out of the hook at the tank",
            "hook: push the seat forward into the hook at the tank",
        ),
        ("kind: hook, note: slide up", "hook: slide down into the hook"),
        ("kind: hook, note: lift and pull out", "hook: hang in (removal: lift and pull out)"),
        ("kind: tab, note: pull down", "tab: guide into its slot, no force (removal: pull down)"),
        ("kind: hook, note: 'lift it; refit: in from the rear'", "hook: in from the rear"),
        ("kind: other, note: 'prop under it; refit: prop out'", "by hand: prop out"),
        (
            "kind: hose, note: pull it off the guide",
            f"hose: {BACK_IN_GUIDE} (removal: pull it off the guide)",
        ),
    ],
)
def test_the_way_back_says_the_direction(bike_from, fixing, back):
    """The reverse of the words of the removal, or the file's own; a hose without a clamp has none to close."""
    lines = plan_from(bike_from, f"  p: {{ name: Lid, side: left, fixings: [ {{ {fixing} }} ], holes: [] }}")
    assert step(lines.refit, "Lid") == [back]
    assert not [text for text in step(lines.removal, "Lid") if "refit" in text]


def test_what_a_screw_held_too_is_lined_up_on_the_way_back(bike_from):
    """To unload it and hold it is over then."""
    hole = "A, note: 'holds the rack too: unload it, hold it'"
    lines = plan_from(bike_from, f"  p: {{ name: Lid, side: left, {holes_of(('[0, 0]', hole))} }}")
    assert "! 1 A: holds the rack too: unload it, hold it" in step(lines.removal, "Lid")
    assert "! 1 A: goes through the rack too: line it up first" in step(lines.refit, "Lid")


def test_every_hole_where_a_longer_screw_would_hurt_is_named(bike_from):
    """Of its thread and tool; a note of the file names one and forgets five (common practice, no source)."""
    kinds = "  H: { kind: screw, thread: M5, length: 16, drive: T25 }\n"
    kinds += "  J: { kind: screw, thread: M5, length: 16, drive: T30 }\n"
    behind = "C, stack: 3, into: threaded insert, depth: 10, room: 12, behind: fuel tank"
    holes = holes_of(("[0, 0]", behind), ("[0, 9]", "H"), ("[0, 18]", behind), ("[0, 27]", "J"))
    lines = plan_from(bike_from, f"  p: {{ name: Lid, side: left, tag: TL, {holes} }}", kinds=kinds).ready
    said = {
        bunch[0].cells[0]: [line.text for line in bunch[1:]] for bunch in bunches(lines) if bunch[0].kind == "fastener"
    }
    assert said == {"2 × C": [], "1 × H": ["▲ never at TL 1, TL 3: fuel tank behind"], "1 × J": []}


def test_steps_of_a_note_are_ticked_where_they_are_done(bike_from):
    """A condition first of all with a box for `not needed`; parts that a step names are ticked there, once."""
    note = "engine cold; first old belt out; new belt in; then look again"
    job = f"  job: {{ name: Work, note: '{note}', supplies: [ {{ what: Belt }}, {{ what: Shim }} ] }}"
    row = "what: Cover, torque: 9 N·m, renew: gasket, note: 'only if it was open; dowels in first; then turn it'"
    lines = plan_from(
        bike_from, "  p: { name: P, side: left, holes: [] }", job, f"torques: {{ row: {{ {row}, jobs: [job] }} }}\n"
    )
    work = next(run for run in begun_by(lines.service, "heading") if run[0].text == "Torques: Work")
    assert [(line.text, line.boxes) for line in work if line.kind != "how" and line.kind != "note"][1:] == [
        ("old belt out", 1), ("new belt in", 1),
        ("Shim", 0), ("old out", 1), ("new in", 1),
        ("Cover, only if it was open", 0), ("not needed", 1), ("dowels in first", 1), ("new gasket on", 1),
        ("9 N·m", 1), ("turn it", 1),
        ("look again", 1), ("Work: done as the maker's manual has it", 1),
    ]  # fmt: skip
    assert "engine cold" in [line.text for line in lines.ready]
    renewed = next(run for run in begun_by(lines.service, "heading") if run[0].text == "Parts to renew")
    assert [line.text for line in renewed[2:]] == [
        "gasket (Cover)",
        "old off",
        "new one ready",
        "not needed",
    ]
    assert "1 × gasket (Cover), if needed" in [line.text for line in lines.ready]


def test_a_row_that_is_only_looked_up_has_no_steps(bike_from):
    """Nobody works on it."""
    row = "what: Cover, torque: 9 N·m, renew: gasket, note: dowels in first"
    lines = plan_from(bike_from, "  p: { name: P, side: left, holes: [] }", rest=f"torques: {{ row: {{ {row} }} }}\n")
    assert [line.text for line in lines.service if line.boxes] == ["Cover, 9 N·m"]


@pytest.mark.parametrize(("note", "ticked"), [("the battery lies under it", True), ("mind the battery lead", False)])
def test_the_battery_is_off_as_soon_as_it_is_bare(bike_from, note, ticked):
    """Where the file says what it lies under; else the caution says what is usual (common practice, no source)."""
    panels = f"  seat: {{ name: Seat, side: centre, note: {note}, fixings: [ {{ kind: other }} ], holes: [] }}\n"
    panels += "  p: { name: P, side: left, after: [seat], fixings: [ { kind: connector } ], holes: [] }"
    lines = plan_from(bike_from, panels)
    assert (cautions.BATTERY_HERE in step(lines.removal, "Seat")) == ticked
    assert (step(lines.refit, "Seat")[0] == cautions.BATTERY_HERE_ON) == ticked
    said = [line.text for line in lines]
    assert (cautions.BATTERY_CODES in said) == (cautions.CLOCK_SET in said) == ticked
    assert (cautions.BATTERY_OFF in said) == (cautions.BATTERY_ON in said) != ticked


def test_a_battery_that_is_bared_too_late_is_no_help(bike_from):
    """A connector is parted before it."""
    panels = "  p: { name: P, side: left, fixings: [ { kind: connector } ], holes: [] }\n"
    panels += "  seat: { name: Seat, side: centre, after: [p], note: the battery lies under it, holes: [] }"
    assert cautions.BATTERY_OFF in [line.text for line in plan_from(bike_from, panels)]


def test_what_was_unplugged_is_tried_by_its_name(bike_from):
    """Each once; mirrors are set where one was off."""
    notes = (
        "unplug the lamp before the mask is free",
        "unplug both horns; the plug has a lever",
        "unplug the lamp",
        "grey",
    )
    fixings = ", ".join(f"{{ kind: connector, note: '{note}' }}" for note in notes)
    said = [
        line.text
        for line in plan_from(bike_from, f"  p: {{ name: Left mirror, side: left, fixings: [ {fixings} ], holes: [] }}")
    ]
    assert "What was unplugged works: lamp, horns." in said
    assert cautions.MIRRORS_SET in said


def test_tools_are_named_as_they_lie_in_the_box(bike_from):
    """Keys and sockets, not heads; what no fastener asks for by the work's words (common practice, no source)."""
    job = "  job: { name: Valve clearance, supplies: [ { what: Engine oil } ] }"
    rows = ["tool: hex 4", "tool: hexagon 8", "tool: hex 5/32 in", "tool: slot or hexagon 7", "tool: T30"]
    rest = "".join(f"  r{at}: {{ what: R, torque: 9 N·m, {tool}, jobs: [job] }}\n" for at, tool in enumerate(rows))
    ready = plan_from(bike_from, "  p: { name: P, side: left, holes: [] }", job, f"torques:\n{rest}").ready
    tools = next(run for run in begun_by(ready, "heading") if run[0].text == "Tools")
    assert {line.text for line in tools[1:]} == {
        "4 mm hex bit", "8 mm socket", "5/32 in (3.97 mm) hex bit", "slot or hexagon 7", "T30",
        "feeler gauges", "drain pan", "torque wrench, 9 N·m",
    }  # fmt: skip


def test_a_tool_that_the_file_names_is_not_said_twice(lines_of):
    """A feeler gauge among the supplies of the valves."""
    said = [line.text for line in lines_of(["valves"]).ready if line.kind == "have"]
    assert [text for text in said if "eeler" in text] == ["1 × Feeler gauge"]


def test_a_cap_of_hot_coolant_has_a_line_of_its_own(bike_from):
    """First of its job and of no other; `cool enough` is not said beside `cold` (common practice, no source)."""
    jobs = "  oil: { name: Oil, supplies: [ { what: Engine oil } ] }\n"
    jobs += "  wet: { name: Cooling, supplies: [ { what: Coolant } ] }"
    panel = "  p: { name: P, side: left, holes: [] }"
    plan = make_plan(plan_work(bike_from(bike_text(panel, jobs)), ["oil", "wet"]))
    oil, wet, *_ = (run for run in begun_by(plan_lines(plan, given_name).service, "heading"))
    assert cautions.COOLANT_CAP not in [line.text for line in oil]
    assert wet[1].text == cautions.COOLANT_CAP
    assert not [line for line in plan_lines(plan, given_name).ready if cautions.COOL_ENOUGH in line.text]


def test_a_torque_is_said_once(lines_of):
    """In stages a tick each, and no other line with the same numbers in N·m."""
    said = [line.text for line in lines_of(["valves"]).service]
    assert [text for text in said if "N·m" in text] == [
        "20 N·m",
        "then 35 to 40 N·m",
        "Valve cover, new gasket on, 9 to 11 N·m",
    ]
    at = said.index("Cylinder head (engine), new ones")
    assert said[at + 1] == "each stage on all 6, crosswise, before the next"
    assert said[at + 6].startswith("14.8 lbf·ft, then 25.8–29.5 lbf·ft, then a quarter turn · 6 × M10")


def test_a_tick_for_each_piece_to_renew(lines_of):
    """For six one each, for one that may stay a third."""
    parts = {bunch[0].text: bunch[1:] for bunch in bunches(lines_of(["valves"]).service) if bunch[0].kind == "part"}
    assert {what: [(line.text, line.boxes) for line in ticks] for what, ticks in parts.items()} == {
        "push clip P, renew if loose": [("old off", 1), ("new one ready", 1), ("still good", 1)],
        "3 × screw N": [("old off", 3), ("new ones ready", 1)],
        "Cylinder head: 6 × M10": [("old off", 6), ("new ones ready", 1)],
        "gasket (Valve cover)": [("old off", 1), ("new one ready", 1)],
    }


def test_the_last_look_is_last(lines_of):
    """With nothing after it."""
    lines = lines_of()
    assert tuple(lines)[-len(lines.last_look) :] == lines.last_look
    assert lines.last_look[0].text == "Before you ride"


def test_lines_in_runs():
    """By kind, and by what belongs to what; nothing is lost."""
    lines = [Line("heading", ("a",)), Line("note", ("b",), 1), Line("note", ("c",)), Line("heading", ("d",))]
    assert [len(run) for run in begun_by(lines, "heading")] == [3, 1]
    assert [len(run) for run in bunches(lines)] == [2, 1, 1]
    assert [line for run in begun_by(lines[1:], "heading") for line in run] == lines[1:]
    assert begun_by([], "heading") == bunches([]) == ()


def test_every_job_is_ticked_with_the_parts_that_it_fits(bike_from):
    """Also without a torque; not what it pours in or works with, nor what a row renews by the same name."""
    supplies = "[ { what: Air filter }, { what: Spark plug, count: 4 }, { what: Oil, count: 2.6 L }, { what: Grease }, "
    supplies += "{ what: Cleaner, count: 2 }, { what: Shim, count: 16 }, { what: Sump washer }, "
    supplies += "{ what: Lock washer }, { what: Engine oil 10W-40, count: 2 }, { what: Oil filter } ]"
    jobs = f"  air: {{ name: Air filter, supplies: {supplies} }}\n  oil: {{ name: Oil change }}"
    rest = "torques: { row: { what: Sump plug, torque: 9 N·m, renew: sump washer, jobs: [oil] } }\n"
    plan = make_plan(plan_work(bike_from(bike_text("  p: { name: P, side: left, holes: [] }", jobs, rest))))
    renewed, first, second, *_ = begun_by(plan_lines(plan, given_name).service, "heading")
    assert renewed[0].text == "Parts to renew"
    assert [(line.text, line.boxes) for line in first] == [
        ("Work: Air filter", 0),
        ("Air filter", 0), ("old out", 1), (INTAKES_COVERED, 1), (COVER_OUT, 1), ("new in", 1),
        ("4 × Spark plug", 0), ("old out", 4), ("new in", 4),
        ("16 × Shim", 0), ("all old out", 1), ("all new in", 1),
        ("Lock washer", 0), ("old out", 1), ("new in", 1),
        ("Oil filter", 0), ("old out", 1), ("new in", 1),
        ("Air filter: done as the maker's manual has it", 1),
    ]  # fmt: skip
    assert second[0].text == "Torques: Oil change"
    assert second[-1].text == "Oil change: done as the maker's manual has it"


def test_what_was_filled_is_tried_before_the_panels_hide_it(lines_of):
    """Last of the service, in the order in which it is done: cap on, lamp out, level; the battery off again."""
    heading, *checks = next(
        run for run in begun_by(lines_of(["oil"]).service, "heading") if run[0].text.startswith("Bef")
    )
    assert heading.text == "Before the panels go on"
    assert [line.boxes for line in checks] == [1] * len(checks)
    assert [line.text for line in checks] == [
        "Filled as the manual has it, cap on; "
        "on for the run: connectors that the engine needs, if any are off, battery, plus first.",
        f"{cautions.RUN}; {cautions.RUN_IN_NEUTRAL} {cautions.OIL_LAMP}",
        cautions.OIL_LEVEL,
        cautions.KEY_AND_BATTERY,
    ]


def test_what_closes_the_intake_is_fitted_once(bike_from):
    """Before the run, as the refit has it and ticked there: fitted twice, it is forgotten once."""
    panels = "  box: { name: Airbox lid, side: centre, holes: [ { at: [0, 0], fastener: A } ] }"
    job = "  job: { name: Oil change, remove: [box], supplies: [ { what: Engine oil, count: 3 L } ] }"
    said = [line.text for line in plan_from(bike_from, panels, job).service]
    assert [text for text in said if "for the run" in text] == [
        "Filled as the manual has it, cap on; "
        "on for the run: air filter, Airbox lid (all of refit step 1, ticked there)."
    ]


@pytest.mark.parametrize(
    ("job", "row", "tried"),
    [
        ("Chain", "{ what: Nut, torque: 9 N·m }", []),
        ("Oil change", "{ what: Nut, torque: 9 N·m }", ["Filled as", "Run the engine", "No drips", "Ignition off"]),
        (
            "Coolant",
            "{ what: Nut, torque: 9 N·m }",
            ["Filled and vented", "Run the engine", "No drips", "Ignition off"],
        ),
        (
            "Valves",
            "{ what: Valve cover, torque: 9 N·m, renew: gasket }",
            ["Run the engine", "Every joint", "Ignition off"],
        ),
        ("Valves", "{ what: Nut, torque: 9 N·m, renew: lock washer }", []),
    ],
)
def test_a_run_is_asked_for_where_something_may_weep(bike_from, job, row, tried):
    """A gasket weeps as a plug drips; nothing is said of panels where none was off (common practice, no source)."""
    panel = "  p: { name: P, side: left, holes: [ { at: [0, 0], fastener: A } ] }"
    rest = f"torques: {{ row: {row.replace(' }', ', jobs: [job] }')} }}\n"
    for remove, heading in (("", "Look for drips"), (", remove: [p]", "Before the panels go on")):
        plan = make_plan(plan_work(bike_from(bike_text(panel, f"  job: {{ name: {job}{remove} }}", rest)), ["job"]))
        *_, last = begun_by(plan_lines(plan, given_name).service, "heading")
        found = [line.text for line in last[1:]] if last[0].text == heading else []
        assert len(found) == len(tried)
        assert all(text.startswith(start) for text, start in zip(found, tried, strict=True))


def test_a_row_about_the_screws_of_a_panel_says_when_they_are_tightened(bike_from):
    """In which step of the refit, by count, thread and words; not where one of the three differs."""
    hole = "holes: [ { at: [0, 0], fastener: A }, { at: [9, 0], fastener: A } ]"
    panels = f"  lid: {{ name: Airbox lid, side: left, {hole} }}"
    rows = {
        "lid": "what: Lid screws, thread: M6, torque: 5 N·m, count: 2",
        "others": "what: Lid screws, thread: M6, torque: 5 N·m, count: 3",
        "thread": "what: Lid screws, thread: M5, torque: 5 N·m, count: 2",
        "name": "what: Sump lid screws, thread: M6, torque: 5 N·m, count: 2",
    }
    rest = "".join(f"  {key}: {{ {row}, jobs: [job] }}\n" for key, row in rows.items())
    lines = plan_from(bike_from, panels, "  job: { name: Job, remove: [lid] }", f"torques:\n{rest}").service
    assert [line.cells[0] for line in lines if line.kind == "torque"] == [
        "Lid screws, in refit step 1", "Lid screws", "Lid screws", "Sump lid screws",
    ]  # fmt: skip


def test_a_new_part_that_a_step_names_is_fitted_there(bike_from):
    """Nipped with the new nut, not with the old one that lies in the bin by now."""
    note = "first wheel in; new lock nut on, only nipped; chain set; then brake pumped"
    row = f"{{ what: Axle nut, torque: 100 N·m, renew: lock nut, jobs: [job], note: '{note}' }}"
    panel = "  p: { name: P, side: left, holes: [] }"
    lines = plan_from(bike_from, panel, "  job: { name: Job }", f"torques: {{ row: {row} }}\n")
    assert [line.text for line in lines.service if line.kind == "stage"] == [
        "wheel in", "new lock nut on, only nipped", "chain set", "100 N·m", "brake pumped",
    ]  # fmt: skip
    assert any("hangs clear of the ground" in line.text for line in lines.ready)


def test_one_pin_holds_the_panel_while_its_plug_is_parted(bike_from):
    """Of two pins the last comes after the connector: without it the panel hangs by its wire."""
    pin = "{ kind: grommet pin, note: pull straight out }"
    fixings = f"fixings: [ {pin}, {pin}, {{ kind: connector, note: unplug the lamp }} ]"
    removal = plan_from(bike_from, f"  p: {{ name: P, side: left, holes: [], {fixings} }}").removal
    assert step(removal, "P") == [
        "grommet pin, pull straight out",
        "hold it close to the bike: connector off before the last grommet pin lets go",
        "connector, unplug the lamp",
        "grommet pin, pull straight out",
    ]
    held_once = fixings.replace(f"{pin}, {pin}", f"{{ kind: hook }}, {pin}")
    removal = plan_from(bike_from, f"  p: {{ name: P, side: left, holes: [], {held_once} }}").removal
    assert "hold it close to the bike: connector off before the grommet pin lets go" in step(removal, "P")


@pytest.mark.parametrize(("name", "held"), [("Murmelo Scooter", True), ("Naked", False)])
def test_an_automatic_is_held_while_its_engine_runs(bike_from, name, held):
    """It has no neutral (common practice, no source)."""
    text = bike_text("  p: { name: P, side: left, holes: [] }", "  job: { name: Oil change }")
    plan = make_plan(plan_work(bike_from(text.replace("name: Test bike", f"name: {name}")), ["job"]))
    said = " ".join(line.text for line in plan_lines(plan, given_name).service)
    assert (f"{cautions.RUN}; {cautions.RUN_AUTOMATIC}" in said) == held
    assert (f"{cautions.RUN}; {cautions.RUN_IN_NEUTRAL}" in said) != held


def test_a_rider_with_pockets_on_other_boards_alone_is_told(lines_of):
    """Whoever works with the board of all panels looks for them; the board of the job has them."""
    found = [line.text for line in lines_of().ready if line.kind == "caution" and "stays on" in line.text]
    assert len(found) == 1
    assert "Vent stays on Side cover here" in found[0]
    assert found[0].endswith("boards made with --job valves.")
    assert not [line for line in lines_of(["valves"]).ready if "stays on" in line.text]
