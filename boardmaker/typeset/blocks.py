"""Blocks poured onto pages: a step stays in one piece, a table breaks between its rows, a heading stays with its rows.

Apart from `flow`, which pours cells that are all in one piece.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from boardmaker.typeset.cells import unruled
from boardmaker.typeset.flow import COLUMN_GAP
from boardmaker.typeset.table import Cell, stacked

BLOCK_GAP = 1.0  # mm between two blocks
LEAST_BELOW = 14.0  # mm of rows that stay with their heading
TOLERANCE = 1e-6
NEARLY_EMPTY = 0.45  # of a page
MOST_SPREAD = 4.0  # mm that two blocks stand further apart where a page has room
MOST_MOVED = 5  # blocks that may go over to the last page

Pages = tuple[tuple[Cell, ...], ...]


@dataclass(frozen=True)
class Block:
    """Rows under a heading; `again` heads what goes over to a new page. `whole`: in one piece if a page holds it.

    `above` stands over it where it begins a page. `underlined`: its headings end in a line, the row below needs none.
    """

    head: Cell
    rows: tuple[Cell, ...]
    again: Cell
    whole: bool = True
    above: Cell | None = None
    underlined: bool = False

    def on_top(self) -> Block:
        """Return it as it begins a page."""
        return replace(self, head=stacked([self.above, self.head], gap=0.0)) if self.above else self

    @property
    def height(self) -> float:
        """The height of all of it, mm."""
        return self.head.height + math.fsum(row.height for row in self.rows)

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


def pour_blocks(blocks: Sequence[Block], columns: int, height: float) -> Pages:
    """Return the cells of each page, placed: y runs down from 0 at the page's top left corner.

    Where the last page would stay nearly empty, the last blocks begin it, if that costs no page. What a page has to
    spare, blocks stand further apart.
    """
    pages = _evened(blocks, columns, height)
    return tuple(_spread(page, height) for page in pages) if columns == 1 else pages


def _evened(blocks: Sequence[Block], columns: int, height: float) -> Pages:
    pages = _poured(blocks, columns, height)
    if len(pages) < 2 or _used(pages[-1]) > NEARLY_EMPTY * height:
        return pages
    moved = range(1, min(MOST_MOVED + 1, len(blocks)))
    others = [_poured(blocks, columns, height, break_before=len(blocks) - count) for count in moved]
    return max([pages, *(one for one in others if len(one) == len(pages))], key=_evenness)


def _spread(page: Sequence[Cell], height: float) -> tuple[Cell, ...]:
    """The cells of a page of one column with what is left of it between them."""
    spare = height - _used(page) - BLOCK_GAP * (len(page) - 1)
    wider = min(MOST_SPREAD, max(0.0, spare) / max(1, len(page) - 1))
    return tuple(cell.at((0.0, -index * wider)) for index, cell in enumerate(page))


def _evenness(pages: Pages) -> list[float]:
    """What is on the emptiest page, then on the next: the more, the better, and no page is emptied for another."""
    return sorted(map(_used, pages))


def _used(page: Sequence[Cell]) -> float:
    """How high the cells of a page are together, in all columns."""
    return math.fsum(cell.height for cell in page)


def _poured(blocks: Sequence[Block], columns: int, height: float, break_before: int = -1) -> Pages:
    pages: list[list[Cell]] = []
    column, y = columns, 0.0
    for number, block in enumerate(blocks):
        if number == break_before:
            column, y = columns, 0.0
        elif y and y + block.least(height) > height + TOLERANCE:
            column, y = column + 1, 0.0
        shown = block.on_top() if column >= columns else block
        for index, piece in enumerate(_pieces(shown, height - y, height)):
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
        piece.append(unruled(row) if block.underlined and len(piece) == 1 else row)
        used += row.height
    yield stacked(piece, gap=0.0)
