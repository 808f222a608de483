"""What always holds, recomputed with shapely from the board files of the demo bikes."""

from __future__ import annotations

import copy
import re

import board_judge as judge
import pytest

from boardmaker.display_list import Text
from boardmaker.figures.pockets import WantedPocket, leader_faults
from boardmaker.inputs import override_setup
from boardmaker.model import Setup
from boardmaker.service import Verdict
from boardmaker.sheets import BoardOnPaper, lay_sheets

pytestmark = pytest.mark.slow


def test_what_always_holds(demo):
    """One pocket each, clear of each other, room for fingers, no gap on paper, labels keep off; numbers, places."""
    assert judge.all_faults(demo.board_file, demo.work) == []


def test_the_page_map_and_the_patches_agree(demo):
    """Every patch of the map is printed, and the other way round; none lies within another. A4 and letter."""
    assert judge.patch_faults(demo.built.sheets) == []
    setup = override_setup(Setup(), board=None, case=None, paper="letter")
    boards = [BoardOnPaper(one.drawing, one.shape.outline, one.placed, one.grid) for one in demo.built.boards]
    assert judge.patch_faults(lay_sheets(boards, demo.work, demo.built.scale, setup)) == []


def test_the_first_page_names_each_panel_with_the_sheets_of_its_pockets(demo):
    """By the board itself: every pocket is on one of the sheets that are named, and each of these has one."""
    sheets = demo.built.sheets
    told = " ".join(item.text for item in sheets.pages[0].items if isinstance(item, Text))
    panels = [one.figure for board in demo.built.boards for one in board.placed if one.figure.kind == "panel"]
    assert {figure.key for figure in panels} == {one.panel.key for one in demo.work.freed}
    for figure in panels:
        tag, name = (" ".join(line.text for line in label.lines if line.height > 3.0) for label in figure.labels[:2])
        said = re.search(rf"{re.escape(name)} {re.escape(tag)}: (\d+(?:, \d+)*(?: and \d+)?)", told)
        assert said, name
        numbers = {int(number) for number in re.findall(r"\d+", said[1])}
        on = {one.page: [p for p in figure.pockets if _shows(one.window, p.at)] for one in sheets.tiles}
        assert all(on[number] for number in numbers)
        assert {p.hole for number in numbers for p in on[number]} == {p.hole for p in figure.pockets}


def _shows(window, at):
    return all(low <= place <= high for place, low, high in zip(at, window[:2], window[2:], strict=True))


def test_no_leader_passes_under_a_head_or_crosses_another(demo):
    """A leader that crosses nothing is one that can be followed."""
    for board in demo.board_file["boards"]:
        for item in judge.panel_items(board):
            spots = [WantedPocket(tuple(p["true_at"]), p["head_diameter"] / 2) for p in item["pockets"]]
            assert leader_faults(spots, [tuple(p["at"]) for p in item["pockets"]]) == 0, item["key"]


def test_text_is_large_enough(demo):
    """Labels keep off: capitals of 2.0 mm or more."""
    heights = [
        words.height
        for board in demo.built.boards
        for placed in board.placed
        for label in placed.figure.labels
        for words in label.lines
    ]
    assert min(heights) >= 2.0


def test_no_demo_screw_is_wrong_for_its_hole(demo):
    """The bundled bikes are consistent in themselves."""
    assert [one.hole_key for one in demo.work.freed if one.fit.verdict >= Verdict.DOUBTFUL] == []


@pytest.mark.parametrize("stem", ["kestmark-590-naked", "murmelo-140-scooter"])
def test_the_demo_boards_are_exploded_views_of_their_bikes(made_demo, stem):
    """Even a twentieth of a quick search gets there, from this seed: everything on its side, high ones high."""
    made = made_demo(stem, arrange=None, print_as="whole", seed=1)
    assert judge.all_faults(made.board_file, made.work) == []
    reading = made.board_file["reading"]
    assert reading["mean"] >= 0.8
    assert reading["side"] >= 0.95
    assert reading["height"] >= 0.75


def _spoil_reading(board_file):
    board_file["reading"]["twins"] = 1.0


def _spoil_pocket(board_file):
    board_file["boards"][0]["items"][0]["pockets"][0]["hole"] = "nowhere/1"


def _spoil_zone(board_file):
    first, second = board_file["boards"][0]["items"][:2]
    second["zone"] = first["zone"]


def _spoil_head(board_file):
    item = next(i for i in judge.panel_items(board_file["boards"][0]) if len(i["pockets"]) > 1)
    item["pockets"][1]["at"] = [item["pockets"][0]["at"][0] + 3.0, item["pockets"][0]["at"][1]]


def _spoil_scale(board_file):
    board_file["scale"] *= 0.97


def _spoil_label(board_file):
    item = judge.panel_items(board_file["boards"][0])[0]
    x, y = item["pockets"][0]["at"]
    item["labels"][0]["box"] = [x - 2, y - 2, x + 2, y + 2]


def _spoil_number(board_file):
    judge.panel_items(board_file["boards"][0])[0]["pockets"][0]["number"] = 99


def _spoil_window(board_file):
    board_file["sheets"].pop(0)  # a tile: patches, which come last, show nothing that tiles do not


@pytest.mark.parametrize(
    "spoil",
    [_spoil_pocket, _spoil_zone, _spoil_head, _spoil_scale, _spoil_label, _spoil_number, _spoil_window, _spoil_reading],
)
def test_the_judge_can_find_fault(scooter, spoil):
    """Each kind of fault, planted, is found."""
    spoilt = copy.deepcopy(scooter.board_file)
    spoil(spoilt)
    assert judge.all_faults(spoilt, scooter.work) != []


def _spoil_leader(board_file):
    item = judge.panel_items(board_file["boards"][0])[0]
    x, y = item["pockets"][0]["at"]
    item["leaders"].append([[x - 20, y + 1], [x + 20, y + 1]])


def _spoil_crossing(board_file):
    judge.panel_items(board_file["boards"][0])[0]["leaders"] += [[[-90, -90], [-80, -80]], [[-90, -80], [-80, -90]]]


def _spoil_outline(board_file):
    outline = judge.panel_items(board_file["boards"][0])[0]["outline"]
    (x, y), (end_x, end_y) = outline[:2]
    outline[1:1] = [[end_x, end_y], [(x + end_x) / 2, (y + end_y) / 2]]


def _spoil_mark(board_file):
    board = board_file["boards"][0]
    mark = copy.deepcopy(next(item for item in board["items"] if item["kind"] == "title"))
    board["items"].append(mark | {"key": "board 1", "zone": [[x - 900.0, y] for x, y in mark["zone"]]})


def _maps_of(board_file):
    """The picture of the bike: one of all views, or one for each."""
    return [item for board in board_file["boards"] for item in board["items"] if item["kind"] == "bike map"]


def _map_of(board_file):
    return _maps_of(board_file)[0]


def _spoil_map_place(board_file):
    _map_of(board_file)["zone"] = board_file["boards"][0]["items"][0]["zone"]


def _spoil_map_label(board_file):
    labels = _map_of(board_file)["labels"]
    labels[0]["box"] = labels[1]["box"]


@pytest.mark.parametrize(
    ("spoil", "find"),
    [
        (_spoil_map_place, judge.zone_faults),
        (_spoil_map_place, judge.claim_faults),
        (_spoil_map_label, judge.label_faults),
        (_spoil_leader, judge.leader_faults),
        (_spoil_crossing, judge.leader_faults),
        (_spoil_outline, judge.drawn_outline_faults),
        (_spoil_mark, judge.zone_faults),
    ],
)
def test_the_judge_finds_this_fault(scooter, spoil, find):
    """By the function that is there for it: a leader under a head, two that cross, a bad outline, a mark outside."""
    spoilt = copy.deepcopy(scooter.board_file)
    assert find(spoilt) == []
    spoil(spoilt)
    assert find(spoilt) != []


def _lose_a_tag(item):
    item["labels"] = [label for label in item["labels"] if label["text"] != "SL"]


def _lose_a_side(item):
    item["labels"] = [label for label in item["labels"] if label["text"] not in ("left", "SL", "FA", "HB", "IS")]


def _turn(item):
    item["turn"] = 90


@pytest.mark.parametrize("spoil", [_lose_a_tag, _lose_a_side, _turn])
def test_the_judge_finds_a_wrong_picture_of_the_bike(scooter, spoil):
    """Upright, with both sides and every tag."""
    spoilt = copy.deepcopy(scooter.board_file)
    assert judge.map_faults(spoilt, scooter.work) == []
    for item in _maps_of(spoilt):
        spoil(item)
    assert judge.map_faults(spoilt, scooter.work) != []
