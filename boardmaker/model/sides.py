"""Left and right: what a name, a key or a side is called on the other side of the bike."""

from __future__ import annotations

import re

from boardmaker.model.bike import Side

_SIDE_WORD = re.compile(r"(?<![^\W_])(left|right)(?![^\W_])", re.IGNORECASE)
_OTHER = {"left": "right", "right": "left"}
_OTHER_SIDE: dict[Side, Side] = {"left": "right", "right": "left", "centre": "centre"}


def swap_words(text: str) -> str:
    """Return the text with left and right exchanged, case kept: `Left cover` becomes `Right cover`."""
    return _SIDE_WORD.sub(_swapped, text)


def side_words(text: str) -> tuple[str, ...]:
    """Return the sides that a text names, in small letters and in its order."""
    return tuple(word.lower() for word in _SIDE_WORD.findall(text))


def other_side(side: Side) -> Side:
    """Return the side across the bike; the centre stays."""
    return _OTHER_SIDE[side]


def _swapped(match: re.Match[str]) -> str:
    word = match[0]
    other = _OTHER[word.lower()]
    if word.isupper():
        return other.upper()
    return other.capitalize() if word[0].isupper() else other
