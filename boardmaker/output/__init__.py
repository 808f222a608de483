"""Files into a folder: the whole set or none of it, and never over something that somebody else wrote or edited.

The folder keeps a small record of what the program wrote there (name, SHA-256, which command). A file that is not in
it, or differs from it, belongs to the user.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Mapping
from pathlib import Path

from boardmaker.problems import Problem, ProblemsFound, error

RECORD = ".boardmaker.json"


def write_set(folder: Path, command: str, files: Mapping[str, bytes], force: bool = False) -> None:
    """Write all files of a command into `folder`, and take away what it wrote there before and no longer writes.

    Raises ProblemsFound, with nothing written, where a file is not ours to overwrite (unless `force`) or the folder
    cannot be written to.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        record = _read_record(folder)
        if not force and (problems := [_refusal(folder / name) for name in files if not _ours(folder, name, record)]):
            raise ProblemsFound(problems)
        _replace_all(folder, files)
        _remove_stale(folder, command, files, record)
        record = {name: entry for name, entry in record.items() if entry["command"] != command or name in files}
        record |= {name: {"command": command, "sha256": _digest(content)} for name, content in files.items()}
        _replace_all(folder, {RECORD: (json.dumps(record, indent=1, sort_keys=True) + "\n").encode()})
    except OSError as failure:
        raise ProblemsFound([_cannot_write(folder, failure)]) from None


def _read_record(folder: Path) -> dict[str, dict[str, str]]:
    try:
        record = json.loads((folder / RECORD).read_text(encoding="utf-8"))
    except (FileNotFoundError, ValueError):
        return {}
    if not isinstance(record, dict):
        return {}
    return {
        name: entry for name, entry in record.items() if isinstance(entry, dict) and {"command", "sha256"} <= {*entry}
    }


def _ours(folder: Path, name: str, record: Mapping[str, Mapping[str, str]]) -> bool:
    """Whether the file is not there, or is just as the program left it."""
    path = folder / name
    if not path.exists() and not path.is_symlink():
        return True
    return path.is_file() and name in record and record[name]["sha256"] == _digest(path.read_bytes())


def _refusal(path: Path) -> Problem:
    return error(
        f"{path} was not written by boardmaker, or was edited since",
        hint="choose another folder with --out, move the file away, or overwrite it with --force",
    )


def _cannot_write(folder: Path, failure: OSError) -> Problem:
    reason = failure.strerror or str(failure)
    return error(f"cannot write to {failure.filename or folder}: {reason}", hint="choose another folder with --out")


def _replace_all(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write every file beside its place first; only when all are complete do they take it."""
    partial = {name: folder / f".{name}.partial" for name in files}
    try:
        for name, content in files.items():
            partial[name].write_bytes(content)
        for name, path in partial.items():
            os.replace(path, folder / name)
    finally:
        for path in partial.values():
            path.unlink(missing_ok=True)


def _remove_stale(
    folder: Path, command: str, files: Mapping[str, bytes], record: Mapping[str, Mapping[str, str]]
) -> None:
    for name, entry in record.items():
        if (
            entry["command"] == command
            and name not in files
            and Path(name).name == name
            and _ours(folder, name, record)
        ):
            (folder / name).unlink(missing_ok=True)


def _digest(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()
