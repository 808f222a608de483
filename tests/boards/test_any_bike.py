"""Boards for all kinds of bikes: small and large, foreign names, no outlines, many screws on one small panel."""

from __future__ import annotations

from collections import Counter

import board_judge as judge
import pytest
from bikes import bike_text, noted_bike_text, random_bike_text, small_panel_with_many_screws

from boardmaker.model import BoardSetup, Setup
from boardmaker.problems import ProblemsFound
from boardmaker.service import Verdict, make_plan, plan_work
from boardmaker.service.counting.tally import count_work

pytestmark = pytest.mark.slow

GREEK_AND_CYRILLIC = ["Αριστερό κάλυμμα", "Правый обтекатель", "Καπάκι φίλτρου", "Щиток приборов"]


def made(make, bike, **options):
    work = plan_work(bike)
    boards = make(work, **{"boards": 1, **options})  # whether more would be larger is asked where it matters
    assert judge.all_faults(boards.board_file, work) == []
    assert judge.patch_faults(boards.built.sheets) == []
    return boards


@pytest.mark.parametrize(("seed", "panels"), [(1, 4), (3, 28)])
def test_bikes_of_few_and_of_many_panels_give_boards(bike_from, make, seed, panels):
    """Random outlines and holes, some screws through two panels."""
    boards = made(make, bike_from(random_bike_text(seed, panels)), arrange=None if panels < 12 else 0.0)
    assert len({p["hole"] for p in judge.pockets(boards.board_file)}) == len(boards.work.freed)


@pytest.mark.parametrize(("seed", "panels"), [(11, 5), (13, 14)])
def test_board_plan_and_tally_count_the_same(bike_from, make, seed, panels):
    """One pocket each, one judgement: holes of the pockets, of the steps both ways; kinds of the tally; also riders."""
    boards = made(make, bike_from(noted_bike_text(seed, panels)))
    pockets = judge.pockets(boards.board_file)
    plan = make_plan(boards.work)
    steps = (plan.removal, plan.refit)
    out, back = ([one.hole_key for step in way for group in step.groups for one in group.freed] for way in steps)
    assert Counter(pocket["hole"] for pocket in pockets) == Counter(out) == Counter(back)
    kinds = Counter(pocket["fastener"] for pocket in pockets)
    assert kinds == {kind.fastener.key: kind.count for kind in count_work(boards.work).kinds}


def test_greek_and_cyrillic_names_are_printed(bike_from, make):
    """The names stand on the board as they were written."""
    boards = made(make, bike_from(random_bike_text(5, 6, names=GREEK_AND_CYRILLIC)))
    texts = " ".join(
        label["text"] for board in boards.board_file["boards"] for i in board["items"] for label in i["labels"]
    )
    assert all(word in texts for name in GREEK_AND_CYRILLIC for word in name.split())


def test_other_scripts_are_replaced_by_the_key(bike_from, make):
    """The shipped font has no such letters, so the panel's key stands in for its name."""
    panel = "  deckel: { name: 座席カバー, side: left, holes: [ { at: [0, 0], fastener: A } ] }"
    boards = made(make, bike_from(bike_text(panel)))
    (item,) = judge.panel_items(boards.board_file["boards"][0])
    assert "deckel" in item["labels"][0]["text"]


def test_a_bike_without_outlines_gives_a_board(bike_from, make):
    """Rounded outlines are drawn around the holes."""
    made(make, bike_from(random_bike_text(6, 8, with_outlines=False)))


def test_18_screws_on_a_small_panel_keep_finger_room(bike_from, make):
    """Room for fingers: 18 screws on 200 x 120 mm; pockets move, the figure grows, nothing is dropped. 1:4 is 1:4."""
    boards = made(make, bike_from(small_panel_with_many_screws()), scale=0.25)
    assert len(judge.pockets(boards.board_file)) == 18
    assert boards.board_file["scale"] == 0.25


@pytest.mark.parametrize("material", ["foam board", "corrugated plastic", "plywood", "hardboard", "cork"])
def test_pocket_holes_follow_the_material(bike_from, make, material):
    """0.85 x thread in what gives way, the thread in corrugated plastic, ISO 273 medium (6.6 for M6) in wood."""
    bike = bike_from(bike_text("  p: { name: P, side: left, holes: [ { at: [0, 0], fastener: A } ] }"))
    boards = made(make, bike, setup=Setup(board=BoardSetup(material=material)), print_as="whole")
    expected = {"foam board": 5.1, "cork": 5.1, "corrugated plastic": 6.0, "plywood": 6.6, "hardboard": 6.6}[material]
    assert [p["hole_diameter"] for p in judge.pockets(boards.board_file)] == [expected]


def test_a_screw_that_must_not_go_in_is_marked_and_named(bike_from, make):
    """Wrong screws are marked: at the pocket, in the board file, and in the title block."""
    panel = """  p: { name: Tank cover, side: left, holes: [
    { at: [0, 0], fastener: C, into: threaded insert, stack: 3, depth: 9, room: 5, behind: fuel tank },
    { at: [90, 0], fastener: C, into: threaded insert, stack: 3, depth: 9, room: 13, behind: fuel tank } ] }"""
    boards = made(make, bike_from(bike_text(panel)))
    assert [one.fit.verdict for one in boards.work.freed] == [Verdict.MUST_NOT, Verdict.FITS]
    items = boards.board_file["boards"][0]["items"]
    (panel_item,) = judge.panel_items(boards.board_file["boards"][0])
    assert [p["number"] for p in panel_item["pockets"] if "must_not" in p] == [1]
    assert any("✖" in label["text"] for label in panel_item["labels"])
    title = next(item for item in items if item["kind"] == "title")
    assert any("Tank cover 1: screw C must not go back in" in label["text"] for label in title["labels"])


def test_a_job_without_panels_gives_a_board_with_its_torque_card(bike_from, make):
    """An oil change may need no panel off at all."""
    panel = "  p: { name: P, side: left, holes: [ { at: [0, 0], fastener: A } ] }"
    rows = "torques: { plug: { what: Sump plug, torque: 32 N·m, jobs: [oil] } }\n"
    bike = bike_from(bike_text(panel, "  oil: { name: Oil }", rows))
    boards = make(plan_work(bike, ["oil"]), boards=1)
    kinds = [item["kind"] for item in boards.board_file["boards"][0]["items"]]
    assert sorted(kinds) == ["title", "torque card"]


def test_several_small_boards_take_what_one_cannot(bike_from, make):
    """As few boards as keep the scale at 1:6; each one says which it is."""
    small = Setup(board=BoardSetup(size=(260.0, 200.0)))
    boards = made(make, bike_from(random_bike_text(2, 10)), setup=small, boards=None)
    assert 1 < len(boards.board_file["boards"]) <= 4
    for number, board in enumerate(boards.board_file["boards"], 1):
        assert any(item.get("key") == f"board {number}" for item in board["items"])


def test_a_standard_scale_is_one_of_iso_5455_or_its_half(bike_from, make):
    """ISO 5455:1979 reductions 1:2, 1:5, 1:10, 1:20, 1:50, 1:100, and the halves of these."""
    boards = made(make, bike_from(random_bike_text(1, 4)), scale="standard", print_as="whole")
    assert boards.board_file["scale"] in (1.0, 1 / 2, 1 / 4, 1 / 5, 1 / 10, 1 / 20, 1 / 40, 1 / 50, 1 / 100)


def test_what_cannot_fit_is_refused_with_a_remedy(bike_from, make):
    """One board of 100 x 100 mm holds no ten panels at 1:2."""
    with pytest.raises(ProblemsFound) as found:
        make(
            plan_work(bike_from(random_bike_text(2, 10))),
            Setup(board=BoardSetup(size=(120.0, 100.0))),
            scale=0.5,
            boards=1,
        )
    assert "do not fit" in found.value.problems[0].message
    assert "--board" in found.value.problems[0].hint
