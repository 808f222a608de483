"""A YAML 1.2 text as plain data, with the place of every key and value.

Nothing is executed: only the plain kinds of YAML (text, number, true/false, list, mapping) are taken. Duplicate keys,
tags, merge keys, deep nesting and aliases that grow are refused. ruamel.yaml is imported here, where
texts are edited (`edits`, `write_back`, `panel_edits`), and nowhere else.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError, YAMLError
from ruamel.yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode

from boardmaker.problems import Place, Problem, ProblemsFound, error

LARGEST_FILE = 300_000  # bytes; a large bike file has 40 000, and the YAML reader takes seconds over these
LONGEST_TEXT = 2000  # letters of one value or key
DEEPEST = 30  # levels; a bike file needs eight
MOST_SEPARATORS = 30_000  # lines and commas; a large bike file has 3000, and each may start a value
MOST_VALUES = 100_000  # after aliases are written out

KeyPath = tuple[str | int, ...]  # the way to a value: keys and list places from the top

_OTHER_VERSION = re.compile(r"%YAML\s+(?!1\.2(?:\s|$))")
_KIND = "tag:yaml.org,2002:"
_FORBIDDEN = re.compile("[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")  # YAML 1.2, 5.1
_LINE_END = re.compile(r"\r\n?|\n")  # YAML 1.2, 5.4: no other ends a line
_NEST = re.compile(r"[\[{](?:\s*+[\[{]){100}")  # the YAML reader itself takes seconds over these
_BARE_HASH = re.compile(r":\s+#(?=\S)")


class WholeNumber(int):
    """A whole number that remembers how it was written, for where it is a name: `fastener: 01`."""

    written: str


class DecimalNumber(float):
    """A number with a decimal point that remembers how it was written: `id: 1.10`."""

    written: str


@dataclass(frozen=True)
class Document:
    """Plain data and where it stands. `name` is the file as it is called in complaints.

    `problems` are those that left the rest readable: a key written twice, a tag, a merge key.
    """

    name: str
    lines: tuple[str, ...]
    data: Any = None
    values: Mapping[KeyPath, tuple[int, int]] = field(default_factory=dict)  # line and column from 1
    keys: Mapping[KeyPath, tuple[int, int]] = field(default_factory=dict)
    problems: tuple[Problem, ...] = ()
    sha256: str = ""

    def place(self, path: KeyPath, key: bool = False) -> Place:
        """Return the place of a value (or of its key), or of its nearest ancestor that stands in the file."""
        if key and path in self.keys:
            return self.at(*self.keys[path])
        while path and path not in self.values:
            path = path[:-1]
        return self.at(*self.values.get(path, (1, 1)))

    def at(self, line: int, column: int) -> Place:
        """Return a place by its numbers, from 1; behind the last line becomes its end."""
        if line > len(self.lines) > 0:
            line, column = len(self.lines), len(self.lines[-1]) + 1
        return Place(self.name, line, column, self.lines[line - 1] if self.lines else "")


def entries_of(data: Any) -> Iterable[tuple[str | int, Any]]:
    """Return what stands in a mapping or list, each with its key or place; nothing for a plain value."""
    if isinstance(data, dict):
        return data.items()
    return enumerate(data) if isinstance(data, list) else ()


def read_yaml(path: Path) -> Document:
    """Read a file. Raises ProblemsFound for what is no plain YAML 1.2 in UTF-8."""
    return read_content(read_bytes(path), str(path))


def read_content(content: bytes, name: str) -> Document:
    """Read the content of a file that is called `name` in complaints. Raises ProblemsFound as `read_yaml`."""
    text, empty = decode_text(content, name)
    if text.count(",") + len(empty.lines) > MOST_SEPARATORS:
        message = f"this file has more than {MOST_SEPARATORS} lines and commas; that is no file of ours"
        raise ProblemsFound([error(message, empty.at(1, 1), "take out what does not belong in it")])
    try:
        root = compose(text)
    except MarkedYAMLError as wrong:
        raise ProblemsFound([_syntax_problem(empty, wrong)]) from None
    except RecursionError:
        raise ProblemsFound([error("this file is nested too deeply", empty.at(1, 1))]) from None
    except (YAMLError, ValueError, OverflowError) as wrong:
        what = str(wrong).splitlines()[0] if str(wrong) else type(wrong).__name__
        raise ProblemsFound([error(f"not YAML: {what}", empty.at(1, 1))]) from None
    if root is None:
        raise ProblemsFound([error("this file is empty", empty.at(1, 1), "start with `format: 1`")])
    return _YamlReader(empty).read(root, hashlib.sha256(content).hexdigest())


@lru_cache(maxsize=4)  # `trace` reads a file and what becomes of it seven times; nobody changes nodes
def compose(text: str) -> Any:
    """Return the nodes of a text, with their places; None for an empty one. Raises ruamel's YAMLError.

    An anchor may be given twice (YAML 1.2, 3.2.2.2): ruamel's warning would land between our own words.
    """
    yaml = YAML(typ="safe", pure=True)
    yaml.composer.warn_double_anchors = False
    return yaml.compose(text)


def read_bytes(path: Path) -> bytes:
    """Return the content of a file of usual size. Raises ProblemsFound for one that is too large or cannot be read.

    No more is read than a file of ours may have, whatever size the system gives: a device says that it has none.
    """
    try:
        str(path).encode("utf-8")
        with path.open("rb") as file:
            content = file.read(LARGEST_FILE + 1)
    except OSError as failure:
        raise ProblemsFound(
            [error(f"cannot read {path}: {failure.strerror or failure}", hint="check who may read it")]
        ) from None
    except UnicodeEncodeError:
        raise ProblemsFound([error(f"{str(path)!a} is no file name in UTF-8", hint="rename the file")]) from None
    except ValueError:
        raise ProblemsFound([error(f"{str(path)!r} is no file name")]) from None
    if len(content) > LARGEST_FILE:
        message = f"{path} is larger than {LARGEST_FILE // 1000} kB; that is no file of ours"
        raise ProblemsFound([error(message, hint="take out what does not belong in it")])
    return content


def decode_text(content: bytes, name: str) -> tuple[str, Document]:
    """Return the text, and a document that knows its lines only. Raises ProblemsFound for what is no text of ours."""
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as wrong:
        line = content.count(b"\n", 0, wrong.start) + 1
        hint = "save the file as UTF-8 in your text editor"
        raise ProblemsFound([error(f"line {line} is not UTF-8 text", Place(name, line, 1), hint)]) from None
    empty = Document(name, tuple(_LINE_END.split(text)))
    if (bad := _FORBIDDEN.search(text)) is not None:
        place = empty.at(len(_LINE_END.split(text[: bad.start()])), 1)
        raise ProblemsFound([error("this line has a control character", place, "take it out")])
    if (nest := _NEST.search(text)) is not None:
        place = empty.at(len(_LINE_END.split(text[: nest.start()])), 1)
        raise ProblemsFound([error("this line is nested too deeply", place, "no value of ours lies so deep")])
    if (old := _other_version(empty.lines)) is not None:
        raise ProblemsFound([error("this file asks for another YAML than 1.2", empty.at(old, 1), "take this line out")])
    return text, empty


def _other_version(lines: Sequence[str]) -> int | None:
    """Which line, from 1, asks for another YAML: line by line, as one pattern over blank lines takes without end."""
    for number, line in enumerate(lines, 1):
        if line.strip() and not line.startswith("#"):
            return number if _OTHER_VERSION.match(line) else None
    return None


def _syntax_problem(document: Document, wrong: MarkedYAMLError) -> Problem:
    what = (wrong.problem or wrong.context or "it cannot be read").strip()
    if what.startswith("but "):
        what = f"{wrong.context}, {what}"
    mark = wrong.problem_mark or wrong.context_mark
    line, column = (mark.line, mark.column) if mark else (0, 0)
    place = document.at(line + 1, column + 1)
    first = wrong.context_mark.line if wrong.context_mark and "flow" in str(wrong.context) else line
    if hash_place := _bare_hash(document, first, place.line):
        return error("a bare # starts a comment, so the value is missing here", hash_place, HASH_HINT)
    return error(f"not YAML: {what}", place, _never_closed(document, wrong) or _syntax_hint(what, place))


def _never_closed(document: Document, wrong: MarkedYAMLError) -> str:
    """A hint that names the bracket or brace within which the file cannot be read on; "" where there is none."""
    opened, found = wrong.context_mark, wrong.problem_mark
    if opened is None or found is None or "expected ',' or" not in (wrong.problem or ""):
        return ""
    source = document.lines[opened.line] if opened.line < len(document.lines) else ""
    bracket = source[opened.column : opened.column + 1]
    if bracket not in ("[", "{"):
        return ""
    is_end = found.line >= len(document.lines) or "<stream end>" in (wrong.problem or "")
    otherwise = "" if is_end else ", or a comma is missing before this"
    return f"the {bracket} in line {opened.line + 1}, column {opened.column + 1}, was not closed{otherwise}"


HASH_HINT = "write No. 10-32, or put the text in quotes: '#10-32'"


def _bare_hash(document: Document, first: int, last: int) -> Place | None:
    """Where, in some lines (from 0 up to `last`), a comment starts in place of a value."""
    for number, source in enumerate(document.lines[first:last], first + 1):
        if (found := _BARE_HASH.search(source)) is not None:
            return document.at(number, source.index("#", found.start()) + 1)
    return None


def starts_comment(source: str) -> bool:
    """Say whether a line has a comment where a value should stand: `thread: #10-32`."""
    return _BARE_HASH.search(source) is not None


def _syntax_hint(what: str, place: Place) -> str:
    if "\t" in place.source[: place.column]:
        return "this line has a tab; indent with spaces"
    for words, hint in _SYNTAX_HINTS.items():
        if words in what:
            return hint
    return ""


_SYNTAX_HINTS = {
    "mapping values are not allowed": "a colon with a space after it starts a value; put the text in quotes",
    "expected ',' or": "a bracket or brace was not closed, or a comma is missing before this",
    "could not find expected ':'": "a key needs a colon and a space after it",
    "expected <block end>": "this line is indented otherwise than the lines that it belongs to",
    "undefined alias": "a bare * stands for another value; put the text in quotes",
    "another document": "one file describes one bike: take out everything from this line on",
    "token": "put the text in quotes",
}


class _YamlReader:
    """Turns composed nodes into plain data, noting places and refusing what is not plain."""

    def __init__(self, document: Document) -> None:
        self.document = document
        self.values: dict[KeyPath, tuple[int, int]] = {}
        self.keys: dict[KeyPath, tuple[int, int]] = {}
        self.problems: list[Problem] = []
        self.count = 0

    def read(self, root: Node, sha256: str) -> Document:
        data = self._value(root, ())
        return replace(
            self.document,
            data=data,
            values=self.values,
            keys=self.keys,
            problems=tuple(self.problems),
            sha256=sha256,
        )

    def _value(self, node: Node, path: KeyPath) -> Any:
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

    def _mapping(self, node: MappingNode, path: KeyPath) -> dict[str, Any]:
        self._refuse_tag(node, "map")
        found: dict[str, Any] = {}
        for key_node, value_node in _with_decimal_commas(node.value):
            key = self._key(key_node)
            if key is None:
                continue
            if key in found:
                first = self.keys[(*path, key)][0]
                hint = f"it stands in line {first} already; keep one of them"
                self._note(key_node, f'the key "{key}" is written twice', hint)
                continue
            self.keys[(*path, key)] = (key_node.start_mark.line + 1, key_node.start_mark.column + 1)
            found[key] = self._value(value_node, (*path, key))
        return found

    def _key(self, node: Node) -> str | None:
        if not isinstance(node, ScalarNode):
            self._note(node, "a list or mapping cannot be a key", "a text that starts with [ or { needs quotes")
        elif node.tag == _KIND + "merge":
            self._note(node, "merge keys (<<) are not taken", "write the values out")
        elif not str(node.tag).startswith(_KIND):
            self._refuse_tag(node, "str")
        else:
            return self._text(node)
        return None

    def _text(self, node: Node) -> str:
        text = str(node.value)
        if _FORBIDDEN.search(text):
            self._note(node, "this text has a character that is not for printing", "take it out")
        if len(text) > LONGEST_TEXT:
            self._note(node, f"this text is longer than {LONGEST_TEXT} letters", "a quote may not have been closed")
        return _FORBIDDEN.sub("", text if len(text) <= LONGEST_TEXT else text[:60])

    def _scalar(self, node: Node) -> Any:
        text = self._text(node)
        match str(node.tag).removeprefix(_KIND):
            case "null":
                return None
            case "bool":
                return text.lower() == "true"
            case "int":
                return _whole_number(text)
            case "float":
                return _decimal_number(text)
            case "str" | "timestamp" | "value" | "merge":
                return text  # a date is a word to us, and so are = and <<
            case _:
                self._refuse_tag(node, "str")
                return text

    def _refuse_tag(self, node: Node, plain: str) -> None:
        if node.tag != _KIND + plain:
            hint = "only plain text, numbers, lists and mappings are read; a text that starts with ! needs quotes"
            self._note(node, f"the tag {node.tag} is not taken", hint)

    def _note(self, node: Node, message: str, hint: str) -> None:
        self.problems.append(self._problem(node, message, hint))

    def _problem(self, node: Node, message: str, hint: str) -> Problem:
        return error(message, self.document.at(node.start_mark.line + 1, node.start_mark.column + 1), hint)


Pairs = Sequence[tuple[Node, Node]]


def _with_decimal_commas(pairs: Pairs) -> Iterator[tuple[Node, Node]]:
    """The entries of a mapping, `{ torque: 1,5 N·m }` as it was meant: YAML ends the 1 at the comma.

    What is joined could not be read otherwise: a key that begins with a digit right behind the comma and has no value.
    """
    entries = list(pairs)
    for place, (key, value) in enumerate(entries):
        if place and _continues(entries[place - 1][1], key, value):
            continue
        following = entries[place + 1] if place + 1 < len(entries) else None
        if following and _continues(value, *following):
            tail = following[0]
            joined = f"{value.value},{tail.value}"
            yield key, ScalarNode(_KIND + "str", joined, value.start_mark, tail.end_mark)
        else:
            yield key, value


def _continues(number: Node, key: Node, value: Node) -> bool:
    """Say whether a key without a value is what follows the decimal comma of the number before it."""
    bare = _is_bare(number) and _is_bare(key) and _is_bare(value)
    if not bare or value.value or number.end_mark.index + 1 != key.start_mark.index:
        return False
    return bool(re.fullmatch(r"-?\d+", number.value) and re.match(r"\d", key.value))


def _is_bare(node: Node) -> bool:
    """Say whether a node is one value in no quotes."""
    return isinstance(node, ScalarNode) and not node.style


_OTHER_BASES = {"0o": 8, "0x": 16}  # of YAML 1.2


def _whole_number(text: str) -> WholeNumber | str:
    """A number of YAML 1.2; what only YAML 1.1 takes for one (1_000, 0b11) is a text."""
    if not re.fullmatch(r"[-+]?\d{1,300}|0o[0-7]{1,99}|0x[0-9a-fA-F]{1,99}", text):
        return text
    number = WholeNumber(text, _OTHER_BASES.get(text[:2], 10))
    number.written = text
    return number


def _decimal_number(text: str) -> DecimalNumber | str:
    """A number of YAML 1.2, also .inf and .nan; what only YAML 1.1 takes for one is a text."""
    plain = re.sub(r"\.(?=(?:inf|nan)$)", "", text, flags=re.IGNORECASE)
    try:
        number = DecimalNumber(plain if "_" not in plain else "")
    except ValueError:
        return text
    number.written = text
    return number
