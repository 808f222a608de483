"""What the builders of one file share: where they are, and what they have found wrong so far."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from boardmaker.inputs.values import as_written
from boardmaker.inputs.yaml.reader import Document, KeyPath
from boardmaker.problems import Place, Problem, error, nearest, warning
from boardmaker.units import inches_as_written, is_angle

MOST_SUGGESTED = 200  # problems; beyond these nobody reads, and each word is held against all that are allowed


@dataclass
class Findings:
    """Problems of one file, collected while it is built."""

    document: Document
    problems: list[Problem] = field(default_factory=list)

    def error(self, path: KeyPath, message: str, hint: str = "", key: bool = False) -> None:
        """Note an error at a value, or at its key."""
        self.problems.append(error(message, self.document.place(path, key), hint))

    def warning(self, path: KeyPath, message: str, hint: str = "") -> None:
        """Note a warning at a value."""
        self.problems.append(warning(message, self.document.place(path), hint))

    def place(self, path: KeyPath) -> Place:
        """Return the place of a key, for complaints of later stages."""
        return self.document.place(path, key=True)

    def written(self, path: KeyPath) -> str:
        """Return a text as it stands in the file, "" where there is none."""
        return as_written(self.value(path))

    def value(self, path: KeyPath) -> Any:
        """Return a value as it was read from the file, "" where there is none."""
        found = self.document.data
        for step in path:
            found = found.get(step, "") if isinstance(found, dict) else ""
        return found

    def in_inches(self, path: KeyPath) -> str:
        """Return a length as it stands in the file where that is in inches, else ""."""
        return inches_as_written(self.written(path))

    def comma_in_list(self, path: KeyPath) -> str:
        """Return what may be a number with a decimal comma in a list, `1,5 N·m` in [1,5 N·m]; "" where there is none.

        YAML sees a 1 and a 5 N·m in it, which may be two stages of a torque as well.
        """
        found = self.value(path)
        entries = found if isinstance(found, list) else []
        for index, (first, second) in enumerate(pairwise(entries)):
            (line, column), after = (self.document.values[(*path, place)] for place in (index, index + 1))
            shown = as_written(first)
            split = isinstance(first, int) and shown.isdigit() and isinstance(second, str) and second[:1].isdigit()
            if split and not is_angle(second) and after == (line, column + len(shown) + 1):
                return f"{shown},{second}"
        return ""

    def known(self, path: KeyPath, what: str, keys: Iterable[str], allowed: Collection[str]) -> tuple[str, ...]:
        """Return those of the keys that are known; complain of every other one, with the nearest that is."""
        kept = []
        for index, key in enumerate(keys):
            if key in allowed:
                kept.append(key)
            else:
                at = (*path, index) if (*path, index) in self.document.values else path
                hint = suggestion(key, allowed) if len(self.problems) < MOST_SUGGESTED else ""
                self.error(at, f'there is no {what} "{key}"', hint)
        return tuple(dict.fromkeys(kept))


def suggestion(key: str, allowed: Collection[str]) -> str:
    """Return a hint that names the nearest allowed key, or the allowed ones where none is near."""
    near = nearest(key, allowed)
    if near:
        return f'did you mean "{near}"?'
    names = list(allowed)
    return f"there are: {', '.join(names[:12])}{' …' if len(names) > 12 else ''}" if names else "none is described here"
