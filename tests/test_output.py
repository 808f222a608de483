"""Files into a folder: all or none, and nothing of the user's is overwritten."""

from __future__ import annotations

import errno
import hashlib
import json
import os
import re
import signal
import threading
from pathlib import Path

import pytest

import boardmaker
from boardmaker.output import RECORD, lock, write_set
from boardmaker.output.change import STAGE
from boardmaker.output.record import LARGEST_RECORD
from boardmaker.problems import Interrupted, ProblemsFound

OLD = {"sheets.pdf": b"old sheets", "board-1.svg": b"old", "board-2.svg": b"old", "board.json": b"old file"}
NEW = {"sheets.pdf": b"new sheets", "board-1.svg": b"new", "board.json": b"new file", "preview.png": b"new"}
CALLS = ("mkdir", "write", "fsync", "link", "replace", "unlink", "rmdir")


def names(folder):
    return sorted(path.name for path in folder.iterdir())


def test_a_set_is_written_and_may_be_written_again(tmp_path):
    """What the program wrote it may overwrite."""
    write_set(tmp_path / "out", "board", {"a.txt": b"1", "b.txt": b"2"})
    write_set(tmp_path / "out", "board", {"a.txt": b"3", "b.txt": b"4"})
    assert (tmp_path / "out" / "a.txt").read_bytes() == b"3"
    assert names(tmp_path / "out") == [RECORD, "a.txt", "b.txt"]


def test_a_foreign_file_is_not_overwritten_and_nothing_else_is_written(tmp_path):
    """One file that is not ours stops the whole set."""
    (tmp_path / "b.txt").write_bytes(b"mine")
    with pytest.raises(ProblemsFound, match="not written by boardmaker"):
        write_set(tmp_path, "board", {"a.txt": b"1", "b.txt": b"2"})
    assert names(tmp_path) == ["b.txt"]
    assert (tmp_path / "b.txt").read_bytes() == b"mine"


def test_an_edited_file_is_not_overwritten(tmp_path):
    """A changed file belongs to the one who changed it."""
    write_set(tmp_path, "board", {"a.txt": b"1"})
    (tmp_path / "a.txt").write_bytes(b"edited")
    with pytest.raises(ProblemsFound, match=r"a\.txt"):
        write_set(tmp_path, "board", {"a.txt": b"2"})
    assert (tmp_path / "a.txt").read_bytes() == b"edited"
    write_set(tmp_path, "board", {"a.txt": b"2"}, force=True)
    assert (tmp_path / "a.txt").read_bytes() == b"2"


def test_what_is_no_longer_written_is_taken_away(tmp_path):
    """A second board of an earlier run would mislead; other commands' and edited files stay."""
    write_set(tmp_path, "torque", {"torque.pdf": b"t"})
    write_set(tmp_path, "board", {"board-1.svg": b"1", "board-2.svg": b"2", "board-3.svg": b"3"})
    (tmp_path / "board-3.svg").write_bytes(b"edited")
    write_set(tmp_path, "board", {"board-1.svg": b"1"})
    assert names(tmp_path) == [RECORD, "board-1.svg", "board-3.svg", "torque.pdf"]


def test_a_folder_that_cannot_be_made_is_a_clear_error(tmp_path):
    """A file stands where the folder should be."""
    (tmp_path / "out").write_bytes(b"")
    with pytest.raises(ProblemsFound, match="cannot write"):
        write_set(tmp_path / "out", "board", {"a.txt": b"1"})


def test_a_failure_half_way_leaves_nothing(tmp_path):
    """The second file cannot be written: the first is not there either."""
    with pytest.raises(ProblemsFound, match="cannot write"):
        write_set(tmp_path, "board", {"a.txt": b"1", "no/such/folder.txt": b"2"})
    assert names(tmp_path) == []


@pytest.mark.parametrize("record", [b"not json", b"[1]", b'{"a.txt": 5}', b"\xff"])
def test_a_broken_record_counts_as_none(tmp_path, record):
    """Then every file there is the user's."""
    (tmp_path / RECORD).write_bytes(record)
    (tmp_path / "a.txt").write_bytes(b"mine")
    with pytest.raises(ProblemsFound):
        write_set(tmp_path, "board", {"a.txt": b"1"})


def snapshot(folder):
    """Every file below the folder with its content."""
    return {str(path.relative_to(folder)): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


@pytest.fixture
def out(tmp_path):
    """A folder with an older set in it."""
    write_set(tmp_path / "out", "board", OLD)
    return tmp_path / "out"


@pytest.fixture
def whole(tmp_path, out):
    """What the folder may look like: as before, or with the whole new set."""
    write_set(tmp_path / "new", "board", OLD)
    write_set(tmp_path / "new", "board", NEW)
    return snapshot(out), snapshot(tmp_path / "new")


def on_call(monkeypatch, name, act, at, forever=False):
    """Have `act` done before call number `at` of an `os` function, and before all later ones if `forever`."""
    real, count = getattr(os, name), 0

    def hooked(*arguments, **options):
        nonlocal count
        count += 1
        if count == at or (forever and count > at):
            act()
        return real(*arguments, **options)

    monkeypatch.setattr(os, name, hooked)
    return lambda: count >= at


def fail(number):
    def act():
        raise OSError(number, os.strerror(number))

    return act


def refusal(folder):
    try:
        write_set(folder, "board", NEW)
    except ProblemsFound as found:
        return found.problems[0]
    return None


@pytest.mark.slow
@pytest.mark.parametrize("forever", [False, True])
@pytest.mark.parametrize("name", CALLS)
def test_whatever_call_fails_the_set_is_whole(tmp_path, monkeypatch, name, forever):
    """The disk is full at the first, second … call of a kind, for a moment or for good: old or new."""
    failures = 0
    for at in range(1, 60):
        folder = tmp_path / str(at)
        write_set(folder, "board", OLD)
        old = snapshot(folder)
        with monkeypatch.context() as patch:
            reached = on_call(patch, name, fail(errno.ENOSPC), at, forever)
            problem = refusal(folder)
        if problem and "holds files of two runs" not in problem.message:
            failures += 1
            assert "No space left on device; nothing was changed" in problem.message
            assert "make room" in problem.hint
            assert name in ("unlink", "rmdir") or snapshot(folder) == old
        write_set(folder, "torque", {"torque.pdf": b"t"})
        after = {found: content for found, content in snapshot(folder).items() if found not in ("torque.pdf", RECORD)}
        assert after in (OLD, NEW)
        write_set(folder, "board", NEW)
        assert names(folder) == sorted([*NEW, "torque.pdf", RECORD])
        if not reached():
            break
    assert at > 1
    assert failures or name in ("link", "unlink", "rmdir")


def test_files_that_cannot_be_put_back_are_told_of_and_the_next_run_finishes(out, whole, monkeypatch):
    """Renames stop working in the middle, and so does taking back."""
    with monkeypatch.context() as patch:
        on_call(patch, "replace", fail(errno.EPERM), 3, forever=True)
        with pytest.raises(ProblemsFound, match="holds files of two runs") as found:
            write_set(out, "board", NEW)
    assert "run again" in found.value.problems[0].hint
    write_set(out, "board", NEW)
    assert snapshot(out) == whole[1]


@pytest.mark.parametrize("at", [5, 6, 7])
def test_a_run_killed_while_it_takes_back_leaves_a_set_that_the_next_makes_whole(out, whole, monkeypatch, at):
    """The fifth rename fails (the first is the journal's), three are taken back; SystemExit stands for the kill.

    Where none is back yet, all can still be finished.
    """

    def killed():
        raise SystemExit

    with monkeypatch.context() as patch:
        on_call(patch, "replace", killed, at)
        on_call(patch, "replace", fail(errno.EPERM), 5)
        with pytest.raises(SystemExit):
            write_set(out, "board", NEW)
    assert snapshot(out) != whole[0]
    write_set(out, "torque", {})
    assert snapshot(out) == whole[1 if at == 5 else 0]


ONE_OF = {
    "board": "board.json", "mat": "mat.json", "picture": "picture.png", "plan": "plan.md", "tally": "tally.csv",
    "tally template": "bag.csv", "testpage": "testpage.pdf", "torque": "torque.pdf", "trace": "p-traced.html",
}  # fmt: skip
COMMANDS = Path(boardmaker.__file__).parent / "commands"


@pytest.mark.parametrize("command", ONE_OF)
def test_what_any_command_left_half_done_the_next_run_finishes(tmp_path, monkeypatch, command):
    """Its names are among those that a journal may speak of."""
    out, name = tmp_path / "out", ONE_OF[command]
    write_set(out, command, {name: b"old"})
    with monkeypatch.context() as patch:
        on_call(patch, "replace", fail(errno.EPERM), 3, forever=True)
        with pytest.raises(ProblemsFound, match="holds files of two runs"):
            write_set(out, command, {name: b"new"})
    write_set(out, "other", {})
    assert names(out) == sorted([RECORD, name])
    assert (out / name).read_bytes() == b"new"


def test_no_command_that_writes_is_forgotten_above():
    """As they stand in the code."""
    writing = re.compile(r'\b(?:write_and_say|write_set)\((?:[\w.]+, )?"([^"]+)"')
    written = {one[1] for path in COMMANDS.glob("*.py") for one in writing.finditer(path.read_text(encoding="utf-8"))}
    assert {*ONE_OF} == written


def test_a_staged_file_that_was_spoilt_is_not_put_in_place(out, whole, monkeypatch):
    """Neither finishing nor taking back works, then the disk spoils what was staged: the change is taken back."""
    with monkeypatch.context() as patch:
        on_call(patch, "replace", fail(errno.EPERM), 3, forever=True)
        with pytest.raises(ProblemsFound, match="holds files of two runs"):
            write_set(out, "board", NEW)
    (stage,) = out.glob(f"{STAGE}*")
    for staged in stage.glob("*.new"):
        staged.write_bytes(b"")
    write_set(out, "torque", {})
    assert snapshot(out) == whole[0]


def interruption(folder):
    """What is said of the interruption; "" where it is left to the caller, None for no interruption."""
    try:
        write_set(folder, "board", NEW)
    except KeyboardInterrupt:
        return ""
    except Interrupted as interrupted:
        return str(interrupted).replace(str(folder), "out")
    return None


@pytest.mark.parametrize("name", ["write", "link", "replace", "fsync"])
def test_ctrl_c_leaves_the_old_or_the_new_set_and_says_which(tmp_path, monkeypatch, name):
    """Interrupted only where everything is written, KeyboardInterrupt only where nothing is."""
    outcomes = set()
    for at in range(1, 60):
        folder = tmp_path / str(at)
        write_set(folder, "board", OLD)
        old = snapshot(folder)
        with monkeypatch.context() as patch:
            reached = on_call(patch, name, lambda: signal.raise_signal(signal.SIGINT), at)
            outcome = interruption(folder)
        if not reached():
            break
        outcomes.add(outcome)
        assert outcome is not None
        if outcome:
            assert outcome == "all files were written to out"
            assert names(folder) == sorted([*NEW, RECORD])
        else:
            assert snapshot(folder) == old
    assert "all files were written to out" in outcomes
    assert ("" in outcomes) == (name in ("write", "link", "fsync"))
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler


def test_a_folder_made_for_nothing_is_taken_away(tmp_path, monkeypatch):
    """Ctrl-C before anything is written."""
    on_call(monkeypatch, "write", lambda: signal.raise_signal(signal.SIGINT), 1)
    with pytest.raises(KeyboardInterrupt):
        write_set(tmp_path / "out", "board", NEW)
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("force", [False, True])
def test_a_folder_or_a_pipe_in_a_file_s_place_is_found_before_anything_is_written(tmp_path, force):
    """Neither is taken away, even with --force."""
    (tmp_path / "plan.csv").mkdir()
    os.mkfifo(tmp_path / "plan.md")
    with pytest.raises(ProblemsFound, match=r"plan\.csv: a folder is in its place; nothing was changed") as found:
        write_set(tmp_path, "plan", {"plan.pdf": b"1", "plan.md": b"2", "plan.csv": b"3"}, force)
    assert "plan.md: no ordinary file" in str(found.value)
    assert names(tmp_path) == ["plan.csv", "plan.md"]


def test_a_read_only_folder_is_a_clear_error(tmp_path, monkeypatch):
    """Who may do everything becomes somebody else for a moment."""
    folder = tmp_path / "out"
    folder.mkdir()
    folder.chmod(0o555)
    monkeypatch.chdir(folder)
    privileged = os.geteuid() == 0
    if privileged:
        os.seteuid(65534)
    try:
        with pytest.raises(ProblemsFound, match=r"cannot write to .*: Permission denied; nothing was changed"):
            write_set(Path(), "plan", {"plan.pdf": b"1"})
    finally:
        if privileged:
            os.seteuid(0)
        folder.chmod(0o755)
    assert names(folder) == []


def test_no_link_at_a_name_that_could_be_guessed_is_followed(tmp_path):
    """Somebody put links there, for the program to write or delete through."""
    victim, folder = tmp_path / "victim.txt", tmp_path / "out"
    victim.write_bytes(b"precious")
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "elsewhere" / "0.new").write_bytes(b"precious")
    folder.mkdir()
    links = [".sheets.pdf.partial", ".boardmaker.json.partial", "journal.json", ".boardmaker.lock", "0.new"]
    for name in links:
        (folder / name).symlink_to(victim)
    (folder / ".boardmaker-aaaaaaaa").symlink_to(tmp_path / "elsewhere")
    (folder / ".tally.csv.partial").write_bytes(b"a user's own")
    write_set(folder, "board", NEW)
    assert victim.read_bytes() == b"precious"
    assert (tmp_path / "elsewhere" / "0.new").read_bytes() == b"precious"
    assert (folder / ".tally.csv.partial").read_bytes() == b"a user's own"
    assert all((folder / name).is_symlink() for name in (*links, ".boardmaker-aaaaaaaa"))
    assert not any((folder / name).is_symlink() for name in NEW)


def test_a_link_in_a_file_s_place_is_not_ours_and_force_replaces_the_link_alone(tmp_path):
    """Even where what it leads to is as the program wrote it."""
    write_set(tmp_path, "board", {"board.json": b"1"})
    (tmp_path / "board.json").rename(tmp_path / "kept.json")
    (tmp_path / "board.json").symlink_to(tmp_path / "kept.json")
    with pytest.raises(ProblemsFound, match="not written by boardmaker"):
        write_set(tmp_path, "board", {"board.json": b"2"})
    write_set(tmp_path, "board", {"board.json": b"2"}, force=True)
    assert (tmp_path / "kept.json").read_bytes() == b"1"
    assert not (tmp_path / "board.json").is_symlink()


HOSTILE = {
    "deep": b"[" * 500_000,
    "deep in a mapping": b'{"a":' * 100_000,
    "a NUL": b'{"sheets\\u0000.pdf": {"command": "board", "sha256": "' + b"0" * 64 + b'"}}',
    "half a letter": b'{"\\ud800": {"command": "board", "sha256": "' + b"0" * 64 + b'"}}',
    "other kinds": b'{"a.pdf": {"command": ["board"], "sha256": {}}, "b": {"command": "board", "sha256": 5}}',
    "a huge number": b'{"a": ' + b"9" * 10_000 + b"}",
}


@pytest.mark.parametrize("content", HOSTILE.values(), ids=HOSTILE)
def test_a_hostile_record_counts_as_none(tmp_path, content):
    """No fault, and files stay the user's."""
    (tmp_path / RECORD).write_bytes(content)
    (tmp_path / "sheets.pdf").write_bytes(b"mine")
    with pytest.raises(ProblemsFound, match="not written by boardmaker"):
        write_set(tmp_path, "board", NEW)
    write_set(tmp_path, "board", NEW, force=True)
    assert names(tmp_path) == sorted([*NEW, RECORD])


@pytest.mark.parametrize("kind", ["pipe", "folder", "link", "endless"])
def test_what_cannot_be_a_record_is_refused_at_once(tmp_path, kind):
    """Neither waited for, followed nor read through; and not replaced."""
    place = tmp_path / RECORD
    if kind == "pipe":
        os.mkfifo(place)
    elif kind == "folder":
        place.mkdir()
    elif kind == "link":
        place.symlink_to(tmp_path / "somewhere")
    else:
        place.touch()
        os.truncate(place, 6_000_000_000)
    with pytest.raises(ProblemsFound, match=r"\.boardmaker\.json: .* is in its place"):
        write_set(tmp_path, "board", NEW, force=True)
    assert names(tmp_path) == [RECORD]


def test_a_record_of_the_largest_size_is_read(tmp_path):
    """One more byte is refused."""
    (tmp_path / RECORD).write_bytes(b"{}".ljust(LARGEST_RECORD))
    write_set(tmp_path, "board", NEW)
    (tmp_path / RECORD).write_bytes(b"{}".ljust(LARGEST_RECORD + 1))
    with pytest.raises(ProblemsFound, match="too large"):
        write_set(tmp_path, "board", NEW)


@pytest.mark.parametrize("name", ["diary.txt", "board-2.svg.bak", "../diary.txt", "torque.pdf", "board-02.svg"])
def test_a_record_cannot_have_a_user_s_file_removed(tmp_path, name):
    """It lists the file with its hash, as if a command had written it and no longer would."""
    folder = tmp_path / "out"
    folder.mkdir()
    (folder / name).write_bytes(b"mine")
    entry = {"command": "board", "sha256": hashlib.sha256(b"mine").hexdigest()}
    (folder / RECORD).write_text(json.dumps({name: entry}))
    write_set(folder, "board", NEW)
    assert (folder / name).read_bytes() == b"mine"


def journal_folder(folder, command, steps):
    stage = folder / f"{STAGE}abcdefgh"
    stage.mkdir(parents=True)
    (stage / "0.new").write_bytes(b"theirs")
    (stage / "journal.json").write_text(json.dumps({"format": 1, "command": command, "steps": steps}))
    return stage


@pytest.mark.parametrize("name", ["diary.txt", "../diary.txt", "torque.pdf"])
@pytest.mark.parametrize("new", [None, hashlib.sha256(b"theirs").hexdigest()])
def test_a_journal_cannot_have_a_user_s_file_touched(tmp_path, name, new):
    """It came with the folder and speaks of a file that the command does not write."""
    folder = tmp_path / "out"
    stage = journal_folder(folder, "board", [{"name": name, "old": hashlib.sha256(b"mine").hexdigest(), "new": new}])
    (folder / name).write_bytes(b"mine")
    write_set(folder, "board", NEW)
    assert (folder / name).read_bytes() == b"mine"
    assert stage.is_dir()


def test_a_file_edited_after_a_kill_stays_as_the_user_left_it(tmp_path):
    """Finishing what was begun stops before a file that is neither the old nor the new one."""
    folder = tmp_path / "out"
    steps = [{"name": "board.json", "old": "0" * 64, "new": hashlib.sha256(b"theirs").hexdigest()}]
    stage = journal_folder(folder, "board", steps)
    (stage / "photo.jpg").write_bytes(b"a user's own")
    (folder / "board.json").write_bytes(b"mine")
    write_set(folder, "plan", {"plan.md": b"1"})
    assert (folder / "board.json").read_bytes() == b"mine"
    assert names(stage) == ["photo.jpg"]


def test_without_second_names_the_old_files_are_copied(out, whole, monkeypatch):
    """As on a memory stick; taking back works from the copies."""
    on_call(monkeypatch, "link", fail(errno.EPERM), 1, forever=True)
    with monkeypatch.context() as patch:
        on_call(patch, "replace", fail(errno.EBUSY), 4)
        with pytest.raises(ProblemsFound, match="nothing was changed"):
            write_set(out, "board", NEW)
    assert snapshot(out) == whole[0]
    write_set(out, "board", NEW)
    assert snapshot(out) == whole[1]


@pytest.mark.parametrize("folders_lock", [True, False])
def test_a_second_run_waits_for_the_first_and_then_says_so(out, whole, monkeypatch, folders_lock):
    """With a lock on the folder, and with a lock file where the system has none for folders."""
    if not folders_lock:
        monkeypatch.setattr(lock, "_take", lock._take_file)
    monkeypatch.setattr(lock, "TRIES", 3)
    monkeypatch.setattr(lock, "PAUSE", 0.01)
    found = []

    def second():
        try:
            write_set(out, "board", OLD)
        except ProblemsFound as refused:
            found.append(str(refused))

    def overlap():
        other = threading.Thread(target=second)
        other.start()
        other.join()

    on_call(monkeypatch, "link", overlap, 2)
    write_set(out, "board", NEW)
    assert len(found) == 1
    assert "another run of boardmaker is writing there; nothing was changed" in found[0]
    assert snapshot(out) == whole[1]


@pytest.mark.parametrize(
    ("process", "stale"),
    [("4194999", True), (str(os.getpid()), False), ("rubbish", False)],
    ids=["gone", "this one", "no number"],
)
def test_a_lock_file_of_a_process_that_is_gone_is_taken_away(tmp_path, monkeypatch, process, stale):
    """No process has a number above 4194304; what is no lock of this machine stays, with a word about it."""
    monkeypatch.setattr(lock, "_take", lock._take_file)
    monkeypatch.setattr(lock, "TRIES", 1)
    (tmp_path / lock.LOCK).write_text(f"{lock.socket.gethostname()} {process}\n")
    if stale:
        write_set(tmp_path, "board", NEW)
        assert names(tmp_path) == sorted([*NEW, RECORD])
        return
    with pytest.raises(ProblemsFound) as found:
        write_set(tmp_path, "board", NEW)
    assert "delete" in found.value.problems[0].hint
    assert names(tmp_path) == [lock.LOCK]
