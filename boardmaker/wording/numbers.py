"""Numbers as they are printed: lengths, scales."""

from __future__ import annotations

from fractions import Fraction

NO_BREAK_SPACE = "\N{NO-BREAK SPACE}"


def decimal(value: float) -> str:
    """Return a length in mm as a mechanic writes it: at most two decimals, none that are nought."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


def length_text(length: float, inches: bool) -> str:
    """Return a length in mm with its unit; in inches to the nearest sixteenth, as a ruler shows it, where asked."""
    if not inches:
        return f"{decimal(length)} mm"
    whole, sixteenths = divmod(round(length / 25.4 * 16), 16)
    parts = [str(whole)] if whole or not sixteenths else []
    return " ".join([*parts, *([str(Fraction(sixteenths, 16))] if sixteenths else [])]) + " in"


def scale_text(scale: float) -> str:
    """Return a scale as it is written on a drawing: `1:3.75`, `1:4`."""
    return f"1:{decimal(1 / scale)}"
