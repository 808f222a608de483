"""Numbers as they are printed: lengths, scales."""

from __future__ import annotations

from fractions import Fraction

NO_BREAK_SPACE = "\N{NO-BREAK SPACE}"


def decimal(value: float) -> str:
    """Return a length in mm as a mechanic writes it: at most two decimals, none that are nought."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


def with_mm(length: float, written: str) -> str:
    """Return a length of the bike file with its unit, what was written in inches first: `3/4 in (19.05 mm)`."""
    return _after(written, f"{decimal(length)} mm")


def with_mm_if_inches(length: float, written: str) -> str:
    """Return a length of the bike file without a unit where it is in mm, as in `M6 × 21`: `3/4 in (19.05 mm)`."""
    return with_mm(length, written) if written else decimal(length)


def _after(written: str, said: str) -> str:
    return f"{written} ({said})" if written else said


def length_text(length: float, inches: bool) -> str:
    """Return a length in mm with its unit; in inches to the nearest sixteenth, as a ruler shows it, where asked."""
    if not inches:
        return f"{decimal(length)} mm"
    whole, sixteenths = divmod(round(length / 25.4 * 16), 16)
    parts = [str(whole)] if whole or not sixteenths else []
    return " ".join([*parts, *([str(Fraction(sixteenths, 16))] if sixteenths else [])]) + " in"


def size_text(size: tuple[float, float], inches: bool) -> str:
    """Return two lengths in mm with their units: `470 mm x 370 mm`, or in inches where asked."""
    return " x ".join(length_text(side, inches) for side in size)


def scale_text(scale: float) -> str:
    """Return a scale as it is written on a drawing: `1:3.75`, `1:4`."""
    return f"1:{decimal(1 / scale)}"
