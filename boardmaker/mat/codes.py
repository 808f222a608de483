"""The codes on a mat: which cells are dark, as rectangles to draw.

The tables in `tables` were made once; `tables/SOURCES.md` says from what. No picture library is needed to print a mat.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from itertools import groupby
from math import isqrt

from boardmaker.display_list import Ink, Path
from boardmaker.geometry import Point, box_ring


@dataclass(frozen=True)
class CodeFamily:
    """A family of codes: its name in OpenCV, its table and how many codes of it there are."""

    name: str
    table: str
    count: int


SHEET_CODES = CodeFamily("DICT_APRILTAG_36h11", "apriltag_36h11", 587)
# The smaller the family, the further its codes are apart: the smallest that has enough codes is taken.
MARK_CODES = tuple(CodeFamily(f"DICT_5X5_{count}", "aruco_5x5", count) for count in (50, 100, 250))


def code_cells(family: CodeFamily, number: int) -> tuple[str, ...]:
    """Return the rows of a code from the top, its dark border included; `0` is a dark cell. IndexError beyond it."""
    if not 0 <= number < family.count:
        raise IndexError(f"{family.name} has no code {number}")
    bits = _table(family.table)[number]
    side = isqrt(len(bits))
    rows = (bits[at : at + side] for at in range(0, len(bits), side))
    return ("0" * (side + 2), *(f"0{row}0" for row in rows), "0" * (side + 2))


@cache
def _table(name: str) -> tuple[str, ...]:
    text = files(__package__).joinpath("tables", f"{name}.csv").read_text(encoding="utf-8")
    return tuple(row["bits"] for row in csv.DictReader(text.splitlines()))


def draw_code(cells: Sequence[str], centre: Point, size: float, ink: Ink = 0.0) -> Iterator[Path]:
    """Yield a code's dark cells as rectangles, `size` mm the side of its dark square.

    Runs along rows and runs along columns lie over each other, so that no fine light line shows where two cells meet,
    and none is larger than it should be.
    """
    count = len(cells)
    left, top, cell = centre[0] - size / 2, centre[1] + size / 2, size / count
    for row, line in enumerate(cells):
        for start, end in _dark_runs(line):
            yield _filled((left + start * cell, top - (row + 1) * cell, left + end * cell, top - row * cell), ink)
    for column in range(count):
        for start, end in _dark_runs("".join(line[column] for line in cells)):
            if end - start > 1:
                x = left + column * cell
                yield _filled((x, top - end * cell, x + cell, top - start * cell), ink)


def _filled(box: tuple[float, float, float, float], ink: Ink) -> Path:
    return Path(box_ring(*box), closed=True, line_width=0.0, fill=ink)


def _dark_runs(line: str) -> Iterator[tuple[int, int]]:
    """The first cell of each dark run and the one after it."""
    at = 0
    for cell, run in groupby(line):
        length = len(list(run))
        if cell == "0":
            yield at, at + length
        at += length
