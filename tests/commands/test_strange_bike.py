"""A bike whose every text would act on a terminal, in a spreadsheet or in a drawing: no command lets it through."""

from __future__ import annotations

import io
import json
import xml.etree.ElementTree as ET
from pathlib import Path

import ezdxf
import pytest
from pypdf import PdfReader

from boardmaker.command_line import run
from boardmaker.plain_text import HIDDEN

pytestmark = [pytest.mark.slow, pytest.mark.usefixtures("forked_guard")]

# As a bike file may write them; what it may not is in the name of the file and in the second test.
TEXT = r"\u202e\u2066\u200b\u200f\u2028\N\ufeff=1+1;=2 <b>[x](http://evil.example)"
BIKE = r"""
format: 1
bike: { name: "TEXT", years: "TEXT", source: "TEXT", cautions: ["TEXT"] }
equipment: { rack: "TEXT" }
fasteners:
  A: { kind: screw, thread: M6, length: 16, head: { shape: button, diameter: 14, height: 3.3 }, drive: T30,
       torque: 5 N·m, note: "TEXT", with_it: [washer], renew: "TEXT" }
  B: { kind: screw, thread: M5, length: 12, head: { shape: pan, diameter: 10 }, drive: T25, note: "TEXT" }
panels:
  p: { name: "Cover TEXT", side: left, note: "TEXT",
       holes: [ { at: [0, 0], fastener: A, note: "TEXT", into: threaded insert, stack: 3, depth: 5, behind: "TEXT" },
                { at: [200, 90], fastener: B, note: "TEXT", with: [rack] } ],
       fixings: [ { kind: hook, at: [90, 50], note: "TEXT" }, { kind: other, note: "TEXT" } ] }
jobs: { oil: { name: "TEXT", remove: [p], note: "TEXT", every: "TEXT", supplies: [ { what: "TEXT", count: 2 } ] } }
torques: { plug: { what: "TEXT", torque: 20 N·m, jobs: [oil], where: "TEXT", note: "TEXT", order: "TEXT",
                   lubricate: "TEXT", tool: hex 8 } }
"""
NAME = "b\x1b]0;x\x07\x9b31m\u202e.yaml"


@pytest.fixture
def bike(tmp_path):
    path = tmp_path / NAME
    path.write_text(BIKE.replace("TEXT", TEXT), encoding="utf-8")
    return path


def commands(bike, out):
    """Every command, one after the other; those that read what another wrote come later."""
    yield "check", str(bike)
    yield "check", str(bike), "--strict"
    for name, more in (("plan", ()), ("torque", ()), ("board", ("--effort", "quick", "--board", "300 x 200 mm"))):
        yield name, str(bike), *more, "--out", str(out / name)
    yield "repack", str(out / "board" / "board.json"), "--effort", "quick", "--out", str(out / "repack")
    yield "plan", "--board", str(out / "board" / "board.json"), "--out", str(out / "held")
    yield (
        "plan",
        str(bike),
        "--board",
        str(out / "board" / "board.json"),
        "--without",
        "rack",
        "--out",
        str(out / "other"),
    )
    yield "tally", str(bike), "--template", "--out", str(out / "tally")
    yield "tally", str(bike), "--out", str(out / "tally")
    yield "screw", str(bike), "--thread", "M6", "--length", "16", "--hole", "p/1"
    yield "screw", str(bike), "--thread", "M5", "--length", "12"
    yield "testpage", "--out", str(out / "testpage")
    yield "calibrate", "--setup", str(out / f"{NAME}.setup"), "--paper", "A4", "--measured", "180", "267"
    for name in ("plan/plan.pdf", "torque/torque.pdf", "board/sheets.pdf", "testpage/testpage.pdf"):
        yield "verify", str(out / name)
    for name in ("check", "board", "verify", "repack", "screw", "tally"):
        yield name, str(bike).replace(".yaml", ".yml")  # there is none: a near name is told


def test_no_text_of_a_bike_acts_anywhere(bike, tmp_path, capsys, monkeypatch):
    """Neither on the screen nor in a file; every file opens."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    out = tmp_path / "out"
    ran = set()
    for command in commands(bike, out):
        code = run([*command])
        said = "".join(capsys.readouterr())
        ran.add(command[0]) if code == 0 else None
        assert not HIDDEN.search(said.replace("\n", "")), (command, said)
        assert "internal fault" not in said, (command, (tmp_path / "boardmaker-fault.log").read_text())
    assert ran >= {"plan", "torque", "board", "repack", "tally", "screw", "testpage", "verify"}
    written = [path for path in out.rglob("*") if path.is_file()]
    assert {path.suffix for path in written} >= {".pdf", ".svg", ".dxf", ".json", ".csv", ".md"}
    for path in written:
        LOOKS.get(path.suffix, look_at_text)(path)


def look_at_text(path: Path):
    content = path.read_bytes().decode("utf-8").replace("\r\n", "\n").replace("\n", "")
    assert not HIDDEN.search(content), path


def look_at_svg(path: Path):
    look_at_text(path)
    assert not HIDDEN.search("".join(one.get("aria-label", "") for one in ET.parse(path).iter()))


def look_at_pdf(path: Path):
    file = PdfReader(io.BytesIO(path.read_bytes()), strict=True)
    texts = [*(file.metadata or {}).values(), *file.page_labels, *titles(file.outline)]
    texts += [page.extract_text().replace("\n", "") for page in file.pages]
    assert not [text for text in texts if HIDDEN.search(str(text))]


def titles(outline):
    for one in outline:
        yield from titles(one) if isinstance(one, list) else [one.title]


def look_at_dxf(path: Path):
    assert not ezdxf.readfile(path).audit().has_errors


def look_at_nothing(path: Path):
    assert path.stat().st_size


LOOKS = {".pdf": look_at_pdf, ".svg": look_at_svg, ".dxf": look_at_dxf, ".png": look_at_nothing}


@pytest.mark.parametrize(
    "text", [r"\e[31m", r"\x9b31m", r"\x7f", r"\0", r"\ud800", "\x1b]0;x\x07", "\x9b31m", "\u202e\x08"]
)
def test_what_a_bike_file_may_not_hold_is_told_without_it(text, tmp_path, capsys):
    """Written as an escape or as it is."""
    path = tmp_path / "bike.yaml"
    path.write_text(BIKE.replace("TEXT", text), encoding="utf-8")
    assert run(["check", str(path)]) == 1
    said = "".join(capsys.readouterr())
    assert "internal fault" not in said
    assert not HIDDEN.search(said.replace("\n", ""))


def test_a_board_file_made_of_a_strange_name_is_read_again(bike, tmp_path):
    """The name in it is that of the file, letter by letter."""
    quick = ["--effort", "quick", "--boards", "1", "--arrange", "0", "--print", "whole", "--board", "300 x 200 mm"]
    assert run(["board", str(bike), *quick, "--quiet", "--out", str(tmp_path / "out")]) == 0
    assert json.loads((tmp_path / "out" / "board.json").read_text(encoding="utf-8"))["bike"]["file"] == NAME
