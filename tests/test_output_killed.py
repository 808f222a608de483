"""A process is killed while it writes a set, or two write into one folder: the next run finds a whole set."""

from __future__ import annotations

import os
import random
import signal
import traceback

import pytest

from boardmaker.output import RECORD, write_set

pytestmark = [pytest.mark.slow, pytest.mark.skipif(not hasattr(os, "fork"), reason="runs are forked")]

OLD = {f"board-{number}.svg": b"old" * 9 for number in range(1, 6)} | {"board.json": b"old", "sheets.pdf": b"old"}
NEW = {f"board-{number}.svg": b"new" * 9 for number in range(1, 4)} | {"board.json": b"new", "preview.png": b"new"}
CALLS = ("mkdir", "write", "fsync", "link", "replace", "unlink", "rmdir")


class Child:
    """A forked process that writes a set and is killed at a call that changes the disk; at 0: never."""

    def __init__(self, folder, at, number, files=NEW):
        self.counted = folder.parent / f"{folder.name}-calls"
        self.complained = folder.parent / f"{folder.name}-{files['board.json'].decode()}-complaints"
        self.number = os.fork()
        if self.number == 0:
            try:
                os.dup2(os.open(self.complained, os.O_WRONLY | os.O_CREAT | os.O_TRUNC), 2)
                self._write(folder, at, number, files)
                os._exit(0)
            except BaseException:
                os.write(2, traceback.format_exc().encode())
            finally:
                os._exit(99)

    def _write(self, folder, at, number, files):
        count = 0

        def hooked(real, is_write):
            def call(*arguments, **options):
                nonlocal count
                count += 1
                if count == at:
                    if is_write:
                        real(arguments[0], arguments[1][: len(arguments[1]) // 2])
                    os.kill(os.getpid(), number)
                return real(*arguments, **options)

            return call

        plain = {name: getattr(os, name) for name in CALLS}
        for name, real in plain.items():
            setattr(os, name, hooked(real, name == "write"))
        write_set(folder, "board", files)
        for name, real in plain.items():
            setattr(os, name, real)
        self.counted.write_text(str(count), encoding="ascii")

    def end(self):
        """The exit code, or minus the signal's number."""
        return os.waitstatus_to_exitcode(os.waitpid(self.number, 0)[1])


def calls_of(folder):
    """How many calls change the disk in a whole run."""
    child = Child(folder, 0, signal.SIGKILL)
    assert child.end() == 0
    return int(child.counted.read_text(encoding="ascii"))


@pytest.mark.parametrize("number", [signal.SIGKILL, signal.SIGTERM])
def test_a_killed_run_leaves_a_set_that_the_next_run_makes_whole(tmp_path, number):
    """At twenty places drawn from all calls that change the disk; the next run is of another command, unforced."""
    write_set(tmp_path / "dry", "board", OLD)
    calls = calls_of(tmp_path / "dry")
    assert calls > 40
    seen = []
    for at in sorted(random.Random(7).sample(range(1, calls + 1), 20)):
        folder = tmp_path / str(at)
        write_set(folder, "board", OLD)
        assert Child(folder, at, number).end() == -number
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
    calls = calls_of(tmp_path / "dry")
    write_set(tmp_path / "out", "board", OLD)
    for at in (calls * 2 // 3, 1, 2, 3, 4, 5, 6, 2, 30):
        assert Child(tmp_path / "out", at, signal.SIGKILL).end() == -signal.SIGKILL
    write_set(tmp_path / "out", "torque", {"torque.pdf": b"t"})
    found = {path.name: path.read_bytes() for path in (tmp_path / "out").iterdir()}
    assert {name: content for name, content in found.items() if name not in (RECORD, "torque.pdf")} in (OLD, NEW)


def test_two_processes_into_one_folder_leave_one_whole_set(tmp_path):
    """Eight at once, of two kinds; none fails, and the last one's set stands."""
    folder = tmp_path / "out"
    runs = [Child(folder, 0, signal.SIGKILL, files) for _ in range(4) for files in (OLD, NEW)]
    assert [run.end() for run in runs] == [0] * 8
    assert [run.complained.read_bytes() for run in runs] == [b""] * 8
    found = {path.name: path.read_bytes() for path in folder.iterdir() if path.name != RECORD}
    assert found in (OLD, NEW)
