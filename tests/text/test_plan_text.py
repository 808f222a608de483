"""The plan as a table and as Markdown: what other people's readers make of them."""

from __future__ import annotations

import csv
import re
from html import unescape
from io import StringIO

import pytest
from bikes import bike_text, noted_bike_text
from hypothesis import given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from boardmaker.plain_text import shown as written_out
from boardmaker.service import make_plan, plan_work
from boardmaker.text import write_markdown, write_rows
from boardmaker.text.markdown import plain
from boardmaker.wording.preparation import have_too, parts_of, ride_checks, tools_by_work, trial_run_texts
from boardmaker.wording.when import timed

READER = MarkdownIt("commonmark").enable(["table", "strikethrough"])
NASTY = [
    "a | b",
    "*bold*",
    "_under_ __line__",
    "<b>tag</b>",
    "[link](http://x)",
    "`code`",
    "# head",
    "1. one",
    "- minus",
]
NASTY += ["+ plus", "~~gone~~", "&amp;", "![picture](x)", "\\back\\slash", "> quote", "=== line", "{x}", "a\\"]


def rows_of(plan):
    return list(csv.DictReader(StringIO(write_rows(plan).decode("utf-8"), newline=""), strict=True))


def shown(markdown):
    """The words that a reader of Markdown shows."""
    return unescape(re.sub(r"<[^>]*>", "", READER.render(markdown)))


def test_the_table_has_a_row_a_pocket(demo):
    """As many fasteners as board.json has pockets, each under the same number, once."""
    rows = [row for row in rows_of(make_plan(demo.work)) if row["row"] == "fastener"]
    items = [item for board in demo.board_file["boards"] for item in board["items"] if item["kind"] == "panel"]
    pockets = {
        pocket["hole"]: f"{pocket['number']} {pocket['fastener']}" for item in items for pocket in item["pockets"]
    }
    assert {f"{row['panel']}/{row['hole']}": row["pocket"] for row in rows} == pockets
    assert len(rows) == len(pockets)
    assert [int(row["out"]) for row in rows] == list(range(1, len(rows) + 1))


@pytest.mark.parametrize("seed", range(6))
def test_every_note_is_in_the_table_once(bike_from, seed):
    """Of panels, holes and fixings."""
    work = plan_work(bike_from(noted_bike_text(seed, panels=9)))
    said = " | ".join(row["note"] for row in rows_of(make_plan(work)))
    for panel in work.bike.panels:
        assert said.count(panel.note) == 1
        assert all(said.count(one.note) == 1 for one in panel.fixings if one.note)
    assert all(said.count(freed.hole.note) == 1 for freed in work.freed)


def test_no_cell_becomes_a_formula(bike_from):
    """A spreadsheet takes = + - @ at the beginning of a cell for a formula: an apostrophe goes before it."""
    names = ["=1+1", "+1", "-1", "@sum", "plain"]
    panels = "\n".join(
        f"  p{i}: {{ name: '{name}', side: left, holes: [ {{ at: [0, 0], fastener: A, note: '{name} here' }} ] }}"
        for i, name in enumerate(names)
    )
    rows = rows_of(make_plan(plan_work(bike_from(bike_text(panels)))))
    assert [row["name"] for row in rows] == ["'=1+1", "'+1", "'-1", "'@sum", "plain"]
    assert not [cell for row in rows for cell in row.values() if cell[:1] in ("=", "+", "-", "@", "\t", "\r")]


def test_notes_of_screws_and_holes_are_marked_in_table_and_list(bike_from):
    """Not those of panels and of what goes by hand."""
    kinds = "  D: { kind: screw, thread: M6, length: 12, note: never longer }\npanels:"
    holes = "{ at: [0, 0], fastener: D, note: D and no other }, { at: [0, 9], fastener: A, note: heat shield }"
    fixings = "{ kind: tab, note: two of them }"
    panel = f"  lid: {{ name: Lid, side: left, note: from below, fixings: [ {fixings} ], holes: [ {holes} ] }}"
    plan = make_plan(plan_work(bike_from(bike_text(panel).replace("panels:", kinds, 1))))
    notes = [row["note"] for row in rows_of(plan)]
    assert notes == ["! D and no other; ! never longer", "! heat shield", "from below", "tab, two of them"]
    text = write_markdown(plan).decode()
    assert text.count("  - **! 1 D: D and no other**\n") == text.count("  - **! 2 A: heat shield**\n") == 2
    assert text.count("  - **! never longer**\n") == 1
    assert text.count("! ") == 5


def test_the_table_is_rfc_4180(demo_bike):
    """CRLF at every line's end, as many cells in every row (read with Python's csv, strict)."""
    content = write_rows(make_plan(plan_work(demo_bike("murmelo-140-scooter")))).decode("utf-8")
    assert content.count("\r\n") == content.count("\n")
    assert len({len(row) for row in csv.reader(StringIO(content, newline=""), strict=True)}) == 1


@pytest.mark.parametrize("name", NASTY)
def test_markdown_shows_names_as_they_are_written(bike_from, name):
    """Held against markdown-it: the signs are shown, nothing becomes a link, a picture, a head or a tag."""
    quoted = name.replace("'", "''")
    panel = f"  p: {{ name: '{quoted}', side: left, note: '{quoted}', holes: [ {{ at: [0, 0], fastener: A }} ] }}"
    text = write_markdown(make_plan(plan_work(bike_from(bike_text(panel))))).decode("utf-8")
    html = READER.render(text)
    assert shown(text).count(name) == 3  # heading of the removal and of the refit, note of the removal
    assert not re.search(r"<(a|img|b|code|h4|blockquote|s|table)\b", html)


@pytest.mark.slow
@settings(max_examples=300, deadline=None, derandomize=True, database=None)
@given(st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Zl", "Zp", "Cs"]), min_size=1, max_size=30))
def test_any_text_survives_markdown(text):
    """In a list, in bold, and at the beginning of a line."""
    words = written_out(re.sub(r"[^\S\xa0]+", " ", text).strip())
    if words:
        assert shown(f"- [ ] {plain(text)}").strip() == f"[ ] {words}"
        assert shown(f"x {plain(text)}").strip() == f"x {words}"
        assert shown(f"- {plain(text)}").strip() == words


def test_markdown_has_a_box_for_every_step_and_line(demo_bike):
    """Both ways, all tools, parts and threadlocker to have, old and new parts, each torque, the last look."""
    plan = make_plan(plan_work(demo_bike("kestmark-590-naked"), ["oil"]))
    text = write_markdown(plan).decode("utf-8")
    lines = sum(1 + len(step.groups) + len(step.by_hand) + len(step.connections) for step in plan.removal)
    boxes = 2 * lines + len(plan.rows) + len(plan.tools) + len(list(ride_checks(plan))) + 1
    boxes += sum(len(service.job.supplies) for service in plan.services if service.job)
    boxes += sum(len(texts) for _, texts in have_too(plan)) + len(list(tools_by_work(plan)))
    boxes += sum(renewal.count + 1 for renewal in plan.renewals)  # old off for each, the new ones ready
    boxes += sum(step.in_two_goes for step in plan.refit)
    jobs = [service.job for service in plan.services if service.job]
    boxes += sum(bool(row.lubricate) for row in plan.rows)
    boxes += sum(len(timed(one.note).before) + len(timed(one.note).after) for one in (*jobs, *plan.rows))
    boxes += len(jobs) + 2 * sum(int(one.count) for job in jobs for one in parts_of(job, plan))
    assert text.count("- [ ] ") == boxes + len([*trial_run_texts(plan)])


ROWS = """
torques:
  head: { what: Cylinder head, torque: [20 N·m, 35 to 40 N·m, 90 deg], count: 6, order: crosswise, thread: M10,
          renew: true, jobs: [job] }
  stand: { what: Side stand, torque: [40 N·m, 25 N·m], tool: hex 6, threadlocker: strong, jobs: [job] }
  cover: { what: Valve cover, torque: 9 to 11 N·m, count: 4, renew: gasket, tool: T30, jobs: [job] }
  plug: { what: Sump plug, torque: 30 N·m, tool: hexagon 17, renew: Washer 14 x 20, jobs: [job] }
"""
LID = """
  lid:
    name: Lid
    side: left
    note: from below; support the lid
    fixings: [ { kind: other, note: key in the lock } ]
    holes:
      - { at: [0, 0], fastener: A, also_holds: [tail, nose] }
      - { at: [9, 20], fastener: A, also_holds: [tail] }
      - { at: [9, 30], fastener: P }
  tail: { name: Tail, side: left, holes: [ { at: [0, 0], fastener: A } ] }
  nose: { name: Nose, side: left, holes: [ { at: [0, 0], fastener: B } ] }
"""
SUPPLIES = "[ { what: washer 14 x 20, count: 2 }, { what: Oil, count: 2.6 L } ]"
JOB = f"  job: {{ name: Job, remove: [tail], supplies: {SUPPLIES} }}"


@pytest.fixture
def job_text(bike_from):
    """The plan of a small job in Markdown, with ordinary spaces."""
    plan = make_plan(plan_work(bike_from(bike_text(LID, JOB, ROWS)), ["job"]))
    return write_markdown(plan).decode("utf-8").replace("\xa0", " ")


def part(text, title, end="\n## "):
    return text.partition(f"## {title}\n")[2].partition(end)[0]


def test_a_screw_through_several_panels_is_told_both_ways(job_text):
    """Out: what becomes loose; a panel that stays on is tied up, no hand holds it so long. In: what it goes through."""
    out, back = part(job_text, "Removal"), part(job_text, "Refit")
    assert "  - **1 A also holds Tail and Nose: they are looser now, tie or prop Nose until this is back**\n" in out
    assert "  - **2 A also holds Tail: it is looser now, do not lean on it (off in step 2)**\n" in out
    assert "  - **2 A goes through Tail too: line up both holes first**\n" in back
    assert "  - **1 A goes through Tail and Nose too: line up all holes first**\n" in back


def test_the_table_counts_out_and_in(bike_from):
    """A row each way: the clip, last out of its panel, is last in too."""
    rows = [row for row in rows_of(make_plan(plan_work(bike_from(bike_text(LID))))) if row["row"] == "fastener"]
    assert [(row["pocket"], row["out"], row["in"]) for row in rows if row["panel"] == "lid"] == [
        ("1 A", "1", "4"),
        ("2 A", "2", "3"),
        ("3 P", "3", "5"),
    ]
    assert sorted(int(row["in"]) for row in rows) == [1, 2, 3, 4, 5]


def test_the_table_says_what_a_screw_also_holds(bike_from):
    """By the keys of the bike file."""
    rows = [row for row in rows_of(make_plan(plan_work(bike_from(bike_text(LID))))) if row["row"] == "fastener"]
    assert [row["also_holds"] for row in rows if row["panel"] == "lid"] == ["tail, nose", "tail", ""]


def test_a_box_a_stage_and_what_to_mind(job_text):
    """All screws of a pattern, then the next stage; a mark before an angle (common practice, no source)."""
    torques = part(job_text, "Torques: Job")
    assert "\n\n- Cylinder head, new ones\n" in torques
    assert torques.partition("- Cylinder head, new ones\n")[2].startswith(
        "  - **each stage on all 6, crosswise, before the next**\n  - **mark the heads before the turn**\n"
        "  - [ ] **20 N·m**\n  - [ ] **then 35 to 40 N·m**\n  - [ ] **then turn 90°**\n"
        "  - 14.8 lbf·ft, then 25.8–29.5 lbf·ft, then a quarter turn · 6 × M10\n"
    )
    assert "- ⚠ Side stand\n  - [ ] **40 N·m**\n  - [ ] **slacken, 25 N·m**\n" in torques
    assert torques.count("- [ ] ") == 3 + 2 + 1 + 1 + 1  # and the job
    assert torques.count("each stage") == torques.count("mark the head") == 1


def test_brakes_and_steering_are_marked_in_list_and_table(bike_from, job_text):
    """The sentence once above the rows of a job, and in the table beside each that it is about."""
    torques = part(job_text, "Torques: Job")
    sentence = "⚠ Brakes and steering: if in doubt, ask a licensed workshop."
    assert torques.count(f"\n\n**{sentence}**\n\n") == 1
    assert torques.count("⚠") == 2
    rows = rows_of(make_plan(plan_work(bike_from(bike_text(LID, JOB, ROWS)), ["job"])))
    told = {row["name"]: row["caution"] for row in rows if row["row"] == "torque"}
    assert told == {"Cylinder head": "", "Side stand": sentence, "Valve cover": "", "Sump plug": ""}


def test_no_torque_can_break(bike_from, demo_bike):
    """No ordinary space inside a quantity, in any line of any plan."""
    works = [plan_work(demo_bike("fjellvik-820-tourer")), plan_work(bike_from(bike_text(LID, JOB, ROWS)))]
    for work in works:
        text = write_markdown(make_plan(work)).decode("utf-8")
        assert text.count("\xa0N·m") > 4
        assert not re.search(r"\d (N·m|lbf·\w+)|\d to [\d.]+\xa0N·m|turn \d", text)


def test_the_last_look_names_the_brakes_where_they_were_open(bike_from):
    """Pumping only where a row speaks of brake, caliper, axle or wheel (common practice, no source)."""
    for what, pumped in [("Front caliper", True), ("Axle nut", True), ("Flywheel", False), ("Sump plug", False)]:
        rows = f"torques: {{ row: {{ what: {what}, torque: 30 N·m, jobs: [job] }} }}\n"
        work = plan_work(bike_from(bike_text(LID, "  job: { name: Job }", rows)))
        text = write_markdown(make_plan(work)).decode("utf-8")
        closing = text.partition("## Before you ride\n")[2]
        more = {"Sump plug": 3, "Axle nut": 1}.get(what, 0)  # its oil's level and drips, none on a tyre; the wheels
        more += pumped  # hoses and wires were hung up
        assert closing.count("- [ ] ") == 5 + more
        assert "Board and any bag are empty" in closing
        assert ("pump them first" in closing) == pumped


def test_all_to_have_ready_stands_in_front(job_text):
    """Parts to renew that are no supply, threadlocker, the wrench's range, what has no tool."""
    have = part(job_text, "Parts and supplies")
    assert "2.6 L Oil\n" in have  # and no escape in it
    assert "- **To renew**\n  - [ ] Cylinder head: 6 × M10\n  - [ ] 1 × gasket (Valve cover)\n" in have
    assert have.casefold().count("washer 14 x 20") == 1
    assert "- **Threadlocker**\n  - [ ] strong threadlocker\n" in have
    tools = part(job_text, "Tools")
    assert "- [ ] torque wrenches, 5 to 40 N·m\n\nOne torque wrench seldom reaches far enough.\n" in tools
    assert "no tool in the file for: Cylinder head\n" in tools


def test_one_wrench_where_one_reaches(bike_from):
    """No sentence about a second."""
    text = write_markdown(make_plan(plan_work(bike_from(bike_text(LID))))).decode("utf-8").replace("\xa0", " ")
    assert "- [ ] torque wrench, 5 N·m\n" in text
    assert "seldom reaches" not in text


def test_clips_are_not_started_by_hand_and_go_home_last(job_text):
    """Two screws are both, one is none; the clip stands where it is pushed home, after the screws."""
    back = part(job_text, "Refit")
    assert back.count("Line it up and start both screws by hand before you tighten either.") == 1
    assert "start 3 of 4\n  - **1 A goes through" in back
    assert "\n- [ ] both screws tight, to the torque beside each\n- **push clips home last" in back
    after = back.partition(
        "- **push clips home last, when the screws are tight; pin out first, body in, then the pin**\n"
    )[2]
    assert after.splitlines()[0] == "- [ ] 1 × P: push clip, pocket 3 P, in 4 of 4"
    assert "start all" not in back


def test_tape_is_pressed_between_starting_and_tightening(bike_from):
    """It does not shift afterwards; without a screw it goes with all else. One screw without tape is done in one go."""
    tape, hook = "{ kind: interlocking tape }", "{ kind: hook }"
    for keys, fixings, order in (
        ("AA", f"{tape}, {hook}", ["hook", "start 1 of 2", "start 2 of 2", "interlocking", "both screws"]),
        ("AAA", hook, ["hook", "start 1 of 3", "start 3 of 3", "all 3 screws"]),
        ("A", f"{tape}, {hook}", ["hook", "start 1 of 1", "interlocking", "the screw tight"]),
        ("A", hook, ["hook", "in 1 of 1"]),
        ("P", tape, ["interlocking", "in 1 of 1"]),
    ):
        holes = ", ".join(f"{{ at: [0, {9 * place}], fastener: {key} }}" for place, key in enumerate(keys))
        text = bike_text(f"  lid: {{ name: Lid, side: left, fixings: [ {fixings} ], holes: [ {holes} ] }}")
        back = part(write_markdown(make_plan(plan_work(bike_from(text)))).decode(), "Refit")
        ticks = [line.removeprefix("- [ ] ") for line in back.splitlines() if line.startswith("- [ ] ")][1:]
        assert [said in tick for tick, said in zip(ticks, order, strict=True)] == [True] * len(order)


def test_clips_of_several_kinds_are_told_once(bike_from):
    """Before the first of them, with what is done with each kind."""
    kinds = "  K: { kind: quarter turn, hole: 10, length: 20, drive: slot }\npanels:"
    holes = ", ".join(f"{{ at: [0, {9 * place}], fastener: {key} }}" for place, key in enumerate("PKPA"))
    text = bike_text(f"  lid: {{ name: Lid, side: left, holes: [ {holes} ] }}").replace("panels:", kinds, 1)
    back = part(write_markdown(make_plan(plan_work(bike_from(text)))).decode(), "Refit")
    assert back.count("last, when the screw is tight") == 1
    pins = "; pin out first, body in, then the pin**\n"
    told = "- **push clips home and close quarter turns (press, turn back until they catch) last, "
    told += f"when the screw is tight{pins}"
    assert f"{told}- [ ] 1 × P: push clip, pocket 3 P" in back


@pytest.mark.parametrize(("kind", "has_pin"), [("push clip", True), ("screw rivet", True), ("quarter turn", False)])
def test_a_pin_goes_in_last(bike_from, kind, has_pin):
    """On a panel of clips alone too; what is turned has no pin (common practice, no source)."""
    kinds = f"  K: {{ kind: {kind}, hole: 10, length: 20 }}\npanels:"
    text = bike_text("  lid: { name: Lid, side: left, holes: [ { at: [0, 0], fastener: K } ] }")
    said = write_markdown(make_plan(plan_work(bike_from(text.replace("panels:", kinds, 1))))).decode()
    assert said.count("- **pin out first, body in, then the pin**\n- [ ] 1 × K") == has_pin


def test_a_hose_may_have_no_clamp(bike_from):
    """It is pushed home all the same."""
    text = bike_text("  lid: { name: Lid, side: left, fixings: [ { kind: hose } ], holes: [] }")
    back = part(write_markdown(make_plan(plan_work(bike_from(text)))).decode(), "Refit")
    assert "- [ ] hose: push it home before it closes, its clamp, if any, in place, no kink\n" in f"{back}\n"


def test_the_panel_is_held_at_its_last_screw(job_text):
    """The one with the second ring on the board, also where a clip comes out after it; on the way back the first."""
    out, back = part(job_text, "Removal"), part(job_text, "Refit")
    assert "pocket 2 A · last screw: hold it, out 2 of 4\n" in out
    assert "pocket 3 P, out 3 of 4\n" in out
    assert "pocket 2 A · first: hold it, start 2 of 4\n" in back
    assert job_text.count("hold it") == 2


def test_a_tapping_screw_finds_its_old_thread(bike_from):
    """Once a panel, for all kinds of it, before the first of them; nothing of it where there is none."""
    kinds = "  S: { kind: tapping screw, thread: ST4.2, length: 16, drive: PH2 }\n"
    kinds += "  T: { kind: tapping screw, thread: ST4.8, length: 16, drive: PH2 }\npanels:"
    holes = ", ".join(f"{{ at: [0, {9 * place}], fastener: {key} }}" for place, key in enumerate("SAST"))
    panels = f"  a: {{ name: A, side: left, holes: [ {holes} ] }}\n"
    panels += "  b: { name: B, side: left, holes: [ { at: [0, 0], fastener: A } ] }"
    said = write_markdown(make_plan(plan_work(bike_from(bike_text(panels).replace("panels:", kinds, 1))))).decode()
    back = part(said, "Refit")
    assert back.count("old thread") == said.count("old thread") == 1
    assert (
        "- **Line it up and start all 4 screws by hand before you tighten any.**\n"
        "- T, S: turn each backwards until it drops into its old thread, then in\n"
        "- [ ] 1 × T: PH2, torque: see manual, pocket 4 T · first: hold it"
    ) in back


def test_notes_and_hands_at_refit(job_text):
    """What the panel asks for is for the removal alone; a lock is tested."""
    assert part(job_text, "Removal").count("from below; support the lid") == 1
    assert "from below" not in part(job_text, "Refit")
    assert "by hand: put back as it came off, lock it if it locks; pull to test (removal: key in the lock)" in job_text


def test_what_is_freed_is_no_danger(job_text):
    """`behind` is said of tanks and radiators only."""
    assert "\n- frees: Tail\n" in job_text
    assert "behind it:" not in job_text


def test_the_list_has_room_for_date_odometer_and_name(job_text):
    """A line each, to write on behind the colon."""
    assert "\n\n- Date:\n- Odometer:\n- Done by:\n\n## Before you start\n" in job_text


def test_an_interval_that_is_no_span_is_said_as_it_is(bike_from):
    """`every as worn` is no English."""
    jobs = "  a: { name: A, every: as worn, remove: [lid] }\n  b: { name: B, every: 6000 km, remove: [lid] }"
    said = write_markdown(make_plan(plan_work(bike_from(bike_text(LID, jobs))))).decode()
    assert "- **A, as worn**\n" in said
    assert "- **B, every 6000 km**\n" in said


def test_fasteners_that_look_alike_are_told_apart(bike_from):
    """By the shoulder, and by what is kept with them."""
    kinds = "  D: { kind: screw, thread: M6, length: 21, drive: T30, with_it: [washer, collar] }\npanels:"
    holes = "{ at: [0, 0], fastener: A }, { at: [0, 9], fastener: D }"
    text = bike_text(f"  lid: {{ name: Lid, side: left, holes: [ {holes} ] }}").replace("panels:", kinds, 1)
    listed = part(write_markdown(make_plan(plan_work(bike_from(text)))).decode(), "Fasteners that come out")
    assert "- **1 × A**: M6 × 21, shoulder 11, T30, 5\xa0N·m\n" in listed
    assert "- **1 × D**: M6 × 21, T30\n  - with washer, collar\n" in listed


def test_a_part_that_may_stay_has_a_third_box(bike_from):
    """Where the file says when to renew, not that; such parts are to have at most."""
    kinds = "  Q: { kind: push clip, hole: 6, length: 9, renew: when the pin is loose }\npanels:"
    text = bike_text("  lid: { name: Lid, side: left, holes: [ { at: [0, 0], fastener: Q } ] }")
    said = write_markdown(make_plan(plan_work(bike_from(text.replace("panels:", kinds, 1))))).decode()
    assert "- [ ] 1 × push clip Q, if needed\n" in said
    assert (
        "- push clip Q, renew when the pin is loose\n  - [ ] old off\n  - [ ] new one ready\n  - [ ] still good\n"
        in said
    )


@pytest.mark.parametrize("text", ["2.6 L", "3)4", "+5", "-5 degrees", "10.9"])
def test_no_needless_escape(text):
    """A number or a sign begins a list only before a space (CommonMark 0.31, 5.2)."""
    assert plain(text) == text


@pytest.mark.parametrize("text", ["2. L", "3) x", "+ 5", "- 5", "1.", "---", "+"])
def test_what_would_begin_a_list_is_escaped(text):
    """Held against markdown-it."""
    assert plain(text) != text
    assert shown(plain(text)).strip() == text
