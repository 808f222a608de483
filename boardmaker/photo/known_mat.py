"""The capture mat as the photos are read by it: sheets, tags, hole marks.

In: the `Mat` of a `mat.json`, or the standard one. Out: where each tag's corners are on its sheet, and which fastener
each mark stands for. A view of the mat's own data, apart from the photos because nothing here needs one. mm; x to the
right, y up.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boardmaker.mat import Mat, MatMark, SheetTag
from boardmaker.problems import ProblemsFound, error

MARK_OF_BOX = 0.7  # of a mark's box is its code, where a mat file does not say its size
LEAST_COLOUR = 0.25  # of the strongest channel, by which the weakest one of a tint is weaker; else it is a grey
SHEET_TAGS = "apriltag_36h11"  # the only sheet codes that are read
NO_MARKS = "aruco_5x5_50"  # of a mat without marks that can be read: any
_MEND = (
    "`boardmaker mat` writes a mat.json with all of them, and for the same setup, paper and tint the same sheets; of "
    'another mat write them in: "tags": [{"id": 0, "page": 1, "centre": [x, y], "size": mm}, …], "tint": [red, green, '
    "blue]"
)
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
    ink: tuple[int, int, int]  # of the tags
    tags: Mapping[int, MatTag]
    tag_family: str
    marks: Mapping[int, KnownMark]
    mark_family: str

    def middle(self, sheet: int) -> Floats:
        """Where a sheet's middle is from the upper left corner of the mat."""
        row, column = divmod(sheet, self.columns)
        return np.array([(column + 0.5) * self.sheet[0], -(row + 0.5) * self.sheet[1]])


def known_mat(mat: Mat, name: str) -> KnownMat:
    """Return the mat as photos are read by it; `name` is that of its file, for messages.

    Raises ProblemsFound where the mat does not say enough: a mat file may do without codes and tint.
    """
    if lacking := [*_lacking(mat)]:
        message = f"{name} does not say {' and '.join(lacking)}: without that no photo can be measured"
        raise ProblemsFound([error(message, hint=_MEND)])
    marks = {one.id: _mark(one) for one in mat.marks if one.id is not None} if mat.mark_family else {}
    return KnownMat(
        mat.columns,
        mat.rows,
        mat.sheet,
        mat.bars,
        mat.tint or (0, 0, 0),
        mat.ink,
        {one.id: _tag(one, mat) for one in mat.tags},
        SHEET_TAGS,
        marks,
        _family(mat.mark_family) if marks else NO_MARKS,
    )


def _lacking(mat: Mat) -> Iterator[str]:
    if not mat.tags:
        yield "where the codes of its sheets are (`tags`)"
    if mat.tint is None:
        yield "the colour of its sheets (`tint`)"
    elif min(mat.tint) >= (1.0 - LEAST_COLOUR) * max(mat.tint):
        yield f"a colour of its sheets that is one (`tint`: {[*mat.tint]} is a grey)"


def unread_marks(mat: Mat, name: str) -> str:
    """Return a line about marks that no photo can be asked for, "" where there are none."""
    if not mat.marks or (mat.mark_family and all(one.id is not None for one in mat.marks)):
        return ""
    what = "the `id` of each mark's code" if mat.mark_family else "the `mark_family`"
    return f"{name} does not say {what}: hole marks without it are not read"


def _family(name: str) -> str:
    return name.lower().replace("dict_", "aruco_")


def _tag(tag: SheetTag, mat: Mat) -> MatTag:
    x0, y0, x1, y1 = mat.trim
    centre = tag.centre[0] - (x0 + x1) / 2, tag.centre[1] - (y0 + y1) / 2
    return MatTag(mat.pages.index(tag.page), centre, tag.size)


def _mark(mark: MatMark) -> KnownMark:
    return KnownMark(mark.fastener, mark.size or MARK_OF_BOX * (mark.box[2] - mark.box[0]))
