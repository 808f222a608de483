"""The shipped texts with the names of one file in them."""

from __future__ import annotations

import re
import shlex
from collections.abc import Mapping
from importlib.resources import files
from pathlib import Path

NAMELESS = "My bike"
_PLAIN = re.compile(r"[A-Za-z][A-Za-z0-9 .]*[A-Za-z0-9]")
_NOT_TEXT = re.compile(r"true|false|null|yes|no|on|off|y|n", re.IGNORECASE)


def starter_text(path: Path) -> str:
    """Return the starter for a file of this name."""
    return filled("starter.yaml", {"NAME": bike_name(path), "FILE": file_word(path)})


def filled(template: str, words: Mapping[str, str]) -> str:
    """Return a shipped text with words in the place of those in capitals; nothing is replaced twice."""
    text = files(__package__).joinpath(template).read_text(encoding="utf-8")
    return re.sub(rf"\b({'|'.join(words)})\b", lambda found: words[found[1]], text)


def bike_name(path: Path) -> str:
    """Return the name of a bike from its file's name, as a YAML text: `my-bike.yaml` is My bike."""
    words = "".join(letter if letter.isprintable() else " " for letter in path.stem)
    name = " ".join(re.sub(r"[-_]+", " ", words).split()) or NAMELESS
    name = name[0].upper() + name[1:]
    plain = _PLAIN.fullmatch(name) and not _NOT_TEXT.fullmatch(name)
    return name if plain else "'" + name.replace("'", "''") + "'"


def file_word(path: Path) -> str:
    """Return a file's name for a command in a comment."""
    return shlex.quote("".join(letter if letter.isprintable() else "?" for letter in path.name))
