"""The plan on paper: everything said, nothing over anything else, steps in one piece, on any paper."""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from math import ceil

import pytest
from bikes import bike_text, noted_bike_text, random_bike_text
from plan_judge import faults_of, seen_in, text_of

from boardmaker.display_list import Page, Path, Text
from boardmaker.fonts import text_width
from boardmaker.inputs import override_setup
from boardmaker.model import Setup
from boardmaker.render.pdf import render_pdf
from boardmaker.service import make_plan, plan_work
from boardmaker.sheets import lay_plan
from boardmaker.sheets.plan.pages import FOOT
from boardmaker.typeset.blocks import Block, pour_blocks
from boardmaker.typeset.cells import WIDE, Column, columns_cell, lines_of
from boardmaker.typeset.lettering import PAD
from boardmaker.typeset.table import Cell

pytestmark = pytest.mark.slow

DEMOS = ("fjellvik-820-tourer", "kestmark-590-naked", "murmelo-140-scooter")
PAPERS = ("A4", "A5", "letter", "A3", "105 x 148 mm", "roll of 610 mm")

BARE_PANEL = "  p: { name: P, side: left, holes: [] }"


def pdf_of(work, paper="A4"):
    setup = override_setup(Setup(), board=None, case=None, paper=paper)
    return render_pdf(lay_plan(make_plan(work), setup), title="plan")


@pytest.fixture(scope="module")
def demo_pdf(demo_bike):
    """Return a function that returns the plan of a demo on a paper, made once."""
    return cache(lambda stem, paper="A4": pdf_of(plan_work(demo_bike(stem)), paper))


def test_the_judge_sees_words_over_words_and_outside():
    """Or the tests below would prove nothing."""
    page = Page(100.0, 100.0, (Text((20.0, 50.0), "one"), Text((22.0, 51.0), "two"), Text((92.0, 20.0), "three")))
    faults = [fault for _, fault in faults_of(render_pdf([page], title="wrong"))]
    assert len(faults) == 2
    assert set(faults[0]) == {"one", "two"}
    assert faults[1] == "three"


@pytest.mark.parametrize(
    ("stem", "paper"), [(DEMOS[0], "A4"), (DEMOS[0], "105 x 148 mm"), *((stem, "A5") for stem in DEMOS)]
)
def test_no_words_over_others_or_off_the_page(demo_pdf, stem, paper):
    """Labels keep off, on paper too: read back with pdfplumber, every page; random bikes, below, are on any paper."""
    assert not faults_of(demo_pdf(stem, paper))


INCHES = """
format: 1
bike: { name: Inches }
fasteners:
  S: { kind: shoulder screw, thread: 1/4-20, length: 1 1/4 in, shoulder: { length: 1/2 in, diameter: 3/8 in },
       drive: hexagon 7/16, torque: 10 to 12 ft-lbs }
panels: { lid: { name: Lid, side: left, holes: [ { at: [0, 0], fastener: S } ] } }
"""


@pytest.mark.parametrize("paper", PAPERS)
def test_sizes_in_inches_are_said_whole_on_any_paper(bike_from, paper):
    """Both units, nothing cut off, no unit broken in two and none apart from its number."""
    pdf = pdf_of(plan_work(bike_from(INCHES)), paper)
    assert not faults_of(pdf)
    words = text_of(pdf)
    assert "…" not in words
    for size in ("1 1/4 in", "1/2 in", "7/16 in", "(31.75 mm)", "(12.7 mm)", "(11.11 mm)", "10 to 12 lbf·ft"):
        assert size in words


@pytest.mark.parametrize("seed", range(len(PAPERS)))
def test_random_bikes_on_any_paper(bike_from, seed):
    """Long names, notes everywhere, up to eighty panels."""
    names = ["Lid", "A very long name for a panel that nobody would ever want to say aloud " * 2, "W" * 90]
    bike = bike_from(noted_bike_text(seed, panels=(3, 12, 30, 80)[seed % 4], names=names))
    assert not faults_of(pdf_of(plan_work(bike), PAPERS[seed]))


@pytest.mark.parametrize("seed", range(4))
def test_every_note_is_printed_where_it_belongs(bike_from, seed):
    """Notes of holes and fixings both ways; of panels and of what stays done up only on the way out."""
    work = plan_work(bike_from(noted_bike_text(seed, panels=10)))
    said = text_of(pdf_of(work))
    for step in make_plan(work).removal:
        for panel in (step.carrier, *step.step.riders):
            assert said.count(panel.note) == 1
        for freed in step.step.freed:
            assert said.count(freed.hole.note) == 2
        for one in (*step.by_hand, *step.connections, *step.staying):
            assert not one.note or said.count(one.note) == 2 - (one in step.staying)


@pytest.mark.parametrize("paper", ["A4", "A5"])
@pytest.mark.parametrize("stem", DEMOS)
def test_a_step_stays_on_one_page(demo_bike, demo_pdf, stem, paper):
    """No panel of a demo is said to go on on another page."""
    work = plan_work(demo_bike(stem))
    said = text_of(demo_pdf(stem, paper))
    assert work.steps
    assert not [step.carrier.name for step in work.steps if f"{step.carrier.name} (continued)" in said]


def test_a_step_higher_than_a_page_goes_on_under_its_heading(bike_from):
    """Sixty lines on one panel."""
    holes = ", ".join(f"{{ at: [{4 * i}, {4 * i}], fastener: {'AB'[i % 2]} }}" for i in range(60))
    pdf = pdf_of(plan_work(bike_from(bike_text(f"  lid: {{ name: Lid, side: left, holes: [ {holes} ] }}"))), "A5")
    assert "Lid (continued)" in text_of(pdf)
    assert "out 60 of 60" in text_of(pdf)
    assert not faults_of(pdf)


def test_a_job_of_torques_alone_has_no_removal(bike_from):
    """No panel comes off: no empty sheets, no tags."""
    rows = "torques: { plug: { what: Sump plug, torque: [20 N·m, 40 N·m, 90 deg], jobs: [oil] } }\n"
    panel = "  p: { name: Cover, side: left, holes: [ { at: [0, 0], fastener: A } ] }"
    work = plan_work(bike_from(bike_text(panel, "  oil: { name: Oil }", rows)), ["oil"])
    pdf = pdf_of(work)
    said = text_of(pdf)
    assert "20 N·m then 40 N·m then turn 90°" in said  # a line a stage
    assert "Before you ride" in said
    assert "Board and bag" not in said
    assert "Removal and refit" in said
    assert "Start all" not in said
    assert "panels hang" not in said
    assert len(seen_in(pdf)) == 1


def test_a_script_beyond_the_font_prints_the_key(bike_from):
    """As on the boards."""
    work = plan_work(
        bike_from(bike_text("  p: { name: 座席, tag: P, side: left, holes: [ { at: [0, 0], fastener: A } ] }"))
    )
    assert "座" not in text_of(pdf_of(work))
    assert "P p " in text_of(pdf_of(work))


def test_tags_are_one_a_unit_and_not_cut_by_the_page(bike_from):
    """As many rings to punch as units; each whole inside the page."""
    work = plan_work(bike_from(random_bike_text(3, panels=40)))
    rings = [width for page in seen_in(pdf_of(work)) for width in page.curves if abs(width - 6.0) < 0.05]
    assert len(rings) == len(work.steps)


@pytest.mark.parametrize("words", range(1, 9))
def test_a_tag_is_cut_out_without_cutting_its_words(bike_from, words):
    """A name of one or two lines, many panels behind, many riders, many jobs: all that is said ends above the line."""
    name = "Upper fairing " * words
    panels = f"  front: {{ name: {name.strip()}, side: left, holes: [ {{ at: [0, 0], fastener: A }} ] }}\n"
    for index in range(5):
        holds = f"name: Panel {index} {'and cover ' * words}, side: left, holes: [ {{ at: [0, 0], fastener: A }} ]"
        panels += f"  p{index}: {{ after: [front], {holds} }}\n  r{index}: {{ rides_on: front, {holds} }}\n"
    jobs = "".join(f"  j{index}: {{ name: Job {index}, remove: [front] }}\n" for index in range(words))
    page = lay_plan(make_plan(plan_work(bike_from(bike_text(panels, jobs)))), Setup())[-1]
    cuts = {item.points[0][1] for item in page.items if isinstance(item, Path) and item.dash}
    baselines = [item.at[1] for item in page.items if isinstance(item, Text) and item.at[1] > min(cuts)]
    assert len(cuts) > 2
    assert min(y - max(cut for cut in cuts if cut <= y + 2.5) for y in baselines) >= 2.0 - 1e-9
    assert words < 3 or "…" in text_of(render_pdf([page], title="tags"))


@pytest.mark.parametrize("paper", ["A4", "A5"])
def test_there_is_a_line_to_write_date_odometer_and_name_on(demo_pdf, paper):
    """Behind each word a line of at least 25 mm that crosses no word; in a narrow column one under the other."""
    page = seen_in(demo_pdf(DEMOS[2], paper))[0]
    rules = [(x0, y, x1) for x0, _, x1, y in page.lines]
    for word in ("Date", "Odometer", "Done by"):
        (run,) = (run for run in page.runs if run[0].strip() == word)
        behind = [(x0, x1) for x0, y, x1 in rules if run[2] < y < run[4] and 0.5 < x0 - run[3] < 3.0]
        assert [x1 - x0 >= 25.0 - 0.01 for x0, x1 in behind] == [True]


def test_the_same_plan_gives_the_same_bytes(demo_bike):
    """No clock, no hash order."""
    work = plan_work(demo_bike(DEMOS[2]))
    assert pdf_of(work) == pdf_of(work)


def test_stages_stand_each_behind_its_own_box(demo_pdf):
    """Three stages of the tourer's cylinder head are three texts in a row, and no torque is broken over two lines."""
    for paper in ("A4", "A5"):
        texts = [run[0].strip() for page in seen_in(demo_pdf(DEMOS[0], paper)) for run in page.runs]
        at = texts.index("then turn 90°")
        assert texts[at - 2 : at] == ["20 N·m", "then 40 N·m"]
        assert "each stage on all 6, crosswise from the middle, before the next" in texts
        assert not [text for text in texts if text.startswith(("N·m", "lbf·"))]


def test_a_torque_is_never_broken_over_two_lines():
    """A line breaks between stages, in the file's own notes too; a number never stands without its unit."""
    text = "then 20 N·m, then 35 to 40 N·m, then turn 90°; at last 10–12.5 lbf·ft."
    for width in range(ceil(text_width("10–12.5 lbf·ft.", 3.5)), 120):
        lines = lines_of(text, 3.5, width)
        assert " ".join(lines).replace("\xa0", " ") == text
        assert not [line for line in lines if line.startswith(("N·m", "lbf·ft"))]
        inside = ("to", "turn", "90", "40", "35")
        assert width < text_width("then 35 to 40 N·m,", 3.5) or not [one for one in lines if one.startswith(inside)]


def test_a_torque_wider_than_its_line_is_broken_between_words():
    """Not in the middle of a word."""
    assert lines_of("35 to 40 N·m", 3.5, 18.0) == ("35 to", "40\xa0N·m")


def test_the_closing_check_is_the_last_of_the_refit(demo_pdf):
    """After the last step, before the tags."""
    said = text_of(demo_pdf(DEMOS[2]))
    assert said.index("in 33 of 33") < said.index("Before you ride") < said.index("Where the panels hang")
    assert "Every brake lever (and pedal) is firm." in said


def test_a_page_that_goes_on_with_a_side_says_so(demo_bike, demo_pdf):
    """Each page of steps begins with the side that one has to stand on."""
    work = plan_work(demo_bike(DEMOS[0]))
    tops = [max(page.runs, key=lambda run: run[2])[0] for page in seen_in(demo_pdf(DEMOS[0]))]
    sides = {"CENTRE", "LEFT SIDE", "RIGHT SIDE"}
    begun = [top for top in tops if top.removesuffix(" (continued)") in sides]
    assert "RIGHT SIDE (continued)" in begun
    names = [step.carrier.name for step in work.steps]
    assert not [top for top in tops if any(name in top for name in names)]
    assert len(begun) > 10


def test_no_second_rule_under_a_heading(demo_pdf):
    """Rows that follow a heading without intro begin without a rule: no two lines nearer than a line of type."""
    for paper in ("A4", "A5"):
        gaps = []
        for page in seen_in(demo_pdf(DEMOS[0], paper)):
            heights = sorted(y for x0, y, x1, top in page.lines if top - y < 0.004 and x1 - x0 > 80.0)
            gaps += [high - low for low, high in pairwise(heights)]
        assert len(gaps) > 50
        assert min(gaps) > 2.0


def test_the_last_page_is_not_nearly_empty():
    """Short steps go over to it while that costs no page."""
    cell = Cell(100.0, 30.0)
    blocks = [Block(cell, (), cell) for _ in range(7)]
    pages = pour_blocks(blocks, 1, 200.0)
    assert [len(page) for page in pages] == [4, 3]
    assert [len(page) for page in pour_blocks(blocks[:6], 1, 200.0)] == [6]
    high = Block(Cell(100.0, 190.0), (), cell)
    assert [len(page) for page in pour_blocks([high, *blocks[:1]], 1, 200.0)] == [1, 1]


def test_what_may_stay_has_a_third_box(demo_pdf):
    """Seven clips of the tourer are renewed when they are worn; four others always."""
    said = text_of(demo_pdf(DEMOS[0]))
    assert "7 × push clip P, renew when the centre pin no longer clicks worn ones off new ones ready" in said
    assert said.count("still good") == 1
    assert "up to 7 × push clip P" in said


def test_the_whole_tourer_takes_18_pages_and_none_is_nearly_empty(demo_bike):
    """A third full at least, but for the last page of a part: each part begins on a page of its own."""
    pages = lay_plan(make_plan(plan_work(demo_bike(DEMOS[0]))), Setup())
    assert len(pages) <= 18
    begins = [number for number, page in enumerate(pages) if page.bookmark]
    for number, page in enumerate(pages):
        high = page.height - 10.0
        foot = 10.0 + FOOT
        lowest = min(item.at[1] for item in page.items if isinstance(item, Text) and item.at[1] > foot)
        assert high - lowest > (high - foot) / 3 or number + 1 in (*begins, len(pages))


def test_two_short_lines_stand_side_by_side(bike_from):
    """Two hooks of few words on one line, each with its box; a third one below; nothing beside a long one."""
    fixings = [f"{{ kind: hook, note: {note} }}" for note in ("one", "two", "three", "four " * 14)]
    holes = "holes: [ { at: [0, 0], fastener: A } ]"
    bike = bike_from(bike_text(f"  p: {{ name: Lid, side: left, {holes}, fixings: [ {', '.join(fixings)} ] }}"))
    page = lay_plan(make_plan(plan_work(bike)), Setup())[0]
    at = {item.text.split(", ")[1].split()[0]: item.at for item in page.items if _is_hook(item)}
    assert at["one"][1] == at["two"][1] > at["three"][1] > at["four"][1]
    assert at["one"][0] < page.width / 2 < at["two"][0]
    boxes = {(round(x0, 1), round(y0, 1)) for (x0, y0), *_ in map(_points, page.items) if _is_box(x0, y0, at)}
    assert len(boxes) == 4


def test_short_stages_stand_side_by_side_in_the_order_of_work(bike_from):
    """Each behind its own box, the torques bold; one that is too long for the rest of a line begins the next."""
    look, again = (" ".join([word] * 7) for word in ("look", "more"))
    note = f"first dowels and pins in; {look}; {again}; then turn it"
    rows = f"torques: {{ row: {{ what: Cover, torque: [4 N·m, 8 N·m], note: '{note}', jobs: [job] }} }}\n"
    bike = bike_from(bike_text(BARE_PANEL, "  job: { name: Work }", rows))
    page = lay_plan(make_plan(plan_work(bike)), Setup())[0]
    texts = {" ".join(item.text.split()): item for item in page.items if isinstance(item, Text)}
    rows = [
        [texts[text] for text in row]
        for row in (["dowels and pins in", look], [again, "4 N·m", "then 8 N·m", "turn it"])
    ]
    heights = [{round(item.at[1], 6) for item in row} for row in rows]
    starts = [[item.at[0] for item in row] for row in rows]
    assert [len(one) for one in heights] == [1, 1]
    assert max(heights[0]) > max(heights[1])
    assert starts == [sorted(row) for row in starts]
    assert [item.bold for item in rows[1]] == [False, True, True, False]
    at = {item.text: item.at for row in rows for item in row}
    assert len({points for points in map(_points, page.items) if _is_box(*points[0], at)}) == len(at)


def test_what_a_job_needs_stands_beside_its_name_where_the_line_holds_it(bike_from):
    """On one line, else below; below too where the job has a note."""
    jobs = "".join(
        f"  {key}: {{ name: Job {key}, note: {note}, supplies: [ {{ what: {what} }} ] }}\n"
        for key, note, what in (("a", "''", "Belt"), ("b", "''", "Gauge " * 16), ("c", "cold", "Chain"))
    )
    page = lay_plan(make_plan(plan_work(bike_from(bike_text(BARE_PANEL, jobs)))), Setup())[0]
    height = {item.text.strip(): item.at[1] for item in page.items if isinstance(item, Text)}
    assert height["Job a"] == height["1 × Belt"]
    assert height["Job b"] > next(y for text, y in height.items() if text.startswith("1 × Gauge"))
    assert height["Job c"] > height["cold"] > height["1 × Chain"]


def _is_hook(item):
    return isinstance(item, Text) and item.text.startswith("hook, ")


def _points(item):
    return item.points if isinstance(item, Path) and item.closed and len(item.points) == 4 else ((-1.0, -1.0),)


def _is_box(x, y, places):
    """Whether a square begins just left of one of the lines, a little below its baseline."""
    return any(0.0 < px - x < 8.0 and 0.0 <= py - y < 1.5 for px, py in places.values())


def test_a_rule_stands_off_the_words_below_it():
    """A millimetre of white above capitals."""
    (label,) = columns_cell([Column("HXH", 0.0, 50.0)], WIDE.line, 50.0).labels
    assert -(label.box[3] - PAD) >= 0.95


@pytest.mark.parametrize("name", ["Seat", "Upper fairing with a name of two lines"])
def test_what_a_tag_says_of_its_panel_gets_two_lines(bike_from, name):
    """It is not cut off after the first."""
    panels = f"  front: {{ name: {name}, side: left, holes: [ {{ at: [0, 0], fastener: A }} ] }}\n"
    for index, behind in enumerate(("Right side cover", "Right knee cover of the tail")):
        panels += f"  p{index}: {{ name: {behind}, side: right, after: [front], holes: [] }}\n"
    page = lay_plan(make_plan(plan_work(bike_from(bike_text(panels)))), Setup())[-1]
    said = text_of(render_pdf([page], title="tags"))
    assert "frees: Right side cover, Right" in " ".join(said.split())
    assert "…" not in said


def test_a_tag_names_many_panels_by_their_tags(bike_from):
    """Where their names have no room: all of them, and nothing is cut off."""
    panels = "  front: { name: Seat, side: centre, holes: [ { at: [0, 0], fastener: A } ] }\n"
    for letter in "ABCDEFGHJ":
        behind = f"name: Cover of the tail, tag: T{letter}, side: right, after: [front], holes: []"
        panels += f"  p{letter.lower()}: {{ {behind} }}\n"
    page = lay_plan(make_plan(plan_work(bike_from(bike_text(panels)))), Setup())[-1]
    said = " ".join(text_of(render_pdf([page], title="tags")).split())
    assert f"frees: {', '.join(f'T{letter}' for letter in 'ABCDEFGHJ')}" in said
    assert "…" not in said
