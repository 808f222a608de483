"""Quantities as people write them: text with a unit in, mm, N·m and degrees out, and back to words for the board.

A bare number is in the key's own unit; a text carries its unit; a missing unit is never guessed. Units are exact by
definition: 1 in = 25.4 mm; 1 lbf = 4.448 221 615 260 5 N; 1 kgf = 9.806 65 N (NIST SP 811, appendix B).
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from boardmaker.problems import nearest

MM_PER_INCH = 25.4
NEWTON_PER_LBF = 4.4482216152605
NEWTON_PER_KGF = 9.80665
NEWTON_METRE_PER_LBF_FT = NEWTON_PER_LBF * 0.3048
NEWTON_METRE_PER_LBF_IN = NEWTON_PER_LBF * 0.0254

LENGTH_UNITS = {
    "mm": 1.0, "cm": 10.0, "m": 1000.0, "in": MM_PER_INCH, "inch": MM_PER_INCH, "inches": MM_PER_INCH,
    '"': MM_PER_INCH, "ft": 12 * MM_PER_INCH,
}  # fmt: skip
TORQUE_UNITS = {
    "N·m": 1.0, "Nm": 1.0, "N.m": 1.0, "N m": 1.0, "N*m": 1.0, "N⋅m": 1.0, "N-m": 1.0,
    "lbf·ft": NEWTON_METRE_PER_LBF_FT, "lbf.ft": NEWTON_METRE_PER_LBF_FT, "lbf ft": NEWTON_METRE_PER_LBF_FT,
    "ft-lb": NEWTON_METRE_PER_LBF_FT, "lb-ft": NEWTON_METRE_PER_LBF_FT, "ft-lbf": NEWTON_METRE_PER_LBF_FT,
    "ft·lbf": NEWTON_METRE_PER_LBF_FT, "lbf-ft": NEWTON_METRE_PER_LBF_FT,
    "lbf·in": NEWTON_METRE_PER_LBF_IN, "lbf.in": NEWTON_METRE_PER_LBF_IN, "lbf in": NEWTON_METRE_PER_LBF_IN,
    "in-lb": NEWTON_METRE_PER_LBF_IN, "lb-in": NEWTON_METRE_PER_LBF_IN, "in-lbf": NEWTON_METRE_PER_LBF_IN,
    "in·lbf": NEWTON_METRE_PER_LBF_IN, "lbf-in": NEWTON_METRE_PER_LBF_IN,
    "kgf·m": NEWTON_PER_KGF, "kgf.m": NEWTON_PER_KGF, "kgf m": NEWTON_PER_KGF, "kgf-m": NEWTON_PER_KGF,
    "kgf·cm": NEWTON_PER_KGF / 100, "kgf.cm": NEWTON_PER_KGF / 100, "kgf cm": NEWTON_PER_KGF / 100,
    "kgf-cm": NEWTON_PER_KGF / 100,
}  # fmt: skip
ANGLE_UNITS = {"deg": 1.0, "°": 1.0, "degree": 1.0, "degrees": 1.0}

_NUMBER = r"(?:\d+\s*/\s*\d+|\d+\s+\d+\s*/\s*\d+|\d+[.,]\d+|\d+|\.\d+)"
_QUANTITY = re.compile(rf"\s*([-+]?\s*{_NUMBER})\s*(.*?)\s*", re.DOTALL)
_RANGE = re.compile(rf"\s*({_NUMBER})\s*(.*?)\s*(?:\bto\b|–|-)\s*({_NUMBER})\s*(.*?)\s*", re.DOTALL)
_SIZE = re.compile(rf"\s*({_NUMBER})\s*([^\dx×]*?)\s*[x×]\s*({_NUMBER})\s*(.*?)\s*", re.DOTALL)
LARGEST_INCH_POUND = 12.0  # N·m up to which lbf·in is the handier unit


@dataclass(frozen=True)
class TorqueValue:
    """One stage of tightening: N·m from low to high, or an angle; what is not given is None."""

    low_nm: float | None = None
    high_nm: float | None = None
    angle_deg: float | None = None


def parse_length(value: object) -> float:
    """Return mm from a bare number (mm) or a text such as `18 mm`, `0.75 in`, `3/4 in`. ValueError says what is wrong."""
    return _quantity(value, LENGTH_UNITS, "mm", "18 mm or 3/4 in")


def parse_angle(value: object) -> float:
    """Return degrees from a bare number or a text such as `90 deg`. ValueError says what is wrong."""
    return _quantity(value, ANGLE_UNITS, "deg", "90 deg")


def parse_size(value: object) -> tuple[float, float]:
    """Return two lengths in mm from `20 x 30 in`, `560 x 400 mm`, or a pair. ValueError says what is wrong."""
    if isinstance(value, Sequence) and not isinstance(value, str) and len(value) == 2:
        return parse_length(value[0]), parse_length(value[1])
    match = _SIZE.fullmatch(value) if isinstance(value, str) else None
    if match is None:
        raise ValueError(
            f"{_shown(value)} is no size: write two lengths and a unit, such as 20 x 30 in or 560 x 400 mm"
        )
    unit = match[4] or "mm"
    first_unit = match[2] or unit
    return (
        _number(match[1]) * _factor(first_unit, LENGTH_UNITS, "560 x 400 mm"),
        _number(match[3]) * _factor(unit, LENGTH_UNITS, "560 x 400 mm"),
    )


def is_in_inches(value: object) -> bool:
    """Say whether a size was written in inches."""
    return isinstance(value, str) and bool(re.search(r'(\bin(ch(es)?)?\b|")', value))


def parse_torque(value: object) -> tuple[TorqueValue, ...]:
    """Return the stages of a torque: one value, a range `9 to 11 N·m`, or a list of stages. ValueError if wrong."""
    if isinstance(value, Sequence) and not isinstance(value, str):
        if not value:
            raise ValueError("an empty list is no torque: write at least one stage, such as [20 N·m, 90 deg]")
        return tuple(_stage(one) for one in value)
    stage = _stage(value)
    if stage.low_nm is None:
        raise ValueError(f"{_shown(value)} is an angle alone: write the torque before it, such as [20 N·m, {value}]")
    return (stage,)


def _stage(value: object) -> TorqueValue:
    if isinstance(value, str) and (angle := re.fullmatch(rf"\s*({_NUMBER})\s*(deg|°|degrees?)\s*", value)):
        return TorqueValue(angle_deg=_positive(_number(angle[1]), value))
    if isinstance(value, str) and (match := _RANGE.fullmatch(value)):
        return _range(value, match)
    torque = _positive(_quantity(value, TORQUE_UNITS, "N·m", "6 N·m or 9 to 11 N·m"), value)
    return TorqueValue(torque, torque)


def _range(value: str, match: re.Match[str]) -> TorqueValue:
    factor = _factor(match[4], TORQUE_UNITS, "9 to 11 N·m")
    low_factor = _factor(match[2], TORQUE_UNITS, "9 to 11 N·m") if match[2] else factor
    low, high = _number(match[1]) * low_factor, _number(match[3]) * factor
    if low > high:
        raise ValueError(f"{_shown(value)} runs from high to low: write the smaller torque first")
    return TorqueValue(_positive(low, value), _positive(high, value))


def _positive(number: float, value: object) -> float:
    if number <= 0.0:
        raise ValueError(f"{_shown(value)} is not more than nought")
    return number


def _quantity(value: object, units: Mapping[str, float], own_unit: str, example: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise ValueError(f"{_shown(value)} is no quantity: write a number in {own_unit}, or a text such as {example}")
    if isinstance(value, int | float):
        return _finite(float(value), value)
    match = _QUANTITY.fullmatch(value)
    if match is None:
        raise ValueError(f"{_shown(value)} is no quantity: write a number in {own_unit}, or a text such as {example}")
    if not match[2]:
        return _finite(_number(match[1]), value)
    return _finite(_number(match[1]) * _factor(match[2], units, example), value)


def _finite(number: float, value: object) -> float:
    if not math.isfinite(number):
        raise ValueError(f"{_shown(value)} is not a number that can be measured")
    return number


def _factor(unit: str, units: Mapping[str, float], example: str) -> float:
    folded = {name.casefold(): factor for name, factor in units.items()}
    key = re.sub(r"\s+", " ", unit.strip()).casefold()
    if key in folded:
        return folded[key]
    near = nearest(unit, units)
    known = ", ".join(list(units)[:8])
    raise ValueError(
        f'"{unit}" is no unit here' + (f"; did you mean {near}?" if near else f": write {known}, as in {example}")
    )


def _number(text: str) -> float:
    text = text.replace(",", ".").strip()
    sign = -1.0 if text.startswith("-") else 1.0
    parts = text.lstrip("+- ").split()
    joined = "".join(parts) if "/" in text and len(parts) > 1 and not parts[0].isdigit() else " ".join(parts)
    try:
        return sign * float(sum(Fraction(part) for part in re.sub(r"\s*/\s*", "/", joined).split()))
    except ZeroDivisionError:
        raise ValueError(f"{_shown(text)} divides by nought") from None


def _shown(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if value is None:
        return "nothing"
    return f'"{value}"' if isinstance(value, str) else str(value)


def format_length(mm: float) -> str:
    """Return a length in mm with at most two decimals and its unit."""
    return f"{mm:.2f}".rstrip("0").rstrip(".") + " mm"


def format_torque_nm(low: float, high: float) -> str:
    """Return `6 N·m` or `9–11 N·m`."""
    return f"{_short(low)} N·m" if low == high else f"{_short(low)}–{_short(high)} N·m"


def format_lbf(low: float, high: float) -> str:
    """Return a torque in lbf·in, or in lbf·ft above 12 N·m, with figures enough for an error under 1 %."""
    unit, factor = (
        ("lbf·in", NEWTON_METRE_PER_LBF_IN) if high <= LARGEST_INCH_POUND else ("lbf·ft", NEWTON_METRE_PER_LBF_FT)
    )
    first, last = _three_figures(low / factor), _three_figures(high / factor)
    return f"{first} {unit}" if low == high else f"{first}–{last} {unit}"


def _three_figures(value: float) -> str:
    """Whole numbers from 100 up, else three significant figures without trailing noughts: at most 0.5 % off."""
    decimals = max(0, 2 - math.floor(math.log10(value)))
    text = f"{value:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _short(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".") if value >= 1.0 else f"{value:.3g}"
