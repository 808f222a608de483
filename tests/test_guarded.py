"""Work in a process of its own: whatever becomes of it, there is a result or one clear line."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import guarded_samples
import pytest

from boardmaker.guarded import Limits, guarded, read_at_most
from boardmaker.problems import ProblemsFound

LIMITS = Limits(seconds=20.0, megabytes=200)
POSIX = pytest.mark.skipif(os.name == "nt", reason="no limits of a process there")


def refusal(function, *arguments, limits=LIMITS):
    with pytest.raises(ProblemsFound) as caught:
        guarded("sheets.pdf", "make it again", limits, function, *arguments)
    (problem,) = caught.value.problems
    assert problem.hint == "make it again"
    return problem.message


def test_the_result_comes_back_and_nothing_else(capfd):
    """Chatter on either stream does not reach the screen, nor the result."""
    assert guarded("sheets.pdf", "", LIMITS, guarded_samples.double, 4, also=1) == 9
    assert capfd.readouterr() == ("", "")


def test_problems_come_back_whole():
    """Messages and hints, in their order."""
    with pytest.raises(ProblemsFound) as caught:
        guarded("sheets.pdf", "", LIMITS, guarded_samples.refuse, "a.pdf")
    assert [(one.message, one.hint) for one in caught.value.problems] == [
        ("a.pdf is empty", "fill it"),
        ("and old", ""),
    ]


def test_a_fault_of_ours_is_not_blamed_on_the_file():
    """It comes up with the child's traceback, for the log."""
    with pytest.raises(RuntimeError, match="a fault of ours"):
        guarded("sheets.pdf", "", LIMITS, guarded_samples.stumble)


@pytest.mark.slow
def test_a_child_that_sleeps_or_spins_is_ended():
    """By the clock, or by the processor's time."""
    assert "takes more than 0.2 s" in refusal(guarded_samples.sleep, limits=Limits(0.2, 200))
    assert "takes more than 0.5 s" in refusal(guarded_samples.spin, limits=Limits(0.5, 200))


@POSIX
@pytest.mark.skipif(sys.platform == "darwin", reason="memory is not limited there")
def test_a_child_that_eats_memory_is_ended():
    """Long before the machine is short of it."""
    assert "needs more than 200 MB" in refusal(guarded_samples.eat)


def test_a_child_that_breaks_down_is_one_line(capfd):
    """An abort, and an end without an answer."""
    assert "broke down" in refusal(guarded_samples.abort)
    assert "broke down" in refusal(guarded_samples.leave)
    assert capfd.readouterr() == ("", "")


@POSIX
@pytest.mark.slow
def test_an_interrupt_ends_the_child_too(tmp_path):
    """Ctrl-C comes to the program as ever, and no child is left behind."""
    note = tmp_path / "child"
    script = (
        "import guarded_samples as samples; from boardmaker.guarded import Limits, guarded\n"
        f"try: guarded('a', '', Limits(20.0, 200), samples.sleep, {str(note)!r})\n"
        "except KeyboardInterrupt: raise SystemExit(130)"
    )
    folders = os.pathsep.join([str(Path(__file__).parent), *sys.path])
    parent = subprocess.Popen([sys.executable, "-c", script], env={**os.environ, "PYTHONPATH": folders})
    while not (note.exists() and note.read_text(encoding="ascii")):
        assert parent.poll() is None
        time.sleep(0.02)
    parent.send_signal(signal.SIGINT)
    assert parent.wait(20) == 130
    listed = ["ps", "-o", "stat=", "-p", note.read_text(encoding="ascii")]
    for _ in range(100):  # killed it is; who buries it is not ours to say
        state = subprocess.run(listed, capture_output=True, text=True, check=False).stdout.strip()
        if state[:1] in ("", "Z"):
            break
        time.sleep(0.05)
    assert state[:1] in ("", "Z")


def test_a_file_in_the_current_folder_is_not_imported(tmp_path, monkeypatch):
    """Strangers' files lie in folders with other strangers' files."""
    (tmp_path / "guarded_samples.py").write_text("raise SystemExit", encoding="ascii")
    (tmp_path / "pickle.py").write_text("raise SystemExit", encoding="ascii")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(sys, "path", [one for one in sys.path if one not in ("", ".")])
    assert str(tmp_path) not in guarded("sheets.pdf", "", LIMITS, guarded_samples.imports_from)


def test_only_ordinary_files_of_a_fair_size_are_read(tmp_path):
    """A file with a hole of a terabyte takes no room on the disk, and would take all of the memory."""
    path = tmp_path / "a.pdf"
    path.write_bytes(b"content")
    assert read_at_most(path, 1, "") == b"content"
    with path.open("r+b") as file:
        file.truncate(1_000_001)
    with pytest.raises(ProblemsFound, match="larger than 1 MB"):
        read_at_most(path, 1, "")
    if hasattr(os, "mkfifo"):
        os.mkfifo(tmp_path / "pipe")
        with pytest.raises(ProblemsFound, match="no ordinary file"):
            read_at_most(tmp_path / "pipe", 1, "")
