"""A small page maker for the figures that are tables: a framed rectangle filled from the top down.

Rows are laid with y running down from the top edge; `finish` turns them over, so that the figure's origin is the lower
left corner.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import pairwise
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


@dataclass(frozen=True, init=False)
class Cell:
    """Part of a table with its top left corner at the origin, y up: everything in it has y <= 0.

    What other cells it is put together from come to their places when somebody looks at it: of a table many forms are
    tried for their size, and one is drawn.
    """

    width: float
    height: float
    _own: tuple[tuple[Label, ...], tuple[Mark, ...], tuple[Carried, ...]]
    _parts: tuple[tuple[Cell, Point], ...]  # each with how far it is moved

    def __init__(
        self,
        width: float,
        height: float,
        labels: tuple[Label, ...] = (),
        marks: tuple[Mark, ...] = (),
        carried: tuple[Carried, ...] = (),
        parts: tuple[tuple[Cell, Point], ...] = (),
    ) -> None:
        """Take what is in the cell itself, and what else lies in it and moves with it (`carried`)."""
        vars(self).update(width=width, height=height, _own=(labels, marks, carried), _parts=parts)

    @cached_property
    def labels(self) -> tuple[Label, ...]:
        """All type."""
        moved = (_moved_label(label, by) if any(by) else label for cell, by in self._parts for label in cell.labels)
        return (*self._own[0], *moved)

    @cached_property
    def marks(self) -> tuple[Mark, ...]:
        """All lines and circles."""
        moved = (_moved_mark(mark, by) if any(by) else mark for cell, by in self._parts for mark in cell.marks)
        return (*self._own[1], *moved)

    @cached_property
    def carried(self) -> tuple[Carried, ...]:
        """All else."""
        moved = (one.shifted(by) if any(by) else one for cell, by in self._parts for one in cell.carried)
        return (*self._own[2], *moved)

    def at(self, by: Point) -> Cell:
        """Return the cell moved."""
        return Cell(self.width, self.height, parts=((self, by),)) if any(by) else self

    def sized(self, width: float | None = None, height: float | None = None) -> Cell:
        """Return the cell with another width or height, what is in it at its place."""
        width, height = self.width if width is None else width, self.height if height is None else height
        return Cell(width, height, *self._own, self._parts)


def _moved_label(label: Label, by: Point) -> Label:
    x0, y0, x1, y1 = label.box
    return Label(label.lines, (x0 + by[0], y0 + by[1], x1 + by[0], y1 + by[1]), label.align, label.ticked)


def _moved_mark(mark: Mark, by: Point) -> Mark:
    if isinstance(mark, Circle):
        centre = shift_point(mark.centre, by)
        return Circle(centre, mark.diameter, mark.line_width, mark.ink, mark.fill, mark.dash)
    points = shift_ring(mark.points, by)
    return type(mark)(points, mark.closed, mark.line_width, mark.ink, mark.fill, mark.dash)


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
        placed.append((cell, (x, -(height - cell.height) / 2)))
        x += cell.width + gap
    return Cell(x - gap, height, parts=tuple(placed))


def stacked(cells: Sequence[Cell], gap: float = 1.0, ruled: bool = False) -> Cell:
    """Return cells from the top down, set to the left; `ruled` draws a fine line between them."""
    width = max(cell.width for cell in cells)
    placed: list[tuple[Cell, Point]] = []
    y = 0.0
    for index, cell in enumerate(cells):
        if ruled and index:
            rule = RowRule(((0.0, y + gap / 2), (width, y + gap / 2)), line_width=RULE)
            placed.append((Cell(width, 0.0, marks=(rule,)), (0.0, 0.0)))
        placed.append((cell, (0.0, y)))
        y -= cell.height + gap
    return Cell(width, -y - gap, parts=tuple(placed))


def in_columns(cells: Sequence[Cell], count: int, gap: float = 1.6, between: float = 4.0, ruled: bool = True) -> Cell:
    """Return cells in `count` columns of about equal height, read down and then across; ruled, which takes no room."""
    columns = _split(cells, count, gap)
    return top_aligned([stacked(column, gap, ruled) for column in columns], between)


def _split(cells: Sequence[Cell], count: int, gap: float) -> list[list[Cell]]:
    """Fill the columns in order, to the least height at which all cells go in."""
    first = _first_of_columns(tuple(cell.height for cell in cells), count, gap)
    return [list(cells[one:end]) for one, end in pairwise([*first, len(cells)])]


@lru_cache(maxsize=1024)  # rows of many widths are as high as each other
def _first_of_columns(heights: tuple[float, ...], count: int, gap: float) -> list[int]:
    low, high = max(heights), math.fsum(height + gap for height in heights)
    while high - low > 0.05:
        middle = (low + high) / 2
        low, high = (low, middle) if len(_first_ones(heights, middle, gap)) <= count else (middle, high)
    return _first_ones(heights, high, gap)


def _first_ones(heights: Sequence[float], high: float, gap: float) -> list[int]:
    """The number of the first cell of each column, none of them higher than `high`."""
    first, left = [0], high
    for number, height in enumerate(heights):
        if height > left and number > first[-1]:
            first.append(number)
            left = high
        left -= height + gap
    return first


def top_aligned(cells: Sequence[Cell], gap: float) -> Cell:
    """Return cells in a row, their upper edges level."""
    placed, x = [], 0.0
    for cell in cells:
        placed.append((cell, (x, 0.0)))
        x += cell.width + gap
    return Cell(x - gap, max(cell.height for cell in cells), parts=tuple(placed))
