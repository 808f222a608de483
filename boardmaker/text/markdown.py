"""Texts of a bike file inside Markdown: shown as they are written, never taken for marks.

What is escaped are the signs of CommonMark 0.31 (2.4, backslash escapes) and of the additions that GitHub's readers
know, also where they make a link of an address that merely stands there; the others mean something only at the
beginning of a block. What nobody could see is written out (`plain_text`).
"""

from __future__ import annotations

import re
import textwrap

from boardmaker.plain_text import spaced

LINE = 110  # letters
_SIGNS = re.compile(r"([\\`*_{}\[\]<>|~&#$^=])")
_ADDRESS = re.compile(r"(:(?=//)|(?<=www)\.|@|(?<=mailto):|(?<=xmpp):)", re.IGNORECASE)
_BEGINNING = re.compile(r"^([-+](?=[\s-]|$)|\d+(?=[.)](?:\s|$)))")  # a list's mark ends with a space; `--` is a rule
_SPACES = re.compile(r"[^\S\N{NO-BREAK SPACE}]+")


def plain(text: str) -> str:
    """Return a text for a line of its own, or for the beginning of one."""
    return _harmless_beginning(escaped(_SPACES.sub(" ", text).strip()))


def escaped(text: str) -> str:
    """Return a text for the middle of a line."""
    return _ADDRESS.sub(r"\\\1", _SIGNS.sub(r"\\\1", spaced(text)))


def wrapped(text: str, indent: str = "") -> str:
    """Return an escaped text in lines; where a line breaks before a dash or a number, that begins no list."""
    lines = textwrap.wrap(text, LINE, break_long_words=False, break_on_hyphens=False)
    return f"\n{indent}".join(_harmless_beginning(line) for line in lines)


def _harmless_beginning(line: str) -> str:
    return _BEGINNING.sub(lambda sign: f"\\{sign[0]}" if sign[0] in "-+" else f"{sign[0]}\\", line, count=1)
