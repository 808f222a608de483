"""Regular expressions for texts with a unit, as JSON Schema has them (ECMA 262: no flags, so letters in both cases).

Out: patterns for quantities and words. They are made from the same tables as the reader's own (`units`, `values`).
Where the reader looks closer (1,500 could be two numbers; a thread must be one of the tables), the pattern lets pass.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from fractions import Fraction

from boardmaker.inputs.values import DRIVE_FORMS
from boardmaker.units import LENGTH_UNITS, NUMBER_FORM, TORQUE_UNITS

_JOINT = r"[\s.*·⋅•∙-]*"  # between and around the parts of a unit
_SIGN = r"(?:[-+]\s*)?"


def any_case(pattern: str) -> str:
    """Return a pattern that takes each of its letters in either case; no character class in it may hold letters."""
    return re.sub(r"\\.|[A-Za-z]", lambda m: m[0] if len(m[0]) > 1 else f"[{m[0].upper()}{m[0].lower()}]", pattern)


def whole(*forms: str) -> str:
    """Return a pattern of a whole text that is one of these forms, with blanks around it or not."""
    return rf"^\s*(?:{'|'.join(forms)})\s*$"


def words_pattern(words: Iterable[str]) -> str:
    """Return a pattern of one of these words, in capitals or not, with any blanks between its parts."""
    return whole(*(any_case(r"\s+".join(re.escape(part) for part in word.split())) for word in words))


def _unit(names: Iterable[str]) -> str:
    """A unit by one of its names."""
    return rf"{_JOINT}(?:{'|'.join(any_case(_JOINT.join(map(re.escape, one.split('·')))) for one in names)}){_JOINT}"


def _torque_unit() -> str:
    """Any unit of torque: for each of a size every first part with every second one that there is."""
    forms: list[str] = []
    for factor in dict.fromkeys(TORQUE_UNITS.values()):
        forms += _pairs(factor)
    return rf"{_JOINT}(?:{'|'.join(forms)}){_JOINT}"


def _pairs(factor: Fraction) -> Iterable[str]:
    """The names of one unit: its forces with its arms, and the arms with the forces; `Nm` stands for itself."""
    names = [name.split("·") for name, other in TORQUE_UNITS.items() if other == factor]
    behind: dict[str, list[str]] = {}
    for first, *rest in names:
        behind.setdefault(first, []).extend(rest)
    groups: dict[tuple[str, ...], list[str]] = {}
    for first, seconds in behind.items():
        groups.setdefault(tuple(seconds), []).append(first)
    for arms, firsts in groups.items():
        yield any_case(f"{_either(firsts)}{_JOINT}{_either(arms)}" if arms else _either(firsts))


def _either(names: Iterable[str]) -> str:
    return f"(?:{'|'.join(map(re.escape, names))})"


_INCH_KEY = any_case(r"(?:hexagon|hex(?:\s+socket)?)"), any_case("in|inch")
_LENGTH_UNIT, _TORQUE_UNIT = _unit(LENGTH_UNITS), _torque_unit()
LENGTH = whole(f"{_SIGN}{NUMBER_FORM}{_LENGTH_UNIT}")
SIZE = whole(rf"{NUMBER_FORM}(?:{_LENGTH_UNIT}|\s*)[x×]\s*{NUMBER_FORM}{_LENGTH_UNIT}")
TORQUE = whole(
    rf"{_SIGN}{NUMBER_FORM}{_TORQUE_UNIT}",
    rf"{NUMBER_FORM}(?:{_TORQUE_UNIT}|\s*)(?:to|–|-)\s*{NUMBER_FORM}{_TORQUE_UNIT}",
    rf"{NUMBER_FORM}\s*{any_case('(?:deg|°|degrees?)')}",
)
DRIVE = whole(
    any_case("slot"),
    *(any_case(form) for form, _ in DRIVE_FORMS),
    rf"{_INCH_KEY[0]}\s*{NUMBER_FORM}\s*(?:{_INCH_KEY[1]}|[\"″])?",
)
THREAD = whole(any_case(r"(?:M|ST|No\.?|#)\s*\d.*|\d+(?:/\d+)?[\"]?.*"))
