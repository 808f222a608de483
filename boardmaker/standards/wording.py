"""Numbers and names as the standards and people write them.

In: text of a designation. Out: numbers, texts, and the suggestion at the end of an error message. Apart because
threads, parts, papers and classes all read and complain in the same words.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable

NUMBER = r"\d+(?:[.,]\d+)?"  # the ISO decimal sign is the comma, mechanics write both
TIMES = r"\s*[x×*]\s*"


def read_number(text: str) -> float:
    """Read a number written with a decimal point or comma."""
    return float(text.replace(",", "."))


def format_number(value: float) -> str:
    """Write a number as a designation does: 6, 0.75, 2.5."""
    return f"{value:g}"


def rank_words(word: str, allowed: Iterable[str]) -> tuple[str, ...]:
    """Sort the allowed words, the one most like `word` first; equally like ones keep their order."""
    return tuple(sorted(allowed, key=lambda choice: -_likeness(word, choice)))


def suggest(word: str, allowed: Iterable[str]) -> str:
    """Return "; did you mean X?" for the allowed word that `word` looks like a slip of, or ""."""
    ranked = rank_words(word, allowed)
    if ranked and _likeness(word, ranked[0]) >= 0.6:
        return f"; did you mean {ranked[0]}?"
    return ""


def _likeness(word: str, choice: str) -> float:
    return difflib.SequenceMatcher(None, word.casefold(), choice.casefold()).ratio()
