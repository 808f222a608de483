"""Small changes to the text of a YAML file: where something stands in it, and how a value is written.

In: a text, its nodes (`reader.compose`). Out: the same text with some stretches replaced, every other letter as it was.
Apart from who edits (`write_back` a setup file, `panel_edits` a bike file), because both keep what a mechanic wrote.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from ruamel.yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode

BYTE_ORDER_MARK = "\ufeff"

_PLAIN_TEXT = re.compile(r"[^\W\d_](?:[\w .×-]*[\w.])?|\d[\w.]* ?[x×] ?\d[\w .]*")
_NOT_TEXT = re.compile(r"(?:true|false|null|yes|no|on|off|y|n)", re.IGNORECASE)
_QUANTITY = re.compile(r"(?:0|[1-9][0-9]{0,5})(?:\.[0-9]{0,5}[1-9])?(?: [a-z]{1,3})?")  # 3, 9.5, 3 mm
_PLAIN_FILE = re.compile(r"[A-Za-z_][\w./-]*")
_WHOLE = re.compile(r"0|[1-9][0-9]{0,5}")


@dataclass(frozen=True)
class TextEdit:
    """A stretch of a text from `start` up to `end`, and what comes in its place."""

    start: int
    end: int
    text: str


def with_edits(text: str, edits: Iterable[TextEdit]) -> str:
    """Return the text with all edits made; those at one place come in their order. ValueError where two overlap."""
    pieces, done = [], 0
    for edit in sorted(edits, key=lambda one: (one.start, one.end)):
        if edit.start < done:
            raise ValueError("two changes of one stretch of text")
        pieces += [text[done : edit.start], edit.text]
        done = edit.end
    return "".join([*pieces, text[done:]])


def line_end_of(text: str) -> str:
    """Return how the lines of a text end."""
    return "\r\n" if "\r\n" in text else "\n"


def entry_of(node: Node, key: str) -> tuple[Node, Node] | None:
    """Return key and value of an entry of a mapping; None where there is none, or no mapping."""
    entries = node.value if isinstance(node, MappingNode) else ()
    return next(((key_node, value) for key_node, value in entries if key_node.value == key), None)


def is_nothing(node: Node) -> bool:
    """Say whether a key has nothing written behind it."""
    return isinstance(node, ScalarNode) and node.value == "" and node.style is None


def is_flow(node: Node) -> bool:
    """Say whether a mapping or list stands between braces or brackets."""
    return isinstance(node, MappingNode | SequenceNode) and bool(node.flow_style)


def last_letter(node: Node) -> int:
    """Return where the last value of a block ends: the end of a block itself lies behind the comments that follow."""
    while isinstance(node, MappingNode | SequenceNode) and node.value and not is_flow(node):
        last = node.value[-1]
        node = last[1] if isinstance(node, MappingNode) else last
    block_text = isinstance(node, ScalarNode) and node.style in ("|", ">")
    return max(node.start_mark.index, node.end_mark.index - 1) if block_text else int(node.end_mark.index)


def line_after(text: str, at: int, block: str, line_end: str) -> TextEdit:
    """Return the edit that puts lines after the one that has the letter `at`."""
    end = text.find("\n", at)
    if end < 0:
        return TextEdit(len(text), len(text), f"{line_end}{block}{line_end}")
    return TextEdit(end + 1, end + 1, f"{block}{line_end}")


def written_text(text: str) -> str:
    """Return a text as it is written in a YAML file: as it is where that is safe, else in quotes."""
    plain = _PLAIN_TEXT.fullmatch(text) and not _NOT_TEXT.fullmatch(text)
    return text if plain else "'" + text.replace("'", "''") + "'"


def written_entry(text: str) -> str:
    """Return what stands behind a key, on one line: a quantity as it is, a text as `written_text` has it."""
    text = one_line(text)
    return text if _QUANTITY.fullmatch(text) else written_text(text)


def written_file(name: str) -> str:
    """Return the name of a file below the bike file's folder, as it is written."""
    return name if _PLAIN_FILE.fullmatch(name) else written_text(name)


def read_back(text: str) -> str | float:
    """Return what the reader makes of `written_entry`: a number where it is nothing else."""
    text = one_line(text)
    if not _QUANTITY.fullmatch(text) or " " in text:
        return text
    return int(text) if _WHOLE.fullmatch(text) else float(text)


def one_line(text: str) -> str:
    """Return a text without line ends, and with single spaces."""
    return " ".join(text.split())


def written_number(value: float) -> str:
    """Return a length in mm to a hundredth, without noughts at its end."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
