"""Cells of a table poured onto pages, column after column."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from boardmaker.display_list import DisplayItem
from boardmaker.geometry import Point
from boardmaker.typeset.lettering import label_items
from boardmaker.typeset.table import Cell

COLUMN_GAP = 8.0
ROW_GAP = 2.4


def pour(cells: Sequence[Cell], width: float, height: float, head: Cell | None = None) -> tuple[tuple[Cell, ...], ...]:
    """Return the cells of each page, placed: y runs down from 0 at the page picture's top left corner.

    `head` stands above the first page's columns, in the middle of the width.
    A cell that is higher than the page stands on a page of its own and is cut off by nothing but the paper.
    """
    if not cells:
        return ()
    column_width = max(cell.width for cell in cells)
    columns = max(1, int((width + COLUMN_GAP) / (column_width + COLUMN_GAP)))
    pages: list[list[Cell]] = [[head.at(((width - head.width) / 2, 0.0))] if head else []]
    top = head.height + ROW_GAP if head else 0.0
    column, y = 0, top
    for cell in cells:
        if y > top and y + cell.height > height:
            column, y = column + 1, top
        if column == columns:
            pages.append([])
            column, y, top = 0, 0.0, 0.0
        pages[-1].append(cell.at((column * (column_width + COLUMN_GAP), -y)))
        y += cell.height + ROW_GAP
    return tuple(tuple(page) for page in pages)


def cell_items(cell: Cell, top_left: Point) -> Iterator[DisplayItem]:
    """Yield a cell's marks and words with its top left corner at this place of the page."""
    moved = cell.at(top_left)
    yield from moved.marks
    for label in moved.labels:
        yield from label_items(label, 0)
