"""What a panel's key says by itself: its side, a name for people, a name for files.

In: the key of a panel. Out: words. Apart from the merge because the picture's file is named after the key too.
"""

from __future__ import annotations

import hashlib
import re

from boardmaker.model import Side

_SIDES: dict[str, Side] = {"left": "left", "right": "right", "centre": "centre", "center": "centre", "middle": "centre"}
_NOT_PLAIN = re.compile(r"[^a-z0-9_-]+")
LONGEST_NAME = 60  # letters of a file's name


def side_of_key(key: str) -> Side | None:
    """Return the side that a word of the key names; None where there is none, or two."""
    sides = {_SIDES[word] for word in _words(key) if word in _SIDES}
    return sides.pop() if len(sides) == 1 else None


def name_of_key(key: str) -> str:
    """Return a name to print: `knee-left` is the Left knee."""
    words = _words(key)
    ordered = [word for word in words if word in _SIDES] + [word for word in words if word not in _SIDES]
    name = " ".join(ordered) or key
    return name[:1].upper() + name[1:]


def file_name_of_key(key: str) -> str:
    """Return the key as a file can be called on every system; where that is another word, with a mark of the key."""
    plain = _NOT_PLAIN.sub("-", key.casefold()).strip("-_")[:LONGEST_NAME]
    if plain == key:
        return plain
    return f"{plain or 'panel'}-{hashlib.sha256(key.encode('utf-8', 'replace')).hexdigest()[:6]}"


def _words(key: str) -> list[str]:
    return [word for word in re.split(r"[\W_]+", key.casefold()) if word]
