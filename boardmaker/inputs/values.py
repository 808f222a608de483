"""One value of a file, from plain data to what it means: mm, N·m, a thread, a word of the trade.

In: what the YAML reader made of it. Out: the value, or a ValueError that says what is wrong and what to write. Apart
from the shapes because these only say which value stands where.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass

from boardmaker.problems import nearest
from boardmaker.standards import Part, Thread, parse_part, parse_thread
from boardmaker.standards.strength import check_class
from boardmaker.units import MM_PER_INCH, inches_as_written, parse_length, parse_size, show_value

KINDS = ("screw", "shoulder screw", "tapping screw", "bolt", "nut", "push clip", "screw rivet", "quarter turn")
HEAD_SHAPES = (
    "button", "flanged button", "pan", "binding", "cylinder", "countersunk", "raised countersunk", "hex",
    "flanged hex", "round",
)  # fmt: skip
ALSO_INTO = {"rivet nut": "threaded insert"}  # a blind rivet nut is one: its own length holds
INTO = ("metal thread", "threaded insert", "clip nut", "well nut", "plastic boss", "through")
BASES = ("aluminium", "steel", "magnesium")
FIXINGS = ("grommet pin", "hook", "tab", "interlocking tape", "clip", "strap", "connector", "hose", "other")
WITH_IT = ("washer", "collar", "nut", "grommet")
FROM_OUTLINE = "from outline"  # in place of a list of holes: the outline's drawing has them
LOCKERS = ("none", "light", "medium", "strong")
MATERIALS = ("foam board", "corrugated plastic", "plywood", "hardboard", "cork")
INKS = ("colour", "black")
LONGEST = 10_000.0  # mm; nothing on a motorcycle is longer, and no place further from its panel's [0, 0]


def as_written(value: object) -> str:
    """Return a text, or a number as it was written, on one line."""
    return " ".join(str(getattr(value, "written", value)).split())


def read_text(value: object) -> str:
    """Return a text that is not empty, or a number as it was written, on one line."""
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        hint = ": write it in quotes" if isinstance(value, bool) else ""
        raise ValueError(f"{show_value(value)} is no text{hint}")
    text = as_written(value)
    if not text:
        raise ValueError("this text is empty: write something here, or take the key out")
    return text


@dataclass(frozen=True)
class OneOf:
    """A check that a text is one of these words, in capitals or not; it returns the word as it stands here.

    Raises ValueError with the nearest word.
    """

    words: tuple[str, ...]

    def __call__(self, value: object) -> str:
        """Return the word."""
        text = read_text(value)
        for word in self.words:
            if text.casefold() == word.casefold():
                return word
        near = nearest(text, self.words)
        meant = f'; did you mean "{near}"?' if near else ""
        raise ValueError(f'"{text}" is not one of: {", ".join(self.words)}{meant}')


def read_text_or_empty(value: object) -> str:
    """Return a text, also an empty one."""
    return "" if value == "" else read_text(value)


def _length(value: object) -> float:
    return _within(parse_length(value), value)


def _within(length: float, value: object) -> float:
    if abs(length) > LONGEST:
        raise ValueError(f"{show_value(value)} is more than {LONGEST / 1000:g} m")
    return length


def read_length(value: object) -> float:
    """Return a length in mm, more than nought."""
    length = _length(value)
    if length <= 0.0:
        raise ValueError(f"{show_value(value)} is not more than nought")
    return length


def read_length_from_nought(value: object) -> float:
    """Return a length in mm, nought or more."""
    length = _length(value)
    if length < 0.0:
        raise ValueError(f"{show_value(value)} is less than nought")
    return length


def read_point(value: object) -> tuple[float, float]:
    """Return x and y in mm."""
    if not isinstance(value, list) or len(value) != 2:
        joined = _with_decimal_points(value) if isinstance(value, list) else ""
        points = f"; a comma separates here: {joined} has points" if joined else ""
        raise ValueError(f"{show_value(value)} is no place: write x and y, such as [220, 90]{points}")
    return _length(value[0]), _length(value[1])


def _with_decimal_points(values: list[object]) -> str:
    """Return what `[0,5, 0]` or `[0,5, 1,5]` may have been meant for; "" for any other list."""
    shown = [as_written(value) for value in values]
    if len(shown) not in (3, 4) or not all(one.removeprefix("-").isdigit() for one in shown):
        return ""
    if not all(one.isdigit() for one in shown[1::2]):
        return ""
    pairs = (".".join(shown[place : place + 2]) for place in range(0, len(shown), 2))
    return f"[{', '.join(pairs)}]"


def read_size(value: object) -> tuple[float, float]:
    """Return width and height in mm, both more than nought."""
    width, height = parse_size(value)
    if min(width, height) <= 0.0:
        raise ValueError(f"{width:g} x {height:g} mm is no size: both have to be more than nought")
    return _within(width, value), _within(height, value)


def read_thread(value: object) -> Thread:
    """Return a thread of the tables."""
    return parse_thread(read_text(value))


def read_part(value: object) -> Part:
    """Return a part by its designation."""
    return parse_part(read_text(value))


def read_class(value: object) -> str:
    """Return a class of ISO 898-1 (or ISO 3506-1) for screws, or one for nuts."""
    text = read_text(value)
    try:
        return check_class(text, "screw")
    except ValueError as wrong:
        try:
            return check_class(text, "nut")
        except ValueError:
            raise wrong from None


# A fraction needs no unit: nobody writes millimetres so.
_INCH_DRIVE = re.compile(
    r"(hexagon|hex(?:\s+socket)?)\s*"
    r"((?:\d+\s+)?\d+\s*/\s*\d+(?=\s*(?:in|inch|[\"″])?$)|\d*[.,]?\d+(?=\s*(?:in|inch|[\"″])$))\s*(?:in|inch|[\"″])?",
    re.IGNORECASE,
)
INCH_PARTS = ("2", "4", "8", "16", "32", "64")
MOST_INCHES = 3.0
DRIVE_FORMS: tuple[tuple[str, str], ...] = (
    (r"TX?\s*(\d+)", "T{}"),
    (r"PH\s*(\d)", "PH{}"),
    (r"PZ\s*(\d)", "PZ{}"),
    (r"hex(?:\s+socket)?\s*(\d+(?:[.,]\d+)?)(?:\s*mm)?", "hex {}"),
    (r"hexagon\s*(\d+(?:[.,]\d+)?)(?:\s*mm)?", "hexagon {}"),
    (r"JIS\s*(\d)", "JIS {}"),
)


def read_drive(value: object) -> str:
    """Return a drive in one spelling: `TX30` is `T30`."""
    text = read_text(value)
    if text.casefold() == "slot":
        return "slot"
    for form, wording in DRIVE_FORMS:
        if match := re.fullmatch(form, text, re.IGNORECASE):
            return wording.format(match[1].replace(",", "."))
    if match := _INCH_DRIVE.fullmatch(text):
        return f"{'hexagon' if match[1].casefold() == 'hexagon' else 'hex'} {_inch_key(text, match[2])}"
    raise ValueError(f'"{text}" is no drive: write T30, PH2, PZ2, hex 4, hex 5/32, hexagon 10, slot or JIS 2')


def _inch_key(text: str, size: str) -> str:
    """A key's size in inches as it is printed: `5/32 in`."""
    fraction = re.search(r"/\s*(\d+)$", size)
    largest = MOST_INCHES * MM_PER_INCH
    if (fraction and fraction[1] not in INCH_PARTS) or not 0.0 < parse_length(f"{size} in") <= largest:
        raise ValueError(f'"{text}" is no size of a key: write 5/32, or 5/32 in, with {", ".join(INCH_PARTS)} below it')
    return inches_as_written(f"{size} in")


def read_renew(value: object) -> str:
    """Return "" for false, "yes" for true, else what to renew."""
    if isinstance(value, bool):
        return "yes" if value else ""
    return read_text(value)


def read_words(value: object) -> tuple[str, ...]:
    """Return one word or a list of them as a tuple."""
    if isinstance(value, list):
        return tuple(read_text(one) for one in value)
    return (read_text(value),)


def read_with_it(value: object) -> tuple[str, ...]:
    """Return what goes with a fastener: one word or a list of them."""
    return tuple(one_of(*WITH_IT)(word) for word in read_words(value))


def read_into(value: object) -> str:
    """Return what a screw turns into; a rivet nut is a threaded insert."""
    word = one_of(*INTO, *ALSO_INTO)(value)
    return ALSO_INTO.get(word, word)


def one_of(*words: str) -> Callable[[object], str]:
    """Return a check that a text is one of these words, with the nearest in the complaint."""
    return OneOf(words)


def read_points(value: object) -> tuple[tuple[float, float], ...]:
    """Return a list of places, mm."""
    if not isinstance(value, list):
        raise ValueError(f"{show_value(value)} is no outline: write a list of points or {{ file: outlines/name.svg }}")
    return tuple(read_point(point) for point in value)


def read_yes_or_no(value: object) -> bool:
    """Return true or false."""
    if not isinstance(value, bool):
        raise ValueError(f"{show_value(value)} is neither true nor false: write true or false")
    return value


def read_count(value: object) -> int:
    """Return a whole number from 1 to 999."""
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= 999:
        raise ValueError(f"{show_value(value)} is no count: write a whole number from 1 to 999")
    return value


def _scale(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise ValueError(f"{show_value(value)} is no scale: write printed length / true length, such as 1.003")
    if not 0.95 <= value <= 1.05:
        raise ValueError(
            f"{value} is more than 5 % off: write 1.0 and print at 100 %; the print dialog scaled the page"
        )
    return float(value)


def read_scales(value: object) -> tuple[float, float]:
    """Return printed length / true length across and along."""
    if not isinstance(value, list) or len(value) != 2:
        raise ValueError(f"{show_value(value)} is no scale: write across and along, such as [1.003, 0.998]")
    return _scale(value[0]), _scale(value[1])
