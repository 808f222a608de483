"""The plan on paper: what to have ready, removal, service, refit, hang tags. Words and boxes, nothing to measure.

In: `Plan`, setup. Out: pages. The way back begins on a page of its own, so that its sheets can stay clean while the
others get dirty, and so do the tags, which are cut up.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from boardmaker.drawing import DisplayItem, Page, Path, Text
from boardmaker.fonts import text_width
from boardmaker.geometry import Point
from boardmaker.model import Setup
from boardmaker.service import Plan
from boardmaker.sheets.paper import PageLayout, lay_page, shorten_roll
from boardmaker.sheets.plan.front import closing_block, front_blocks, service_blocks
from boardmaker.sheets.plan.steps import refit_blocks, removal_blocks
from boardmaker.sheets.plan.tags import rail_cells, tag_pages
from boardmaker.typeset.blocks import BLOCK_GAP, Block, pour_blocks
from boardmaker.typeset.cells import Sizes, heading, lines_of, paragraph, sizes_for
from boardmaker.typeset.flow import COLUMN_GAP, cell_items
from boardmaker.typeset.lettering import TEXT, printable
from boardmaker.typeset.table import stacked
from boardmaker.wording.steps import HOW_TO_HANG, HOW_TO_REFIT, HOW_TO_REMOVE

FOOT = 7.0  # mm below the content for the page's name and number
COLUMN = 125.0  # mm; wider pages take two columns or more of at least this width
TAGS_BELOW = 8.0  # mm between the rail and the tags
ROLL_PAGE = 260.0  # mm of a roll for one page

Items = tuple[DisplayItem, ...]


@dataclass(frozen=True)
class _PageRoom:
    """What the content of a page has: its top left corner, its size, the width of a column and the type for it."""

    corner: Point
    width: float
    height: float
    columns: int
    column: float
    sizes: Sizes


def lay_plan(plan: Plan, setup: Setup) -> tuple[Page, ...]:
    """Return the pages of the plan. Raises ProblemsFound for paper without room.

    They are drawn for a printer that prints true: nothing on them is measured.
    """
    layout = shorten_roll(lay_page(setup, calibrated=False), ROLL_PAGE)
    room = _room(layout)
    out, back = tuple(_way_out(plan, room)), tuple(_way_back(plan, room))
    closing = (closing_block(plan, room.column, room.sizes),)
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
    return _PageRoom((margins.left, layout.height - margins.top), width, height, columns, column, sizes_for(column))


def _way_out(plan: Plan, room: _PageRoom) -> Iterator[Block]:
    size = room.column, room.height, room.sizes
    yield from front_blocks(plan, *size)
    yield from _opened("Removal", HOW_TO_REMOVE, removal_blocks(plan, *size), room)
    yield from service_blocks(plan, *size)


def _way_back(plan: Plan, room: _PageRoom) -> Iterator[Block]:
    blocks = refit_blocks(plan, room.column, room.height, room.sizes)
    yield from _opened("Refit", HOW_TO_REFIT, blocks, room)


def _opened(title: str, how: str, blocks: Iterator[Block], room: _PageRoom) -> Iterator[Block]:
    """The blocks, above the first of them a heading and how it is done; nothing where there are none."""
    first = next(blocks, None)
    if first is not None:
        words = [heading(title, room.sizes, room.column), *paragraph(how, room.sizes.note, room.column)]
        yield replace(first, head=stacked([stacked(words, gap=0.0), first.head], gap=BLOCK_GAP))
        yield from blocks


def _poured(blocks: Sequence[Block], room: _PageRoom) -> tuple[Items, ...]:
    pages = pour_blocks(blocks, room.columns, room.height)
    return tuple(tuple(item for cell in page for item in cell_items(cell, room.corner)) for page in pages)


def _tags(plan: Plan, room: _PageRoom) -> tuple[Items, ...]:
    """The rail with the panels on it, drawn again on every page that it needs; under it and after it the tags."""
    if not plan.removal:
        return ()
    sizes = sizes_for(room.width)
    rail, rows = rail_cells(plan, room.width, sizes)
    words = [heading("Where the panels hang", sizes, room.width), *paragraph(HOW_TO_HANG, sizes.note, room.width)]
    block = Block(stacked([*words, rail], gap=0.6), rows, rail, whole=False)
    pages = [cell for (cell,) in pour_blocks([block], 1, room.height)]
    under, *tags = tag_pages(plan, room.corner, (room.width, room.height), pages[-1].height + TAGS_BELOW)
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
