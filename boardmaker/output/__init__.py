"""Files into a folder: the whole set or none of it, and never over something that somebody else wrote or edited.

The folder keeps a small record of what the program wrote there (name, SHA-256, which command). A file that is not in
it, or differs from it, belongs to the user.

Promised: every single file is whole at any time, old or new. When `write_set` returns or raises, the folder holds the
whole new set or is as before; so it does for the next `write_set` into it, even if the process was killed or the power
failed: that one first finishes or takes back what was begun, from a journal (`change`). Two runs into one folder wait
for each other (`lock`). Ctrl-C and SIGTERM are held back until the folder is in order (`signals`).

Not promised: several renames are not one. Who looks into the folder while they happen, or after a kill and before the
next run, may find files of both sets. A file that is edited in the moment between the last look at it and the rename is
replaced.
"""

from __future__ import annotations

import errno
import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, nullcontext, suppress
from dataclasses import replace
from pathlib import Path

from boardmaker.output.change import STAGE, Unfinished, carry_out, settle_unfinished
from boardmaker.output.lock import locked
from boardmaker.output.record import (
    LARGEST_RECORD,
    PLAIN_NAME,
    RECORD,
    Record,
    may_write,
    read_record,
    record_bytes,
    updated_record,
)
from boardmaker.output.safe_files import FOLDER, LINK, OTHER, digest, fingerprint
from boardmaker.output.signals import HeldSignals, Stopped, hold_signals
from boardmaker.problems import Interrupted, Problem, ProblemsFound, error

__all__ = ["RECORD", "change_file", "write_set"]

NO_ROOM = (errno.ENOSPC, errno.EDQUOT)
ELSEWHERE = "choose another folder with --out"
MADE_WRITABLE = "see to it that you may write into that folder"
IN_THE_WAY = "move the file away, or overwrite it with --force"


def write_set(
    folder: Path, command: str, files: Mapping[str, bytes], force: bool = False, *, adds: bool = False
) -> None:
    """Write all files of a command into `folder`, and take away what it wrote there before and no longer writes.

    With `adds` what it wrote there before stays: files of a command that is run once for each thing.

    Raises ProblemsFound, with nothing changed, where a file is not ours to overwrite (unless `force`) or the folder
    cannot be written to; Interrupted, with all written, or KeyboardInterrupt, with nothing changed, after a Ctrl-C.
    """
    written = False
    try:
        with hold_signals() as signals, suppress(Stopped), _told_as_problems(folder), _made(folder):
            _write(folder, command, files, force, signals, adds)
            written = True
        signals.pass_on()
    except KeyboardInterrupt:
        if not written:
            raise
        raise Interrupted(f"all files were written to {folder}") from None


@contextmanager
def _made(folder: Path) -> Iterator[None]:
    """The folder is there; one that was made for nothing is taken away again."""
    is_new = not folder.exists()
    folder.mkdir(parents=True, exist_ok=True)
    try:
        yield
    except BaseException:
        if is_new:
            with suppress(OSError):
                folder.rmdir()
        raise


@contextmanager
def _told_as_problems(folder: Path, elsewhere: str = ELSEWHERE) -> Iterator[None]:
    try:
        yield
    except Unfinished as unfinished:
        raise ProblemsFound([_half_done(folder, unfinished.failure)]) from None
    except OSError as failure:
        raise ProblemsFound([_cannot_write(folder, failure, elsewhere)]) from None


def _write(
    folder: Path, command: str, files: Mapping[str, bytes], force: bool, signals: HeldSignals, adds: bool
) -> None:
    with locked(folder, signals):
        settle_unfinished(folder)
        record = read_record(folder)
        stale = {name for name, entry in record.items() if entry["command"] == command and name not in files}
        stale = {name for name in stale if not adds and may_write(command, name) and _is_ours(folder, name, record)}
        before = {name: fingerprint(folder / name) for name in (*files, *sorted(stale), RECORD)}
        if problems := _refusals(folder, before, record, force):
            raise ProblemsFound(problems)
        wanted: dict[str, bytes | None] = {**files, **dict.fromkeys(sorted(stale))}
        wanted[RECORD] = record_bytes(updated_record(record, command, files, adds))
        if late := carry_out(folder, command, wanted, before, signals):
            raise ProblemsFound([_refusal(folder / name) for name in late])


def change_file(
    path: Path, read: bytes, content: bytes, beside: str, files: Mapping[str, bytes], force: bool = False
) -> None:
    """Change a file of the user's and write files of ours into the folder `beside` it: all of them or none.

    `read` is what the change was made from: a file that holds something else by now is left alone. The file keeps who
    may read and write it. As with `write_set`, the next call finishes or takes back what a killed one began. Raises as
    `write_set`.
    """
    written = False
    folder = path.parent
    try:
        with hold_signals() as signals, suppress(Stopped), _told_as_problems(folder, MADE_WRITABLE):
            if files:
                _refuse_odd_folder(folder / beside)
            with _made(folder / beside) if files else nullcontext():
                _change(path, read, content, beside, files, force, signals)
            written = True
        signals.pass_on()
    except KeyboardInterrupt:
        if not written:
            raise
        raise Interrupted(f"{path} was changed, and all files with it") from None


def _change(
    path: Path,
    read: bytes,
    content: bytes,
    beside: str,
    files: Mapping[str, bytes],
    force: bool,
    signals: HeldSignals,
) -> None:
    folder = path.parent
    with locked(folder, signals):
        settle_unfinished(folder)
        record = read_record(folder / beside) if files else {}
        inner = {name: fingerprint(folder / beside / name) for name in (*files, RECORD)} if files else {}
        refusals = _refusals(folder / beside, inner, _with_same(record, files, inner), force)
        problems = [replace(one, hint=IN_THE_WAY) for one in refusals]
        before = {f"{beside}/{name}": found for name, found in inner.items()}
        before[path.name] = fingerprint(path)
        if before[path.name] != digest(read):
            problems.append(error(f"{path} was changed meanwhile; it is left as it is", hint="run the command again"))
        if problems:
            raise ProblemsFound(problems)
        wanted: dict[str, bytes | None] = {f"{beside}/{name}": new for name, new in files.items()}
        if files:
            wanted[f"{beside}/{RECORD}"] = record_bytes(updated_record(record, "trace into", files, adds=True))
        wanted[path.name] = content
        if late := carry_out(folder, "trace into", wanted, before, signals, keep_modes=True):
            raise ProblemsFound([_refusal(folder / name) for name in late])


def _with_same(record: Record, files: Mapping[str, bytes], found: Mapping[str, str | None]) -> Record:
    """The record, and each file that is there as it is to be written: that one is nobody's loss."""
    same = {name: digest(content) for name, content in files.items() if found[name] == digest(content)}
    return record | {name: {"command": "trace into", "sha256": fingerprint} for name, fingerprint in same.items()}


def _refuse_odd_folder(folder: Path) -> None:
    """Raise ProblemsFound where a link or a file has the folder's name."""
    found = fingerprint(folder)
    if found is not None and found != FOLDER:
        what = "a link" if found.startswith(LINK) else "a file"
        raise ProblemsFound([error(f"{folder} is {what}, not a folder; nothing was changed", hint="move it away")])


def _is_ours(folder: Path, name: str, record: Mapping[str, Mapping[str, str]]) -> bool:
    return fingerprint(folder / name) == record[name]["sha256"]


def _refusals(
    folder: Path, before: Mapping[str, str | None], record: Mapping[str, Mapping[str, str]], force: bool
) -> list[Problem]:
    """What must not be overwritten: with `force` only what is no file at all."""
    problems = []
    for name, found in before.items():
        path = folder / name
        if not PLAIN_NAME.fullmatch(name) and name != RECORD:
            problems.append(error(f"cannot write {path}: this is no plain file name"))
        elif what := _obstacle(path, found):
            hint = f"move it away, or {ELSEWHERE}"
            problems.append(error(f"cannot write {path}: {what} is in its place; nothing was changed", hint=hint))
        elif name != RECORD and not force and found is not None and found != record.get(name, {}).get("sha256"):
            problems.append(_refusal(path))
    return problems


def _obstacle(path: Path, found: str | None) -> str:
    """What stands in a file's place and is not replaced even with `force`; "" for nothing."""
    if found == FOLDER:
        return "a folder"
    if found == OTHER:
        return "no ordinary file"
    if path.name == RECORD and found is not None:
        if found.startswith(LINK):
            return "a link"
        if path.stat().st_size > LARGEST_RECORD:
            return "a file too large for the record"
    return ""


def _refusal(path: Path) -> Problem:
    return error(
        f"{path} was not written by boardmaker, or was edited since",
        hint="choose another folder with --out, move the file away, or overwrite it with --force",
    )


def _cannot_write(folder: Path, failure: OSError, elsewhere: str) -> Problem:
    place = _place(folder, failure)
    remedy = "see to it that it can be replaced, or " if place != str(folder) else ""
    remedy = "make room on the disk, or " if failure.errno in NO_ROOM else remedy
    message = f"cannot write to {place}: {failure.strerror or failure}; nothing was changed"
    return error(message, hint=remedy + elsewhere)


def _half_done(folder: Path, failure: OSError) -> Problem:
    return error(
        f"cannot write to {_place(folder, failure)}: {failure.strerror or failure}; {folder} holds files of two runs",
        hint="see to it that files there can be replaced, then run again: that puts the folder in order first",
    )


def _place(folder: Path, failure: OSError) -> str:
    """The file or folder that the user knows, not one that is only there for a moment."""
    names = [os.fsdecode(name) for name in (failure.filename2, failure.filename) if isinstance(name, str | bytes)]
    known = [name for name in names if STAGE not in Path(name).parts[-1] and STAGE not in str(Path(name).parent)]
    return known[0] if known else str(folder)
