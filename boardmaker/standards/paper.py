"""Paper sizes and drawing scales.

In: a paper's name. Out: its portrait size in mm; the reduction scales of ISO 5455. Apart because sheets and set-up
files need them, and no fastener does. Tables: `paper` (w, h in mm), `iso_5455` (denominators of the reductions).
"""

from __future__ import annotations

from dataclasses import dataclass

from boardmaker.standards.reading import read_table
from boardmaker.standards.wording import suggest

_SMALLEST_STEP = 50  # the reductions that a board may use end at 1:50


@dataclass(frozen=True)
class PaperSize:
    """A sheet, portrait, mm."""

    name: str
    width: float
    height: float


def paper(name: str) -> PaperSize:
    """Return a paper of ISO 216, ASME Y14.1 or US legal by name, upper or lower case; ValueError if unknown."""
    for row in read_table("paper"):
        if row["name"].casefold() == name.strip().casefold():
            return PaperSize(row["name"], float(row["w"]), float(row["h"]))
    known = paper_names()
    raise ValueError(f"{name!r} is not a known paper: known are {', '.join(known)}{suggest(name, known)}")


def paper_names() -> tuple[str, ...]:
    """Return the names of all papers of the table."""
    return tuple(row["name"] for row in read_table("paper"))


def drawing_scales() -> tuple[float, ...]:
    """Return the ISO 5455 scales from full size down: 1, 1/2, 1/5, 1/10 ... 1/50."""
    denominators = (int(row["denominator"]) for row in read_table("iso_5455"))
    return tuple(1 / denominator for denominator in denominators if denominator <= _SMALLEST_STEP)


def standard_scales() -> tuple[float, ...]:
    """Return the ISO 5455 steps and their halves, largest first, each once: 1, 1/2, 1/4, 1/5, 1/10 ... 1/100."""
    steps = drawing_scales()
    return tuple(sorted({*steps, *(step / 2 for step in steps)}, reverse=True))
