"""What a name in a drawing means: a panel, a fastener, the line of known length, or nothing.

In: names as people and programs write them, and the keys of a bike file. Out: the key. Programs cannot write every key
as an id, copy names with a number behind them, and spell layers in capitals; that is undone here. What could mean two
keys is never guessed: AmbiguousName.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from boardmaker.problems import nearest
from boardmaker.tracing.drawn import NameLevel

KNOWN = "known"
LONGEST_KEY_LIKE = 30  # letters
LONGEST_NAME = 200  # letters; what is longer names nothing
_ESCAPED = re.compile(r"_x([0-9A-Fa-f]{2,4})_")  # a letter that an id must not have, by its number
_GAPS = re.compile(r"[\s_\-]+")
_KEY_LIKE = re.compile(r"(?!M[0-9])[A-Za-z][0-9]{0,2}")  # and no thread
_LEAST_LETTERS = 3  # of a key that a slip of the pen can be told of
_NUMBERED = re.compile(r"[\s_\-.#]+[0-9]+\Z")


class AmbiguousName(ValueError):
    """A name that means two keys; the message says which."""


@dataclass(frozen=True)
class PanelMark:
    """The panel that something belongs to, and the element, group, layer or block that says so."""

    key: str
    node: tuple[int, ...] | str


def folded(name: str) -> str:
    """Return a name as it compares: escaped letters written out, small letters, one dash for blanks and dashes."""
    return _GAPS.sub("-", _unescaped(name).casefold()).strip("-")


def _unescaped(name: str) -> str:
    return _ESCAPED.sub(lambda found: chr(int(found[1], 16)), name[:LONGEST_NAME]).strip()


def names_known_line(names: Iterable[NameLevel]) -> bool:
    """Say whether something is the line of known length."""
    return any(folded(name) == KNOWN for level in names for name in (*level.by_hand, *level.by_program))


class Keys:
    """The keys that a drawing may name."""

    def __init__(self, panels: Collection[str], fasteners: Collection[str]) -> None:
        self.panels, self.fasteners = tuple(panels), tuple(fasteners)
        self._panels = _by_fold(self.panels)
        self._fasteners = _by_fold(self.fasteners)

    def panel_named(self, name: str) -> str | None:
        """Return the panel's key that a name is. Raises AmbiguousName."""
        return _look_up(_unescaped(name), self.panels, self._panels)

    def fastener_named(self, name: str, by_hand: bool = True) -> str | None:
        """Return the fastener's key that a name is: `A`, `A-3`, `A 3`. Raises AmbiguousName.

        An id must have the key's capitals: programs make up ids such as `c-1`.
        """
        name = _unescaped(name)
        while name:
            found = _look_up(name, self.fasteners, self._fasteners if by_hand else {})
            shorter = _NUMBERED.sub("", name)
            if found is not None or shorter == name:
                return found
            name = shorter
        return None

    def panel_of(self, names: Sequence[NameLevel]) -> PanelMark | None:
        """Return the panel that the innermost name of a panel says. Raises AmbiguousName.

        Where a group of the same name is around it, that group is the panel: a path `seat` in a layer `seat`.
        """
        found: PanelMark | None = None
        for level in names:
            keys = {self.panel_named(name) for name in (*level.by_hand, *level.by_program)} - {None}
            key = _only(keys)
            if key is not None and (found is None or found.key == key):
                found = PanelMark(key, level.node)
        return found

    def fastener_of(self, names: Sequence[NameLevel]) -> str | None:
        """Return the fastener that the innermost name of a fastener says. Raises AmbiguousName."""
        for number, level in enumerate(names):
            if number and any(self.panel_named(name) for name in (*level.by_hand, *level.by_program)):
                return None
            keys = {self.fastener_named(name) for name in level.by_hand}
            keys |= {self.fastener_named(name, by_hand=False) for name in level.by_program}
            if (key := _only(keys - {None})) is not None:
                return key
        return None

    def like_fastener(self, name: str, by_hand: bool = True) -> str:
        """Return what of a name looks like the key of a fastener and is none: `Q` of `Q-3`; else "".

        An id must begin with a capital, as programs make up ids such as `c9`.
        """
        if self.fasteners and len(name) <= LONGEST_KEY_LIKE:
            plain = _NUMBERED.sub("", _unescaped(name)).strip()
            if _KEY_LIKE.fullmatch(plain) and (by_hand or plain[:1].isupper()):
                return plain
            long = [key for key in self.fasteners if len(key) >= _LEAST_LETTERS]
            if by_hand and len(plain) >= _LEAST_LETTERS and nearest(plain, long):
                return plain
        return ""

    def nearest_panel(self, names: Sequence[NameLevel]) -> str:
        """Return the panel's key that one of the names looks like a slip of, "" where none does."""
        near = (nearest(name, self.panels) for level in names for name in (*level.by_hand, *level.by_program))
        return next((key for key in near if key), "")


def _by_fold(keys: Sequence[str]) -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for key in keys:
        found[folded(key)] = (*found.get(folded(key), ()), key)
    return found


def _look_up(name: str, keys: Sequence[str], by_fold: dict[str, tuple[str, ...]]) -> str | None:
    if name in keys:
        return name
    return _only(set(by_fold.get(folded(name), ())))


def _only(keys: set[str] | set[str | None]) -> str | None:
    """The only key of some, None where there is none. Raises AmbiguousName where there are two."""
    if len(keys) > 1:
        raise AmbiguousName(" or ".join(f"`{key}`" for key in sorted(str(key) for key in keys)))
    return next(iter(keys), None)
