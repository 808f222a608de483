"""Text that runs around a block at its upper right corner: beside it in short lines, then below it in full ones.

In: paragraphs, the block, the width of all. Out: a cell. Apart from `table`, whose cells know nothing of the words in
them. A row of a table set so takes about a quarter less than the same in two columns.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from boardmaker.typeset.label import Words
from boardmaker.typeset.lettering import PAD, broken, first_line, lines_size
from boardmaker.typeset.table import Cell, stacked, top_aligned, words_cell

GAP = 1.2  # mm between the words and the block
HANGS = (0.5, 1.5, 3.0)  # mm of the block below the lines beside it, for which no further line is kept short

DOT = " ·"  # between two remarks; a line that ends with one does without
Paragraph = tuple[str, float, bool]  # text, height of its type in mm, whether bold


@dataclass(frozen=True)
class _Beside:
    """Lines beside the block, how high they are (mm), and what then remains of the paragraphs."""

    lines: tuple[Words, ...]
    height: float
    rest: tuple[Paragraph, ...]


def run_around(paragraphs: Sequence[Paragraph], block: Cell, width: float) -> Cell:
    """Return the paragraphs around the block, `width` mm wide in all; the first line is always beside it."""
    narrow, tried = width - block.width - GAP, []
    for beside in _beside(paragraphs, narrow):
        tried.append(beside)
        if beside.height >= block.height - HANGS[0]:
            break
    enough = (block.height - hang for hang in HANGS)
    ends = dict.fromkeys(next((n for n, one in enumerate(tried) if one.height >= high), -1) for high in enough)
    cells = [_around(tried[end], block, narrow, width) for end in ends]
    return min(cells, key=lambda cell: cell.height)


def _beside(paragraphs: Sequence[Paragraph], narrow: float) -> Iterator[_Beside]:
    """Ever more lines of the paragraphs in the narrow column beside the block."""
    lines: list[Words] = []
    for number, (text, height, bold) in enumerate(paragraphs):
        rest = text
        while rest:
            line = first_line(rest, height, narrow - 2 * PAD, bold)
            lines.append(Words(line.removesuffix(DOT), height, bold))
            rest = _after(rest, line)
            left = ((rest, height, bold),) if rest else ()
            yield _Beside(tuple(lines), lines_size(lines)[1], (*left, *paragraphs[number + 1 :]))


def _around(beside: _Beside, block: Cell, narrow: float, width: float) -> Cell:
    """Lines beside the block, and what remains in lines below it."""
    below = [
        Words(line.removesuffix(DOT), height, bold)
        for text, height, bold in beside.rest
        for line in broken(text, height, width - 2 * PAD, bold)
    ]
    top = top_aligned([words_cell(beside.lines, narrow), block], GAP)
    return stacked([top, words_cell(below)], gap=0.0) if below else top


def _after(text: str, line: str) -> str:
    """What of a text follows its first line, which may have been broken within a word or at another space."""
    if text.startswith(line):
        return text[len(line) :].lstrip()
    left = sum(not letter.isspace() for letter in line)
    for place, letter in enumerate(text):
        if left == 0:
            return text[place:].lstrip()
        left -= not letter.isspace()
    return ""
