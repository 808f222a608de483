"""What a mat is made of: frozen records, mm on the printed page from its lower left corner, y up.

Lengths are those on paper once the printer has done its worst: in the file everything is divided by `printer_scale`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from boardmaker.geometry import Point

Box = tuple[float, float, float, float]
Block = tuple[int, int]  # columns and rows of sheets

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
BLOCKS: tuple[Block, ...] = ((2, 1), (2, 2), (3, 2), (4, 2), (3, 3), (4, 3))  # the smaller first


@dataclass(frozen=True)
class SheetTag:
    """A code of a sheet: its number, page (from 1), the middle and the side of its dark square."""

    id: int
    page: int
    centre: Point
    size: float


@dataclass(frozen=True)
class MatMark:
    """A round paper with the code of one fastener; the middle of its box comes to lie on the middle of the hole."""

    fastener: str
    page: int
    box: Box
    id: int | None = None  # of its code; None where a mat file does not say it
    size: float | None = None  # mm, the side of its dark square; None likewise

    @property
    def centre(self) -> Point:
        """The middle of the box."""
        x0, y0, x1, y1 = self.box
        return (x0 + x1) / 2, (y0 + y1) / 2


@dataclass(frozen=True)
class Mat:
    """A mat: its sheets row by row from the top left; any block that begins there may be used.

    `trim` is the part of a page that stays after trimming, `sheet` its size, `pages` the page of each sheet, `bars` the
    true lengths of the test bars across and along; `tint` and
    `ink`, the colour of its codes, are red, green, blue from 0 to 255.
    """

    columns: int
    rows: int
    sheet: Point
    trim: Box
    pages: tuple[int, ...]
    bars: Point
    marks: tuple[MatMark, ...] = ()
    tags: tuple[SheetTag, ...] = ()
    tint: tuple[int, int, int] | None = None
    ink: tuple[int, int, int] = (0, 0, 0)
    tag_family: str = ""
    mark_family: str = ""
    printer_scale: Point = (1.0, 1.0)

    def blocks(self) -> Iterator[Block]:
        """Yield the blocks of sheets to choose from, the smaller first; the whole mat is the last one."""
        whole = (self.columns, self.rows)
        yield from (one for one in BLOCKS if one[0] <= self.columns and one[1] <= self.rows and one != whole)
        yield whole

    def pages_of(self, block: Block) -> tuple[int, ...]:
        """Return the pages of a block of sheets (columns, rows) at the top left."""
        columns, rows = block
        return tuple(self.pages[row * self.columns + column] for row in range(rows) for column in range(columns))


def sheet_name(column: int, row: int) -> str:
    """Return the name of a sheet by its place, both counted from 0: A1 at the top left, B1 right of it."""
    return f"{LETTERS[column % len(LETTERS)]}{row + 1}"
