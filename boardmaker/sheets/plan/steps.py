"""Removal and refit on paper: one block a unit, with a tick box for it and for every line of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from boardmaker.display_list import Path
from boardmaker.fonts import text_width
from boardmaker.geometry import box_ring
from boardmaker.model import Panel
from boardmaker.service import Group, Plan, RefitStep, RemovalStep
from boardmaker.typeset.blocks import Block
from boardmaker.typeset.cells import (
    MOST_NAME_LINES,
    Column,
    Sizes,
    band,
    box,
    columns_cell,
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
from boardmaker.typeset.lettering import printable, shown_name
from boardmaker.typeset.table import Cell, stacked
from boardmaker.wording.steps import (
    BOTH_SIDES,
    HOLD,
    HOLD_FIRST,
    WHILE_IT_IS_FREE,
    behind_text,
    bench_back_text,
    bench_text,
    by_hand_text,
    clips_last_text,
    count_text,
    group_torque_text,
    hole_cautions,
    hole_notes,
    loosened_texts,
    opens_text,
    panel_notes,
    refit_by_hand_text,
    refit_details,
    riders_back_text,
    riders_text,
    start_all_text,
    staying_text,
    through_texts,
    tool_text,
    where_text,
    with_text,
)

GAP = 2.0  # mm between columns
LEAST_REST = 58.0  # mm for the pockets beside the other columns
MOST_SHARE = 0.45  # of a line for one column but the last


@dataclass(frozen=True)
class _Lines:
    """How the lines of one part are set: the column's width, the type, the columns in it, what the count says."""

    width: float
    sizes: Sizes
    columns: tuple[float, ...]
    bold: tuple[int, ...]
    way: str
    total: int

    def group(self, texts: Sequence[str], done: int) -> Cell:
        """A line with its tick box: columns where there is room, else all in one run of words."""
        count = f"{self.way} {done} of {self.total}"
        sizes = self.sizes
        if not sizes.columns:
            words = ", ".join(text for text in (*texts, count) if text)
            cell = columns_cell(
                [Column(words, sizes.indent, self.width - sizes.indent)], sizes.line, self.width, most=8
            )
            return ruled(ticked(cell, sizes))
        starts = [sizes.indent + sum(self.columns[:index]) for index in range(len(self.columns) + 1)]
        placed = [
            Column(text, x, width - GAP, bold=index in self.bold)
            for index, (text, x, width) in enumerate(zip(texts, starts, self.columns, strict=False))
        ]
        count_width = text_width(count, sizes.line) + 0.2
        placed.append(Column(count, self.width - count_width, count_width, at_end=True))
        line = ruled(ticked(columns_cell(placed, sizes.line, self.width), sizes))
        under = [Column(text, starts[1], self.width - starts[1]) for text in texts[len(self.columns) :]]
        return stacked([line, columns_cell(under, sizes.line, self.width, air=0.2)], gap=0.0) if under else line

    def by_hand(self, text: str) -> list[Cell]:
        """A line with its tick box, as long as it needs."""
        return ticked_line(text, self.sizes, self.width)

    def notes(self, texts: Iterable[str], bold: bool = False) -> list[Cell]:
        """Small lines under the one above."""
        note, indent = self.sizes.note, self.sizes.indent
        return [cell for text in texts if text for cell in paragraph(text, note, self.width, indent, bold, air=0.6)]


def _lines(
    rows: Iterable[Sequence[str]], bold: tuple[int, ...], way: str, total: int, width: float, sizes: Sizes
) -> _Lines:
    """Columns as wide as their widest text, but for the last, which gets the rest; none wider than its share.

    Where the rest is too little, the last text goes on a line of its own.
    """
    room = width - sizes.indent - text_width(f"{way} {total} of {total}", sizes.line) - GAP
    widest = [
        max(text_width(printable(text), sizes.line, index in bold) for text in texts)
        for index, texts in enumerate(zip(*rows, strict=True))
    ]
    wished = [min(wide + 2 * GAP, MOST_SHARE * room) for wide in widest[:-1]]
    columns = tuple(wish * min(1.0, room / sum(wished)) for wish in wished)
    rest = room - sum(columns)
    beside = bool(widest) and rest >= min(widest[-1] + GAP + 0.2, LEAST_REST)
    return _Lines(width, sizes, (*columns, rest) if beside else columns, bold, way, total)


def removal_blocks(plan: Plan, width: float, height: float, sizes: Sizes) -> Iterator[Block]:
    """Yield a block for each unit in removal order."""
    texts = [_removal_texts(group, step) for step in plan.removal for group in step.groups]
    lines = _lines(texts, (0,), "out", plan.count, width, sizes)
    for step in plan.removal:
        yield _block(step, step.walk, _removal_rows(step, lines), lines, height)


def refit_blocks(plan: Plan, width: float, height: float, sizes: Sizes) -> Iterator[Block]:
    """Yield a block for each unit in refit order."""
    texts = [_refit_texts(group, step.removal) for step in plan.refit for group in step.groups]
    lines = _lines(texts, (0, 2), "in", plan.count, width, sizes)
    for step in plan.refit:
        yield _block(step.removal, step.walk, _refit_rows(step, lines), lines, height)


def _removal_texts(group: Group, step: RemovalStep) -> tuple[str, ...]:
    return count_text(group), tool_text(group.fastener), where_text(group, step, HOLD)


def _refit_texts(group: Group, step: RemovalStep) -> tuple[str, ...]:
    fastener = group.fastener
    return count_text(group), tool_text(fastener), group_torque_text(group), where_text(group, step, HOLD_FIRST)


def _block(step: RemovalStep, walk: bool, bunches: Iterable[list[Cell]], lines: _Lines, height: float) -> Block:
    width, sizes = lines.width, lines.sizes
    head = _head(step, shown_name(step.carrier), width, sizes)
    again = _head(step, f"{shown_name(step.carrier)} (continued)", width, sizes)
    side = BOTH_SIDES[step.carrier.side].upper()
    above = band(f"{side} (continued)", sizes, width)
    if walk:
        head = stacked([band(side, sizes, width), head], gap=0.0)
    rows = [cell for bunch in bunches if bunch for cell in kept_together(bunch, height)]
    return Block(head, tuple(rows), stacked([above, again], gap=0.0), above=None if walk else above)


def _head(step: RemovalStep, name: str, width: float, sizes: Sizes) -> Cell:
    """Tick box, number, tag in a frame, name; a heavy line above."""
    side = sizes.name + 2.0
    number, tag = f"{step.number}", printable(step.carrier.tag, "?")
    number_x = side + 3.0
    tag_x = number_x + text_width(number, sizes.number, bold=True) + 3.0
    tag_width = text_width(tag, sizes.name, bold=True) + 2.4
    name_x = tag_x + tag_width + 3.0
    lines = lines_of(name, sizes.name, width - name_x, bold=True, most=MOST_NAME_LINES)
    air = 2.0 + (sizes.number - sizes.name) / 2
    middle = -air - sizes.name / 2
    labels = [
        set_line(Words(number, sizes.number, bold=True), number_x, middle - sizes.number / 2),
        set_line(Words(tag, sizes.name, bold=True), tag_x + 1.2, middle - sizes.name / 2),
    ]
    labels += [
        set_line(Words(line, sizes.name, bold=True), name_x, -air - sizes.name - index * 1.55 * sizes.name)
        for index, line in enumerate(lines)
    ]
    frame = Path(box_ring(tag_x, middle - side / 2, tag_x + tag_width, middle + side / 2), closed=True, line_width=0.35)
    line = Path(((0.0, 0.0), (width, 0.0)), line_width=0.5)
    cell = Cell(width, height_of(len(lines), sizes.name, air) - 0.8, tuple(labels), (line, frame))
    return Cell(cell.width, cell.height, cell.labels, (*cell.marks, box(0.0, middle, side)))


def _removal_rows(step: RemovalStep, lines: _Lines) -> Iterator[list[Cell]]:
    """Yield the lines, each with the notes that stay with it."""
    yield lines.notes([bench_text(step, shown_name)], bold=True)
    yield lines.notes(panel_notes(step))
    for group in step.groups:
        row = lines.group(_removal_texts(group, step), group.done)
        about = [with_text(group.fastener), *loosened_texts(group, shown_name), *hole_cautions(group)]
        yield [row, *lines.notes(about, bold=True), *lines.notes(hole_notes(group))]
    yield from (lines.by_hand(by_hand_text(one)) for one in step.by_hand)
    yield from (lines.by_hand(f"{_on(one.panel, step)}{by_hand_text(one)}") for one in step.connections)
    yield lines.notes([WHILE_IT_IS_FREE] * bool(step.connections))
    yield lines.notes([riders_text(step, shown_name)], bold=True)
    yield lines.notes([staying_text(one, shown_name) for one in step.staying])
    yield lines.notes([behind_text(step, shown_name), opens_text(step, shown_name)])


def _refit_rows(step: RefitStep, lines: _Lines) -> Iterator[list[Cell]]:
    removal = step.removal
    yield lines.notes([bench_back_text(removal, shown_name), riders_back_text(removal, shown_name)], bold=True)
    yield lines.notes(panel_notes(removal))
    yield from (lines.by_hand(f"{_on(one.panel, removal)}{refit_by_hand_text(one)}") for one in removal.connections)
    yield from (lines.by_hand(refit_by_hand_text(one)) for one in removal.by_hand)
    yield lines.notes([start_all_text(step), clips_last_text(step)], bold=True)
    for group in step.groups:
        row = lines.group(_refit_texts(group, removal), group.done)
        about = [*refit_details(group), *through_texts(group, shown_name), *hole_cautions(group)]
        yield [row, *lines.notes(about, bold=True), *lines.notes(hole_notes(group))]


def _on(panel: Panel, step: RemovalStep) -> str:
    return "" if panel.key == step.carrier.key else f"{shown_name(panel)}: "
