"""`verify` as the mechanic meets it: the report, the verdict, the exit code."""

from __future__ import annotations

import signal
import subprocess
import sys
import time
from functools import cache
from pathlib import Path

import pikepdf
import pytest

from boardmaker.command_line import run
from boardmaker.commands import verify
from boardmaker.commands.common import demo_folder
from boardmaker.guarded import Limits

pytestmark = pytest.mark.usefixtures("forked_guard")


@pytest.fixture
def good(tmp_path):
    assert run(["testpage", "--quiet", "--out", str(tmp_path)]) == 0
    return tmp_path / "testpage.pdf"


@pytest.fixture
def shrunk(good):
    """At 97 %, as `fit to page` leaves it."""
    path = good.parent / "fitted.pdf"
    with pikepdf.open(good) as document:
        document.pages[0].contents_add(b"q 0.97 0 0 0.97 0 0 cm\n", prepend=True)
        document.pages[0].contents_add(b"\nQ")
        document.save(path)
    return path


def test_a_good_file_is_reported_with_a_verdict(good, capsys):
    """Pages, paper, both bars; the last line says it all; exit 0."""
    assert run(["verify", str(good)]) == 0
    captured = capsys.readouterr()
    lines = captured.out.splitlines()
    assert lines[0] == "testpage.pdf: 1 page"
    assert " ".join(lines[-2].split()) == "1 210.00 × 297.00 mm A4 180 mm: 180.00 270 mm: 270.00"
    assert lines[-1].startswith("testpage.pdf prints true to scale: ")
    assert captured.err == ""


def test_a_bad_file_is_reported_too(shrunk, capsys):
    """The verdict names the first fault and counts the others; all of them are on the error stream; exit 1."""
    assert run(["verify", str(shrunk)]) == 1
    captured = capsys.readouterr()
    assert captured.out.splitlines()[-1] == (
        "fitted.pdf does not print true to scale: "
        "page 1: the bar across is 174.60 mm long where 180 mm is written (and 1 more)"
    )
    assert captured.err.count("error: page 1: the bar") == 2
    assert "97.00 % of its size" in captured.err


@pytest.mark.slow
def test_quiet_says_only_what_is_wrong(good, shrunk, capsys):
    """Nothing of a good file, the faults of a bad one."""
    assert run(["verify", "--quiet", str(good)]) == 0
    assert capsys.readouterr() == ("", "")
    assert run(["verify", "--quiet", str(shrunk)]) == 1
    captured = capsys.readouterr()
    assert captured.out == ""
    assert "174.60 mm" in captured.err


def test_a_missing_file_a_folder_and_a_text_are_told_apart(good, capsys):
    """One clear error each, exit 1, no traceback."""
    text = good.parent / "notes.txt"
    text.write_text("100 mm", encoding="utf-8")
    for path, said in ((good.parent / "testpage.pfd", "did you mean"), (good.parent, "is a folder"), (text, "no")):
        assert run(["verify", str(path)]) == 1
        captured = capsys.readouterr()
        assert captured.out == ""
        assert said in captured.err
        assert captured.err.count("error:") == 1
        assert "Traceback" not in captured.err


def test_a_calibrated_file_is_true_on_its_printer(tmp_path, capsys):
    """The scale that is taken out is said, and the verdict speaks of that printer."""
    setup = tmp_path / "setup.yaml"
    setup.write_text("format: 1\nprinter: { scale: [1.015, 0.99] }\n", encoding="utf-8")
    assert run(["testpage", "--check", "--quiet", "--setup", str(setup), "--out", str(tmp_path)]) == 0
    assert run(["verify", str(tmp_path / "testpage.pdf")]) == 0
    said = capsys.readouterr().out
    assert "1.015 × 0.99 taken out" in said
    assert "on the printer that it was made for" in said


@pytest.fixture(scope="module")
def plan_of(tmp_path_factory):
    """Return a function that writes the plan of a demo, once."""

    def written(stem):
        out = tmp_path_factory.mktemp(stem)
        assert run(["plan", str(demo_folder() / f"{stem}.yaml"), "--quiet", "--out", str(out)]) == 0
        return out / "plan.pdf"

    return cache(written)


@pytest.mark.parametrize("stem", ["fjellvik-820-tourer", "kestmark-590-naked", "murmelo-140-scooter"])
@pytest.mark.slow
def test_a_plan_has_nothing_to_measure(plan_of, stem, capsys):
    """It may be printed at any size, so there is nothing to find fault with; exit 0."""
    assert run(["verify", str(plan_of(stem))]) == 0
    assert capsys.readouterr() == (
        "plan.pdf: a plan: nothing on it is measured, so it may be printed at any size\n",
        "",
    )


@pytest.mark.slow
def test_no_board_is_taken_for_a_plan(good, plan_of):
    """Neither a sheet whose bars are gone, nor one that got a plan's note, whatever else is noted in it."""
    with pikepdf.open(plan_of("murmelo-140-scooter")) as document:
        note = str(document.docinfo["/Keywords"])
    blank, forged = good.parent / "blank.pdf", good.parent / "forged.pdf"
    with pikepdf.open(good) as document:
        scale = str(document.docinfo["/Keywords"])
        document.docinfo["/Keywords"] = note
        document.pages[0].contents_add(b"q 0.97 0 0 0.97 0 0 cm\n", prepend=True)
        document.pages[0].contents_add(b"\nQ")
        document.save(forged)
    with pikepdf.open(good) as document:
        document.docinfo["/Keywords"] = f"{note} {scale}"
        document.pages[0].Contents = document.make_stream(b"")
        document.save(blank)
    assert [run(["verify", "--quiet", str(file)]) for file in (blank, forged)] == [1, 1]


def masks_in_masks(path, levels=9, drawn=12):
    """A page drawn through a mask, which is drawn through a mask, and so on: short, and work without end."""
    document = pikepdf.new()
    page = document.add_blank_page(page_size=(595, 842))
    content, resources = b"/G gs 0 0 500 500 re f " * drawn, pikepdf.Dictionary()
    for _ in range(levels):
        form = document.make_stream(
            content,
            Type=pikepdf.Name.XObject,
            Subtype=pikepdf.Name.Form,
            BBox=[0, 0, 600, 900],
            Group=pikepdf.Dictionary(S=pikepdf.Name.Transparency, CS=pikepdf.Name.DeviceGray),
            Resources=resources,
        )
        mask = pikepdf.Dictionary(S=pikepdf.Name.Luminosity, G=form)
        resources = pikepdf.Dictionary(ExtGState=pikepdf.Dictionary(G=pikepdf.Dictionary(SMask=mask)))
    page.Resources, page.Contents = resources, document.make_stream(content)
    document.save(path)
    return path


@pytest.mark.slow
def test_a_file_without_end_is_given_up(tmp_path, capfd, monkeypatch):
    """Its reader hangs in its own code, where nothing but the end of the process helps."""
    monkeypatch.setattr(verify, "LIMITS", Limits(seconds=0.5, megabytes=600))
    path = masks_in_masks(tmp_path / "masks.pdf")
    assert run(["verify", str(path)]) == 1
    said = capfd.readouterr()
    assert said.out == ""
    assert said.err.splitlines()[0] == f"error: {path} takes more than 0.5 s to be read: it was given up"
    assert said.err.splitlines()[1].startswith("  hint: ")


@pytest.mark.slow
@pytest.mark.skipif(sys.platform != "linux", reason="asks its `ps` for the children of a process")
def test_an_interrupt_is_answered_while_the_reader_hangs(tmp_path):
    """One line and exit 130."""
    path = masks_in_masks(tmp_path / "masks.pdf")
    program = subprocess.Popen(
        [sys.executable, "-m", "boardmaker", "verify", str(path)], stderr=subprocess.PIPE, text=True
    )
    children = ["ps", "-o", "pid=", "--ppid", str(program.pid)]
    while not subprocess.run(children, capture_output=True, text=True, check=False).stdout.strip():
        assert program.poll() is None
        time.sleep(0.05)
    program.send_signal(signal.SIGINT)
    assert program.communicate(timeout=30)[1].strip() == "interrupted: nothing was written"
    assert program.returncode == 130


@pytest.mark.slow
def test_two_hundred_honest_pages_are_measured_in_time(tmp_path, capsys):
    """More than any set of boards has, within the limits that a hostile file meets."""
    path = tmp_path / "long.pdf"
    with pikepdf.open(Path(__file__).parents[2] / "examples" / "tourer" / "sheets.pdf") as document:
        few = list(document.pages)
        document.pages.extend(few[number % len(few)] for number in range(200 - len(few)))
        document.save(path)
    assert run(["verify", str(path)]) == 0
    assert "on each of 200 pages" in capsys.readouterr().out
