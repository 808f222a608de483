"""References in a PDF, followed: a value may stand in its place or in an object of its own (ISO 32000-1, 7.3.10).

Beside them what is said where there is more of them than anybody can look through.
"""

from __future__ import annotations

from typing import Any


class TooMuch(Exception):
    """A page nests or repeats more than any sheet does; says what in plain words."""


def resolved(value: Any) -> Any:
    """Return what a reference points to, or the value itself."""
    return value.get_object() if hasattr(value, "get_object") else value
