"""`tally` as the mechanic meets it: the files, the screen, the exit codes."""

from __future__ import annotations

import csv
import io

import pytest
from bikes import bike_text

from boardmaker.command_line import run

PANELS = """  lid:
    name: "=Lid|*"
    side: left
    holes:
      - { at: [0, 0], fastener: K, into: metal thread, stack: 3, depth: 9, room: 10, behind: fuel tank }
      - { at: [50, 0], fastener: B, into: metal thread, base: steel, stack: 3, depth: 14 }
      - { at: [90, 0], fastener: M, into: metal thread, stack: 3, depth: 14 }"""
EXTRA = """  K: { part: ISO 7380-2 - M6 x 12 - 10.9 }
  M: { kind: screw, thread: M6, length: 16, head: { shape: button, diameter: 13 }, drive: T30, with_it: [washer] }
panels:"""
ROWS = "torques: { plug: { what: Sump plug, torque: 20 N·m, renew: sealing washer, jobs: [oil] } }\n"


@pytest.fixture
def bike(tmp_path):
    path = tmp_path / "bike.yaml"
    text = bike_text(PANELS, "  oil: { name: Oil, remove: [lid] }", ROWS)
    path.write_text(text.replace("panels:", EXTRA, 1), encoding="utf-8")
    return path


@pytest.fixture
def tally(bike, tmp_path):
    """Run `tally` for the bike; returns the exit code."""
    return lambda *more: run(["tally", str(bike), "--out", str(tmp_path / "out"), *map(str, more)])


def rows(path):
    return list(csv.DictReader(io.StringIO(path.read_bytes().decode("utf-8"), newline="")))


def visible(folder):
    return sorted(path.name for path in folder.iterdir() if not path.name.startswith("."))


def test_the_tally_is_shown_and_written(tally, tmp_path, capsys):
    """A row a kind on each panel and in all, one for the washer, one for what the torque row renews."""
    assert tally("--job", "oil") == 0
    said = capsys.readouterr().out
    assert "3 fasteners of 3 kinds on 1 panel\n" in said
    assert "one of each kind for every 8 in use" in said
    assert "kept with them: 1 × washer: 1 with M" in said
    found = rows(tmp_path / "out" / "tally.csv")
    assert [(row["scope"], row["key"], row["item"], row["count"]) for row in found] == [
        ("panel", "K", "fastener", "1"),
        ("panel", "B", "fastener", "1"),
        ("panel", "M", "fastener", "1"),
        ("panel", "M", "washer", "1"),
        ("all", "B", "fastener", "1"),
        ("all", "K", "fastener", "1"),
        ("all", "M", "fastener", "1"),
        ("all", "M", "washer", "1"),
        ("torque row", "plug", "sealing washer", "1"),
    ]
    assert found[0]["panel_name"] == "'=Lid|*"
    assert visible(tmp_path / "out") == ["tally.csv"]


def test_two_runs_write_the_same_bytes(tally, tmp_path):
    """And quiet says nothing."""
    files = []
    for _ in range(2):
        assert tally("--quiet") == 0
        files.append((tmp_path / "out" / "tally.csv").read_bytes())
    assert files[0] == files[1]


def test_a_filled_in_bag_list_gives_nothing_missing(tally, tmp_path, capsys):
    """The template, filled with what is needed; the filled one is not overwritten by another --template."""
    assert tally("--template") == 0
    path = tmp_path / "out" / "bag.csv"
    filled = rows(path)
    assert [row["key"] for row in filled] == ["B", "K", "M", "M + washer"]
    lines = [f"{row['key']};{row['needed']}" for row in filled]
    path.write_text("key;count\n" + "\n".join(lines) + "\n", encoding="utf-8")
    assert tally("--bag", path) == 0
    assert "nothing missing, nothing left over" in capsys.readouterr().out
    assert tally("--template") == 1
    assert "was edited since" in capsys.readouterr().err
    assert visible(tmp_path / "out") == ["audit.csv", "bag.csv", "shopping.csv", "tally.csv"]


def test_a_bag_that_lacks_something_is_no_error(tally, tmp_path, capsys):
    """Exit code 0; the long one is not proposed for the hole over the tank."""
    path = tmp_path / "bag.csv"
    path.write_text("key,count\nB,2\nK,0\nM,0\n", encoding="utf-8")
    assert tally("--bag", path) == 0
    said = capsys.readouterr().out
    assert "2 missing, 1 left over" in said
    assert "may stand in: B for M in lid/3" in said
    assert "lid/1" not in said
    assert "for 1 missing K nothing that is left over can stand in" in said
    assert "this list counts none" in said
    bought = rows(tmp_path / "out" / "shopping.csv")
    assert [(row["count"], row["key"]) for row in bought] == [("1", "K"), ("1", "M")]
    assert bought[0]["designation"] == "ISO 7380-2 - M6 x 12 - 10.9"
    assert (bought[1]["thread"], bought[1]["length_mm"], bought[1]["drive"]) == ("M6", "16", "T30")
    assert "left over and fitting: 1 B" in bought[1]["reason"]


def test_an_audit_gives_a_note_that_begins_with_the_tank(tally, tmp_path, capsys):
    """Then the swap, what to buy; the panel's name makes no Markdown of its own."""
    assert tally("--template") == 0
    path = tmp_path / "out" / "audit.csv"
    filled = rows(path)
    assert [row["hole"] for row in filled] == ["lid/1", "lid/2", "lid/3", "others"]
    found = {"lid/1": "B", "lid/2": "K", "lid/3": "missing", "others": ""}
    path.write_text("hole,found\n" + "".join(f"{hole},{what}\n" for hole, what in found.items()), encoding="utf-8")
    assert tally("--job", "oil", "--audit", path) == 0
    said = capsys.readouterr().out
    assert "DANGEROUS: =Lid|*" in said
    note = (tmp_path / "out" / "owner-note.md").read_text(encoding="utf-8")
    sections = [line for line in note.splitlines() if line.startswith("#")]
    assert sections == [
        "# What we found: Test bike",
        "## Dangerous: read this first",
        "## Wrong, but harmless by the bike file's numbers",
        "## Missing",
        "## How it is put right",
        "## To buy",
        "## Before the bike goes back on the road",
    ]
    assert r"=Lid\|\*" in note
    assert "A swap of two explains both: the B in lid/1 and the K in lid/2 change places." in note
    assert "maker's manual comes first" in " ".join(note.split())
    bought = rows(tmp_path / "out" / "shopping.csv")
    assert [(row["count"], row["item"], row["key"]) for row in bought] == [
        ("1", "fastener", "M"),
        ("1", "washer", "M"),
        ("1", "sealing washer", "plug"),
    ]


def test_what_was_not_looked_at_is_said(tally, tmp_path, capsys):
    """On the screen and in the note."""
    path = tmp_path / "audit.csv"
    path.write_text("hole,found\nlid/2,ok\n", encoding="utf-8")
    assert tally("--audit", path) == 0
    said = capsys.readouterr().out
    assert "1 of 3 holes was looked at: 1 right" in said
    assert "2 were not looked at, and nothing is said about them" in said
    assert "Not looked at: lid/1, lid/3." in (tmp_path / "out" / "owner-note.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("option", ["--bag", "--audit"])
def test_hostile_lists_are_refused(tally, tmp_path, capsys, option):
    """A folder, a device, nothing, a header, a NUL, Latin-1: exit code 1, a clear word, nothing written."""
    contents = {
        "empty": b"",
        "header": b"key,hole,found,count\n",
        "nul": b"key,count\nA,\x00\n",
        "latin": b"key\n\xe4\n",
    }
    for name, content in contents.items():
        (tmp_path / name).write_bytes(content)
    for path, words in (
        (tmp_path, "is a folder, not a file"),
        ("/dev/null", "is no ordinary file"),
        (tmp_path / "empt", "did you mean"),
        (tmp_path / "empty", "this file is empty"),
        (tmp_path / "header", ":1:1: error:"),
        (tmp_path / "nul", ":2:1: error: this line has a control character"),
        (tmp_path / "latin", ":2:1: error: line 2 is not UTF-8"),
    ):
        assert tally(option, path) == 1
        said = capsys.readouterr().err
        assert words in said
        assert "internal fault" not in said
    assert not (tmp_path / "out").exists()


def test_one_list_at_a_time(tally, tmp_path, capsys):
    """Wrong usage otherwise."""
    assert tally("--bag", tmp_path, "--audit", tmp_path) == 2
    assert "three jobs" in capsys.readouterr().err


def test_an_audit_may_name_holes_as_the_board_does(tally, tmp_path, capsys):
    """One name: `L 1` is the pocket with that number; it is told with its hole in the file."""
    path = tmp_path / "audit.csv"
    path.write_text("hole,found\nL 1,B\nothers,ok\n", encoding="utf-8")
    assert tally("--audit", path) == 0
    assert "L 1 on the board (lid/1): B for K" in capsys.readouterr().out
    path.write_text("hole,found\nL 9,B\n", encoding="utf-8")
    assert tally("--audit", path) == 1
    assert "or tag and number as on the board, such as TC 1" in capsys.readouterr().err
