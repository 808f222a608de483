"""The commands as the mechanic meets them: exit codes, messages, files."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from bikes import bike_text
from pypdf import PdfReader

from boardmaker.boards import search
from boardmaker.command_line import boardmaker, run
from boardmaker.commands.common import demo_folder
from boardmaker.output.record import may_write
from boardmaker.packing.effort import Meter

pytestmark = pytest.mark.slow

PANEL = "  p: { name: Cover, side: left, holes: [ { at: [0, 0], fastener: A }, { at: [200, 90], fastener: C } ] }"
SMALL = ["--board", "300 x 200 mm"]
TILED = ["--effort", "quick", "--boards", "1", "--arrange", "0", *SMALL]  # where the board is not the point
QUICK = [*TILED, "--print", "whole"]
BOARD_FILES = ["board-1.dxf", "board-1.svg", "board.json", "preview.png", "sheets.pdf"]


@pytest.fixture
def bike(tmp_path):
    path = tmp_path / "bike.yaml"
    rows = "torques: { plug: { what: Sump plug, torque: [20 N·m, 90 deg], jobs: [oil] } }\n"
    path.write_text(bike_text(PANEL, "  oil: { name: Oil, remove: [p] }", rows), encoding="utf-8")
    return path


def visible(folder):
    return sorted(path.name for path in folder.iterdir() if not path.name.startswith("."))


def test_board_writes_every_file_and_the_same_bytes_quietly(bike, tmp_path, capsys):
    """And says what is on them, without `--quiet`; no clock, no host, no hash order."""
    assert run(["board", str(bike), "--effort", "quick", *SMALL, "--out", str(tmp_path / "one")]) == 0
    assert visible(tmp_path / "one") == BOARD_FILES
    assert "1 panel, 2 fasteners" in capsys.readouterr().out
    assert run(["board", str(bike), "--effort", "quick", *SMALL, "--quiet", "--out", str(tmp_path / "two")]) == 0
    assert capsys.readouterr() == ("", "")
    for name in BOARD_FILES:
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes()


def test_what_one_board_more_would_bring_is_said(tmp_path, capsys):
    """Where a drawing is smaller than the bike, and how many boards are made is nobody's wish."""
    path = tmp_path / "bike.yaml"
    outline = "outline: [[0, 0], [280, 0], [280, 180], [0, 180]], holes: [ { at: [20, 20], fastener: A } ]"
    panels = "\n".join(f"  {side}: {{ name: Cover, side: {side}, {outline} }}" for side in ("left", "right"))
    path.write_text(bike_text(panels), encoding="utf-8")
    words = ["board", str(path), "--effort", "quick", "--print", "whole", *SMALL, "--out", str(tmp_path / "out")]
    assert run(words) == 0
    assert "one board more would stand at about 1:" in (said := capsys.readouterr().out)
    assert "(--boards 2)" in said


def test_torque_and_testpage_write_their_page(bike, tmp_path):
    """Each into the same folder, without harm to the other."""
    out = str(tmp_path / "out")
    assert run(["torque", str(bike), "--out", out]) == 0
    assert run(["testpage", "--paper", "letter", "--out", out]) == 0
    assert visible(tmp_path / "out") == ["testpage.pdf", "torque.pdf"]


@pytest.mark.parametrize("demo", sorted(demo_folder().glob("*.yaml")), ids=lambda path: path.stem)
def test_check_is_silent_about_a_good_file(demo, capsys):
    """One line that says so, exit 0, also under --strict: every bundled bike is one."""
    assert run(["check", str(demo), "--strict"]) == 0
    captured = capsys.readouterr()
    assert "nothing wrong found" in captured.out
    assert captured.err == ""


def test_check_says_where_what_and_how_to_mend_it(tmp_path, capsys):
    """One of each kind, in the file's order: what is loose, what is too tight, what is given twice."""
    path = tmp_path / "bike.yaml"
    holes = "{ at: [0, 0], fastener: B, into: metal thread, stack: 2, depth: 9 }, { at: [0.2, 0], fastener: C }"
    rows = "torques: { bolt: { what: Bolt, thread: M6, class: '8.8', torque: 20 N·m } }\n"
    panel = f"  p: {{ name: Cover, side: left,\n    holes: [ {holes} ] }}"
    path.write_text(bike_text(panel, "  oil: { name: Oil }", rows), encoding="utf-8")
    assert run(["check", str(path)]) == 1
    said = capsys.readouterr().err
    findings = [line for line in said.splitlines() if "bike.yaml:" in line]
    assert [line.split("bike.yaml:")[1].split(":")[0] for line in findings] == ["5", "9", "12", "12", "14", "15"]
    wanted = (
        "is in no hole",
        "is in no hole",
        "in a blind hole",
        "lies on p/1",
        "takes nothing off",
        "143% of the proof",
    )
    assert all(part in line for part, line in zip(wanted, findings, strict=True))
    assert said.count("  hint: ") == len(findings)


def test_check_fails_on_a_screw_that_would_reach_the_tank(tmp_path, capsys):
    """With place, reason and remedy."""
    path = tmp_path / "bike.yaml"
    hole = "{ at: [0, 0], fastener: C, into: threaded insert, stack: 3, depth: 9, room: 5, behind: fuel tank }"
    path.write_text(bike_text(f"  p: {{ name: Cover, side: left, holes: [ {hole} ] }}"), encoding="utf-8")
    assert run(["check", str(path)]) == 1
    said = capsys.readouterr().err
    assert "bike.yaml:11:" in said
    assert "must not go into this hole" in said
    assert "fuel tank is at 5 mm" in said


def test_strict_makes_warnings_errors(tmp_path):
    """A rattling shoulder passes, but not under --strict."""
    path = tmp_path / "bike.yaml"
    hole = "{ at: [0, 0], fastener: A, into: clip nut, stack: 8, depth: 12 }"
    path.write_text(bike_text(f"  p: {{ name: Cover, side: left, holes: [ {hole} ] }}"), encoding="utf-8")
    assert run(["check", str(path)]) == 0
    assert run(["check", str(path), "--strict"]) == 1


@pytest.mark.parametrize(
    ("arguments", "code", "said"),
    [
        (["board", "no-such.yaml"], 1, "there is no file"),
        (["board", "--job", "oli"], 1, 'no job "oli"'),
        (["board", "--with", "heater"], 1, 'no equipment "heater"'),
        (["board", "--paper", "A9"], 2, "A9"),
        (["board", "--scale", "big"], 2, "is no scale"),
        (["board", "--board", "20 x 30 furlong"], 2, "no unit"),
        (["board", "--case", "470"], 2, "is no size"),
        (["board", "--setup", "no-such-setup.yaml"], 1, "there is no file"),
        (["board", "--boards", "0"], 2, "--boards"),
        (["board", "--seed", "-1"], 2, "--seed"),
        (["board", "--effort", "huge"], 2, "--effort"),
        (["board", "--arrange", "nan"], 2, "not a number"),
        (["board", "--pages", "1-"], 2, "is no list of pages"),
        (["board", "--pages", "1-" + "9" * 5000], 2, "is no list of pages"),
        (["board", "--pages", "²"], 2, "is no list of pages"),
        (["board", "--scale", "1:" + "9" * 5000], 2, "is no scale"),
        (["board", "--scale", "0.0000001"], 2, "is no scale"),
        (["board", "--scale", "nan"], 2, "is no scale"),
        (["b\x1b[31moard\u202e"], 2, r"b\x1b[31moard\u202e"),
        (["board", "x" * 300 + ".yaml"], 1, "File name too long"),
        (["board", "--setup", "x" * 300 + ".yaml"], 1, "File name too long"),
        (["board", "\x9b31m.yaml"], 1, r"\x9b31m.yaml"),
        (["bored"], 2, "bored"),
        ([], 2, "Usage"),
    ],
)
def test_wrong_words_are_answered_with_a_reason(arguments, code, said, tmp_path, capsys):
    """1 for what the input cannot give, 2 for wrong usage; nothing is written, no traceback."""
    out = ["--out", str(tmp_path / "out")] if arguments[:1] == ["board"] else []
    assert run([*arguments, *out]) == code
    captured = capsys.readouterr()
    assert said in captured.err + captured.out
    assert len(captured.err) < 2000
    assert "Traceback" not in captured.err
    assert not (tmp_path / "out").exists()


def test_a_file_that_is_not_ours_is_not_overwritten(bike, tmp_path, capsys):
    """Exit 1 and a word about --force."""
    out = tmp_path / "out"
    out.mkdir()
    (out / "board.json").write_text("mine")
    assert run(["board", str(bike), *QUICK, "--out", str(out)]) == 1
    assert "--force" in capsys.readouterr().err
    assert visible(out) == ["board.json"]


def test_an_interrupt_leaves_130_and_no_files(bike, tmp_path, monkeypatch):
    """Ctrl-C in the middle of the search."""

    def interrupted(*_arguments, **_options):
        raise KeyboardInterrupt

    monkeypatch.setattr(search, "largest_scale", interrupted)
    assert run(["board", str(bike), "--out", str(tmp_path / "out")]) == 130
    assert not (tmp_path / "out").exists()


def test_an_interrupt_after_a_find_writes_the_best_so_far(bike, tmp_path, monkeypatch, capsys):
    """Marked in the board file, on the first sheet and on the screen; exit 130 all the same."""
    spend = Meter.spend

    def interrupted(meter, work):
        spend(meter, work)
        if meter.best_scale is not None:
            raise KeyboardInterrupt

    monkeypatch.setattr(Meter, "spend", interrupted)
    out = tmp_path / "out"
    assert run(["board", str(bike), *SMALL, "--out", str(out)]) == 130
    assert visible(out) == BOARD_FILES
    assert json.loads((out / "board.json").read_text())["interrupted"] is True
    assert "Search interrupted" in PdfReader(out / "sheets.pdf").pages[0].extract_text()
    assert "the best boards so far were written" in capsys.readouterr().err


def test_arrange_gives_up_at_most_so_much_of_the_scale(bike, tmp_path, capsys, monkeypatch):
    """And says how the boards read; where they read poorly, that more may be given up."""
    monkeypatch.setattr("boardmaker.commands.board.READS_POORLY", 1.1)
    scales = []
    for extra in (["--arrange", "0"], [], ["--arrange", "25"]):
        out = tmp_path / f"out-{len(scales)}"
        quick = ["--effort", "quick", "--print", "whole", *SMALL]
        assert run(["board", str(bike), *quick, *extra, "--out", str(out)]) == 0
        said = capsys.readouterr().out
        assert "reads like the bike: " in said
        assert ("--arrange 25 gives up more" in said) == (not extra)
        scales.append(json.loads((out / "board.json").read_text())["scale"])
    assert [scale / scales[0] >= least for scale, least in zip(scales, (1.0, 0.88, 0.75), strict=True)] == [True] * 3
    for wrong in ("26", "-1", "nan"):
        assert run(["board", str(bike), "--arrange", wrong, "--out", str(tmp_path / "no")]) == 2


def test_a_bug_is_one_line_and_a_log(bike, tmp_path, monkeypatch, capsys):
    """The traceback goes to the log file, the user gets the way there."""

    def broken(*_arguments, **_options):
        raise ZeroDivisionError("oops")

    monkeypatch.setattr(search, "largest_scale", broken)
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    assert run(["board", str(bike), "--out", str(tmp_path / "out")]) == 1
    said = capsys.readouterr().err
    assert len(said.splitlines()) == 1
    assert "ZeroDivisionError: oops" in (tmp_path / "boardmaker-fault.log").read_text()


def test_a_fault_s_log_goes_through_no_link_and_over_no_file(bike, tmp_path, monkeypatch, capsys):
    """Another name is taken where the usual one is taken already, and the line on the screen has it."""

    def broken(*_arguments, **_options):
        raise ZeroDivisionError("oops")

    monkeypatch.setattr(search, "largest_scale", broken)
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    victim = tmp_path / "victim.txt"
    victim.write_text("precious")
    (tmp_path / "boardmaker-fault.log").symlink_to(victim)
    assert run(["board", str(bike), "--out", str(tmp_path / "out")]) == 1
    assert victim.read_text() == "precious"
    log = capsys.readouterr().err.strip().removeprefix("error: ").rpartition("details are in ")[2]
    assert "ZeroDivisionError: oops" in Path(log).read_text()
    assert Path(log).stat().st_mode & 0o777 == 0o600


def test_an_interrupt_after_the_files_says_that_they_are_written(bike, tmp_path, monkeypatch, capsys):
    """Ctrl-C while the lines about them are printed."""

    def interrupted(*_arguments):
        raise KeyboardInterrupt

    monkeypatch.setattr("boardmaker.commands.common.say", interrupted)
    out = tmp_path / "out"
    assert run(["plan", str(bike), "--out", str(out)]) == 130
    assert visible(out) == ["plan.csv", "plan.md", "plan.pdf"]
    assert capsys.readouterr().err.endswith(f"interrupted: all files were written to {out}\n")


def test_lines_that_cannot_be_printed_do_not_hide_that_files_are_written(bike, tmp_path, monkeypatch, capsys):
    """`boardmaker plan | head`: no fault, and no word of nothing written."""

    def broken(*_arguments):
        raise BrokenPipeError(32, "Broken pipe")

    monkeypatch.setattr("boardmaker.commands.common.say", broken)
    out = tmp_path / "out"
    assert run(["plan", str(bike), "--out", str(out)]) == 1
    assert visible(out) == ["plan.csv", "plan.md", "plan.pdf"]
    assert f"error: all files were written to {out}, but" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("command", "arguments"),
    [
        ("board", ["board", "BIKE", *QUICK]),
        ("plan", ["plan", "BIKE"]),
        ("tally", ["tally", "BIKE"]),
        ("tally template", ["tally", "BIKE", "--template"]),
        ("torque", ["torque", "BIKE"]),
        ("testpage", ["testpage"]),
    ],
)
def test_every_file_of_a_command_has_a_name_that_it_may_remove_and_mend(bike, tmp_path, command, arguments):
    """Else a stale one would stay, and a killed run could not be finished."""
    told = [str(bike) if argument == "BIKE" else argument for argument in arguments]
    assert run([*told, "--out", str(tmp_path / "out")]) == 0
    assert visible(tmp_path / "out")
    assert [name for name in visible(tmp_path / "out") if not may_write(command, name)] == []


def test_pages_picks_pages_for_a_reprint(bike, tmp_path):
    """Two of them, in the order asked for; another is refused."""
    out = str(tmp_path / "out")
    assert run(["board", str(bike), *TILED, "--out", out, "--pages", "3,1-2"]) == 0
    assert len(PdfReader(tmp_path / "out" / "sheets.pdf").pages) == 3
    assert run(["board", str(bike), *TILED, "--out", out, "--pages", "900"]) == 1


def test_pages_takes_names(bike, tmp_path, capsys):
    """Of a tile in the board file, and what stands on a page; one that is not there is said with those that are."""
    out = tmp_path / "out"
    board = ["board", str(bike), *TILED, "--scale", "1:2", "--paper", "A5", "--out", str(out)]
    assert run([*board]) == 0
    last = json.loads((out / "board.json").read_bytes())["sheets"][-1]
    pages = PdfReader(out / "sheets.pdf").pages
    wanted = [pages[last["page"] - 1].extract_text(), pages[0].extract_text()]
    assert run([*board, "--pages", f"{last['tile'].lower()}, MAP"]) == 0
    assert [page.extract_text() for page in PdfReader(out / "sheets.pdf").pages] == wanted
    capsys.readouterr()
    assert run([*board, "--pages", "Z9"]) == 1
    assert "map, " in (said := capsys.readouterr().err)
    assert 'no page "z9"' in said


def test_whole_prints_one_page_a_board(bike, tmp_path):
    """For a wide printer: the window is the board."""
    out = tmp_path / "out"
    quick = [word for word in QUICK if word not in SMALL]  # on the board that is taken where none is named
    assert run(["board", str(bike), *quick, "--out", str(out)]) == 0
    board_file = json.loads((out / "board.json").read_text(encoding="utf-8"))
    assert [sheet["window"] for sheet in board_file["sheets"]] == [[0.0, 0.0, 762.0, 508.0]]


@pytest.mark.parametrize("name", sorted(boardmaker.commands))
def test_every_command_answers_help_with_an_example(name, capsys):
    """One worked example each."""
    assert run([name, "--help"]) == 0
    assert f"Example:  boardmaker {name}" in " ".join(capsys.readouterr().out.split("\n"))


def test_plan_writes_its_three_files_and_nothing_over_an_edited_one(bike, tmp_path, capsys):
    """The whole set or none of it."""
    out = tmp_path / "out"
    assert run(["plan", str(bike), "--out", str(out)]) == 0
    assert visible(out) == ["plan.csv", "plan.md", "plan.pdf"]
    assert "1 step, 2 fasteners, 0 changes of side, 2 tools\n" in capsys.readouterr().out
    before = {name: (out / name).read_bytes() for name in visible(out)}
    (out / "plan.md").write_text("mine")
    assert run(["plan", str(bike), "--paper", "A5", "--out", str(out)]) == 1
    assert (out / "plan.md").read_text() == "mine"
    assert (out / "plan.pdf").read_bytes() == before["plan.pdf"]
    assert run(["plan", str(bike), "--out", str(out), "--force", "--quiet"]) == 0
    assert {name: (out / name).read_bytes() for name in visible(out)} == before


def test_plan_of_an_unknown_job_is_refused(bike, capsys):
    """With the nearest name."""
    assert run(["plan", str(bike), "--job", "oli"]) == 1
    assert 'did you mean "oil"?' in capsys.readouterr().err


RIDER = """
  fairing: { name: Left fairing, side: left, tag: FL,
             holes: [ { at: [0, 0], fastener: A }, { at: [200, 0], fastener: A }, { at: [90, 90], fastener: A } ] }
  vent: { name: Left vent, side: left, tag: VL, rides_on: fairing,
          holes: [ { at: [0, 0], fastener: B }, { at: [50, 0], fastener: B }, { at: [30, 30], fastener: B } ] }
"""


@pytest.fixture
def rider(tmp_path):
    path = tmp_path / "rider.yaml"
    text = bike_text(RIDER, "  valves: { name: Valves, remove: [fairing], apart: [vent] }")
    path.write_text(text, encoding="utf-8")
    return path


def test_what_only_a_job_takes_off_is_said_wherever_it_is_left_out(rider, tmp_path, capsys):
    """On the error stream of every command that counts or draws what comes off; nothing with the job."""
    out = tmp_path / "out"
    board = ["board", str(rider), *QUICK, "--out", str(out / "board")]
    commands = [["plan", str(rider), "--out", str(out / "plan")], ["tally", str(rider), "--out", str(out / "tally")]]
    again = ["--effort", "quick", "--print", "whole", "--out", str(out / "again")]
    commands += [board, ["repack", str(out / "board" / "board.json"), *again]]
    told = (
        'VL Left vent stays on Left fairing here; job "valves" takes it off: its 3 screws have pockets only on boards'
    )
    for command in commands:
        assert run(command) == 0
        assert f"{told} made with --job valves" in capsys.readouterr().err
    for command in (*commands[:2], board):
        assert run([*command, "--job", "valves"]) == 0
        assert told not in capsys.readouterr().err


def test_an_outline_is_assumed_only_where_one_is_drawn(rider, tmp_path, capsys):
    """The vent stays on the fairing without a job, so no board shows it."""
    board = ["board", str(rider), *QUICK, "--out", str(tmp_path / "out")]
    assert run(board) == 0
    assert "assumed outline drawn around the holes: fairing\n" in capsys.readouterr().out
    assert run([*board, "--job", "valves"]) == 0
    assert "assumed outline drawn around the holes: fairing, vent\n" in capsys.readouterr().out


def test_check_says_the_first_doubts_and_counts_the_rest(tmp_path, capsys):
    """Sixty fasteners in no hole: fifty are said, all are in the sum."""
    path = tmp_path / "bike.yaml"
    kinds = "".join(f"  f{number}: {{ thread: M6 }}\n" for number in range(60))
    panel = "panels: { p: { name: P, side: left, holes: [{ at: [1, 1], fastener: f0 }] } }\n"
    path.write_text(f"format: 1\nbike: {{ name: Test bike }}\nfasteners:\n{kinds}{panel}", encoding="utf-8")
    assert run(["check", str(path)]) == 0
    printed = capsys.readouterr()
    assert printed.err.count(": warning: ") == 51
    assert "warning: and 9 more; mend these first" in printed.err
    assert printed.out.strip().endswith("59 warnings")
    assert run(["check", str(path), "--strict"]) == 1
