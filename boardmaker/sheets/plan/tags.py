"""Hang tags for the panels, to cut out, and the rail on which left stays left and the last off is in front."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import zip_longest

from boardmaker.display_list import Circle, DisplayItem, Path
from boardmaker.fonts import text_width
from boardmaker.geometry import Point
from boardmaker.model import Bike, Job, Panel, TorqueRow
from boardmaker.service import Plan, RemovalStep
from boardmaker.typeset.cells import PITCH, Sizes, lines_of, set_line
from boardmaker.typeset.label import Label, Words
from boardmaker.typeset.lettering import HEADING, NAME, TEXT, label_items, printable, shown_name
from boardmaker.typeset.table import Cell, top_aligned
from boardmaker.wording.plan.way import tag_texts
from boardmaker.wording.steps import BOTH_SIDES

TAG_WIDTH = 60.0  # mm at least, where the page has them
TAG_HEIGHT = 36.0
PUNCH = 6.0  # mm across: what an office punch makes
INSET = 3.5
BELOW = 2.0  # mm from the last baseline to the cut line
MOST_OF_ONE = 3  # lines of one remark on a tag that has no room for all, so that the others are said too
SIDE_GAP = 1.5  # mm from the side to the tag, at least
CUT_OFF = "…"
RAIL_SIDES = ("left", "centre", "right")


def tag_pages(plan: Plan, corner: Point, size: Point, used: float) -> tuple[tuple[DisplayItem, ...], ...]:
    """Return the tags of each page, in a room of this size from its top left corner, `used` mm of the first one taken.

    The first is empty where no tag goes under what is there.
    """
    width, height = size
    columns = max(1, int(width / TAG_WIDTH))
    rows = max(1, int(height / TAG_HEIGHT))
    tag_width = min(width / columns, 1.5 * TAG_WIDTH)
    steps = plan.removal
    first = columns * max(0, int((height - used) / TAG_HEIGHT))
    pages = [steps[at : at + columns * rows] for at in range(first, len(steps), columns * rows)]
    under = tuple(_tag_page(plan, steps[:first], (corner[0], corner[1] - used), columns, tag_width))
    return under, *(tuple(_tag_page(plan, page, corner, columns, tag_width)) for page in pages)


def _tag_page(
    plan: Plan, steps: Sequence[RemovalStep], corner: Point, columns: int, width: float
) -> Iterator[DisplayItem]:
    """Tags side by side; a cut line where two meet is drawn once."""
    lines: set[tuple[Point, Point]] = set()
    for index, step in enumerate(steps):
        x, y = corner[0] + index % columns * width, corner[1] - index // columns * TAG_HEIGHT
        low = y - TAG_HEIGHT
        lines |= {((x, y), (x + width, y)), ((x, low), (x + width, low))}
        lines |= {((x, low), (x, y)), ((x + width, low), (x + width, y))}
        yield from _tag(step, plan, (x, y), width)
    for line in sorted(lines):
        yield Path(line, line_width=0.18, dash=(2.0, 1.2))


def _tag(step: RemovalStep, plan: Plan, corner: Point, width: float) -> Iterator[DisplayItem]:
    """The ring to punch, number and tag beside it, side and name, where its pockets are, what it makes way for."""
    x, y = corner
    yield Circle((x + INSET + PUNCH / 2, y - INSET - PUNCH / 2), PUNCH, 0.35)
    yield Circle((x + INSET + PUNCH / 2, y - INSET - PUNCH / 2), 0.5, 0.0, fill=0.0)
    for label in _tag_labels(step, plan, width):
        x0, y0, x1, y1 = label.box
        yield from label_items(Label(label.lines, (x0 + x, y0 + y, x1 + x, y1 + y), label.align), 0)


def _tag_labels(step: RemovalStep, plan: Plan, width: float) -> Iterator[Label]:
    number, tag = f"{step.number}", _tag_text(step)
    top = -INSET - 8.0
    yield set_line(Words(number, 8.0, bold=True), INSET + PUNCH + 3.5, top)
    yield set_line(Words(tag, HEADING, bold=True), width - INSET, top, "end")
    x, y = _beside_number(number), top
    height = min(_side_height(one, width) or NAME for one in plan.removal)
    if not _side_height(step, width):
        x, y = INSET, top - 6.3
    yield set_line(Words(_side_text(step), height), x, y)
    y -= 5.4 if y < top else 6.3
    for line in lines_of(shown_name(step.carrier), NAME, width - 2 * INSET, bold=True, most=2):
        yield set_line(Words(line, NAME, bold=True), INSET, y)
        y -= PITCH * NAME
    room = 1 + math.floor((y + TAG_HEIGHT - BELOW) / (PITCH * TEXT))
    said = [_said_below(tag_texts(step, plan, named), width - 2 * INSET, room) for named in (shown_name, _short_name)]
    for line in min(said, key=lambda lines: lines[-1:] and lines[-1].endswith(CUT_OFF)):
        yield set_line(Words(line, TEXT), INSET, y)
        y -= PITCH * TEXT


def _tag_text(step: RemovalStep) -> str:
    return printable(step.carrier.tag, "?")


def _short_name(named: Panel | Job | TorqueRow | Bike) -> str:
    """A panel's tag, where its tag stands for it on the board; the name of anything else."""
    return printable(named.tag, "?") if isinstance(named, Panel) else shown_name(named)


def _side_text(step: RemovalStep) -> str:
    return BOTH_SIDES[step.carrier.side].upper()


def _beside_number(number: str) -> float:
    return INSET + PUNCH + 3.5 + text_width(number, 8.0, bold=True) + 2.5


def _side_height(step: RemovalStep, width: float) -> float | None:
    """How high the side can be written between number and tag, so that more is said below; None for no room."""
    room = width - INSET - text_width(_tag_text(step), HEADING, bold=True) - SIDE_GAP - _beside_number(f"{step.number}")
    return next((height for height in (NAME, TEXT) if text_width(_side_text(step), height) <= room), None)


def _said_below(texts: Sequence[str], width: float, room: int) -> tuple[str, ...]:
    """What is said of the panel; where that is cut off, the last line says so. The sheets have all of it."""
    for most in (max(room, 1), MOST_OF_ONE):
        lines = [line for text in texts for line in lines_of(text, TEXT, width, most=most)]
        if len(lines) <= room:
            return tuple(lines)
    last = f"{lines[room - 1].removesuffix(CUT_OFF)}{CUT_OFF}"
    return (*lines[: room - 1], *lines_of(last, TEXT, width, most=1))


def rail_cells(plan: Plan, width: float, sizes: Sizes) -> tuple[Cell, tuple[Cell, ...]]:
    """Return the rail with its three parts, and below it a row for the first, second … panel of each part."""
    parts = [[step for step in plan.removal if step.carrier.side == side] for side in RAIL_SIDES]
    part_width = width / len(RAIL_SIDES)
    digits = len(f"{len(plan.removal)}")
    rows = tuple(_rail_row(row, part_width, sizes, digits) for row in zip_longest(*parts))
    return _rail(width, sizes), rows


def _rail(width: float, sizes: Sizes) -> Cell:
    """A thick rail, the name of each part above it."""
    part = width / len(RAIL_SIDES)
    labels = [
        set_line(Words(side.upper(), sizes.line, bold=True), (index + 0.5) * part, -1.0 - sizes.line, "middle")
        for index, side in enumerate(RAIL_SIDES)
    ]
    y = -sizes.line - 4.5
    ends = [Path(((x, y - 2.0), (x, y + 2.0)), line_width=0.5) for x in (0.0, part, 2 * part, width)]
    rail = Path(((0.0, y), (width, y)), line_width=0.7)
    return Cell(width, -y + 2.6, tuple(labels), (rail, *ends))


def _rail_row(steps: Sequence[RemovalStep | None], part: float, sizes: Sizes, digits: int) -> Cell:
    cells = [_hung(step, part - 3.0, sizes, digits).at((1.5, 0.0)) if step else Cell(part, 0.0) for step in steps]
    return top_aligned([cell.sized(part) for cell in cells], 0.0)


def _hung(step: RemovalStep, width: float, sizes: Sizes, digits: int) -> Cell:
    """A panel on its hook: number, tag, name; the names begin below each other, whatever `digits` a number has."""
    number = f"{step.number}"
    text_x = 1.5 + text_width("8" * digits, sizes.name, bold=True) + 2.5
    lines = lines_of(f"{_tag_text(step)}  {shown_name(step.carrier)}", sizes.note, width - text_x - 1.5, most=2)
    height = max(sizes.name, (len(lines) - 1) * PITCH * sizes.note + sizes.note) + 2.0
    middle = -height / 2
    first = middle + (len(lines) - 1) * PITCH * sizes.note / 2 - sizes.note / 2
    labels = [set_line(Words(number, sizes.name, bold=True), 1.5, middle - sizes.name / 2)]
    labels += [
        set_line(Words(line, sizes.note), text_x, first - index * PITCH * sizes.note)
        for index, line in enumerate(lines)
    ]
    frame = Path(((0.0, 0.0), (width, 0.0), (width, -height), (0.0, -height)), closed=True, line_width=0.25)
    return Cell(width, height + 0.8, tuple(labels), (frame,))
