"""Blocks poured onto pages: a step stays in one piece, a table breaks between its rows, a heading stays with its rows.

Apart from `flow`, which pours cells that are all in one piece.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from boardmaker.figures.table import Cell, stacked
from boardmaker.sheets.flow import COLUMN_GAP

BLOCK_GAP = 3.2  # mm between two blocks
LEAST_BELOW = 14.0  # mm of rows that stay with their heading
TOLERANCE = 1e-6


@dataclass(frozen=True)
class Block:
    """Rows under a heading; `again` heads what goes over to a new page. `whole`: in one piece if a page holds it."""

    head: Cell
    rows: tuple[Cell, ...]
    again: Cell
    whole: bool = True

    @property
    def height(self) -> float:
        """The height of all of it, mm."""
        return self.head.height + sum(row.height for row in self.rows)

    def least(self, height: float) -> float:
        """How much must be free where it begins: all of it, or the heading with its first rows."""
        if self.whole and self.height <= height:
            return self.height
        below = 0.0
        for row in self.rows:
            if below >= LEAST_BELOW:
                break
            below += row.height
        return self.head.height + below


def pour_blocks(blocks: Sequence[Block], columns: int, height: float) -> tuple[tuple[Cell, ...], ...]:
    """Return the cells of each page, placed: y runs down from 0 at the page's top left corner."""
    pages: list[list[Cell]] = []
    column, y = columns, 0.0
    for block in blocks:
        if y and y + block.least(height) > height + TOLERANCE:
            column, y = column + 1, 0.0
        for index, piece in enumerate(_pieces(block, height - y, height)):
            column, y = (column + 1, 0.0) if index else (column, y)
            if column >= columns:
                pages.append([])
                column = 0
            pages[-1].append(piece.at((column * (piece.width + COLUMN_GAP), -y)))
            y += piece.height + BLOCK_GAP
    return tuple(tuple(page) for page in pages)


def _pieces(block: Block, room: float, height: float) -> Iterator[Cell]:
    """Yield the block in as few pieces as go into the room that is left here and then into whole columns."""
    piece, used = [block.head], block.head.height
    for row in block.rows:
        if len(piece) > 1 and used + row.height > room + TOLERANCE:
            yield stacked(piece, gap=0.0)
            piece, used, room = [block.again], block.again.height, height
        piece.append(row)
        used += row.height
    yield stacked(piece, gap=0.0)
