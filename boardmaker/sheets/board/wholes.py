"""What ought to stay in one piece on paper: tables, the rows of tables that no page holds, pockets, dangers, names.

In: the figures on a board, the size of a page's picture. Out: boxes, each with its price. Apart from `obstacles`, which
knows display items: a mark does not tell what it is part of.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from boardmaker.drawing import Placed
from boardmaker.geometry import Point, bounds
from boardmaker.sheets.paper import Box
from boardmaker.typeset.table import RowRule

# What it costs to cut a thing, in the money of `obstacles`: a line of type is 4, one circle of a pocket 10, so a pocket
# with its circles and label costs nearly 70, one over a danger with its word and torque 125, tag and name nearly 45. A
# page more is worth a table that need not be printed
# once more, or two pockets or names that need not be joined with care.
PAGE = 75.0
TABLE, TABLE_PAPER = 160.0, 1.5 * PAGE  # the second for a page full of table; patches leave a third of theirs empty
ROW, POCKET, DANGER, NAME, PANEL = 60.0, 30.0, 45.0, 30.0, 1.0
RULE_ROOM = 0.7  # mm on either side of a rule where a seam cuts nothing of a row
TOUCHING = 1e-3  # mm


@dataclass(frozen=True)
class Whole:
    """A thing that ought not to be cut: its box on the board (mm) and the price.

    `figure` is the number of the figure that it is (of), `pocket` a danger's number on its panel, from 0.
    """

    kind: Literal["table", "row", "name", "pocket", "danger", "panel"]
    box: Box
    price: float
    figure: int = -1
    pocket: int = -1

    def within(self, box: Box) -> bool:
        """Whether it lies in this box."""
        x0, y0, x1, y1 = self.box
        low_x, low_y, high_x, high_y = box
        inside = low_x <= x0 + TOUCHING and low_y <= y0 + TOUCHING
        return inside and x1 <= high_x + TOUCHING and y1 <= high_y + TOUCHING


def wholes_of(placed: Sequence[Placed], picture_size: Point) -> tuple[Whole, ...]:
    """Return what ought to stay whole: of a table that no page holds each row, of any other the table itself."""
    return tuple(one for number, figure in enumerate(placed) for one in _wholes(number, figure, picture_size))


def box_of(boxes: Iterable[Box]) -> Box:
    """Return the box around some boxes."""
    return bounds(corner for x0, y0, x1, y1 in boxes for corner in ((x0, y0), (x1, y1)))


def fits_page(box: Box, picture_size: Point) -> bool:
    """Whether a page's picture holds a box, upright or lying."""
    sides = sorted((box[2] - box[0], box[3] - box[1]))
    return all(side <= room + TOUCHING for side, room in zip(sides, sorted(picture_size), strict=True))


def _wholes(number: int, placed: Placed, picture_size: Point) -> Iterator[Whole]:
    figure = placed.figure
    box = bounds(figure.zone)
    if figure.kind != "panel":
        if fits_page(box, picture_size):
            share = (box[2] - box[0]) * (box[3] - box[1]) / (picture_size[0] * picture_size[1])
            yield Whole("table", box, TABLE + TABLE_PAPER * share, number)
        else:
            yield from (Whole("row", row, ROW, number) for row in _rows(placed, box, picture_size))
        return
    yield Whole("panel", box, PANEL)
    if figure.labels:
        yield Whole("name", box_of(label.box for label in figure.labels[:2]), NAME, number)
    for index, pocket in enumerate(figure.pockets):
        yield Whole("pocket", _box_around(pocket.at, pocket.head_diameter / 2), POCKET)
        if pocket.behind:
            words = (label.box for label in figure.labels[2 + index :][:1])
            yield Whole("danger", box_of((_box_around(pocket.at, pocket.rim), *words)), DANGER, number, index)


def _box_around(at: Point, reach: float) -> Box:
    return at[0] - reach, at[1] - reach, at[0] + reach, at[1] + reach


def _rows(placed: Placed, table: Box, picture_size: Point) -> Iterator[Box]:
    """The rows of a table from low to high: what lies between two rules of a column, and beyond its first and last.

    What stands above the first rules is one, as wide as the table: heading and gauge reach over all columns.
    """
    across = 0 if placed.turn_deg == 0 else 1  # along which axis of the board the rules run
    top = 0 if placed.turn_deg == 90 else -1
    rows = [_column_rows(column, table, across) for column in _columns(placed, table, across)]
    highest = box_of([column[top] for column in rows]) if rows else table
    if len(rows) > 1 and fits_page(highest, picture_size):
        yield highest
        rows = [column[1:] if top == 0 else column[:-1] for column in rows]
    yield from (row for column in rows for row in column)


def _columns(placed: Placed, table: Box, across: int) -> list[tuple[float, float, list[float]]]:
    """Where the columns of a table begin and end and where their rules lie; one column is as wide as the table."""
    found: dict[tuple[float, float], set[float]] = {}
    for rule in (bounds(mark.points) for mark in placed.figure.marks if isinstance(mark, RowRule)):
        found.setdefault((rule[across], rule[across + 2]), set()).add(rule[1 - across])
    whole = table[across] + RULE_ROOM, table[across + 2] - RULE_ROOM
    return [(*(whole if len(found) == 1 else ends), sorted(rules)) for ends, rules in sorted(found.items())]


def _column_rows(column: tuple[float, float, list[float]], table: Box, across: int) -> list[Box]:
    start, end, rules = column
    ends = pairwise([table[1 - across], *rules, table[3 - across]])
    between = [(low + RULE_ROOM, high - RULE_ROOM) for low, high in ends]
    return [(start, low, end, high) if across == 0 else (low, start, high, end) for low, high in between]
