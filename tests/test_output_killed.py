"""A process is killed while it writes a set, or two write into one folder: the next run finds a whole set."""

from __future__ import annotations

import random
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from boardmaker.output import RECORD, write_set

pytestmark = pytest.mark.slow

OLD = {f"board-{number}.svg": b"old" * 9 for number in range(1, 6)} | {"board.json": b"old", "sheets.pdf": b"old"}
NEW = {f"board-{number}.svg": b"new" * 9 for number in range(1, 4)} | {"board.json": b"new", "preview.png": b"new"}
CHILD = """
import os, sys
from pathlib import Path
from boardmaker.output import write_set

folder, at, number, files = Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]), eval(sys.argv[4])
count = 0

def hooked(real, is_write):
    def call(*arguments, **options):
        global count
        count += 1
        if count == at:
            if is_write:
                real(arguments[0], arguments[1][: len(arguments[1]) // 2])
            os.kill(os.getpid(), number)
        return real(*arguments, **options)
    return call

for name in ("mkdir", "write", "fsync", "link", "replace", "unlink", "rmdir"):
    setattr(os, name, hooked(getattr(os, name), name == "write"))
write_set(folder, "board", files)
print(count)
"""
ROOT = Path(__file__).parent.parent


def child(folder, at, number, files=NEW):
    return [sys.executable, "-c", CHILD, str(folder), str(at), str(int(number)), repr(files)]


def run(folder, at, number):
    return subprocess.run(child(folder, at, number), capture_output=True, text=True, check=False, cwd=ROOT)


@pytest.mark.parametrize("number", [signal.SIGKILL, signal.SIGTERM])
def test_a_killed_run_leaves_a_set_that_the_next_run_makes_whole(tmp_path, number):
    """At twenty places drawn from all calls that change the disk; the next run is of another command, unforced."""
    write_set(tmp_path / "dry", "board", OLD)
    calls = int(run(tmp_path / "dry", 0, number).stdout)
    assert calls > 40
    seen = []
    for at in sorted(random.Random(7).sample(range(1, calls + 1), 20)):
        folder = tmp_path / str(at)
        write_set(folder, "board", OLD)
        assert run(folder, at, number).returncode == -number
        if number == signal.SIGTERM:  # Python could put the folder in order itself
            assert not [path for path in folder.iterdir() if path.is_dir()]
        write_set(folder, "torque", {"torque.pdf": b"t"})
        found = {path.name: path.read_bytes() for path in folder.iterdir() if path.name not in (RECORD, "torque.pdf")}
        assert found in (OLD, NEW)
        seen.append(found == NEW)
        write_set(folder, "board", OLD)  # the record knows every file: nothing is refused
        assert sorted(path.name for path in folder.iterdir()) == sorted([*OLD, RECORD, "torque.pdf"])
    assert set(seen) == {False, True}


def test_a_run_killed_while_it_finishes_another_s_change_leaves_a_whole_set_too(tmp_path):
    """Killed in the middle of the renames, then again and again a few calls later."""
    write_set(tmp_path / "dry", "board", OLD)
    calls = int(run(tmp_path / "dry", 0, signal.SIGKILL).stdout)
    write_set(tmp_path / "out", "board", OLD)
    for at in (calls * 2 // 3, 1, 2, 3, 4, 5, 6, 2, 30):
        assert run(tmp_path / "out", at, signal.SIGKILL).returncode == -signal.SIGKILL
    write_set(tmp_path / "out", "torque", {"torque.pdf": b"t"})
    found = {path.name: path.read_bytes() for path in (tmp_path / "out").iterdir()}
    assert {name: content for name, content in found.items() if name not in (RECORD, "torque.pdf")} in (OLD, NEW)


def test_two_processes_into_one_folder_leave_one_whole_set(tmp_path):
    """Eight at once, of two kinds; none fails, and the last one's set stands."""
    folder = tmp_path / "out"
    runs = [
        subprocess.Popen(child(folder, 0, 9, files), stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, cwd=ROOT)
        for _ in range(4)
        for files in (OLD, NEW)
    ]
    assert [run.communicate()[1] for run in runs] == [b""] * 8
    assert [run.returncode for run in runs] == [0] * 8
    found = {path.name: path.read_bytes() for path in folder.iterdir() if path.name != RECORD}
    assert found in (OLD, NEW)
