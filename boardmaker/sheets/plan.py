"""The plan on paper: what to have ready, removal, service, refit, hang tags. Words and boxes, nothing to measure.

In: `Plan`, setup. Out: pages. Each part begins on a page of its own, so that the refit sheets can stay clean while the
removal sheets get dirty; what is cut up (the tags) is on pages without anything else.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from boardmaker.drawing import DisplayItem, Page, Path, Text
from boardmaker.figures.lettering import TEXT, printable
from boardmaker.figures.step_wording import HOW_TO_HANG, HOW_TO_REFIT, HOW_TO_REMOVE
from boardmaker.figures.table import Cell, stacked
from boardmaker.fonts import text_width
from boardmaker.geometry import Point
from boardmaker.inputs.model import Setup
from boardmaker.service import Plan
from boardmaker.sheets.flow import COLUMN_GAP, cell_items, pour
from boardmaker.sheets.paper import PageLayout, lay_page, shorten_roll
from boardmaker.sheets.plan_cells import Sizes, headed, heading, lines_of, paragraph, sizes_for
from boardmaker.sheets.plan_front import front_cells, service_cells
from boardmaker.sheets.plan_steps import refit_cells, removal_cells
from boardmaker.sheets.plan_tags import rail_cells, tag_pages

FOOT = 7.0  # mm below the content for the page's name and number
COLUMN = 125.0  # mm; wider pages take two columns or more of at least this width
ROLL_PAGE = 260.0  # mm of a roll for one page

Items = tuple[DisplayItem, ...]


@dataclass(frozen=True)
class _Room:
    """What the content of a page has: its top left corner, its size, the width of a column and the type for it."""

    corner: Point
    width: float
    height: float
    column: float
    sizes: Sizes


Cells = Callable[[Plan, float, float, Sizes], Iterator[Cell]]


def lay_plan(plan: Plan, setup: Setup) -> tuple[Page, ...]:
    """Return the pages of the plan. Raises ProblemsFound for paper without room.

    They are drawn for a printer that prints true: nothing on them is measured.
    """
    layout = shorten_roll(lay_page(setup, calibrated=False), ROLL_PAGE)
    room = _room(layout)
    parts = (
        ("Before you start", _poured(_cells(front_cells, plan, room), room)),
        ("Removal", _steps("Removal", HOW_TO_REMOVE, _cells(removal_cells, plan, room), room)),
        ("Service", _poured(_cells(service_cells, plan, room), room)),
        ("Refit", _steps("Refit", HOW_TO_REFIT, _cells(refit_cells, plan, room), room)),
        ("Where the panels hang", _rail(plan, room)),
        ("Hang tags", tag_pages(plan, room.corner, (room.width, room.height))),
    )
    return tuple(_pages(plan, layout, [(name, page) for name, pages in parts for page in pages]))


def _room(layout: PageLayout) -> _Room:
    margins = layout.margins
    width, height = layout.width - margins.left - margins.right, layout.height - margins.top - margins.bottom - FOOT
    columns = max(1, int((width + COLUMN_GAP) / (COLUMN + COLUMN_GAP)))
    column = (width - COLUMN_GAP * (columns - 1)) / columns
    return _Room((margins.left, layout.height - margins.top), width, height, column, sizes_for(column))


def _cells(cells: Cells, plan: Plan, room: _Room) -> list[Cell]:
    return list(cells(plan, room.column, room.height, room.sizes))


def _steps(name: str, how: str, blocks: Sequence[Cell], room: _Room) -> tuple[Items, ...]:
    """The blocks of removal or refit under a heading that says how; none where nothing comes off."""
    if not blocks:
        return ()
    words = paragraph(how, room.sizes.note, room.column)
    return _poured([stacked([heading(name, room.sizes, room.column), *words], gap=0.0), *blocks], room)


def _poured(cells: Sequence[Cell], room: _Room) -> tuple[Items, ...]:
    return tuple(
        tuple(item for cell in page for item in cell_items(cell, room.corner))
        for page in pour(cells, room.width, room.height)
    )


def _rail(plan: Plan, room: _Room) -> tuple[Items, ...]:
    """The rail with the panels on it; where they need more than a page, the rail is drawn on each."""
    if not plan.removal:
        return ()
    sizes = sizes_for(room.width)
    rail, rows = rail_cells(plan, room.width, sizes)
    words = [heading("Where the panels hang", sizes, room.width), *paragraph(HOW_TO_HANG, sizes.note, room.width)]
    pages = headed(stacked([*words, rail], gap=0.6), rows, rail, room.height)
    return tuple(tuple(cell_items(page, room.corner)) for page in pages)


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
