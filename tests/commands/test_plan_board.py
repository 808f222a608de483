"""`plan --board`: the plan for a board that is there already."""

from __future__ import annotations

import csv
import json
import re

import pypdfium2
import pytest
from bikes import EQUIPMENT, LID_AND_TAIL, LID_AND_TAIL_JOBS, bike_text

from boardmaker.command_line import run

pytestmark = pytest.mark.slow

QUICK = ["--effort", "quick", "--boards", "1", "--arrange", "0", "--print", "whole", "--board", "300 x 200 mm"]


@pytest.fixture(scope="module")
def bench(tmp_path_factory):
    """A folder with a bike file and its boards: with all equipment, and without the speakers for one job."""
    folder = tmp_path_factory.mktemp("bench")
    (folder / "bike.yaml").write_text(bike_text(LID_AND_TAIL, LID_AND_TAIL_JOBS, EQUIPMENT), encoding="utf-8")
    for name, more in (("all", []), ("quiet", ["--without", "audio", "--job", "oil"])):
        words = ["board", str(folder / "bike.yaml"), *QUICK, "--out", str(folder / name), "--quiet", *more]
        assert run(words) == 0
    return folder


def plan_of(folder, out, *words):
    assert run(["plan", *map(str, words), "--out", str(out)]) == 0
    return (out / "plan.md").read_text(encoding="utf-8")


def squares_of(file):
    """The square of each hole's pocket, as the board file has it."""
    boards = json.loads(file.read_text(encoding="utf-8"))["boards"]
    items = [item for board in boards for item in board["items"] if item["kind"] == "panel"]
    return {pocket["hole"]: pocket["square"] for item in items for pocket in item["pockets"]}


def words_of(pdf):
    """The text of all pages, line by line."""
    pages = pypdfium2.PdfDocument(pdf)
    return "\n".join(page.get_textpage().get_text_range().replace("\r\n", "\n") for page in pages)


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
    assert f"- **Other numbers: L 3 B is 2 B there (board 1, {squares_of(board)['lid/3']}).**\n" in text


def test_what_the_command_says_makes_them_agree(bench, tmp_path, capsys):
    """The words of both ways out are typed as they stand."""
    text = plan_of(bench, tmp_path, "--board", bench / "all" / "board.json", "--without", "audio")
    told = [line.partition("boardmaker ")[2].rstrip("*").split() for line in text.splitlines() if "boardmaker " in line]
    assert [words[0] for words in told] == ["plan", "board"]
    assert told[0] == ["plan", "--board", "board.json"]
    assert told[1] == ["board", "bike.yaml", "--without", "audio"]
    assert run(["board", str(bench / "bike.yaml"), *told[1][2:], *QUICK, "--out", str(tmp_path / "b")]) == 0
    again = plan_of(bench, tmp_path / "p", bench / "bike.yaml", *told[1][2:], "--board", tmp_path / "b" / "board.json")
    assert "Pockets and numbers: those of board.json.\n" in again


def test_the_screen_names_files_as_they_were_typed(bench, tmp_path, capsys):
    """With their folder, and quotes where a name has a space: what is said can be typed as it stands."""
    folder = tmp_path / "my boards"
    folder.mkdir()
    (folder / "board.json").write_bytes((bench / "all" / "board.json").read_bytes())
    plan_of(bench, tmp_path / "out", bench / "bike.yaml", "--board", folder / "board.json", "--without", "audio")
    said = capsys.readouterr().err
    assert f"boardmaker plan --board '{folder / 'board.json'}' or a board" in said
    assert f"boardmaker board {bench / 'bike.yaml'} --without audio" in said


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


def test_the_plan_says_where_on_the_board_each_pocket_is(bench, tmp_path):
    """Line, table, tag: the square of the board file; nothing where figures were cut out and may lie anywhere."""
    file = bench / "all" / "board.json"
    squares = squares_of(file)
    text = plan_of(bench, tmp_path, "--board", file)
    for pocket, hole in (("1 A", "lid/1"), ("2 C", "lid/2"), ("3 B", "lid/3")):
        # Out and in; a pocket of that name on another panel may lie in the same square.
        assert len(re.findall(rf"pocket {pocket}, board 1, {squares[hole]}\b", text)) in (2, 4)
    with (tmp_path / "plan.csv").open(encoding="utf-8", newline="") as table:
        rows = [row for row in csv.DictReader(table) if row["row"] == "fastener"]
    assert {f"{row['panel']}/{row['hole']}": row["square"] for row in rows} == squares
    assert {row["board"] for row in rows} == {"1"}
    printed = words_of((tmp_path / "plan.pdf").read_bytes())
    lid = ", ".join(dict.fromkeys(squares[hole] for hole in ("lid/1", "lid/2", "lid/3")))
    assert f"\non board 1, {lid}" in printed
    assert f"pocket 1 A, board 1, {squares['lid/1']}" in printed
    loose = json.loads(file.read_text(encoding="utf-8")) | {"sheets": []}
    (tmp_path / "board.json").write_text(json.dumps(loose), encoding="utf-8")
    assert "board 1" not in plan_of(bench, tmp_path, "--board", tmp_path / "board.json")


def test_the_order_page_names_the_squares_of_the_board_file(bench):
    """Each pocket by its number."""
    squares = squares_of(bench / "all" / "board.json")
    printed = words_of((bench / "all" / "sheets.pdf").read_bytes())
    runs = re.findall(r"(\d(?:, \d)*) [A-Z] \(([A-Z]\d)\)", printed)
    told = {(int(number), square) for numbers, square in runs for number in numbers.split(", ")}
    assert {(number, squares[f"lid/{number}"]) for number in (1, 2, 3)} | {(1, squares["tail/1"])} <= told
