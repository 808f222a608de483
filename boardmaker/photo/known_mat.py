"""The capture mat as its `mat.json` describes it: sheets, tags, hole marks.

In: the file. Out: where each tag's corners are on its sheet, and which fastener each mark stands for. Apart from the
photos because nothing here needs one. mm; x to the right, y up.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from boardmaker.guarded import read_at_most
from boardmaker.problems import ProblemsFound, error

TAG_FAMILIES = ("apriltag_36h11",)
MARK_FAMILIES = ("aruco_4x4_50", "aruco_4x4_100", "aruco_4x4_250", "aruco_5x5_50", "aruco_5x5_100", "aruco_5x5_250")
MOST_SHEETS, MOST_TAGS, MOST_MARKS = 40, 587, 1000  # 36h11 has 587 tags
_HINT = "use the mat.json that `boardmaker mat` wrote beside the mat that you printed"
Floats = NDArray[np.float64]


@dataclass(frozen=True)
class MatTag:
    """A tag: the sheet that it is on (counted row by row from 0), its middle from the sheet's middle, its side."""

    sheet: int
    centre: tuple[float, float]
    size: float

    @property
    def corners(self) -> Floats:
        """The corners from the sheet's middle, clockwise from the upper left: (4, 2)."""
        half = self.size / 2
        corners: Floats = np.array(self.centre) + np.array([[-1, 1], [1, 1], [1, -1], [-1, -1]]) * half
        return corners


@dataclass(frozen=True)
class KnownMark:
    """A coded hole mark: its fastener, and its hole's place from the middle of its code (mm)."""

    fastener: str
    size: float
    hole: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True)
class KnownMat:
    """The mat: sheets edge to edge, tags by their number, marks by theirs."""

    columns: int
    rows: int
    sheet: tuple[float, float]
    bars: tuple[float, float]  # nominal lengths across and along
    tint: tuple[int, int, int]
    tags: Mapping[int, MatTag]
    tag_family: str
    marks: Mapping[int, KnownMark]
    mark_family: str

    def middle(self, sheet: int) -> Floats:
        """Where a sheet's middle is from the upper left corner of the mat."""
        row, column = divmod(sheet, self.columns)
        return np.array([(column + 0.5) * self.sheet[0], -(row + 0.5) * self.sheet[1]])


def read_known_mat(path: Path) -> KnownMat:
    """Return the mat of a `mat.json`. Raises ProblemsFound for anything else."""
    content = read_at_most(path, 5, _HINT)
    try:
        said = json.loads(content.decode("utf-8"))
        if said["format"] != 1:
            raise ProblemsFound([error(f"{path} has the format {said['format']!r}; this program reads 1", hint=_HINT)])
        return _known_mat(said)
    except ProblemsFound:
        raise
    except (KeyError, TypeError, ValueError, OverflowError, RecursionError, IndexError) as wrong:
        plain = str(wrong)[:80] if type(wrong) is ValueError else "a part of it is missing or of another kind"
        message = f"{path} does not describe a mat ({plain})"
        raise ProblemsFound([error(message, hint=_HINT)]) from None


def _known_mat(said: Mapping[str, Any]) -> KnownMat:
    x0, y0, x1, y1 = (float(one) for one in said["trim"])
    pages = [int(one) for one in said["pages"]]
    columns, rows = int(said["columns"]), int(said["rows"])
    if len(pages) != columns * rows or not 1 <= len(pages) <= MOST_SHEETS or not (x0 < x1 and y0 < y1):
        raise ValueError("columns, rows, pages and trim do not agree")
    if len(said["tags"]) > MOST_TAGS or len(said.get("marks", ())) > MOST_MARKS:
        raise ValueError("more tags or marks than there are codes")
    middle = np.array([(x0 + x1) / 2, (y0 + y1) / 2])
    tags = {int(one["id"]): _tag(one, pages, middle) for one in said["tags"]}
    red, green, blue = (int(one) for one in said["tint"])
    bars = said["bars"]
    return KnownMat(
        columns,
        rows,
        (x1 - x0, y1 - y0),
        (float(bars["across"]), float(bars["along"])),
        (red, green, blue),
        tags,
        _family(said["tag_family"], TAG_FAMILIES),
        {int(one["id"]): _mark(one) for one in said.get("marks", ()) if "id" in one},
        _family(said.get("mark_family", MARK_FAMILIES[0]), MARK_FAMILIES),
    )


def _family(name: object, known: tuple[str, ...]) -> str:
    plain = "".join(letter for letter in str(name).casefold() if letter.isalnum()).removeprefix("dict")
    for one in known:
        if plain.removeprefix("aruco") in (one.replace("_", ""), one.replace("_", "").removeprefix("aruco")):
            return one
        if plain in (one.replace("_", "").removeprefix("apriltag"), one.replace("_", "").removeprefix("aruco")):
            return one
    raise ValueError(f"no tags {name!r} are known")


def _tag(said: Mapping[str, Any], pages: list[int], middle: Floats) -> MatTag:
    x, y = np.array([float(one) for one in said["centre"]]) - middle
    if not 5.0 <= float(said["size"]) <= 200.0:
        raise ValueError("a tag of that size")
    return MatTag(pages.index(int(said["page"])), (float(x), float(y)), float(said["size"]))


def _mark(said: Mapping[str, Any]) -> KnownMark:
    x0, y0, x1, y1 = (float(one) for one in said["box"])
    hole = (x0 + x1) / 2, (y0 + y1) / 2
    x, y = (float(one) for one in said.get("centre", hole))
    return KnownMark(str(said["fastener"]), float(said.get("size", 0.7 * (x1 - x0))), (hole[0] - x, hole[1] - y))
