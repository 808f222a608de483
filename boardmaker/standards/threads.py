"""Threads: from `M6x0.75`, `1/4-20`, `No. 10-32` or `ST4.2` to diameter and pitch.

In: a thread as a mechanic writes it. Out: a `Thread`, or a ValueError that says what is allowed. Apart because bike
files name threads without a part, and parts name threads too. Tables: `iso_261` (d and P in mm), `asme_b1_1` (d_in in
inches, n threads an inch), `iso_1478` (P and d1 in mm).
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import cache
from typing import Literal

from boardmaker.standards.reading import read_table
from boardmaker.standards.wording import NUMBER, TIMES, format_number, read_number

MM_PER_INCH = 25.4

_METRIC = re.compile(rf"M\s*({NUMBER})(?:{TIMES}({NUMBER}))?(\s*-?\s*LH)?", re.IGNORECASE)
_INCH = re.compile(r"((?:No\.?\s*|#\s*)?\d+(?:/\d+)?)\"?(?:\s*-\s*(\d+))?(?:\s*(UNC|UNF))?(\s*-?\s*LH)?", re.IGNORECASE)
_TAPPING = re.compile(rf"ST\s*({NUMBER})", re.IGNORECASE)


@dataclass(frozen=True)
class Thread:
    """A thread. `designation` is normalised (coarse metric without its pitch); diameter and pitch in mm."""

    designation: str
    system: Literal["metric", "inch", "tapping"]
    diameter: float
    pitch: float
    left_hand: bool = False

    @property
    def pitch_diameter(self) -> float | None:
        """Basic pitch diameter d2 in mm by ISO 724, d - 3/4 H (also ASME B1.1); None for a tapping thread."""
        return None if self.system == "tapping" else self.diameter - 0.75 * self._triangle_height

    @property
    def minor_diameter(self) -> float | None:
        """Basic minor diameter d1 in mm by ISO 724, d - 5/4 H (also ASME B1.1); None for a tapping thread."""
        return None if self.system == "tapping" else self.diameter - 1.25 * self._triangle_height

    @property
    def stress_area(self) -> float | None:
        """Nominal stress area in mm²; None for a tapping thread.

        Metric: ISO 898-1, π/4 ((d2 + d3)/2)² with d3 = d1 - H/6. Inch: ASME B1.1, π/4 (d - 0.9743 P)².
        """
        if self.system == "tapping":
            return None
        if self.system == "inch":
            return math.pi / 4 * (self.diameter - 0.9743 * self.pitch) ** 2
        height = self._triangle_height  # (d2 + d3)/2 = d - (3/4 + 5/4 + 1/6)/2 H = d - 13/12 H
        return math.pi / 4 * (self.diameter - 13 / 12 * height) ** 2

    @property
    def _triangle_height(self) -> float:
        """Height H of the fundamental triangle, mm (ISO 68-1: H = √3/2 P)."""
        return math.sqrt(3) / 2 * self.pitch


def parse_thread(text: str) -> Thread:
    """Read a thread: `M6`, `M6x0.75`, `1/4-20`, `1/4 UNC`, `No. 10-32`, `#10-32`, `ST4.2`; `LH` at the end: left-hand.

    Raises ValueError where the whole text is not a thread of ISO 261, ASME B1.1 or ISO 1478; the message lists what
    that size has and the nearest thread.
    """
    words = text.strip()
    if match := _METRIC.fullmatch(words):
        pitch = read_number(match[2]) if match[2] else None
        return metric_thread(read_number(match[1]), pitch, left_hand=bool(match[3]))
    if (match := _INCH.fullmatch(words)) and (match[2] or not match[1].isdigit()):  # a bare 6 is rather an M6
        per_inch = int(match[2]) if match[2] else None
        return _inch_thread(match[1], per_inch, (match[3] or "").upper(), left_hand=bool(match[4]))
    if match := _TAPPING.fullmatch(words):
        return tapping_thread(read_number(match[1]))
    raise ValueError(f"{text!r} is not a thread: write M6, M6x0.75, 1/4-20, No. 10-32 or ST4.2{_metric_hint(words)}")


def metric_thread(diameter: float, pitch: float | None = None, *, left_hand: bool = False) -> Thread:
    """Return the ISO 261 thread of a diameter and pitch in mm (None: the coarse one); ValueError if there is none."""
    size = f"M{format_number(diameter)}"
    pitches = metric_pitches().get(diameter)
    if pitches is None:
        raise ValueError(f"{size} is not a size of ISO 261/262; {_nearest_sizes(diameter)}")
    coarse = pitches.get("coarse", ())
    chosen = pitch if pitch is not None else next(iter(coarse), None)
    if chosen is None:
        raise ValueError(f"{size} has no coarse pitch in ISO 261: write {size}x{format_number(pitches['fine'][0])}")
    if chosen not in coarse and chosen not in pitches.get("fine", ()):
        raise ValueError(_wrong_pitch(size, chosen, pitches))
    name = size if chosen in coarse else f"{size}x{format_number(chosen)}"
    return Thread(name + ("-LH" if left_hand else ""), "metric", diameter, chosen, left_hand)


def tapping_thread(diameter: float) -> Thread:
    """Return the ISO 1478 tapping thread of this nominal size in mm; ValueError if there is none."""
    rows = {float(row["size"]): float(row["P"]) for row in read_table("iso_1478")}
    if diameter not in rows:
        known = ", ".join(f"ST{format_number(size)}" for size in rows)
        raise ValueError(f"ST{format_number(diameter)} is not a size of ISO 1478: known are {known}")
    return Thread(f"ST{format_number(diameter)}", "tapping", diameter, rows[diameter])


@cache
def metric_pitches() -> dict[float, dict[str, tuple[float, ...]]]:
    """Map diameter -> {"coarse": pitches, "fine": pitches}, all in mm, pitches from large to small (ISO 261)."""
    table: dict[float, dict[str, tuple[float, ...]]] = {}
    for row in read_table("iso_261"):
        of_size = table.setdefault(float(row["d"]), {})
        of_size[row["series"]] = (*of_size.get(row["series"], ()), float(row["P"]))
    return table


def _nearest_sizes(diameter: float) -> str:
    nearest = sorted(sorted(metric_pitches(), key=lambda size: abs(size - diameter))[:2])
    return f"nearest are {', '.join(f'M{format_number(size)}' for size in nearest)}"


def _wrong_pitch(size: str, pitch: float, pitches: dict[str, tuple[float, ...]]) -> str:
    coarse, fine = pitches.get("coarse", ()), pitches.get("fine", ())
    listed = [f"{format_number(value)} (coarse)" for value in coarse] + [format_number(value) for value in fine]
    # Who writes a pitch mostly means a fine one: the coarse one is proposed only where the slip is very small.
    meant = next((size for value in coarse if abs(pitch / value - 1) < 0.05 or not fine), "")
    meant = meant or f"{size}x{format_number(min(fine, key=lambda value: abs(value - pitch)))}"
    return (
        f"{size}x{format_number(pitch)} is not a thread of ISO 261/262: "
        f"{size} has pitches {', '.join(listed)}; did you mean {meant}?"
    )


def _metric_hint(words: str) -> str:
    """Suggest a metric thread where the M is missing or the pitch stands after a dash."""
    slip = re.fullmatch(rf"M?\s*({NUMBER})(?:\s*[-/x×]\s*({NUMBER}))?", words, re.IGNORECASE)
    if slip is None or read_number(slip[1]) not in metric_pitches():
        return ""
    return f"; did you mean M{slip[1]}{f'x{slip[2]}' if slip[2] else ''}?"


def _inch_thread(size_text: str, per_inch: int | None, series: str, *, left_hand: bool) -> Thread:
    size = _inch_size(size_text)
    rows = [row for row in read_table("asme_b1_1") if row["size"] == size]
    if not rows:
        known = ", ".join(dict.fromkeys(row["size"] for row in read_table("asme_b1_1")))
        raise ValueError(f"{size} is not a size of ASME B1.1 in the table: known are {known}")
    for row in rows:
        if (per_inch or series) and per_inch in (None, int(row["n"])) and series in ("", row["series"]):
            pitch = MM_PER_INCH / int(row["n"])
            name = f"{size}-{row['n']}" + ("-LH" if left_hand else "")
            return Thread(name, "inch", float(row["d_in"]) * MM_PER_INCH, pitch, left_hand)
    written = f"{size}{f'-{per_inch}' if per_inch else ''} {series}".strip()
    listed = ", ".join(f"{size}-{row['n']} ({row['series']})" for row in rows)
    raise ValueError(f"{written} is not a thread of ASME B1.1: known are {listed}")


def _inch_size(text: str) -> str:
    """Normalise `#10`, `no.10`, `10` to the table's `No. 10`; a fraction or 1 stays."""
    digits = re.sub(r"[^\d/]", "", text)
    return digits if "/" in digits or digits == "1" else f"No. {digits}"
