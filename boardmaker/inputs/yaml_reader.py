"""A YAML 1.2 text as plain data, with the place of every key and value.

Nothing is executed: only the plain kinds of YAML (text, number, true/false, list, mapping) are taken. Duplicate keys,
tags, merge keys, deep nesting and aliases that grow are refused. ruamel.yaml is imported here (and in `write_back`) and
nowhere else.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError, YAMLError
from ruamel.yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode

from boardmaker.problems import Place, Problem, ProblemsFound, error

LARGEST_FILE = 2_000_000  # bytes
DEEPEST = 30  # levels; a bike file needs eight
MOST_VALUES = 200_000  # after aliases are written out

Path_ = tuple[str | int, ...]  # the way to a value: keys and list places from the top

_OTHER_VERSION = re.compile(r"^%YAML\s+(?!1\.2\s)", re.MULTILINE)
_KIND = "tag:yaml.org,2002:"
_FORBIDDEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff\ufffe\uffff]")


@dataclass(frozen=True)
class Document:
    """Plain data and where it stands. `name` is the file as it is called in complaints."""

    name: str
    lines: tuple[str, ...]
    data: Any
    values: Mapping[Path_, tuple[int, int]] = field(default_factory=dict)  # line and column from 1
    keys: Mapping[Path_, tuple[int, int]] = field(default_factory=dict)

    def place(self, path: Path_, key: bool = False) -> Place:
        """Return the place of a value (or of its key), or of its nearest ancestor that stands in the file."""
        if key and path in self.keys:
            return self._at(self.keys[path])
        while path and path not in self.values:
            path = path[:-1]
        return self._at(self.values.get(path, (1, 1)))

    def _at(self, position: tuple[int, int]) -> Place:
        line, column = position
        source = self.lines[line - 1] if 0 < line <= len(self.lines) else ""
        return Place(self.name, line, column, source)


def read_yaml(path: Path) -> Document:
    """Read a file. Raises ProblemsFound for what is no plain YAML 1.2 mapping in UTF-8."""
    name = str(path)
    text = _read_text(path, name)
    lines = tuple(text.splitlines())
    try:
        root = YAML(typ="safe", pure=True).compose(text)
    except MarkedYAMLError as wrong:
        raise ProblemsFound([_syntax_problem(name, lines, wrong)]) from None
    except (YAMLError, ValueError, RecursionError) as wrong:
        raise ProblemsFound([error(f"{name} is no YAML that can be read: {_first_line(wrong)}")]) from None
    if root is None:
        raise ProblemsFound([error(f"{name} is empty", hint="start with `format: 1`; see the bundled bike files")])
    return _Reader(name, lines).read(root)


def _read_text(path: Path, name: str) -> str:
    try:
        if path.stat().st_size > LARGEST_FILE:
            raise ProblemsFound([error(f"{name} is larger than {LARGEST_FILE // 1000} kB; that is no file of ours")])
        content = path.read_bytes()
    except OSError as failure:
        raise ProblemsFound([error(f"cannot read {name}: {failure.strerror or failure}")]) from None
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as wrong:
        line = content.count(b"\n", 0, wrong.start) + 1
        hint = "save the file as UTF-8 in your text editor"
        raise ProblemsFound([error(f"{name} is not UTF-8 text (line {line})", Place(name, line, 1), hint)]) from None
    if (bad := _FORBIDDEN.search(text)) is not None:
        line = text.count("\n", 0, bad.start()) + 1
        raise ProblemsFound([error(f"{name} has a control character in line {line}", Place(name, line, 1))])
    if (old := _OTHER_VERSION.search(text)) is not None:
        line = text.count("\n", 0, old.start()) + 1
        raise ProblemsFound(
            [error(f"{name} asks for another YAML than 1.2", Place(name, line, 1), "take that line out")]
        )
    return text


def _syntax_problem(name: str, lines: tuple[str, ...], wrong: MarkedYAMLError) -> Problem:
    mark = wrong.problem_mark or wrong.context_mark
    what = (wrong.problem or wrong.context or "not YAML").strip()
    if mark is None:
        return error(f"not YAML: {what}", Place(name, 1, 1))
    line = min(mark.line, max(0, len(lines) - 1))
    source = lines[line] if lines else ""
    place = Place(name, line + 1, mark.column + 1 if line == mark.line else len(source) + 1, source)
    return error(f"not YAML: {what}", place, _syntax_hint(what, source))


def _syntax_hint(what: str, source: str) -> str:
    if "\t" in source:
        return "this line has a tab; indent with spaces"
    if "mapping values are not allowed" in what:
        return "a colon with a space after it starts a value; put the text in quotes"
    if "expected ',' or" in what:
        return "a bracket or brace was not closed, or a comma is missing before this"
    if "another document" in what:
        return "one file describes one bike: take out everything from this line on"
    if "token" in what:
        return "put the text in quotes"
    return ""


def _first_line(wrong: Exception) -> str:
    if isinstance(wrong, RecursionError):
        return "it is nested too deeply"
    return str(wrong).splitlines()[0] if str(wrong) else type(wrong).__name__


class _Reader:
    """Turns composed nodes into plain data, noting places and refusing what is not plain."""

    def __init__(self, name: str, lines: tuple[str, ...]) -> None:
        self.document = Document(name, lines, None)
        self.values: dict[Path_, tuple[int, int]] = {}
        self.keys: dict[Path_, tuple[int, int]] = {}
        self.problems: list[Problem] = []
        self.count = 0

    def read(self, root: Node) -> Document:
        data = self._value(root, ())
        if self.problems:
            raise ProblemsFound(self.problems)
        return Document(self.document.name, self.document.lines, data, self.values, self.keys)

    def _value(self, node: Node, path: Path_) -> Any:
        self.count += 1
        self.values[path] = (node.start_mark.line + 1, node.start_mark.column + 1)
        if len(path) > DEEPEST:
            raise ProblemsFound([self._problem(node, "this is nested too deeply", "no value of ours lies so deep")])
        if self.count > MOST_VALUES:
            raise ProblemsFound([self._problem(node, "aliases make this file too large", "write the values out")])
        if isinstance(node, MappingNode):
            return self._mapping(node, path)
        if isinstance(node, SequenceNode):
            self._refuse_tag(node, "seq")
            return [self._value(child, (*path, index)) for index, child in enumerate(node.value)]
        return self._scalar(node)

    def _mapping(self, node: MappingNode, path: Path_) -> dict[str, Any]:
        self._refuse_tag(node, "map")
        found: dict[str, Any] = {}
        for key_node, value_node in node.value:
            key = self._key(key_node)
            if key is None:
                continue
            if key in found:
                first = self.keys[(*path, key)][0]
                hint = f"it stands in line {first} already; keep one of them"
                self.problems.append(self._problem(key_node, f'the key "{key}" is written twice', hint))
                continue
            self.keys[(*path, key)] = (key_node.start_mark.line + 1, key_node.start_mark.column + 1)
            found[key] = self._value(value_node, (*path, key))
        return found

    def _key(self, node: Node) -> str | None:
        if not isinstance(node, ScalarNode):
            self.problems.append(self._problem(node, "a list or mapping cannot be a key", "keys are words"))
            return None
        if node.tag == _KIND + "merge":
            self.problems.append(self._problem(node, "merge keys (<<) are not taken", "write the values out"))
            return None
        return str(node.value)

    def _scalar(self, node: Node) -> Any:
        kind = node.tag.removeprefix(_KIND)
        text = str(node.value)
        if _FORBIDDEN.search(text):
            self.problems.append(self._problem(node, "this text has a character that is not for printing", ""))
        match kind:
            case "str":
                return text
            case "null":
                return None
            case "bool":
                return text.lower() == "true"
            case "int":
                return self._whole_number(node, text)
            case "float":
                return float(
                    text.replace(".inf", "inf").replace(".Inf", "inf").replace(".INF", "inf").replace(".n", "n")
                )
            case "timestamp":
                return text  # a date is a word to us
            case _:
                self._refuse_tag(node, "str")
                return text

    def _whole_number(self, node: Node, text: str) -> int | str:
        digits = text.replace("_", "")
        try:
            base = {"0o": 8, "0x": 16}.get(digits.lstrip("+-")[:2], 10)
            return int(digits, base) if len(digits) < 400 else text
        except ValueError:
            self.problems.append(self._problem(node, f"{text} is no number that YAML 1.2 knows", "write it in quotes"))
            return text

    def _refuse_tag(self, node: Node, plain: str) -> None:
        if node.tag != _KIND + plain:
            hint = "only plain text, numbers, lists and mappings are read"
            self.problems.append(self._problem(node, f"the tag {node.tag} is not taken", hint))

    def _problem(self, node: Node, message: str, hint: str) -> Problem:
        line = node.start_mark.line
        source = self.document.lines[line] if line < len(self.document.lines) else ""
        return error(message, Place(self.document.name, line + 1, node.start_mark.column + 1, source), hint)
