"""A kind of fastener by what a mechanic writes in a list: its key, or a designation such as `ISO 4762 - M6 x 16`."""

from __future__ import annotations

from functools import lru_cache

from boardmaker.model import Bike, Fastener
from boardmaker.problems import nearest
from boardmaker.standards import Part, parse_part


class UnknownFastener(ValueError):
    """No kind of fastener, or no single one, goes by that name; `hint` says what would help."""

    def __init__(self, message: str, hint: str = "") -> None:
        self.hint = hint
        super().__init__(message)


def fastener_of_key(bike: Bike, key: str) -> Fastener:
    """Return the fastener of this key, capitals aside where only one is meant. Raises UnknownFastener."""
    exact = [fastener for fastener in bike.fasteners if fastener.key == key]
    alike = exact or [fastener for fastener in bike.fasteners if fastener.key.casefold() == key.casefold()]
    if len(alike) == 1:
        return alike[0]
    keys = [fastener.key for fastener in bike.fasteners]
    near = nearest(key, keys)
    listed = f"its keys are: {', '.join(keys)}" if keys else "it lists no fasteners"
    hint = f'did you mean "{near}"?' if near else listed
    raise UnknownFastener(f'{bike.file} has no fastener "{key}"', hint)


def fastener_of_designation(bike: Bike, designation: str) -> Fastener:
    """Return the one fastener whose `part` means the same. Raises UnknownFastener where there is none, or several."""
    wanted = _part(designation)
    same = [one for one in bike.fasteners if one.part and (one.part == designation or _part(one.part) == wanted)]
    if len(same) == 1:
        return same[0]
    if same:
        keys = ", ".join(fastener.key for fastener in same)
        raise UnknownFastener(f"{designation} is what several fasteners are ({keys})", "write the key instead")
    parts = [fastener.part for fastener in bike.fasteners if fastener.part]
    near = nearest(designation, parts)
    hint = f'did you mean "{near}"?' if near else "write the key where the bike file gives no designation"
    raise UnknownFastener(f'{bike.file} has no fastener "{designation}"', hint)


def fastener_named(bike: Bike, name: str) -> Fastener:
    """Return the fastener of this key or, where no key fits, of this designation. Raises UnknownFastener."""
    if any(fastener.key == name for fastener in bike.fasteners) or _part(name) is None:
        return fastener_of_key(bike, name)
    return fastener_of_designation(bike, name)


@lru_cache(maxsize=2000)  # each line of a list is held against every fastener
def _part(designation: str) -> Part | None:
    try:
        return parse_part(designation)
    except ValueError:
        return None
