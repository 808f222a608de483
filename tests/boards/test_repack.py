"""Boards packed again: sound, near their old places, and from the board file alone."""

from __future__ import annotations

import json
import math
import re
import shutil

import board_judge as judge
import pytest
from bikes import random_bike_text
from click.testing import CliRunner

from boardmaker.boards.board_file.reading import changed_since, read_board_file
from boardmaker.command_line import boardmaker
from boardmaker.command_line import run as run_program
from boardmaker.commands.common import demo_folder
from boardmaker.inputs import read_bike
from boardmaker.problems import ProblemsFound
from boardmaker.service import plan_work

pytestmark = pytest.mark.slow

WHOLE = ("--print", "whole")  # where no tile is looked at: seams take their time
SCOOTER = "murmelo-140-scooter.yaml"


@pytest.fixture(scope="module")
def scooter_set(tmp_path_factory, once):
    """A scooter's boards with the bike file gone."""

    def made():
        folder = tmp_path_factory.mktemp("made")
        run("board", demo_folder() / SCOOTER, "--effort", "quick", "--out", folder)
        return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}

    folder = tmp_path_factory.mktemp("scooter")
    for name, content in once("scooter-set", made).items():
        (folder / name).write_bytes(content)
    return folder


def run(*arguments):
    result = CliRunner().invoke(boardmaker, [str(one) for one in arguments])
    assert result.exit_code == 0, result.output
    return result.output


def read(folder):
    return json.loads((folder / "board.json").read_text(encoding="utf-8"))


def test_packing_again_for_the_same_setup_changes_nothing(scooter_set, tmp_path):
    """Byte for byte, and the words say that everything stays."""
    said = run("repack", scooter_set / "board.json", "--effort", "quick", "--out", tmp_path)
    for name in ("board.json", "sheets.pdf", "board-1.svg", "board-1.dxf"):
        assert (tmp_path / name).read_bytes() == (scooter_set / name).read_bytes(), name
    assert "the scale stays" in said
    assert "moved:" not in said


@pytest.fixture(scope="module")
def small_set(tmp_path_factory, once):
    """A bike file of four random panels, and its boards beside it."""
    folder = tmp_path_factory.mktemp("small")
    (folder / "bike.yaml").write_text(random_bike_text(1, 4), encoding="utf-8")

    def made():
        run("board", *WHOLE, folder / "bike.yaml", "--boards", "1", "--effort", "quick", "--out", folder)
        return (folder / "board.json").read_bytes()

    (folder / "board.json").write_bytes(once("small-set", made))
    return folder


@pytest.mark.parametrize(
    "options",
    [
        ("--case", "600 x 400 mm"),
        ("--case", "330 x 260 mm"),
        ("--board", "24 x 18 in", "--boards", "1"),
        ("--scale", "1:6"),
        ("--paper", "letter"),
    ],
)
def test_a_board_packed_again_is_right(small_set, tmp_path, options):
    """Everything that always holds, held by the judge; the scale stays where it can."""
    run("repack", *WHOLE, small_set / "board.json", *options, "--effort", "quick", "--out", tmp_path)
    work = plan_work(read_bike(small_set / "bike.yaml")[0])
    assert judge.all_faults(read(tmp_path), work) == []
    if options[0] in ("--board", "--paper") and "--boards" not in options:
        assert read(tmp_path)["scale"] == read(small_set)["scale"]


def panels_of(boards):
    """By key of each panel its turn and the middle of its outline in shares of its board's width and height."""
    found = {}
    for board in boards:
        for item in board["items"]:
            if item["kind"] == "panel":
                xs, ys = zip(*item["outline"], strict=True)
                middle = (min(xs) + max(xs)) / 2 / board["stock"][0], (min(ys) + max(ys)) / 2 / board["stock"][1]
                found[item["key"]] = item["turn"], middle
    return found


@pytest.mark.parametrize(
    ("boards", "options"),
    [("scooter_set", ("--board", "20 x 22 in")), ("small_set", ("--case", "420 x 330 mm"))],
)
def test_panels_stay_near_their_places_and_as_they_are_turned(request, tmp_path, boards, options):
    """In shares of the board; without windows they were 0.27 of a board off in the mean, half of them turned."""
    made = request.getfixturevalue(boards)
    run("repack", *WHOLE, made / "board.json", *options, "--effort", "quick", "--out", tmp_path)
    before, after = panels_of(read(made)["boards"]), panels_of(read(tmp_path)["boards"])
    off = [math.dist(before[key][1], after[key][1]) for key in before]
    assert math.fsum(off) / len(off) < 0.2
    assert sum(before[key][0] != after[key][0] for key in before) <= 1


def test_two_boards_become_one_that_is_like_both(small_set, tmp_path):
    """A panel's place on the one board is about where it was on its own, so left ones stay left."""
    run("board", *WHOLE, small_set / "bike.yaml", "--boards", "2", "--effort", "quick", "--out", tmp_path / "two")
    run("repack", *WHOLE, tmp_path / "two/board.json", "--boards", "1", "--effort", "quick", "--out", tmp_path / "one")
    assert len(read(tmp_path / "two")["boards"]) == 2
    before, after = panels_of(read(tmp_path / "two")["boards"]), panels_of(read(tmp_path / "one")["boards"])
    assert len(read(tmp_path / "one")["boards"]) == 1
    off = [math.dist(before[key][1], after[key][1]) for key in before]
    assert math.fsum(off) / len(off) < 0.25


def test_so_many_boards_as_are_said_to_keep_the_scale_keep_it(small_set, tmp_path):
    """Found by trying; with nothing said there would be no way."""
    small = (*WHOLE, "--board", "20 x 15 in", "--effort", "quick", "--out", tmp_path)
    said = run("repack", small_set / "board.json", *small)
    boards = re.search(r"the scale changes from .*; --boards (\d+) keeps it", said)[1]
    assert "the scale stays" in run("repack", small_set / "board.json", *small, "--boards", boards)


def test_a_larger_board_moves_nothing_and_a_changed_bike_file_is_said(scooter_set, tmp_path):
    """All figures keep their places by the middle of the board; the board file's own bike is taken all the same."""
    shutil.copy(scooter_set / "board.json", tmp_path)
    bike = (demo_folder() / SCOOTER).read_text(encoding="utf-8")
    (tmp_path / SCOOTER).write_text(bike.replace("Murmelo 140 Scooter", "Murmelo 140 Other"), encoding="utf-8")
    said = run("repack", *WHOLE, tmp_path / "board.json", "--board", "900 x 600 mm", "--out", tmp_path / "again")
    assert "moved:" not in said
    assert "has changed since this board was made" in said
    again = read(tmp_path / "again")
    assert again["bike"]["name"] == "Murmelo 140 Scooter"
    assert again["scale"] == read(scooter_set)["scale"]
    assert judge.all_faults(again, plan_work(read_bike(demo_folder() / SCOOTER)[0])) == []


def test_the_board_file_is_enough(scooter_set, tmp_path):
    """A bike file that is nowhere to be found is said, and the boards are the same."""
    kept = read(scooter_set)
    kept["bike"]["file"] = "gone.yaml"
    (tmp_path / "board.json").write_text(json.dumps(kept), encoding="utf-8")
    said = run("repack", *WHOLE, tmp_path / "board.json", "--effort", "quick", "--out", tmp_path / "again")
    assert "gone.yaml is not here" in said
    assert read(tmp_path / "again")["boards"] == read(scooter_set)["boards"]


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("", "no JSON"),
        ("[]", "no board file"),
        ("{}", "no board file of format 1"),
        ('{"format": 1, "boards": []}', "at bike"),
        ('{"format": 1, "boards": NaN}', "no JSON"),
        ("[" * 100_000, "no JSON"),
    ],
)
def test_what_is_no_board_file_is_refused(tmp_path, content, words):
    """Each with its reason and what would help."""
    path = tmp_path / "board.json"
    path.write_text(content, encoding="utf-8")
    with pytest.raises(ProblemsFound, match=words):
        read_board_file(path)


@pytest.mark.parametrize(
    ("key", "value", "words"),
    [
        ("scale", 0, "scale"),
        ("scale", 7, "scale"),
        ("boards", [], "no boards"),
        ("setup", {"board": {"size": [-3, 5]}}, "out of all reason"),
        ("setup", {"board": {"clearance": 508}}, "clearance between two figures"),
    ],
)
def test_a_damaged_board_file_is_refused(scooter_set, tmp_path, key, value, words):
    """Numbers that cannot be are found before they do harm."""
    path = tmp_path / "board.json"
    path.write_text(json.dumps(read(scooter_set) | {key: value}), encoding="utf-8")
    with pytest.raises(ProblemsFound, match=words):
        read_board_file(path)


@pytest.mark.parametrize(
    ("way", "value", "words"),
    [
        (("fasteners", 0, "length"), 1e308, "at bike.model.fasteners.0.length: 1e\\+308 is out of all reason"),
        (("fasteners", 0, "length"), -16.0, "at bike.model.fasteners.0.length: -16 is less than nought"),
        (("fasteners", 0, "thread", "diameter"), 0.0, "nought is no diameter"),
        (("panels", -1, "holes", 0, "at", 0), -1e9, "holes.0.at.0: -1e\\+09 is out of all reason"),
        (("torques", 0, "torque", "stages"), [], "torques.0.torque: there is no torque"),
        (("torques", 0, "torque", "stages", 0, "low_nm"), None, "there is no torque"),
        (("torques", 0, "torque", "stages", 0, "high_nm"), 0.5, "neither a torque from low to high nor an angle"),
        (("torques", 0, "torque", "stages", 0, "low_nm"), 1e308, "is out of all reason|neither"),
        (("torques", 0, "count"), -1, "count: -1 is less than nought"),
    ],
)
def test_an_edited_bike_in_a_board_file_is_refused(scooter_set, tmp_path, way, value, words):
    """Of the right type and still impossible: it would end in a fault, or be drawn for minutes."""
    content = read(scooter_set)
    *above, last = way
    thing = content["bike"]["model"]
    for key in above:
        thing = thing[key]
    thing[last] = value
    (tmp_path / "board.json").write_text(json.dumps(content), encoding="utf-8")
    with pytest.raises(ProblemsFound, match=words):
        read_board_file(tmp_path / "board.json")


def edited(scooter_set, folder, way, value):
    """A board file with another value at the end of a way."""
    content = read(scooter_set)
    *above, last = way
    thing = content
    for key in above:
        thing = thing[key]
    thing[last] = value(thing[last]) if callable(value) else value
    path = folder / "board.json"
    path.write_text(json.dumps(content), encoding="utf-8")
    return path


def many(entry, count, key="key"):
    """An entry so many times, each with a key of its own."""
    return [entry | {key: f"x{number}"} for number in range(count)]


MODEL = ("bike", "model")
PANEL = (*MODEL, "panels", -1)


@pytest.mark.parametrize(
    ("way", "value", "words"),
    [
        (("bike", "file"), "x" * 5000, "bike.file: the name of a file is not so long"),
        (("bike", "file"), "x" * 256, "the name of a file is not so long"),
        (("bike", "name"), "\ud800", "bike.name: this text has a character that is not for printing"),
        ((*PANEL, "name"), "\x1b[31m", "name: this text has a character that is not for printing"),
        ((*PANEL, "holes", 0, "note"), "a\0b", "note: this text has a character that is not for printing"),
        ((*PANEL, "holes", 0, "fastener"), "Z9", 'there is no fastener "Z9"'),
        ((*PANEL, "holes", 0, "also_holds"), ["boot"], 'there is no panel "boot"'),
        ((*PANEL, "holes", 0, "equipment"), {"absent": ["wings"]}, 'there is no equipment "wings"'),
        ((*PANEL, "after"), ["boot"], 'there is no panel "boot"'),
        ((*PANEL, "view"), lambda view: "top" if view == "side" else "side", "panel is not seen from the"),
        ((*PANEL, "rides_on"), "boot", 'there is no panel "boot"'),
        ((*PANEL, "holes"), lambda holes: holes * 11, "is there 11 times"),
        ((*PANEL, "outline"), lambda ring: [[2600.0, 0.0], *ring], "crosses itself|is not the outline of panel"),
        ((*PANEL, "outline"), lambda ring: ring * 100, "points|crosses itself"),
        ((*PANEL, "key"), "boot", "there is no panel"),
        ((*MODEL, "jobs", 0, "remove"), ["boot"], 'there is no panel "boot"'),
        ((*MODEL, "torques", 0, "jobs"), ["fly"], 'there is no job "fly"'),
        ((*MODEL, "fasteners"), lambda ones: [*ones, ones[0]], "is there 2 times"),
        (("bike", "jobs"), ["fly"], 'there is no job "fly"'),
        (("bike", "equipment"), ["wings"], 'there is no equipment "wings"'),
        (("boards", 0, "items", 0), lambda item: item | {"kind": "panel", "key": "x" * 900}, "there is no panel"),
        (
            ("boards", 0, "items", 0, "outline"),
            lambda ring: [["nan", 0.0], *ring],
            "outline.0.0: nan is out of all reason",
        ),
        (("boards", 0, "items", 0, "zone"), lambda ring: [*ring, [0.0, 1e308]], "1e\\+308 is out of all reason"),
        (("boards", 0, "items", 0, "at", 0), "inf", "items.0.at.0: inf is out of all reason"),
        (("boards", 0, "items", 0, "zone"), lambda ring: ring * 2001, "more than 2000 points around one thing"),
        (("setup", "case"), {"inside": [560, 400], "keep_out": [{"at": [5, 5], "size": [9, 9]}] * 51}, "51 keep-outs"),
        (
            ("setup", "cases"),
            [["lid", {"inside": [560, 400], "keep_out": [{"at": [5, 5], "size": [9, 9]}] * 51}]],
            "at setup.cases.lid: the case has 51 keep-outs",
        ),
        (("boards",), lambda boards: boards * 21, "more than 20 boards"),
        ((*MODEL, "panels"), lambda panels: [*panels, *many(panels[-1], 500)], "at bike.model.panels: more than 500"),
        ((*MODEL, "jobs"), lambda jobs: many(jobs[0], 501), "at bike.model.jobs: more than 500 entries"),
        ((*PANEL, "holes"), lambda holes: many(holes[0], 2001, "id"), "holes, more than 2000"),
        ((*MODEL, "torques", 0, "jobs"), lambda jobs: jobs * 4001, "torque rows together, more than 4000"),
    ],
)
def test_what_names_nothing_is_refused_before_any_work(scooter_set, tmp_path, way, value, words, capsys):
    """One error, exit 1, and nothing of the file acts on the screen."""
    path = edited(scooter_set, tmp_path, way, value)
    with pytest.raises(ProblemsFound, match=words):
        read_board_file(path)
    assert run_program(["repack", str(path), "--out", str(tmp_path / "out")]) == 1
    said = capsys.readouterr().err
    assert said.count("error: ") == 1
    assert "internal fault" not in said
    assert said.replace("\n", "").isprintable()


@pytest.mark.parametrize("other", ["a folder", "a loop", "unreadable", "large"])
def test_a_neighbour_of_the_bikes_name_that_is_no_bike_does_no_harm(scooter_set, tmp_path, other):
    """The board file has the bike; what lies beside it is only compared."""
    path = edited(scooter_set, tmp_path, ("bike", "file"), "beside.yaml")
    beside = tmp_path / "beside.yaml"
    if other == "a folder":
        beside.mkdir()
    elif other == "a loop":
        beside.symlink_to(beside)
    else:
        beside.write_bytes(b"#" * (2_000_000 if other == "large" else 10))
        beside.chmod(0o600 if other == "large" else 0)
    found, changed = changed_since(read_board_file(path).bike, [beside])
    assert changed == (found is not None)
    assert (found is None) == (other in ("a folder", "a loop")) or other == "unreadable"


def test_a_setup_of_an_edited_board_file_is_refused(scooter_set, tmp_path):
    """A printer's margin of less than nothing."""
    content = read(scooter_set)
    content["setup"]["printer"]["margins"]["right"] = -1
    (tmp_path / "board.json").write_text(json.dumps(content), encoding="utf-8")
    with pytest.raises(ProblemsFound, match=r"at setup.printer.margins.right: -1 is less than nought"):
        read_board_file(tmp_path / "board.json")
