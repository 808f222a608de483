"""Sections of a plan on paper: rows under a heading, each kind of line in its form.

In: lines, room. Out: blocks. What the lines say is decided in `wording.plan`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import groupby

from boardmaker.display_list import Path
from boardmaker.fonts import text_width
from boardmaker.sheets.plan.room import Room
from boardmaker.typeset.blocks import Block
from boardmaker.typeset.cells import (
    AIR,
    BELOW,
    MOST_LINES,
    SINK,
    Column,
    box,
    columns_cell,
    flowing,
    heading,
    kept_together,
    paragraph,
    ruled,
    set_line,
    side_by_side,
    tick_cells,
    ticked,
    ticked_line,
    with_marks,
)
from boardmaker.typeset.label import Words
from boardmaker.typeset.lettering import printable
from boardmaker.typeset.table import Cell, stacked
from boardmaker.wording.numbers import NO_BREAK_SPACE
from boardmaker.wording.plan.line import Kind, Line, begun_by, bunches

ANY_SIZE = "Words only: print at any size."  # said of the paper itself
WRITING = 9.0  # mm from line to line that a pen needs
WRITING_GAP = 4.0  # mm between two fields
WRITING_AFTER = 1.5  # mm from a word to the line behind it
BOXES_APART = 4.0  # mm between the words of one box and the next box
WRITTEN_NAME = 25.0  # mm that a name in handwriting needs
FASTENER_SHARES = (0.2, 1.0, 0.3, 0.3)  # of the width at most: count and key, size, tool, torque

Bunch = Sequence[Line]
Bunches = Sequence[Bunch]


def title_block(lines: Sequence[Line], room: Room) -> Block:
    """Return whose plan this is, in large type, with what is known of it."""
    title, *facts = lines
    what, whose = title.cells
    sizes, width = room.sizes, room.width
    name = columns_cell([Column(whose, 0.0, width, bold=True)], sizes.number, width, 3, air=0.8)
    cells = [*paragraph(what, sizes.line, width), name]
    cells += [cell for fact in facts for cell in _fact(fact, room)]
    return Block(stacked(cells, gap=0.0), (), Cell(width, 0.0))


def _fact(line: Line, room: Room) -> list[Cell]:
    if line.kind == "record":
        return _record(line.cells, room)
    text = f"{line.text} {ANY_SIZE}" if line.kind == "file" else line.text
    return paragraph(text, _height(line, room), room.width, bold=line.weight == "loud")


def _record(texts: Sequence[str], room: Room) -> list[Cell]:
    """Words, each with a line to write on behind it: side by side where these are long enough for a name."""
    height, width = room.sizes.line, room.width
    widest = max(text_width(text, height) for text in texts) + WRITING_AFTER
    share = (width + WRITING_GAP) / len(texts)
    if share - WRITING_GAP - widest < WRITTEN_NAME:
        return [_field_row([text], height, width) for text in texts]
    return [_field_row(texts, height, width)]


def _field_row(texts: Sequence[str], height: float, width: float) -> Cell:
    share = (width + WRITING_GAP) / len(texts)
    air = (WRITING - height * (1.0 + BELOW)) / 2
    columns = [Column(text, index * share, share - WRITING_GAP) for index, text in enumerate(texts)]
    starts = [column.x + text_width(column.text, height) + WRITING_AFTER for column in columns]
    base = -air - (1.0 + SINK) * height
    lines = [
        Path(((start, base), (column.x + column.width, base)), line_width=0.25)
        for start, column in zip(starts, columns, strict=True)
    ]
    return with_marks(columns_cell(columns, height, width, most=1, air=air), *lines)


def _height(line: Line, room: Room) -> float:
    return room.sizes.note if line.weight == "quiet" else room.sizes.line


def section_blocks(lines: Sequence[Line], room: Room) -> Iterator[Block]:
    """Yield a block for each heading with what stands under it; a table breaks between its rows."""
    for opening, *rows in begun_by(lines, "heading"):
        again = heading(f"{opening.text} (continued)", room.sizes, room.width)
        head = heading(opening.text, room.sizes, room.width)
        yield Block(head, tuple(_rows(rows, room)), again, whole=False, underlined=True)


def whole_blocks(lines: Sequence[Line], room: Room) -> Iterator[Block]:
    """Yield the same in one piece each, where a page holds it."""
    yield from (replace(block, whole=True) for block in section_blocks(lines, room))


def _rows(lines: Sequence[Line], room: Room) -> Iterator[Cell]:
    for kind, alike in groupby(bunches(lines), key=lambda bunch: bunch[0].kind):
        yield from FORMS[kind](list(alike), room)


def _how(alike: Bunches, room: Room) -> Iterator[Cell]:
    for (line,) in alike:
        yield from paragraph(line.text, room.sizes.note, room.width, bold=line.weight == "loud", air=0.4)


def _remarks(alike: Bunches, room: Room) -> Iterator[Cell]:
    for (line,) in alike:
        yield from paragraph(line.text, room.sizes.note, room.width)


def _cautions(alike: Bunches, room: Room) -> Iterator[Cell]:
    """Each a paragraph with a dash before it."""
    for (line,) in alike:
        height, loud = _height(line, room), line.weight == "loud"
        first, *others = paragraph(line.text, height, room.width, 2 * height, loud, air=0.5)
        dash = set_line(Words("–", height, loud), 0.0, -0.5 - height)
        yield from (Cell(first.width, first.height, (dash, *first.labels), first.marks), *others)


def _to_have(alike: Bunches, room: Room) -> list[Cell]:
    return flowing([line.text for (line,) in alike], room.sizes, room.width)


def _purposes(alike: Bunches, room: Room) -> Iterator[Cell]:
    for purpose, *under in alike:
        ticks = tick_cells([line.text for line in under if line.kind == "have"], room.sizes, room.width)
        notes = _under(under, room, 0.0, air=0.3)
        row = _beside(purpose.text, ticks, room, bold=True) if not notes else None
        if row is None:
            words = paragraph(purpose.text, room.sizes.line, room.width, bold=True, air=1.0)
            row = [*words, *notes, *side_by_side(ticks, room.width)]
        yield from kept_together(row, room.height)


def _under(lines: Sequence[Line], room: Room, x: float, air: float) -> list[Cell]:
    """The notes among the lines, small."""
    notes = [line for line in lines if line.kind == "note"]
    return [
        cell
        for note in notes
        for cell in paragraph(note.text, room.sizes.note, room.width, x, note.weight == "loud", air)
    ]


def _fasteners(alike: Bunches, room: Room) -> Iterator[Cell]:
    rows = [_unbroken_cells(bunch[0]) for bunch in alike]
    starts = _starts(rows, room)
    for (_, *under), texts in zip(alike, rows, strict=True):
        cells = [_fastener(texts, starts, room), *_under(under, room, starts[1] if room.sizes.columns else 0.0, 0.3)]
        yield from kept_together(cells, room.height)


def _unbroken_cells(line: Line) -> tuple[str, ...]:
    count, size, tool, torque = line.cells
    size = size.replace("shoulder ", f"shoulder{NO_BREAK_SPACE}")
    return count, size, tool.replace(" ", NO_BREAK_SPACE), torque


def _starts(rows: Sequence[Sequence[str]], room: Room) -> tuple[float, ...]:
    """Where the columns begin: as wide as their texts up to a share, the rest for the size; the end is the last."""
    width = room.width
    count, _, tool, torque = (
        min(max(text_width(text, room.sizes.line, bold=True) for text in texts) + 3.2, width * share)
        for texts, share in zip(zip(*rows, strict=True), FASTENER_SHARES, strict=True)
    )
    return 0.0, count, width - torque - tool, width - torque, width


def _fastener(texts: Sequence[str], starts: Sequence[float], room: Room) -> Cell:
    columns = [
        Column(text, x, end - x - 2.0, bold=index == 0)
        for index, (text, x, end) in enumerate(zip(texts, starts, starts[1:], strict=False))
    ]
    if not room.sizes.columns:
        columns = [Column(", ".join(text for text in texts if text), 0.0, room.width)]
    return ruled(columns_cell(columns, room.sizes.line, room.width, MOST_LINES))  # a size or torque must not be cut


def _torques(alike: Bunches, room: Room) -> Iterator[Cell]:
    for torque, *under in alike:
        rows = [*_torque(torque, room), *_under(under, room, room.sizes.indent, air=0.2)]
        yield from kept_together(rows, room.height)


def _torque(line: Line, room: Room) -> list[Cell]:
    """What is tightened and its torque; in a narrow column one under the other."""
    sizes, width = room.sizes, room.width
    words, torque = line.cells
    inside = width - sizes.indent
    torque_width = width * 0.34 if sizes.columns else inside
    columns = [Column(words, sizes.indent, inside - torque_width - 2.0 if sizes.columns else inside)]
    right = Column(torque, width - torque_width, torque_width, bold=True, at_end=sizes.columns)
    below = [] if sizes.columns else [columns_cell([right], sizes.line, width, air=0.3)]
    columns += [right] if sizes.columns else []
    return [ruled(ticked(columns_cell(columns, sizes.line, width), sizes)), *below]


def _staged(alike: Bunches, room: Room) -> Iterator[Cell]:
    """A tick a stage, so that nobody loses count between them; short ones side by side, in the order of work."""
    sizes, width = room.sizes, room.width
    for staged, *under in alike:
        stages = [line for line in under if line.kind == "stage"]
        loud = {place for place, line in enumerate(stages) if line.weight == "loud"}
        ticks = tick_cells([line.text for line in stages], sizes, width, loud)
        first = next(place for place, line in enumerate(under) if line.kind == "stage")
        above, below = (_under(lines, room, sizes.indent, air=0.6) for lines in (under[:first], under[first:]))
        rows = _beside(staged.text, ticks, room, sizes.indent) if not above else None
        if rows is None:
            what = columns_cell([Column(staged.text, sizes.indent, width - sizes.indent)], sizes.line, width)
            rows = [what, *above, *side_by_side(ticks, width)]
        yield from kept_together([ruled(rows[0]), *rows[1:], *below], room.height)


def _beside(text: str, ticks: Sequence[Cell], room: Room, x: float = 0.0, *, bold: bool = False) -> list[Cell] | None:
    """What ticks are for and they behind it in one line; None where no line holds them."""
    own = x + text_width(printable(text), room.sizes.line, bold)
    row = side_by_side([columns_cell([Column(text, x, own - x + 0.1, bold)], room.sizes.line, own), *ticks], room.width)
    return [row[0].sized(room.width)] if len(row) == 1 else None


def _parts(alike: Bunches, room: Room) -> Iterator[Cell]:
    """Each part in words, its boxes beside it where half of the width holds them, else below it."""
    for part, *ticks in alike:
        first, *others = paragraph(part.text, room.sizes.line, room.width, air=AIR)
        half = room.width / 2
        beside = _boxes(ticks, room, half)
        if len(beside) == 1 and not others and text_width(part.text, room.sizes.line) <= half - 2.0:
            boxes = beside[0].at((half, 0.0))
            joined = Cell(room.width, first.height, (*first.labels, *boxes.labels), (*first.marks, *boxes.marks))
            yield ruled(joined)
        else:
            yield from kept_together([ruled(first), *others, *_boxes(ticks, room, room.width)], room.height)


def _boxes(ticks: Sequence[Line], room: Room, width: float) -> list[Cell]:
    """The boxes beside each other where there is room for that: in equal columns, else close together."""
    parts = [_boxed(tick, room) for tick in ticks]
    widths = [part.width + BOXES_APART for part in parts]
    share = width / len(parts)
    if sum(widths) > width:
        return side_by_side(parts, width)
    starts = [index * share if max(widths) <= share else sum(widths[:index]) for index in range(len(parts))]
    placed = [part.at((start, 0.0)) for part, start in zip(parts, starts, strict=True)]
    labels = tuple(label for part in placed for label in part.labels)
    marks = tuple(mark for part in placed for mark in part.marks)
    return [Cell(width, parts[0].height, labels, marks)]


def _boxed(tick: Line, room: Room) -> Cell:
    """Its tick boxes and its words behind them."""
    sizes = room.sizes
    marks: list[Path] = []
    x, middle = 0.0, -AIR - (0.5 + SINK) * sizes.line
    for _ in range(tick.boxes):
        marks.append(box(x, middle, sizes.box))
        x += sizes.box + 1.6
    own = text_width(tick.text, sizes.line)
    cell = columns_cell([Column(tick.text, x + 0.8, own + 0.1)], sizes.line, x + 0.8 + own, air=AIR)
    return with_marks(cell, *marks)


def _checks(alike: Bunches, room: Room) -> Iterator[Cell]:
    for (line,) in alike:
        yield from ticked_line(line.text, room.sizes, room.width)


FORMS: dict[Kind, Callable[[Bunches, Room], Iterator[Cell] | list[Cell]]] = {
    "how": _how,
    "remark": _remarks,
    "caution": _cautions,
    "have": _to_have,
    "purpose": _purposes,
    "fastener": _fasteners,
    "torque": _torques,
    "staged": _staged,
    "part": _parts,
    "check": _checks,
}
