"""The plan on paper: what to have ready, removal, service, refit, hang tags. Words and boxes, nothing to measure.

In: `Plan`, setup. Out: pages. `wording.plan` says what is said when; the modules beside this one give each line its
form. The way back begins on a page of its own, so that its sheets can stay clean while the others get dirty, and so do
the tags, which are cut up.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from boardmaker.drawing import DisplayItem, Page, Path, Text
from boardmaker.fonts import text_width
from boardmaker.geometry import Point
from boardmaker.model import Setup
from boardmaker.service import Plan
from boardmaker.sheets.paper import PageLayout, lay_page, shorten_roll
from boardmaker.sheets.plan.room import Room
from boardmaker.sheets.plan.sections import section_blocks, title_block, whole_blocks
from boardmaker.sheets.plan.steps import step_blocks
from boardmaker.sheets.plan.tags import rail_cells, tag_pages
from boardmaker.typeset.blocks import Block, pour_blocks
from boardmaker.typeset.cells import heading, lines_of, paragraph, sizes_for
from boardmaker.typeset.flow import COLUMN_GAP, cell_items
from boardmaker.typeset.lettering import TEXT, printable, shown_name
from boardmaker.typeset.table import stacked
from boardmaker.wording.plan.line import begun_by
from boardmaker.wording.plan.stream import PlanLines, plan_lines
from boardmaker.wording.steps import HOW_TO_HANG

FOOT = 6.0  # mm below the content for the page's name and number
COLUMN = 125.0  # mm; wider pages take two columns or more of at least this width
TAGS_BELOW = 8.0  # mm between the rail and the tags
ROLL_PAGE = 260.0  # mm of a roll for one page

Items = tuple[DisplayItem, ...]


@dataclass(frozen=True)
class _PageRoom:
    """What the content of a page has: its top left corner, its width, so many columns with room for a block in each."""

    corner: Point
    width: float
    columns: int
    column: Room


def lay_plan(plan: Plan, setup: Setup) -> tuple[Page, ...]:
    """Return the pages of the plan. Raises ProblemsFound for paper without room.

    They are drawn for a printer that prints true: nothing on them is measured.
    """
    layout = shorten_roll(lay_page(setup, calibrated=False), ROLL_PAGE)
    room, lines = _room(layout), plan_lines(plan, shown_name)
    out, back = tuple(_way_out(lines, room.column)), tuple(step_blocks(lines.refit, room.column))
    closing = tuple(whole_blocks(lines.last_look, room.column))
    parts = (
        ("Removal and service", _poured(out if back else (*out, *closing), room)),
        ("Refit", _poured((*back, *closing) if back else (), room)),
        ("Hang tags", _tags(plan, room)),
    )
    return tuple(_pages(plan, layout, [(name, page) for name, pages in parts for page in pages]))


def _room(layout: PageLayout) -> _PageRoom:
    margins = layout.margins
    width, height = layout.width - margins.left - margins.right, layout.height - margins.top - margins.bottom - FOOT
    columns = max(1, int((width + COLUMN_GAP) / (COLUMN + COLUMN_GAP)))
    column = (width - COLUMN_GAP * (columns - 1)) / columns
    corner = margins.left, layout.height - margins.top
    return _PageRoom(corner, width, columns, Room(column, height, sizes_for(column)))


def _way_out(lines: PlanLines, room: Room) -> Iterator[Block]:
    title, *sections = begun_by(lines.ready, "heading")
    yield title_block(title, room)
    yield from section_blocks([line for section in sections for line in section], room)
    yield from step_blocks(lines.removal, room)
    yield from section_blocks(lines.service, room)


def _poured(blocks: Sequence[Block], room: _PageRoom) -> tuple[Items, ...]:
    pages = pour_blocks(blocks, room.columns, room.column.height)
    return tuple(tuple(item for cell in page for item in cell_items(cell, room.corner)) for page in pages)


def _tags(plan: Plan, room: _PageRoom) -> tuple[Items, ...]:
    """The rail with the panels on it, drawn again on every page that it needs; under it and after it the tags."""
    if not plan.removal:
        return ()
    sizes, height = sizes_for(room.width), room.column.height
    rail, rows = rail_cells(plan, room.width, sizes)
    words = [heading("Where the panels hang", sizes, room.width), *paragraph(HOW_TO_HANG, sizes.note, room.width)]
    block = Block(stacked([*words, rail], gap=0.6), rows, rail, whole=False)
    pages = [cell for (cell,) in pour_blocks([block], 1, height)]
    under, *tags = tag_pages(plan, room.corner, (room.width, height), pages[-1].height + TAGS_BELOW)
    rails = [tuple(cell_items(page, room.corner)) for page in pages]
    return (*rails[:-1], (*rails[-1], *under), *tags)


def _pages(plan: Plan, layout: PageLayout, contents: Sequence[tuple[str, Items]]) -> Iterator[Page]:
    named = ""
    for number, (name, items) in enumerate(contents, start=1):
        foot = _foot(plan, layout, name, f"page {number} of {len(contents)}")
        yield Page(layout.width, layout.height, (*items, *foot), f"{number}", name if name != named else "")
        named = name


def _foot(plan: Plan, layout: PageLayout, name: str, number: str) -> Iterator[DisplayItem]:
    """The part's name, the bike and the page's number: a sheet that was dropped finds its place again."""
    left, right = layout.margins.left, layout.width - layout.margins.right
    y = layout.margins.bottom + 1.2
    yield Path(((left, y + TEXT + 1.6), (right, y + TEXT + 1.6)), line_width=0.25)
    yield Text((left, y), name, TEXT, bold=True)
    yield Text((right, y), number, TEXT, "end")
    start = left + text_width(name, TEXT, bold=True) + 3.0
    room = right - text_width(number, TEXT) - 3.0 - start
    bike = plan.work.bike
    if room > 12.0:
        yield Text((start, y), lines_of(printable(bike.name, bike.file), TEXT, room, most=1)[0], TEXT)
