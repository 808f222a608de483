"""Quantities as people write them: text with a unit in, mm, N·m and degrees out, and back to words for the board.

Counts with their nouns, too, for the screen and the sheets: here, because every stage may import it.
A bare number is in the key's own unit; a text carries its unit; a missing unit is never guessed. Units are exact by
definition: 1 in = 25.4 mm; 1 lbf = 4.448 221 615 260 5 N; 1 kgf = 9.806 65 N (NIST SP 811, appendix B).
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from boardmaker.problems import nearest

ONE = Fraction(1)  # factors are fractions, so that what is written is rounded once, to the nearest float
MM_PER_INCH = Fraction("25.4")
NEWTON_PER_LBF = Fraction("4.4482216152605")
NEWTON_PER_KGF = Fraction("9.80665")
NEWTON_METRE_PER_LBF_FT = NEWTON_PER_LBF * Fraction("0.3048")
NEWTON_METRE_PER_LBF_IN = NEWTON_PER_LBF * Fraction("0.0254")

LENGTH_UNITS = {
    "mm": ONE, "cm": 10 * ONE, "m": 1000 * ONE, "in": MM_PER_INCH, "inch": MM_PER_INCH, "inches": MM_PER_INCH,
    '"': MM_PER_INCH, "″": MM_PER_INCH, "ft": 12 * MM_PER_INCH,
}  # fmt: skip
_POUND, _KILOGRAM = ("lbf", "lb", "lbs", "pound", "pounds"), ("kgf", "kg", "kp")
_INCH, _FOOT = ("in", "inch", "inches"), ("ft", "foot", "feet")


def _both_ways(force: Sequence[str], arm: Sequence[str], factor: Fraction) -> dict[str, Fraction]:
    """Names of a unit of torque, the force first and the arm first; what is printed stands at the head."""
    names = [f"{one}·{other}" for one in force for other in arm]
    return dict.fromkeys([*names, *("·".join(reversed(name.split("·"))) for name in names)], factor)


TORQUE_UNITS = {  # any of · ⋅ . * - or a space between the two parts, or nothing: `mkg`
    "N·m": ONE, "Nm": ONE, "N·cm": ONE / 100, "daN·m": 10 * ONE,
    **_both_ways(_POUND, _INCH, NEWTON_METRE_PER_LBF_IN),
    **_both_ways(_POUND, _FOOT, NEWTON_METRE_PER_LBF_FT),
    **_both_ways(_KILOGRAM, ["m"], NEWTON_PER_KGF),  # in old manuals the kilogram is a force: m·kg
    **_both_ways(_KILOGRAM, ["cm"], NEWTON_PER_KGF / 100),
}  # fmt: skip
LENGTHS_SHOWN, TORQUES_SHOWN = "mm, cm, m or in", "N·m, lbf·in, lbf·ft, kgf·m or kgf·cm"
TORQUE_FORM = "a number in N·m, or a text such as 6 N·m or 9 to 11 N·m"

NUMBER_FORM = r"(?:\d+\s*/\s*\d+|\d+\s+\d+\s*/\s*\d+|\d+[.,]\d+|\d+|\.\d+)"
_QUANTITY = re.compile(rf"\s*([-+]?\s*{NUMBER_FORM})\s*(.*?)\s*", re.DOTALL)
_RANGE = re.compile(rf"\s*({NUMBER_FORM})\s*(.*?)\s*(?:\bto\b|–|-)\s*({NUMBER_FORM})\s*(.*?)\s*", re.DOTALL)
_SIZE = re.compile(rf"\s*({NUMBER_FORM})\s*([^\dx×]*?)\s*[x×]\s*({NUMBER_FORM})\s*(.*?)\s*", re.DOTALL)
_ANGLE = re.compile(rf"\s*({NUMBER_FORM})\s*(?:deg|°|degrees?)\s*")
_BETWEEN = re.compile(r"[\s.*·⋅•∙-]+")
_THOUSANDS = re.compile(r"\s*[-+]?\s*([1-9]\d{0,2}),(\d{3})\s*")
LONGEST_QUANTITY = 60  # letters
MOST_NM = 10_000.0  # nothing on a motorcycle is tightened to a tenth of it
MOST_DEGREES = 3600.0
LARGEST_INCH_POUND = 12.0  # N·m up to which lbf·in is the handier unit


@dataclass(frozen=True)
class TorqueValue:
    """One stage of tightening: N·m from low to high, or an angle; what is not given is None."""

    low_nm: float | None = None
    high_nm: float | None = None
    angle_deg: float | None = None
    written: str = field(default="", compare=False)  # as it was written, where that is in another unit: `44 lbf·in`


def parse_length(value: object) -> float:
    """Return mm from a bare number (mm) or a text such as `18 mm`, `0.75 in`, `3/4 in`; ValueError if wrong."""
    return _quantity(value, LENGTH_UNITS, LENGTHS_SHOWN, "a number in mm, or a text such as 18 mm or 3/4 in")


def parse_size(value: object) -> tuple[float, float]:
    """Return two lengths in mm from `20 x 30 in`, `560 x 400 mm`, or a pair. ValueError says what is wrong."""
    if isinstance(value, Sequence) and not isinstance(value, str) and len(value) == 2:
        return parse_length(value[0]), parse_length(value[1])
    match = _SIZE.fullmatch(value) if isinstance(value, str) and len(value) <= LONGEST_QUANTITY else None
    if match is None:
        raise ValueError(
            f"{show_value(value)} is no size: write two lengths and a unit, such as 20 x 30 in or 560 x 400 mm"
        )
    first_unit, unit = match[2] or match[4], match[4]
    if first_unit and not unit:
        raise ValueError(f"{show_value(value)} has a unit for its first length only: write 20 x 30 {first_unit}")
    if not unit:
        raise ValueError(f"{show_value(value)} has no unit: write 20 x 30 in or 560 x 400 mm")
    width = _measure(match[1], first_unit, LENGTH_UNITS, LENGTHS_SHOWN)
    return width, _measure(match[3], unit, LENGTH_UNITS, LENGTHS_SHOWN)


def is_in_inches(value: object) -> bool:
    """Say whether a size was written in inches or feet."""
    if isinstance(value, Sequence) and not isinstance(value, str):
        return any(is_in_inches(one) for one in value)
    return isinstance(value, str) and bool(re.search(r'(?<![^\W\d_])(in|inch|inches|ft)\b|["″]', value, re.IGNORECASE))


def parse_torque(value: object) -> tuple[TorqueValue, ...]:
    """Return the stages of a torque: one value, a range `9 to 11 N·m`, or a list of stages. ValueError if wrong."""
    several = isinstance(value, Sequence) and not isinstance(value, str)
    stages = tuple(_stage(one) for one in value) if isinstance(value, Sequence) and several else (_stage(value),)
    if not stages:
        raise ValueError("an empty list is no torque: write at least one stage, such as [20 N·m, 90 deg]")
    if stages[0].low_nm is None:
        raise ValueError("an angle alone is no torque: write the torque before it, such as [20 N·m, 90 deg]")
    return stages


def is_angle(text: str) -> bool:
    """Say whether a text is an angle: `90 deg`."""
    return _ANGLE.fullmatch(text) is not None


def _stage(value: object) -> TorqueValue:
    if isinstance(value, str) and len(value) > LONGEST_QUANTITY:
        raise ValueError(f"{show_value(value)} is no torque: write {TORQUE_FORM}")
    if isinstance(value, str) and (angle := _ANGLE.fullmatch(value)):
        return TorqueValue(angle_deg=_at_most(MOST_DEGREES, "°", _finite(_number(angle[1])), value))
    if isinstance(value, str) and (match := _RANGE.fullmatch(value)):
        return _range(value, match)
    torque = _torque(_quantity(value, TORQUE_UNITS, TORQUES_SHOWN, TORQUE_FORM), value)
    match = _QUANTITY.fullmatch(value) if isinstance(value, str) else None
    return TorqueValue(torque, torque, written=_in_its_unit(match[1], match[2]) if match else "")


def _range(value: str, match: re.Match[str]) -> TorqueValue:
    if not match[4]:
        raise ValueError(f"{show_value(value)} has no unit at its end: write 9 to 11 N·m")
    low = _measure(match[1], match[2] or match[4], TORQUE_UNITS, TORQUES_SHOWN)
    high = _measure(match[3], match[4], TORQUE_UNITS, TORQUES_SHOWN)
    if low > high:
        raise ValueError(f"{show_value(value)} runs from high to low: write the smaller torque first")
    return TorqueValue(_torque(low, value), _torque(high, value), written=_range_in_its_unit(match))


def _range_in_its_unit(match: re.Match[str]) -> str:
    """A range as it was written, both ends in one unit; "" for one in N·m, or from N·m to something else."""
    first, last = read_torque_unit(match[2] or match[4]), read_torque_unit(match[4])
    if "N·m" in (first, last):
        return ""
    low = _in_its_unit(match[1], first)
    return f"{low if first != last else low.removesuffix(f' {first}')}–{_in_its_unit(match[3], last)}"


def _in_its_unit(number: str, unit: str) -> str:
    """A torque as it was written, with its unit as it is printed; "" where that is N·m."""
    name = read_torque_unit(unit)
    return "" if name == "N·m" else f"{_as_printed(number)} {name}"


def inches_as_written(value: object) -> str:
    """Return a length as it was written where that is in inches or feet: `3/4 in`, `1 ft`; "" for any other value."""
    match = _QUANTITY.fullmatch(value) if isinstance(value, str) and len(value) <= LONGEST_QUANTITY else None
    factor = {_fold(name): factor for name, factor in LENGTH_UNITS.items()}.get(_fold(match[2])) if match else None
    if match is None or factor is None or factor % MM_PER_INCH or not _is_number(match[1]):
        return ""
    return f"{_as_printed(match[1])} {'in' if factor == MM_PER_INCH else 'ft'}"


def _is_number(text: str) -> bool:
    try:
        _number(text)
    except ValueError:
        return False
    return True


def _as_printed(number: str) -> str:
    """A number as it was written, but with a decimal point, and with blanks only before a fraction."""
    return re.sub(r"\s*/\s*", "/", " ".join(number.replace(",", ".").split()))


def _torque(torque_nm: float, value: object) -> float:
    return _at_most(MOST_NM, " N·m", torque_nm, value)


def _at_most(most: float, unit: str, number: float, value: object) -> float:
    if number <= 0.0:
        raise ValueError(f"{show_value(value)} is not more than nought")
    if number > most:
        raise ValueError(f"{show_value(value)} is more than {most:g}{unit}")
    return number


def _quantity(value: object, units: Mapping[str, Fraction], shown: str, form: str) -> float:
    """A number in the key's own unit, or in the unit of one of `units`; `shown` and `form` say what can be written."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        return _finite(value)
    match = _QUANTITY.fullmatch(value) if isinstance(value, str) and len(value) <= LONGEST_QUANTITY else None
    if match is None:
        raise ValueError(f"{show_value(value)} is no quantity: write {form}")
    if not match[2]:
        raise ValueError(f"the text {show_value(value)} has no unit: write {form}")
    return _measure(match[1], match[2], units, shown)


def _measure(number: str, unit: str, units: Mapping[str, Fraction], shown: str) -> float:
    return _finite(_number(number) * _factor(unit, units, shown))


def _finite(number: float | Fraction) -> float:
    try:
        finite = float(number)
    except OverflowError:
        finite = math.inf
    if not math.isfinite(finite):
        raise ValueError("this is not a number that can be measured")
    return finite


def _factor(unit: str, units: Mapping[str, Fraction], shown: str) -> Fraction:
    folded = {_fold(name): factor for name, factor in units.items()}
    folded |= {name.replace("·", ""): factor for name, factor in folded.items()}
    if _fold(unit) in folded:
        return folded[_fold(unit)]
    near = nearest(unit, [name for name in units if len(name) > 1])  # a slip of mm must not end as m
    if "·" in near:
        near = next(name for name, factor in units.items() if factor == units[near])
    raise ValueError(f'"{unit}" is no unit here' + (f"; did you mean {near}?" if near else f": write {shown}"))


def _fold(unit: str) -> str:
    return _BETWEEN.sub("·", unit).strip("·").casefold()


def _number(text: str) -> Fraction:
    """A number with a decimal point or comma, a fraction, or a whole number and a fraction."""
    text = text.strip()
    sign = -1 if text.startswith("-") else 1
    parts = re.sub(r"\s*/\s*", "/", decimal_point(text).lstrip("+- ")).split()
    try:
        return sign * sum((Fraction(part) for part in parts), Fraction(0))
    except ZeroDivisionError:
        raise ValueError(f"{show_value(text)} divides by nought") from None


def decimal_point(text: str) -> str:
    """Return a number with a decimal point for its comma; ValueError for 1,500, which could be thousands as well."""
    if match := _THOUSANDS.fullmatch(text):
        raise ValueError(f'"{text.strip()}" could be {match[1]}{match[2]} or {match[1]}.{match[2]}: write one of them')
    return text.replace(",", ".")


def show_value(value: object) -> str:
    """Return a value as a complaint shows it: in quotes, at most 60 letters of it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if value is None:
        return "nothing"
    if isinstance(value, dict):
        return "a mapping"
    if isinstance(value, list | tuple):
        return "a list"
    text = str(value) if len(str(value)) <= 60 else f"{str(value)[:60]}…"
    return f'"{text}"' if isinstance(value, str) else text


def format_torque_nm(low: float, high: float) -> str:
    """Return `6 N·m` or `9–11 N·m`."""
    return f"{_short(low)} N·m" if low == high else f"{_short(low)}–{_short(high)} N·m"


def read_torque_unit(text: str) -> str:
    """Return the unit of torque that a text names, as it is printed: `ft-lb` is lbf·ft. ValueError if it is none."""
    factor = _factor(text, TORQUE_UNITS, TORQUES_SHOWN)
    return next(name for name, other in TORQUE_UNITS.items() if other == factor)


def format_lbf(low: float, high: float) -> str:
    """Return a torque of `low` to `high` N·m in the handier pound-force unit, with figures for an error under 1 %."""
    return format_torque_in(handy_lbf(high), low, high)


def handy_lbf(high_nm: float) -> str:
    """Return lbf·in, or lbf·ft for a torque above 12 N·m."""
    return "lbf·in" if high_nm <= LARGEST_INCH_POUND else "lbf·ft"


def format_torque_in(unit: str, low: float, high: float) -> str:
    """Return a torque of `low` to `high` N·m in one of `TORQUE_UNITS`, with three figures: at most 0.5 % off."""
    factor = float(TORQUE_UNITS[unit])
    first, last = _three_figures(low / factor), _three_figures(high / factor)
    return f"{first} {unit}" if first == last else f"{first}–{last} {unit}"


def _three_figures(value: float) -> str:
    """Whole numbers from 100 up, else three significant figures without trailing noughts: at most 0.5 % off."""
    decimals = max(0, 2 - math.floor(math.log10(value)))
    text = f"{value:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _short(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".") if value >= 1.0 else f"{value:.3g}"


def counted(number: int, one: str, several: str = "") -> str:
    """Return a count with its noun, and with what must agree with it: 1 board, 2 boards, 1 board lies, 0 boards lie.

    `several` is what follows any other number than 1, where that is not `one` and an s.
    """
    return f"{number} {one if number == 1 else several or f'{one}s'}"


def with_article(number: str) -> str:
    """Return a number in figures with "a" or "an" before it, as it is spoken: an 8, an 11, an 18, an 80, a 6."""
    whole = number.partition(".")[0]
    return f"an {number}" if whole.startswith("8") or whole in ("11", "18") else f"a {number}"
