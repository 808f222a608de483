"""Removal and refit on paper: one block a unit, with a tick box for it and for every line of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from boardmaker.display_list import Path
from boardmaker.figures.figure import Words
from boardmaker.figures.lettering import printable, shown_name
from boardmaker.figures.step_wording import (
    BOTH_SIDES,
    HOLD,
    HOLD_FIRST,
    WHILE_IT_IS_FREE,
    behind_text,
    by_hand_text,
    count_text,
    group_torque_text,
    hole_cautions,
    hole_notes,
    opens_text,
    panel_notes,
    refit_by_hand_text,
    refit_details,
    riders_back_text,
    riders_text,
    start_all_text,
    staying_text,
    tool_text,
    where_text,
    with_text,
)
from boardmaker.figures.table import Cell, stacked
from boardmaker.fonts import text_width
from boardmaker.geometry import box_ring
from boardmaker.inputs.model import Panel
from boardmaker.service import Plan, RefitStep, RemovalStep
from boardmaker.sheets.plan_cells import (
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
)
from boardmaker.sheets.plan_flow import Block

GAP = 2.0  # mm between columns


def removal_blocks(plan: Plan, width: float, height: float, sizes: Sizes) -> Iterator[Block]:
    """Yield a block for each unit in removal order."""
    for step in plan.removal:
        yield _block(step, step.walk, _removal_rows(step, plan.count, width, sizes), width, height, sizes)


def refit_blocks(plan: Plan, width: float, height: float, sizes: Sizes) -> Iterator[Block]:
    """Yield a block for each unit in refit order."""
    for step in plan.refit:
        yield _block(step.removal, step.walk, _refit_rows(step, plan.count, width, sizes), width, height, sizes)


def _block(
    step: RemovalStep, walk: bool, bunches: Iterable[list[Cell]], width: float, height: float, sizes: Sizes
) -> Block:
    head = _head(step, shown_name(step.carrier), width, sizes)
    again = _head(step, f"{shown_name(step.carrier)} (continued)", width, sizes)
    if walk:
        head = stacked([band(BOTH_SIDES[step.carrier.side].upper(), sizes, width), head], gap=0.0)
    rows = [cell for bunch in bunches if bunch for cell in kept_together(bunch, height)]
    return Block(head, tuple(rows), again)


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


def _removal_rows(step: RemovalStep, total: int, width: float, sizes: Sizes) -> Iterator[list[Cell]]:
    """Yield the lines, each with the notes that stay with it."""
    yield _notes(panel_notes(step), width, sizes)
    for group in step.groups:
        columns = [
            (count_text(group), True),
            (tool_text(group.fastener), False),
            (where_text(group, step, HOLD), False),
        ]
        row = _group_row(columns, "out", group.done, total, width, sizes)
        mind = _notes([with_text(group.fastener), *hole_cautions(group)], width, sizes, bold=True)
        yield [row, *mind, *_notes(hole_notes(group), width, sizes)]
    for one in step.by_hand:
        yield _ticked_words(by_hand_text(one), width, sizes)
    for one in step.connections:
        yield _ticked_words(f"{_on(one.panel, step)}{by_hand_text(one)}", width, sizes)
    yield _notes([WHILE_IT_IS_FREE] * bool(step.connections), width, sizes)
    yield _notes([riders_text(step, shown_name)], width, sizes, bold=True)
    yield _notes([staying_text(one, shown_name) for one in step.staying], width, sizes)
    yield _notes([behind_text(step, shown_name), opens_text(step, shown_name)], width, sizes)


def _refit_rows(step: RefitStep, total: int, width: float, sizes: Sizes) -> Iterator[list[Cell]]:
    removal = step.removal
    yield _notes([riders_back_text(removal, shown_name)], width, sizes, bold=True)
    for one in removal.connections:
        yield _ticked_words(f"{_on(one.panel, removal)}{refit_by_hand_text(one)}", width, sizes)
    for one in removal.by_hand:
        yield _ticked_words(refit_by_hand_text(one), width, sizes)
    yield _notes([start_all_text(step)], width, sizes, bold=True)
    for group in step.groups:
        columns = [(count_text(group), True), (tool_text(group.fastener), False)]
        columns += [(group_torque_text(group), True), (where_text(group, removal, HOLD_FIRST), False)]
        row = _group_row(columns, "in", group.done, total, width, sizes)
        mind = _notes([*refit_details(group), *hole_cautions(group)], width, sizes, bold=True)
        yield [row, *mind, *_notes(hole_notes(group), width, sizes)]


def _on(panel: Panel, step: RemovalStep) -> str:
    return "" if panel.key == step.carrier.key else f"{shown_name(panel)}: "


def _group_row(
    columns: Sequence[tuple[str, bool]], way: str, done: int, total: int, width: float, sizes: Sizes
) -> Cell:
    """A line with its tick box: columns where there is room, else all in one run of words."""
    count = f"{way} {done} of {total}"
    if not sizes.columns:
        words = ", ".join(text for text, _ in (*columns, (count, False)) if text)
        column = Column(words, sizes.indent, width - sizes.indent)
        return ruled(ticked(columns_cell([column], sizes.line, width, most=8), sizes))
    count_width = text_width(f"{way} {total} of {total}", sizes.line) + 0.2
    room = width - sizes.indent - count_width - GAP
    placed, x = [], sizes.indent
    for (text, bold), share in zip(columns, _SHARES[len(columns)], strict=True):
        placed.append(Column(text, x, room * share - GAP, bold))
        x += room * share
    placed.append(Column(count, width - count_width, count_width, at_end=True))
    return ruled(ticked(columns_cell(placed, sizes.line, width), sizes))


_SHARES = {3: (0.16, 0.26, 0.58), 4: (0.13, 0.2, 0.24, 0.43)}  # of the width, for so many columns


def _ticked_words(text: str, width: float, sizes: Sizes) -> list[Cell]:
    first, *others = paragraph(text, sizes.line, width, sizes.indent, air=1.1)
    return [ruled(ticked(first, sizes)), *others]


def _notes(texts: Iterable[str], width: float, sizes: Sizes, bold: bool = False) -> list[Cell]:
    return [cell for text in texts if text for cell in paragraph(text, sizes.note, width, sizes.indent, bold, air=0.6)]
