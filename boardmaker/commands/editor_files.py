"""Files that lie in the user's own folder, beside the bike file: a new bike file, and the schemas for the editor.

In: a path and its content. Out: the file, whole or not at all. Apart from `output`, which keeps a record of the folder
that it writes into: the folder of a bike file belongs to its owner, and nothing but what was asked for is put there.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from importlib.resources import files
from pathlib import Path

from boardmaker.commands.common import is_there
from boardmaker.output.safe_files import write_beside
from boardmaker.problems import Problem, ProblemsFound, error

BIKE_SCHEMA, SETUP_SCHEMA = "bike.schema.json", "setup.schema.json"
OURS = b'"title": "boardmaker: '  # near the top of every schema of ours
HEAD = 200  # bytes of a file that are looked at


def write_file(path: Path, content: bytes, force: bool) -> None:
    """Write a file that is not there yet; with `force` also in the place of another.

    Raises ProblemsFound, with nothing changed.
    """
    if not force and (is_there(path) or path.is_symlink()):
        raise ProblemsFound([in_the_way(path)])
    if path.is_dir():
        raise ProblemsFound([error(f"cannot write {path}: a folder is in its place", hint="choose another name")])
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        write_beside(path, content)
    except (OSError, ValueError) as failure:
        what = getattr(failure, "strerror", None) or failure
        raise ProblemsFound([error(f"cannot write {path}: {what}", hint="choose another name or folder")]) from None


def in_the_way(path: Path) -> Problem:
    """Return the complaint about a file that is there already."""
    return error(f"{path} is there already; nothing was changed", hint="choose another name, or say --force")


def write_schemas(folder: Path, names: Iterable[str], force: bool) -> None:
    """Write the shipped schemas into a folder, over older ones of ours. Raises ProblemsFound for files of others."""
    contents = {folder / name: schema_bytes(name) for name in names}
    check_schemas(contents, force)
    for path, content in contents.items():
        write_file(path, content, force=True)


def check_schemas(paths: Iterable[Path], force: bool) -> None:
    """Raise ProblemsFound where a file that is no schema of ours has the name of one."""
    foreign = [path for path in paths if (is_there(path) or path.is_symlink()) and not _is_ours(path)]
    if foreign and not force:
        raise ProblemsFound([in_the_way(path) for path in foreign])


def schema_bytes(name: str) -> bytes:
    """Return a shipped schema."""
    return files("boardmaker").joinpath("schemas", name).read_bytes()


def _is_ours(path: Path) -> bool:
    """Say whether a file begins like a schema of ours, of this version or another."""
    if path.is_symlink() or not path.is_file() or not os.access(path, os.R_OK):
        return False
    with path.open("rb") as file:
        return OURS in file.read(HEAD)
