"""`board` is killed at any moment, also while it writes, or has no room: the folder holds the old set or the new one.

The moments are drawn anew from those of a whole run: half of them by the clock, half by the calls that change the disk,
which are all in the writing phase. `KILLS=50` tries so many of each; the suite tries a few.
"""

from __future__ import annotations

import os
import random
import shutil
import signal
import time

import pytest
from kinds import SMALL

from boardmaker.command_line import run
from boardmaker.commands import board as board_command
from boardmaker.commands import board_files as files_command
from boardmaker.output import RECORD, write_set

resource = pytest.importorskip("resource", reason="limits of a process, which Windows has not")

pytestmark = [pytest.mark.slow, pytest.mark.skipif(not hasattr(os, "fork"), reason="runs are forked")]

KILLS = int(os.environ.get("KILLS", "3"))
CHANGING = ("mkdir", "fsync", "link", "replace", "unlink", "rmdir")  # calls of `os` that change a folder's content
KILLING = (signal.SIGKILL, signal.SIGKILL, signal.SIGTERM)
BIKE = "small.yaml"
OLD, NEW = "600 x 400 mm", "500 x 300 mm"  # boards on which all finds its place soon


def board(folder, size):
    brief = ["--effort", "quick", "--boards", "1", "--arrange", "0", "--print", "whole"]
    return ["board", str(folder / BIKE), *brief, "--board", size, "--quiet", "--out", str(folder / "out")]


class Run:
    """A run in a process of its own; `before` is done in it first."""

    def __init__(self, arguments, before=lambda: None):
        self.child = os.fork()
        if self.child == 0:
            try:
                os.dup2(os.open(os.devnull, os.O_WRONLY), 2)
                signal.signal(signal.SIGINT, signal.default_int_handler)
                before()
                os._exit(run(arguments))
            finally:
                os._exit(99)

    def end(self):
        """The exit code, or minus the signal's number."""
        return os.waitstatus_to_exitcode(os.waitpid(self.child, 0)[1])


def killing_at(wanted, number):
    """Have the process send itself a signal before call number `wanted` of those that change the disk; 0: never.

    Returns what does that; the calls are counted in the file `calls`, for the whole run.
    """

    def install(note=None):
        count = 0

        def hooked(real):
            def call(*arguments, **options):
                nonlocal count
                count += 1
                if note:
                    note.write_text(str(count))
                if count == wanted:
                    os.kill(os.getpid(), number)
                return real(*arguments, **options)

            return call

        for name in CHANGING:
            setattr(os, name, hooked(getattr(os, name)))

    return install


def files(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file() and path.name != RECORD}


@pytest.fixture(scope="module")
def sets(tmp_path_factory):
    """Folders with the old and the new set, how long the new one took, and how many calls that change the disk."""
    top = tmp_path_factory.mktemp("sets")
    (top / BIKE).write_text(SMALL, encoding="utf-8")
    assert Run(board(top, OLD)).end() == 0
    shutil.copytree(top / "out", top / "old")
    start = time.monotonic()
    assert Run(board(top, NEW), lambda: killing_at(0, 0)(top / "calls")).end() == 0
    seconds = time.monotonic() - start
    (top / "out").rename(top / "new")
    assert files(top / "old") != files(top / "new")
    return top, seconds, int((top / "calls").read_text())


def remembered(function, key):
    """The same function, which does the work once for each key."""
    known = {}

    def call(*arguments):
        if key(*arguments) not in known:
            known[key(*arguments)] = function(*arguments)
        return known[key(*arguments)]

    return call


@pytest.fixture(scope="module")
def searched(sets):
    """The same folders; what is searched and drawn for them is known, and a run begins as good as with its writing."""
    top, _, calls = sets
    with pytest.MonkeyPatch.context() as patch:
        by_size = remembered(board_command.build_boards, lambda _work, setup, *_: setup.board)
        patch.setattr(board_command, "build_boards", by_size)
        patch.setattr(files_command, "board_files", remembered(files_command.board_files, lambda built, _: id(built)))
        for size in (OLD, NEW):
            assert run([*board(top, size)[:-1], str(top / "dry")]) == 0
        yield top, calls


def is_whole(top, ended):
    """Whether the set is the new one, after the next command has been there; anything else than a whole set fails."""
    out = top / "out"
    if ended not in (-signal.SIGKILL, 0) and not [path for path in out.iterdir() if path.is_dir()]:
        assert files(out) in (files(top / "old"), files(top / "new"))  # put in order at once
    write_set(out, "torque", {"torque.pdf": b"t"})
    found = files(out)
    assert found.pop("torque.pdf") == b"t"
    assert not [path for path in out.iterdir() if path.is_dir()]
    assert found in (files(top / "old"), files(top / "new"))
    return found == files(top / "new")


def start_over(top):
    shutil.rmtree(top / "out", ignore_errors=True)
    shutil.copytree(top / "old", top / "out")


def test_killed_at_any_time_the_set_is_whole(sets):
    """By the clock, from the start to a little after the end; the next run is not refused."""
    top, seconds, _ = sets
    dice = random.Random(3)
    for _ in range(KILLS):
        start_over(top)
        number = dice.choice(KILLING)  # Ctrl-C has the search end early, and the best so far written
        child = Run(board(top, NEW))
        time.sleep(dice.uniform(0, 1.05 * seconds))
        os.kill(child.child, number)
        is_whole(top, child.end())
        write_set(top / "out", "board", files(top / "old"))


def test_killed_while_it_writes_the_set_is_whole(searched):
    """Before calls drawn from all that change the disk, the first and the last among them: both sets are met."""
    top, calls = searched
    assert calls > 30
    met = set()
    dice = random.Random(4)
    for at in (1, calls, *dice.sample(range(1, calls + 1), min(KILLS, calls))):
        start_over(top)
        number = dice.choice((*KILLING, signal.SIGINT))
        ended = Run(board(top, NEW), killing_at(at, number)).end()
        assert ended in (-signal.SIGKILL, -signal.SIGTERM, 130)
        met.add(is_whole(top, ended))
    assert met == {False, True}


@pytest.mark.parametrize("most", [0, 20_000])
def test_a_disk_without_room_leaves_the_old_set(searched, most):
    """The system lets no file grow beyond so many bytes: exit 1, and everything is as before."""
    top, _ = searched
    start_over(top)

    def no_room():
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))

    assert Run(board(top, NEW), no_room).end() == 1
    assert files(top / "out") == files(top / "old")
    assert sorted(path.name for path in (top / "out").iterdir()) == sorted(
        path.name for path in (top / "old").iterdir()
    )


@pytest.mark.parametrize("most", [0, 20, 45])
def test_a_disk_without_room_leaves_the_setup_file(tmp_path, most):
    """`calibrate` writes a user's own file: what was in it is still there."""
    setup = tmp_path / "setup.yaml"
    setup.write_text("format: 1\nprinter: { scale: [1.01, 0.99] }  # mine\n", encoding="utf-8")
    before = setup.read_bytes()

    def no_room():
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))

    arguments = ["calibrate", "--setup", str(setup), "--measured", "181", "272", "--quiet"]
    assert Run(arguments, no_room).end() == 1
    assert setup.read_bytes() == before
    assert [path.name for path in tmp_path.iterdir()] == ["setup.yaml"]
    assert Run(arguments).end() == 0
    assert setup.read_bytes() != before


def test_runs_into_one_folder_at_the_same_time_leave_one_whole_set(searched):
    """Two boards and a third of the old size, at once: none fails, and one of the sets stands."""
    top, _ = searched
    start_over(top)
    runs = [Run(board(top, size)) for size in (NEW, OLD, NEW)]
    assert [one.end() for one in runs] == [0, 0, 0]
    assert files(top / "out") in (files(top / "old"), files(top / "new"))
    assert not [path for path in (top / "out").iterdir() if path.is_dir()]
