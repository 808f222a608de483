"""Lines of a list to tick off: boxes, columns of type on one baseline, headings. The words come from elsewhere.

Cells as in `figures.table`, top left at the origin, y up. Type is set on a fixed pitch, so that lines beside each other
stand level whatever letters they have.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Literal

from boardmaker.display_list import Path
from boardmaker.fonts import text_box, text_width
from boardmaker.geometry import box_ring
from boardmaker.typeset.label import Label, Words
from boardmaker.typeset.lettering import HEADING, NAME, PAD, SMALL, TEXT, broken, printable
from boardmaker.typeset.table import Cell, stacked, top_aligned
from boardmaker.wording.torques import unbroken

PITCH = 1.42  # from baseline to baseline, in heights of a capital
SINK = 0.19  # how much lower than its air a line stands, in heights of a capital: off the rule above it
BELOW = 0.3  # room under a baseline for descenders, in heights of a capital
AIR = 0.3  # mm above and below a line of a list: boxes stand more than 1 mm apart
RULE_GREY = 0.55
MOST_LINES = 8  # of a paragraph in one cell, so that a long note can go over to the next page
MOST_NAME_LINES = 3
BAND = 0.86  # grey of a band across the column


@dataclass(frozen=True)
class Sizes:
    """Heights of type in mm, by what they are for."""

    number: float = 7.0
    name: float = HEADING
    line: float = NAME
    note: float = TEXT
    columns: bool = True  # whether a line has room for columns side by side

    @property
    def box(self) -> float:
        """The side of a tick box beside a line."""
        return self.line + 0.6

    @property
    def indent(self) -> float:
        """Where the words of a line begin, right of its box."""
        return self.box + 2.0


WIDE = Sizes()
NARROW = Sizes(HEADING, NAME, TEXT, SMALL, columns=False)
NARROW_BELOW = 100.0  # mm of a column's width


def sizes_for(width: float) -> Sizes:
    """Return the type for a column of this width: large where it can be."""
    return WIDE if width >= NARROW_BELOW else NARROW


@dataclass(frozen=True)
class Column:
    """Part of a line: its text, where it begins and how wide it is."""

    text: str
    x: float
    width: float
    bold: bool = False
    at_end: bool = False


def set_line(words: Words, x: float, baseline: float, align: Literal["start", "middle", "end"] = "start") -> Label:
    """Return one line of type on a baseline; `x` is where it begins, or where it ends."""
    width, above, below = text_box(words.text, words.height, words.bold)
    left = {"start": x, "middle": x - width / 2, "end": x - width}[align]
    return Label((words,), (left - PAD, baseline - below - PAD, left + width + PAD, baseline + above + PAD), "start")


def lines_of(text: str, height: float, width: float, bold: bool = False, most: int = 0) -> tuple[str, ...]:
    """Return a text in lines of this width, what cannot be shown replaced; beyond `most` lines it ends with `…`."""
    lines = broken(unbroken(printable(text)), height, width, bold)
    if not most or len(lines) <= most:
        return lines
    last = lines[most - 1]
    while last and text_width(f"{last}…", height, bold) > width:
        last = last[:-1]
    return (*lines[: most - 1], f"{last.rstrip()}…")


def height_of(count: int, height: float, air: float = AIR) -> float:
    """Return the height of a cell with so many lines."""
    return 2 * air + height * (1.0 + PITCH * (count - 1) + BELOW)


def columns_cell(columns: Sequence[Column], height: float, width: float, most: int = 4, air: float = AIR) -> Cell:
    """Return columns of type side by side, their first lines level."""
    labels, count = [], 1
    for column in columns:
        lines = lines_of(column.text, height, column.width, column.bold, most)
        count = max(count, len(lines))
        x = column.x + column.width if column.at_end else column.x
        labels += [
            set_line(
                Words(line, height, column.bold), x, _baseline(index, height, air), "end" if column.at_end else "start"
            )
            for index, line in enumerate(lines)
        ]
    return Cell(width, height_of(count, height, air), tuple(labels))


def _baseline(index: int, height: float, air: float) -> float:
    return -air - (1.0 + SINK) * height - index * PITCH * height


def paragraph(
    text: str, height: float, width: float, x: float = 0.0, bold: bool = False, air: float = 0.3
) -> list[Cell]:
    """Return a text from `x` to the column's end, in several cells where it is long."""
    lines = lines_of(text, height, width - x, bold)
    return [
        _lines_cell(lines[at : at + MOST_LINES], height, width, x, bold, air) for at in range(0, len(lines), MOST_LINES)
    ]


def _lines_cell(lines: Sequence[str], height: float, width: float, x: float, bold: bool, air: float) -> Cell:
    labels = [set_line(Words(line, height, bold), x, _baseline(i, height, air)) for i, line in enumerate(lines)]
    return Cell(width, height_of(len(lines), height, air), tuple(labels))


def ticked(cell: Cell, sizes: Sizes, x: float = 0.0, air: float = AIR) -> Cell:
    """Return the cell with a tick box level with its first line."""
    middle = -air - (0.5 + SINK) * sizes.line
    return with_marks(cell, box(x, middle, sizes.box))


def ticked_line(text: str, sizes: Sizes, width: float) -> list[Cell]:
    """Return a text behind a tick box, under a rule, as long as it needs."""
    first, *others = paragraph(text, sizes.line, width, sizes.indent, air=AIR)
    return [ruled(ticked(first, sizes)), *others]


def box(x: float, middle: float, side: float) -> Path:
    """Return a tick box from `x` on, its middle at this height."""
    return Path(box_ring(x, middle - side / 2, x + side, middle + side / 2), closed=True, line_width=0.35)


def with_marks(cell: Cell, *marks: Path) -> Cell:
    """Return the cell with more marks, under its words."""
    return Cell(cell.width, cell.height, cell.labels, (*cell.marks, *marks))


def ruled(cell: Cell) -> Cell:
    """Return the cell with a fine grey line along its top."""
    return with_marks(cell, _rule(cell.width))


def unruled(cell: Cell) -> Cell:
    """Return the cell without the line along its top: under a heading's own line it would be a second one."""
    marks = tuple(mark for mark in cell.marks if mark != _rule(cell.width))
    return Cell(cell.width, cell.height, cell.labels, marks, cell.carried)


def _rule(width: float) -> Path:
    return Path(((0.0, 0.0), (width, 0.0)), line_width=0.18, ink=RULE_GREY)


def band(text: str, sizes: Sizes, width: float) -> Cell:
    """Return a grey band across the column with a few words: which side of the bike to stand on."""
    height = sizes.line + 2.0
    ground = Path(box_ring(0.0, -height, width, 0.0), closed=True, line_width=0.0, fill=BAND)
    words = set_line(Words(text, sizes.line, bold=True), 2.0, -(height + sizes.line) / 2)
    return Cell(width, height + 0.8, (words,), (ground,))


def heading(text: str, sizes: Sizes, width: float) -> Cell:
    """Return a heading over a heavy line."""
    lines = lines_of(text, sizes.name, width, bold=True, most=MOST_NAME_LINES)
    cell = _lines_cell(lines, sizes.name, width, 0.0, bold=True, air=0.4)
    low = -cell.height - 0.6  # below deep letters
    return Cell(width, cell.height + 1.2, cell.labels, (Path(((0.0, low), (width, low)), line_width=0.5),))


def kept_together(cells: Sequence[Cell], height: float) -> list[Cell]:
    """Return cells that belong together as one, unless they would take more than half of a page."""
    joined = stacked(cells, gap=0.0)
    return [joined] if joined.height <= height / 2 else list(cells)


def flowing(texts: Sequence[str], sizes: Sizes, width: float) -> list[Cell]:
    """Return short texts side by side, each with a tick box, line after line."""
    return side_by_side(tick_cells(texts, sizes, width), width)


def tick_cells(texts: Sequence[str], sizes: Sizes, width: float, loud: Collection[int] = ()) -> list[Cell]:
    """Return a narrow cell for each text, with a tick box; those at the places in `loud` bold."""
    return [_tick_word(text, sizes, width, place in loud) for place, text in enumerate(texts)]


def side_by_side(cells: Sequence[Cell], width: float) -> list[Cell]:
    """Return narrow cells in as many rows as the width asks for, in their order."""
    lines: list[list[Cell]] = [[]]
    for cell in cells:
        if lines[-1] and math.fsum(one.width + 5.0 for one in lines[-1]) + cell.width > width:
            lines.append([])
        lines[-1].append(cell)
    return [top_aligned(line, 5.0) for line in lines if line]


def _tick_word(text: str, sizes: Sizes, width: float, bold: bool) -> Cell:
    room = width - sizes.indent
    lines = lines_of(text, sizes.line, room, bold)
    own = sizes.indent + max(text_width(line, sizes.line, bold) for line in lines)
    return ticked(columns_cell([Column(text, sizes.indent, room, bold)], sizes.line, own, most=MOST_LINES), sizes)
