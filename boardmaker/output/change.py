"""A change of several files that is made as a whole, or taken back.

In: a folder and the content of each name (None: to be gone). Everything new is first written into a private folder
inside the target folder, with a second name (or a copy) of everything old; then a journal of the change; only then
does one file after the other take its place, the record as the last. From the journal the change can be finished or
taken back. A file that is neither the old nor the new one was edited since, and is left to the user.
"""

from __future__ import annotations

import contextlib
import json
import os
import re
import shutil
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from boardmaker.output.record import LARGEST_RECORD, RECORD, may_write
from boardmaker.output.safe_files import FOLDER, LINK, digest, fingerprint, read_small, sync_folder, write_fresh
from boardmaker.output.signals import HeldSignals

STAGE = ".boardmaker-"
JOURNAL = "journal.json"
_STAGE_NAME = re.compile(r"\.boardmaker-[a-z0-9_]{8}")  # as tempfile makes them
_STAGED_NAME = re.compile(r"[0-9]{1,5}\.(?:new|old)|journal\.(?:json|part)")


class Unfinished(Exception):
    """The change could be neither made nor taken back; the journal is still there."""

    def __init__(self, failure: OSError) -> None:
        self.failure = failure
        super().__init__(str(failure))


@dataclass(frozen=True)
class FileChange:
    """One name and the fingerprints of what was and will be there (None: nothing)."""

    name: str
    old: str | None
    new: str | None


def carry_out(
    folder: Path,
    command: str,
    wanted: Mapping[str, bytes | None],
    before: Mapping[str, str | None],
    signals: HeldSignals,
    keep_modes: bool = False,
) -> tuple[str, ...]:
    """Make the change and return (); or change nothing and return the names that are no longer as in `before`.

    With `keep_modes` a file that takes another one's place may be read and written by the same people as that one.

    Raises OSError or Stopped with nothing changed, Unfinished with a journal left.
    """
    steps = tuple(FileChange(name, before[name], None if new is None else digest(new)) for name, new in wanted.items())
    stage = Path(tempfile.mkdtemp(prefix=STAGE, dir=folder))
    try:
        for number, (step, content) in enumerate(zip(steps, wanted.values(), strict=True)):
            signals.stop_here()
            _stage(folder / step.name, stage, number, step, content)
            if keep_modes and step.old is not None and content is not None:
                shutil.copymode(folder / step.name, _new(stage, number))
        if late := tuple(step.name for number, step in enumerate(steps) if not _is_kept(folder, stage, number, step)):
            return late
        _write_journal(stage, command, steps)
        _make(folder, stage, steps)
        return ()
    finally:
        if not (stage / JOURNAL).exists():
            _remove_stage(stage)


def _stage(target: Path, stage: Path, number: int, step: FileChange, content: bytes | None) -> None:
    if content is not None:
        write_fresh(_new(stage, number), content)
    if step.old is None:
        return
    try:
        os.link(target, _old(stage, number), follow_symlinks=False)
    except (OSError, NotImplementedError):  # not every file system and every owner allows second names
        _copy(target, _old(stage, number), step.old)


def _copy(target: Path, copy: Path, found: str) -> None:
    if found.startswith(LINK):
        copy.symlink_to(os.readlink(target))
    else:
        write_fresh(copy, target.read_bytes())
        shutil.copymode(target, copy)


def _is_kept(folder: Path, stage: Path, number: int, step: FileChange) -> bool:
    return fingerprint(folder / step.name) == step.old == fingerprint(_old(stage, number))


def _new(stage: Path, number: int) -> Path:
    return stage / f"{number}.new"


def _old(stage: Path, number: int) -> Path:
    return stage / f"{number}.old"


def _write_journal(stage: Path, command: str, steps: Sequence[FileChange]) -> None:
    """From here on the change is begun: a journal appears whole, when all that it speaks of is on the disk."""
    journal = {"format": 1, "command": command, "steps": [asdict(step) for step in steps]}
    write_fresh(stage / "journal.part", json.dumps(journal).encode())
    sync_folder(stage)
    os.replace(stage / "journal.part", stage / JOURNAL)
    sync_folder(stage)
    sync_folder(stage.parent)


def _make(folder: Path, stage: Path, steps: Sequence[FileChange]) -> None:
    try:
        for number, step in enumerate(steps):
            _put(folder, stage, number, step)
        sync_folder(folder)
    except BaseException:
        _take_back_or_say(folder, stage, steps)
        raise
    _close(stage)


def _take_back_or_say(folder: Path, stage: Path, steps: Sequence[FileChange]) -> None:
    try:
        _take_back(folder, stage, steps)
    except OSError as failure:
        raise Unfinished(failure) from None
    _close(stage)


def _put(folder: Path, stage: Path, number: int, step: FileChange) -> None:
    if step.new is None:
        (folder / step.name).unlink(missing_ok=True)
    else:
        os.replace(_new(stage, number), folder / step.name)


def _take_back(folder: Path, stage: Path, steps: Sequence[FileChange]) -> None:
    for number, step in reversed(tuple(enumerate(steps))):
        if step.old == step.new or fingerprint(folder / step.name) != step.new:
            continue
        if step.old is None:
            (folder / step.name).unlink()
        elif fingerprint(_old(stage, number)) == step.old:
            os.replace(_old(stage, number), folder / step.name)
    sync_folder(folder)


def _finish(folder: Path, stage: Path, steps: Sequence[FileChange]) -> None:
    for number, step in enumerate(steps):
        if step.old != step.new and fingerprint(folder / step.name) == step.old:
            _put(folder, stage, number, step)
    sync_folder(folder)


def _can_finish(folder: Path, stage: Path, steps: Sequence[FileChange]) -> bool:
    """Whether all that is still to be put in place is there: not so where the change was being taken back."""
    return all(
        fingerprint(folder / step.name) != step.old or step.new in (None, step.old, fingerprint(_new(stage, number)))
        for number, step in enumerate(steps)
    )


def settle_unfinished(folder: Path) -> None:
    """Finish what a killed run began in the folder, or take it back, and clear away what it left; for a locked folder.

    Raises Unfinished where the files cannot be replaced, OSError where something cannot be looked at or removed.
    """
    for stage in sorted(path for path in folder.iterdir() if _STAGE_NAME.fullmatch(path.name)):
        if fingerprint(stage) != FOLDER:
            continue
        if os.path.lexists(stage / JOURNAL):
            steps = _read_journal(stage)
            if steps is None:
                continue  # not our writing
            _settle(folder, stage, steps)
            (stage / JOURNAL).unlink(missing_ok=True)  # a journal left over would one day take back a later run
        _remove_stage(stage)


def _settle(folder: Path, stage: Path, steps: Sequence[FileChange]) -> None:
    if _can_finish(folder, stage, steps):
        with contextlib.suppress(OSError):
            _finish(folder, stage, steps)
            _close(stage)
            return
    _take_back_or_say(folder, stage, steps)


def _read_journal(stage: Path) -> tuple[FileChange, ...] | None:
    """The steps; None where the journal is not one that a command of ours can have written."""
    try:
        journal = json.loads((read_small(stage / JOURNAL, LARGEST_RECORD) or b"").decode("utf-8"))
        command, steps = journal["command"], tuple(FileChange(**step) for step in journal["steps"])
    except (ValueError, RecursionError, TypeError, KeyError):
        return None
    known = isinstance(command, str) and all(_is_known(command, step.name) for step in steps)
    return steps if known and all(_is_print(step.old) and _is_print(step.new) for step in steps) else None


def _is_known(command: str, name: Any) -> bool:
    return isinstance(name, str) and (name == RECORD or may_write(command, name))


def _is_print(found: Any) -> bool:
    return found is None or isinstance(found, str)


def _close(stage: Path) -> None:
    """The change is over, one way or the other."""
    with contextlib.suppress(OSError):
        os.unlink(stage / JOURNAL)


def _remove_stage(stage: Path) -> None:
    """Take the private folder away; what is not ours in it stays, and so does then the folder."""
    with contextlib.suppress(OSError):
        for path in stage.iterdir():
            if _STAGED_NAME.fullmatch(path.name):
                path.unlink()
        stage.rmdir()
