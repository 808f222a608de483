"""A bike file read as it would be once it is written, with drawings that are not written yet either.

In: the file's place, its new content, the new drawings. Out: the bike and the warnings, or every problem, all placed as
if the file stood there. Apart from `reading`, which reads what is on the disk: this one builds a small copy of the
folder, so that not a rule of the reader is said twice.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

from boardmaker.inputs.bike.reading import read_bike, read_bike_in_part
from boardmaker.inputs.outlines import LARGEST_SVG
from boardmaker.inputs.yaml.reader import read_content
from boardmaker.model import Bike
from boardmaker.problems import Problem, ProblemsFound, error


def try_bike(path: Path, content: bytes, drawings: Mapping[str, bytes]) -> tuple[Bike, tuple[Problem, ...]]:
    """Return the bike and the warnings of a file that is not written yet; `drawings` by their names in its folder.

    Raises ProblemsFound as `read_bike` does.
    """
    with _copied(path, content, drawings) as trial:
        bike, warnings = read_bike(trial)
        return bike, _placed(warnings, path)


def try_bike_in_part(path: Path, content: bytes) -> tuple[Bike, tuple[Problem, ...]]:
    """Return what can be made of a file that is not written yet, and every problem of it, as `read_bike_in_part`."""
    with _copied(path, content, {}) as trial:
        part = read_bike_in_part(trial)
        return part.bike, _placed(part.problems, path)


@contextmanager
def _copied(path: Path, content: bytes, drawings: Mapping[str, bytes]) -> Iterator[Path]:
    """A copy of the file in a folder of its own, with all drawings; problems are placed as if it were the file."""
    try:
        with tempfile.TemporaryDirectory(prefix="boardmaker-") as folder:
            trial = Path(folder) / path.name
            _copy_all(trial, path, content, drawings)
            yield trial
    except ProblemsFound as found:
        raise ProblemsFound(_placed(found.problems, path)) from None
    except OSError as failure:
        message = f"cannot try the new bike file: {failure.strerror or failure}"
        raise ProblemsFound([error(message, hint="make room in the folder for temporary files")]) from None


def _copy_all(trial: Path, path: Path, content: bytes, drawings: Mapping[str, bytes]) -> None:
    for name in _drawings_named(content, str(path)):
        _copy(path.parent / name, trial.parent / name)
    for name, drawing in drawings.items():
        (trial.parent / name).parent.mkdir(parents=True, exist_ok=True)
        (trial.parent / name).write_bytes(drawing)
    trial.write_bytes(content)


def _drawings_named(content: bytes, name: str) -> Iterator[str]:
    """The drawings that a bike file names, each once, as far as they lie below its folder."""
    data = read_content(content, name).data
    panels = data.get("panels") if isinstance(data, dict) else None
    outlines = [panel.get("outline") for panel in (panels or {}).values() if isinstance(panel, dict)]
    names = [one["file"] for one in outlines if isinstance(one, dict) and isinstance(one.get("file"), str)]
    yield from dict.fromkeys(one for one in names if not os.path.isabs(one) and ".." not in Path(one).parts)


def _copy(source: Path, target: Path) -> None:
    if source.is_file() and source.stat().st_size <= LARGEST_SVG:
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(source, target)


def _placed(problems: tuple[Problem, ...], path: Path) -> tuple[Problem, ...]:
    return tuple(replace(one, where=replace(one.where, file=str(path))) if one.where else one for one in problems)
