"""One value written back into a file of the user's, with all comments, order and layout kept."""

from __future__ import annotations

import io
import os
from pathlib import Path
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.comments import CommentedMap, CommentedSeq

from boardmaker.inputs.yaml_reader import read_yaml
from boardmaker.problems import ProblemsFound, error

FRESH = "format: 1\n"


def write_setup_value(path: Path, keys: tuple[str, ...], value: float | str | tuple[float, ...]) -> None:
    """Set the value under `keys` (outermost first); a missing file or section is made.

    Raises ProblemsFound where the file cannot be read as ours or cannot be written; it is then left as it was.
    """
    text = FRESH
    if path.exists():
        read_yaml(path)  # refuses what we would not read again
        text = path.read_text(encoding="utf-8-sig")
    yaml = YAML()  # the round-trip kind
    yaml.preserve_quotes = True
    yaml.width = 4096  # lines stay as they were
    content = yaml.load(text)
    _set(content, keys, value)
    written = io.StringIO()
    yaml.dump(content, written)
    _replace(path, written.getvalue())


def _set(content: CommentedMap, keys: tuple[str, ...], value: Any) -> None:
    *sections, last = keys
    for section in sections:
        if not isinstance(content.get(section), CommentedMap):
            content[section] = CommentedMap()
        content = content[section]
    content[last] = _plain_list(value) if isinstance(value, tuple) else value


def _plain_list(values: tuple[float, ...]) -> CommentedSeq:
    sequence = CommentedSeq(values)
    sequence.fa.set_flow_style()
    return sequence


def _replace(path: Path, text: str) -> None:
    partial = path.with_name(f".{path.name}.partial")
    try:
        partial.write_text(text, encoding="utf-8")
        os.replace(partial, path)
    except OSError as failure:
        raise ProblemsFound([error(f"cannot write {path}: {failure.strerror or failure}")]) from None
    finally:
        partial.unlink(missing_ok=True)
