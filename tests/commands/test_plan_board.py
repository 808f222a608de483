"""`plan --board`: the plan for a board that is there already."""

from __future__ import annotations

import json

import pytest
from bikes import bike_text

from boardmaker.command_line import run

PANELS = """
  lid:
    name: Lid
    side: left
    holes:
      - { at: [0, 0], fastener: A }
      - { at: [0, 40], fastener: C, with: [audio] }
      - { at: [0, 80], fastener: B }
  tail: { name: Tail, side: right, holes: [ { at: [0, 0], fastener: A } ] }
"""
JOBS = "  oil: { name: Oil, remove: [lid] }\n  lamp: { name: Lamp, remove: [tail] }"
EQUIPMENT = "equipment: { audio: Speakers, rack: Luggage rack }\n"


@pytest.fixture(scope="module")
def bench(tmp_path_factory):
    """A folder with a bike file and its boards: with all equipment, and without the speakers for one job."""
    folder = tmp_path_factory.mktemp("bench")
    (folder / "bike.yaml").write_text(bike_text(PANELS, JOBS, EQUIPMENT), encoding="utf-8")
    for name, more in (("all", []), ("quiet", ["--without", "audio", "--job", "oil"])):
        words = ["board", str(folder / "bike.yaml"), "--effort", "quick", "--out", str(folder / name), "--quiet", *more]
        assert run(words) == 0
    return folder


def plan_of(folder, out, *words):
    assert run(["plan", *map(str, words), "--out", str(out)]) == 0
    return (out / "plan.md").read_text(encoding="utf-8")


@pytest.mark.parametrize(("board", "count"), [("all", 4), ("quiet", 2)])
def test_a_board_file_alone_gives_its_own_plan(bench, tmp_path, capsys, board, count):
    """Its bike, jobs and equipment: every pocket under its number."""
    file = bench / board / "board.json"
    text = plan_of(bench, tmp_path, "--board", file)
    assert f"{count} fasteners come out." in text
    assert "Pockets and numbers: those of board.json.\n" in text
    said = capsys.readouterr()
    assert "Pockets and numbers: those of board.json.\n" in said.out
    assert said.err == ""
    pockets = [
        f"{pocket['number']} {pocket['fastener']}"
        for one in json.loads(file.read_text(encoding="utf-8"))["boards"]
        for item in one["items"]
        if item["kind"] == "panel"
        for pocket in item["pockets"]
    ]
    rows = (tmp_path / "plan.csv").read_text(encoding="utf-8").splitlines()
    planned = [row.split(",")[8] for row in rows if row.startswith("fastener")]
    assert sorted(planned) == sorted(pockets)


def test_the_bike_file_beside_it_is_taken_as_the_board_was_made(bench, tmp_path, capsys):
    """What is not asked for is the board's; what is asked for wins, and is told."""
    board = bench / "quiet" / "board.json"
    assert "2 fasteners come out." in plan_of(bench, tmp_path, bench / "bike.yaml", "--board", board)
    assert capsys.readouterr().err == ""
    text = plan_of(bench, tmp_path, bench / "bike.yaml", "--board", board, "--with", "audio", "--job", "lamp")
    assert "1 fastener comes out." in text
    assert "- **Without a pocket on board.json: T 1 A.**\n" in text
    assert (
        "warning: The numbers of this plan are not those of board.json: the board was made" in capsys.readouterr().err
    )
    text = plan_of(bench, tmp_path, bench / "bike.yaml", "--board", board, "--with", "audio")
    assert "- **✖ The numbers of this plan are not those of board.json: the board was made without Speakers," in text
    assert "- **Other numbers: L 3 B is 2 B there.**\n" in text


def test_what_the_command_says_makes_them_agree(bench, tmp_path, capsys):
    """The words of both ways out are typed as they stand."""
    text = plan_of(bench, tmp_path, "--board", bench / "all" / "board.json", "--without", "audio")
    told = [line.partition("boardmaker ")[2].rstrip("*").split() for line in text.splitlines() if "boardmaker " in line]
    assert [words[0] for words in told] == ["plan", "board"]
    assert told[0] == ["plan", "--board", "board.json"]
    assert told[1] == ["board", "bike.yaml", "--without", "audio"]
    assert (
        run(["board", str(bench / "bike.yaml"), *told[1][2:], "--effort", "quick", "--out", str(tmp_path / "b")]) == 0
    )
    again = plan_of(bench, tmp_path / "p", bench / "bike.yaml", *told[1][2:], "--board", tmp_path / "b" / "board.json")
    assert "Pockets and numbers: those of board.json.\n" in again


def test_equipment_that_the_board_was_made_without_needs_the_bike_file(bench, tmp_path, capsys):
    """The board file holds no screws of it."""
    words = ["plan", "--board", str(bench / "quiet" / "board.json"), "--with", "audio", "--out", str(tmp_path)]
    assert run(words) == 1
    said = capsys.readouterr().err
    assert "does not hold the panels and screws of audio" in said
    assert "name the bike file: boardmaker plan bike.yaml --board" in said
    assert not [*tmp_path.iterdir()]


def test_a_board_file_without_its_bike_asks_for_it(bench, tmp_path, capsys):
    """And takes it."""
    content = json.loads((bench / "all" / "board.json").read_text(encoding="utf-8"))
    del content["bike"]["model"]
    (tmp_path / "board.json").write_text(json.dumps(content), encoding="utf-8")
    assert run(["plan", "--board", str(tmp_path / "board.json"), "--out", str(tmp_path / "out")]) == 1
    assert "does not hold the bike" in capsys.readouterr().err
    text = plan_of(bench, tmp_path / "out", bench / "bike.yaml", "--board", tmp_path / "board.json")
    assert "Pockets and numbers: those of board.json.\n" in text


def test_a_file_that_is_no_board_is_refused(bench, tmp_path, capsys):
    """Before anything is written."""
    assert run(["plan", "--board", str(bench / "bike.yaml"), "--out", str(tmp_path)]) == 1
    assert "this is no" in capsys.readouterr().err
    assert not [*tmp_path.iterdir()]
