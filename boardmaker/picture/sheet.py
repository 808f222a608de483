"""Frames flow into a grid on one sheet, under the bike's name; the sheet is as large as they are.

In: frames as cells, what the title says. Out: a drawing in mm, the words in outlines when it is rendered.
"""

from __future__ import annotations

from collections.abc import Sequence

from boardmaker.display_list import DisplayItem, Drawing, Path
from boardmaker.geometry import box_ring
from boardmaker.picture.frames import INSET, in_frame, paragraph
from boardmaker.picture.look import GREY, SMALL, TITLE
from boardmaker.typeset.label import Words
from boardmaker.typeset.lettering import broken, label_items, printable
from boardmaker.typeset.table import Cell, stacked, top_aligned

MARGIN = 8.0  # mm around everything
BETWEEN = 5.0  # mm between frames

# Columns for so many frames, and the width in mm of each: one panel large, many still to be read.
GRIDS = ((1, 1, 297.0), (2, 2, 240.0), (4, 2, 220.0), (9, 3, 200.0), (16, 4, 195.0))
WIDEST_GRID = (5, 195.0)


def grid_of(count: int) -> tuple[int, float]:
    """Return the number of columns for so many frames, and the width of each in mm."""
    return next(((columns, width) for most, columns, width in GRIDS if count <= most), WIDEST_GRID)


def in_rows(cells: Sequence[Cell], columns: int) -> Cell:
    """Return the cells in frames, row by row; those of a row are equally high, all are equally wide."""
    width = max(cell.width for cell in cells) + 2 * INSET
    rows = [cells[start : start + columns] for start in range(0, len(cells), columns)]
    return stacked([_row(row, width) for row in rows], BETWEEN)


def _row(cells: Sequence[Cell], width: float) -> Cell:
    height = max(cell.height for cell in cells) + 2 * INSET
    return top_aligned([in_frame(cell, width, height) for cell in cells], BETWEEN)


def lay_sheet(title: str, below: str, parts: Sequence[Cell]) -> Drawing:
    """Return one sheet with a title, a line below it, and the parts under each other."""
    width = max(part.width for part in parts)
    heading = [Words(line, TITLE, bold=True) for line in broken(printable(title, "?"), TITLE, width, bold=True)]
    heading += [Words(line, SMALL, ink=GREY) for line in broken(printable(below, "?"), SMALL, width)]
    whole = stacked([paragraph(heading), *parts], BETWEEN)
    wide, high = whole.width + 2 * MARGIN, whole.height + 2 * MARGIN
    placed = whole.at((MARGIN, high - MARGIN))
    ground = Path(box_ring(0.0, 0.0, wide, high), closed=True, line_width=0.0, fill=1.0)
    words: list[DisplayItem] = [text for label in placed.labels for text in label_items(label, 0)]
    return Drawing(wide, high, (), (), (ground, *placed.marks, *words))
