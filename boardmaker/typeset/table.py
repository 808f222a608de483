"""A small page maker for the figures that are tables: a framed rectangle filled from the top down.

Rows are laid with y running down from the top edge; `finish` turns them over, so that the figure's origin is the lower
left corner.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Protocol, Self

from boardmaker.display_list import Circle, Path
from boardmaker.geometry import Point, shift_point, shift_ring
from boardmaker.typeset.label import Label, Words
from boardmaker.typeset.lettering import lines_size

RULE = 0.18

Mark = Path | Circle


@dataclass(frozen=True)
class RowRule(Path):
    """The line between two rows of a table, as wide as its column: told by what it is, not by its pen."""


class Carried(Protocol):
    """What a cell holds beside type and lines, such as the pockets of a board."""

    def shifted(self, by: Point) -> Self:
        """Return the same, moved by so many mm."""


@dataclass(frozen=True)
class Cell:
    """Part of a table with its top left corner at the origin, y up: everything in it has y <= 0."""

    width: float
    height: float
    labels: tuple[Label, ...] = ()
    marks: tuple[Mark, ...] = ()
    carried: tuple[Carried, ...] = ()  # what else lies in the cell and moves with it

    def at(self, by: Point) -> Cell:
        """Return the cell moved."""
        if by == (0.0, 0.0) or not (self.labels or self.marks or self.carried):
            return self
        return replace(
            self,
            labels=tuple(_moved_label(label, by) for label in self.labels),
            marks=tuple(_moved_mark(mark, by) for mark in self.marks),
            carried=tuple(one.shifted(by) for one in self.carried),
        )


def _moved_label(label: Label, by: Point) -> Label:
    x0, y0, x1, y1 = label.box
    return replace(label, box=(x0 + by[0], y0 + by[1], x1 + by[0], y1 + by[1]))


def _moved_mark(mark: Mark, by: Point) -> Mark:
    if isinstance(mark, Circle):
        return replace(mark, centre=shift_point(mark.centre, by))
    return replace(mark, points=shift_ring(mark.points, by))


def words_cell(lines: Sequence[Words], width: float | None = None) -> Cell:
    """Return lines of type, set to the left; `width` widens the cell."""
    own_width, height = lines_size(lines)
    label = Label(tuple(lines), (0.0, -height, own_width, 0.0), align="start")
    return Cell(max(own_width, width or 0.0), height, (label,))


def beside(cells: Sequence[Cell], gap: float = 2.0) -> Cell:
    """Return cells in a row, each set to the middle of the highest."""
    height = max(cell.height for cell in cells)
    placed, x = [], 0.0
    for cell in cells:
        placed.append(cell.at((x, -(height - cell.height) / 2)))
        x += cell.width + gap
    return _joined(placed, x - gap, height)


def stacked(cells: Sequence[Cell], gap: float = 1.0, ruled: bool = False) -> Cell:
    """Return cells from the top down, set to the left; `ruled` draws a fine line between them."""
    width = max(cell.width for cell in cells)
    placed: list[Cell] = []
    y = 0.0
    for index, cell in enumerate(cells):
        if ruled and index:
            placed.append(
                Cell(width, 0.0, marks=(RowRule(((0.0, y + gap / 2), (width, y + gap / 2)), line_width=RULE),))
            )
        placed.append(cell.at((0.0, y)))
        y -= cell.height + gap
    return _joined(placed, width, -y - gap)


def in_columns(cells: Sequence[Cell], count: int, gap: float = 1.6, between: float = 4.0) -> Cell:
    """Return cells in `count` ruled columns of about equal height, read down and then across."""
    columns = _split(cells, count, gap)
    return top_aligned([stacked(column, gap, ruled=True) for column in columns], between)


def _split(cells: Sequence[Cell], count: int, gap: float) -> list[list[Cell]]:
    """Fill the columns in order, to the least height at which all cells go in."""
    low, high = max(cell.height for cell in cells), math.fsum(cell.height + gap for cell in cells)
    while high - low > 0.05:
        middle = (low + high) / 2
        low, high = (low, middle) if len(_filled(cells, middle, gap)) <= count else (middle, high)
    return _filled(cells, high, gap)


def _filled(cells: Sequence[Cell], height: float, gap: float) -> list[list[Cell]]:
    columns: list[list[Cell]] = [[]]
    left = height
    for cell in cells:
        if columns[-1] and cell.height > left:
            columns.append([])
            left = height
        columns[-1].append(cell)
        left -= cell.height + gap
    return columns


def top_aligned(cells: Sequence[Cell], gap: float) -> Cell:
    """Return cells in a row, their upper edges level."""
    placed, x = [], 0.0
    for cell in cells:
        placed.append(cell.at((x, 0.0)))
        x += cell.width + gap
    return _joined(placed, x - gap, max(cell.height for cell in cells))


def _joined(cells: Sequence[Cell], width: float, height: float) -> Cell:
    return Cell(
        width,
        height,
        tuple(label for cell in cells for label in cell.labels),
        tuple(mark for cell in cells for mark in cell.marks),
        tuple(one for cell in cells for one in cell.carried),
    )
