"""One value written back into a setup file, and not one other letter of it changed.

In: a file, the keys to a value, the value. The text is edited where the value stands: a file that a mechanic keeps by
hand must not come back in somebody else's layout. What was written is read again before the file is replaced.
"""

from __future__ import annotations

import contextlib
import os
import secrets
import shutil
from pathlib import Path
from typing import Any

from ruamel.yaml.nodes import MappingNode, Node, SequenceNode

from boardmaker.inputs.yaml.edits import (
    BYTE_ORDER_MARK,
    entry_of,
    is_nothing,
    last_letter,
    line_after,
    line_end_of,
    with_edits,
    written_text,
)
from boardmaker.inputs.yaml.reader import Document, compose, read_yaml
from boardmaker.problems import ProblemsFound, error

FRESH = "format: 1\n"
INDENT = "  "
Value = float | str | tuple[float, ...]


def write_setup_value(path: Path, keys: tuple[str, ...], value: Value) -> None:
    """Set the value under `keys` (outermost first); a missing file, section or key is made.

    Comments, order, quotes, line ends and everything else stay; a link stays a link. Raises ProblemsFound where the
    file cannot be read as ours, cannot be written, or has the value in a form that cannot be edited; it then stays
    as it was.
    """
    path = path.resolve() if path.is_symlink() else path
    before, text = FRESH, FRESH
    if path.exists():
        _refuse_problems(read_yaml(path))
        _refuse_read_only(path)
        before = path.read_bytes().decode("utf-8")
        text = before
    mark = BYTE_ORDER_MARK if text.startswith(BYTE_ORDER_MARK) else ""
    edited = mark + _with_value(text.removeprefix(mark), keys, value, line_end_of(text))
    _replace(path, edited, keys, value)


def _refuse_problems(document: Document) -> None:
    if document.problems:
        raise ProblemsFound(document.problems)
    if not isinstance(document.data, dict):
        raise ProblemsFound([error("the file is not a mapping of keys", document.place(()))])


def _refuse_read_only(path: Path) -> None:
    if not path.stat().st_mode & 0o222 or not os.access(path, os.W_OK):
        raise ProblemsFound([error(f"cannot write {path}: it is read-only", hint="make it writable first")])


def _with_value(text: str, keys: tuple[str, ...], value: Value, line_end: str) -> str:
    """The text with the value under the keys."""
    node = compose(text)
    for depth, key in enumerate(keys):
        found = entry_of(node, key)
        if found is None:
            return _with_new_entry(text, node, keys[depth:], value, line_end)
        key_node, inner = found
        if is_nothing(inner):
            return _with_first_value(text, key_node, keys[depth + 1 :], value, line_end)
        node = inner
    return _with_replaced(text, node, value)


def _with_replaced(text: str, node: Node, value: Value) -> str:
    """In a list of the same length only the entries change, so that comments between them stay."""
    if isinstance(value, tuple) and isinstance(node, SequenceNode) and len(node.value) == len(value):
        for entry, one in zip(reversed(node.value), reversed(value), strict=True):
            text = _with_replaced(text, entry, one)
        return text
    old = text[node.start_mark.index : node.end_mark.index]
    space = old[len(old.rstrip()) :]
    return text[: node.start_mark.index] + _written(value) + space + text[node.end_mark.index :]


def _with_first_value(text: str, key_node: Node, keys: tuple[str, ...], value: Value, line_end: str) -> str:
    """The text with something under a key that has nothing: on its line, or as a block below."""
    if keys:
        block = _block(keys, value, key_node.start_mark.column + len(INDENT), line_end)
        return with_edits(text, [line_after(text, key_node.end_mark.index, block, line_end)])
    at = text.index(":", key_node.end_mark.index) + 1
    return f"{text[:at]} {_written(value)}{text[at:]}"


def _with_new_entry(text: str, node: Node, keys: tuple[str, ...], value: Value, line_end: str) -> str:
    """The text with a new key, and those below it, at the end of a mapping."""
    if isinstance(node, MappingNode) and node.flow_style:
        return _with_flow_entry(text, node, keys, value)
    block = _block(keys, value, node.start_mark.column, line_end)
    return with_edits(text, [line_after(text, last_letter(node), block, line_end)])


def _block(keys: tuple[str, ...], value: Value, column: int, line_end: str) -> str:
    lines = [f"{' ' * column}{INDENT * depth}{key}:" for depth, key in enumerate(keys)]
    return line_end.join(lines) + f" {_written(value)}"


def _with_flow_entry(text: str, node: MappingNode, keys: tuple[str, ...], value: Value) -> str:
    opened = "".join(f"{key}: {{ " for key in keys[:-1])
    entry = f"{opened}{keys[-1]}: {_written(value)}{' }' * (len(keys) - 1)}"
    if not node.value:
        at = node.start_mark.index + 1
        return f"{text[:at]} {entry} {text[at:].lstrip(' ')}"
    at = node.value[-1][1].end_mark.index
    return f"{text[:at]}, {entry}{text[at:]}"


def _written(value: Value) -> str:
    if isinstance(value, tuple):
        return f"[{', '.join(repr(float(one)) for one in value)}]"
    if isinstance(value, str):
        return written_text(value)
    return repr(float(value))


def _replace(path: Path, text: str, keys: tuple[str, ...], value: Value) -> None:
    """Write beside the file, read that again, and only then put it in the file's place."""
    partial = path.with_name(f".{path.name}.{secrets.token_hex(8)}.partial")
    try:
        _write_fresh(partial, text.encode("utf-8"))
        _check(partial, path, keys, value)
        if path.exists():
            shutil.copymode(path, partial)
        os.replace(partial, path)
    except OSError as failure:
        raise ProblemsFound([error(f"cannot write {path}: {failure.strerror or failure}")]) from None
    finally:
        with contextlib.suppress(OSError):
            partial.unlink(missing_ok=True)


def _write_fresh(path: Path, content: bytes) -> None:
    """Write a file of a name that nobody can guess; nothing may be there yet, not even a link."""
    with path.open("xb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def _check(partial: Path, path: Path, keys: tuple[str, ...], value: Value) -> None:
    """What was written must read as what was there, with the new value. Raises ProblemsFound."""
    wanted: dict[str, Any] = dict(read_yaml(path).data) if path.exists() else {"format": 1}
    section = wanted
    for key in keys[:-1]:
        inner = section.get(key)
        section[key] = dict(inner) if isinstance(inner, dict) else {}
        section = section[key]
    section[keys[-1]] = list(value) if isinstance(value, tuple) else value
    try:
        same = read_yaml(partial).data == wanted
    except ProblemsFound:
        same = False
    if not same:
        hint = f"write it there yourself: {': '.join(keys)}: {_written(value)}"
        raise ProblemsFound([error(f"cannot write the value into {path} without changing anything else", hint=hint)])
