"""Text that runs around a block at its upper right corner: beside it in short lines, then below it in full ones.

In: paragraphs, the block, the width of all. Out: a cell. Apart from `table`, whose cells know nothing of the words in
them. A row of a table set so takes about a quarter less than the same in two columns.
"""

from __future__ import annotations

from collections.abc import Sequence

from boardmaker.typeset.label import Words
from boardmaker.typeset.lettering import PAD, broken, lines_size
from boardmaker.typeset.table import Cell, stacked, top_aligned, words_cell

GAP = 1.2  # mm between the words and the block
HANGS = (0.5, 1.5, 3.0)  # mm of the block below the lines beside it, for which no further line is kept short

DOT = " ·"  # between two remarks; a line that ends with one does without
Paragraph = tuple[str, float, bool]  # text, height of its type in mm, whether bold


def run_around(paragraphs: Sequence[Paragraph], block: Cell, width: float) -> Cell:
    """Return the paragraphs around the block, `width` mm wide in all; the first line is always beside it."""
    return min((_run_around(paragraphs, block, width, hang) for hang in HANGS), key=lambda cell: cell.height)


def _run_around(paragraphs: Sequence[Paragraph], block: Cell, width: float, hang: float) -> Cell:
    narrow = width - block.width - GAP
    beside: list[Words] = []
    below: list[Words] = []
    for text, height, bold in paragraphs:
        rest = text
        while rest and not below and (not beside or lines_size(beside)[1] < block.height - hang):
            line = broken(rest, height, narrow - 2 * PAD, bold)[0]
            beside.append(Words(line.removesuffix(DOT), height, bold))
            rest = _after(rest, line)
        lines = broken(rest, height, width - 2 * PAD, bold)
        below += [Words(line.removesuffix(DOT), height, bold) for line in lines]
    top = top_aligned([words_cell(beside, narrow), block], GAP)
    return stacked([top, words_cell(below)], gap=0.0) if below else top


def _after(text: str, line: str) -> str:
    """What of a text follows its first line, which may have been broken within a word or at another space."""
    left = sum(not letter.isspace() for letter in line)
    for place, letter in enumerate(text):
        if left == 0:
            return text[place:].lstrip()
        left -= not letter.isspace()
    return ""
