"""Removal and refit on paper: one block a unit, with a tick box for it and for every line of it.

In: lines, room. Out: blocks. What the lines say is decided in `wording.plan`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from boardmaker.display_list import Path
from boardmaker.fonts import text_width
from boardmaker.geometry import box_ring
from boardmaker.sheets.plan.room import Room
from boardmaker.typeset.blocks import BLOCK_GAP, Block
from boardmaker.typeset.cells import (
    MOST_NAME_LINES,
    PITCH,
    Column,
    Sizes,
    band,
    box,
    columns_cell,
    heading,
    height_of,
    kept_together,
    lines_of,
    paragraph,
    ruled,
    set_line,
    ticked,
    ticked_line,
)
from boardmaker.typeset.label import Words
from boardmaker.typeset.lettering import printable
from boardmaker.typeset.table import Cell, stacked
from boardmaker.wording.plan.line import Line, begun_by, bunches

GAP = 2.0  # mm between columns
LEAST_REST = 54.0  # mm for the pockets beside the other columns
MOST_SHARE = 0.45  # of a line for one column but the last
DESCENDING = 0.81  # of the height of a number: how far its line of type reaches below its middle
BOLD = (0, 2)  # cells of a group: how many of what, the torque

Bunch = Sequence[Line]


def step_blocks(lines: Sequence[Line], room: Room) -> Iterator[Block]:
    """Yield a block for each step; above the first of them stand heading and how it is done."""
    if not lines:
        return
    opening, *runs = begun_by(lines, "side", "step")
    head = _opening(opening, room)
    groups = _groups([line for line in lines if line.kind == "group"], room)
    walk, side = False, ""
    for run in runs:
        if run[0].kind == "side":
            walk, side = True, run[0].text
        else:
            block = _block(run, side, walk, groups)
            yield replace(block, head=stacked([*head, block.head], gap=BLOCK_GAP)) if head else block
            walk, head = False, []


def _opening(lines: Sequence[Line], room: Room) -> list[Cell]:
    title, *how = lines
    words = [heading(title.text, room.sizes, room.width)]
    words += [cell for line in how for cell in paragraph(line.text, room.sizes.note, room.width)]
    return [stacked(words, gap=0.0)]


@dataclass(frozen=True)
class _Groups:
    """How the lines of one part are set: its room, which cells of a group stand in columns, how wide these are."""

    room: Room
    shown: tuple[int, ...]
    columns: tuple[float, ...]

    def cell(self, line: Line) -> Cell:
        """A line with its tick box: columns where there is room, else all in one run of words."""
        width, sizes = self.room.width, self.room.sizes
        if not sizes.columns:
            words = Column(line.text, sizes.indent, width - sizes.indent)
            return ruled(ticked(columns_cell([words], sizes.line, width, most=8), sizes))
        texts = [line.cells[index] for index in self.shown]
        starts = [sizes.indent + sum(self.columns[:index]) for index in range(len(self.columns) + 1)]
        placed = [
            Column(text, x, column - GAP, bold=index in BOLD)
            for index, text, x, column in zip(self.shown, texts, starts, self.columns, strict=False)
        ]
        row = ruled(ticked(columns_cell([*placed, self._count(line)], sizes.line, width), sizes))
        under = [Column(text, starts[1], width - starts[1]) for text in texts[len(self.columns) :]]
        return stacked([row, columns_cell(under, sizes.line, width, air=0.2)], gap=0.0) if under else row

    def _count(self, line: Line) -> Column:
        width = text_width(line.cells[-1], self.room.sizes.line) + 0.2
        return Column(line.cells[-1], self.room.width - width, width, at_end=True)

    def paired(self, found: Sequence[Bunch]) -> Iterator[tuple[Bunch, ...]]:
        """Yield bunches by themselves, but two short lines that follow each other together: they stand side by side."""
        waiting: Bunch | None = None
        for bunch in found:
            if waiting is None and self._is_short(bunch):
                waiting = bunch
            elif waiting is not None and self._is_short(bunch):
                yield waiting, bunch
                waiting = None
            else:
                yield from ((one,) for one in (waiting, bunch) if one is not None)
                waiting = None
        if waiting is not None:
            yield (waiting,)

    def _is_short(self, bunch: Bunch) -> bool:
        """Whether half of the width holds a bunch: one line that is done by hand, without notes."""
        sizes = self.room.sizes
        alone = len(bunch) == 1 and bunch[0].kind == "by hand" and sizes.columns
        return alone and text_width(printable(bunch[0].text), sizes.line) <= self.room.width / 2 - sizes.indent - GAP

    def set(self, pair: tuple[Bunch, ...]) -> Iterator[list[Cell]]:
        """Yield the cells of a bunch, or the one of two that stand side by side."""
        if len(pair) == 1:
            yield self.bunch(pair[0])
            return
        sizes, half = self.room.sizes, self.room.width / 2
        texts = [Column(one[0].text, side * half + sizes.indent, half - sizes.indent) for side, one in enumerate(pair)]
        cell = columns_cell(texts, sizes.line, self.room.width)
        yield [ruled(ticked(ticked(cell, sizes), sizes, half))]

    def bunch(self, lines: Bunch) -> list[Cell]:
        """A line with the notes that stay with it."""
        first, *under = lines
        return [*self._first(first), *(cell for line in self.run_on(under) for cell in self._note(line))]

    def run_on(self, lines: Sequence[Line]) -> list[Line]:
        """Notes that follow each other in one line where it holds them, all loud or all quiet."""
        found: list[Line] = []
        for line in lines:
            if found and (joined := self._joined(found[-1], line)):
                found[-1] = joined
            else:
                found.append(line)
        return found

    def _joined(self, one: Line, other: Line) -> Line | None:
        if {one.kind, other.kind} != {"note"} or (one.weight, one.level) != (other.weight, other.level):
            return None
        text = f"{one.text} · {other.text}"
        room = self.room.width - self.room.sizes.indent
        fits = text_width(printable(text), self.room.sizes.note, one.weight == "loud") <= room
        return replace(one, cells=(text,)) if fits else None

    def _first(self, line: Line) -> list[Cell]:
        if line.kind == "group":
            return [self.cell(line)]
        if line.kind in ("by hand", "tightened"):
            return ticked_line(line.text, self.room.sizes, self.room.width)
        return self._note(line) if line.kind == "note" else []  # the step itself is the block's heading

    def _note(self, line: Line) -> list[Cell]:
        sizes = self.room.sizes
        return paragraph(line.text, sizes.note, self.room.width, sizes.indent, line.weight == "loud", air=0.0)


def _groups(lines: Sequence[Line], room: Room) -> _Groups:
    """Columns as wide as their widest text, but for the last, which gets the rest; none wider than its share.

    Where the rest is too little, the last text goes on a line of its own. A column without any text is left out.
    """
    if not lines:
        return _Groups(room, (), ())
    *texts, counts = zip(*(line.cells for line in lines), strict=True)
    shown = tuple(index for index, column in enumerate(texts) if any(column))
    line_height = room.sizes.line
    free = room.width - room.sizes.indent - max(text_width(count, line_height) for count in counts) - GAP
    widest = [max(text_width(printable(text), line_height, index in BOLD) for text in texts[index]) for index in shown]
    wished = [min(wide + 2 * GAP, MOST_SHARE * free) for wide in widest[:-1]]
    columns = tuple(wish * min(1.0, free / sum(wished)) for wish in wished)
    rest = free - sum(columns)
    beside = rest >= min(widest[-1] + GAP + 0.2, LEAST_REST)
    return _Groups(room, shown, (*columns, rest) if beside else columns)


def _block(run: Bunch, side: str, walk: bool, groups: _Groups) -> Block:
    width, sizes = groups.room.width, groups.room.sizes
    head, again = _head(run[0], "", width, sizes), _head(run[0], " (continued)", width, sizes)
    above = band(f"{side.upper()} (continued)", sizes, width)
    if walk:
        head = stacked([band(side.upper(), sizes, width), head], gap=0.0)
    found = (cells for pair in groups.paired(bunches(groups.run_on(run))) for cells in groups.set(pair))
    rows = [cell for cells in found if cells for cell in kept_together(cells, groups.room.height)]
    return Block(head, tuple(rows), stacked([above, again], gap=0.0), above=None if walk else above)


def _head(line: Line, more: str, width: float, sizes: Sizes) -> Cell:
    """Tick box, number, tag in a frame, name; a heavy line above."""
    side = sizes.name + 2.0
    number, tag, name = line.cells
    tag = printable(tag, "?")
    number_x = side + 3.0
    tag_x = number_x + text_width(number, sizes.number, bold=True) + 3.0
    tag_width = text_width(tag, sizes.name, bold=True) + 2.4
    name_x = tag_x + tag_width + 3.0
    names = lines_of(f"{name}{more}", sizes.name, width - name_x, bold=True, most=MOST_NAME_LINES)
    air = 0.4 + (sizes.number - sizes.name) / 2
    middle = -air - sizes.name / 2
    labels = [
        set_line(Words(number, sizes.number, bold=True), number_x, middle - sizes.number / 2),
        set_line(Words(tag, sizes.name, bold=True), tag_x + 1.2, middle - sizes.name / 2),
    ]
    labels += [
        set_line(Words(text, sizes.name, bold=True), name_x, -air - sizes.name - index * PITCH * sizes.name)
        for index, text in enumerate(names)
    ]
    frame = Path(box_ring(tag_x, middle - side / 2, tag_x + tag_width, middle + side / 2), closed=True, line_width=0.35)
    rule = Path(((0.0, 0.0), (width, 0.0)), line_width=0.5)
    cell = Cell(
        width,
        max(height_of(len(names), sizes.name, air) - 0.8, DESCENDING * sizes.number - middle),
        tuple(labels),
        (rule, frame),
    )
    return Cell(cell.width, cell.height, cell.labels, (*cell.marks, box(0.0, middle, side)))
