"""Sections poured onto pages one after the other: each begins under a heading where the one before it ends.

In: sections of cells, the layout of a page. Out: pages, and no fewer would do in this order. Apart from `typeset.flow`,
which knows neither headings nor what stands around a page.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from boardmaker.drawing import DisplayItem, Page, Path
from boardmaker.sheets.furniture import page_frame
from boardmaker.sheets.page_title import TITLE_HEIGHT, page_title, title_above
from boardmaker.sheets.paper import PageLayout, shorten_roll
from boardmaker.typeset.flow import COLUMN_GAP, ROW_GAP, cell_items
from boardmaker.typeset.table import Cell

SECTION_GAP = 9.0  # mm between the end of a section and the heading of the next
LEAST_BEGUN = 35.0  # mm of rows that a section begins with under its heading on a page that has others
SHORTEST = 120.0  # mm of a roll that a page takes: room for the upright test bar
BALANCED = 0.5  # mm to which columns are made even
CONTINUED = " (continued)"


@dataclass(frozen=True)
class Section:
    """Cells under a title, made for a height in mm; `head` stands above their columns where the section begins."""

    label: str
    title: str
    cells: Callable[[float], Sequence[Cell]]
    head: Cell | None = None
    any_order: bool = False  # whether a cell may stand before an earlier one where a page has no room for that


@dataclass(frozen=True)
class _Band:
    """A part of a section on a page: how far below the picture's upper edge it begins, its title, its placed cells."""

    label: str
    title: str
    top: float
    above: bool  # the title stands above the picture, because the cells need all of it
    cells: tuple[Cell, ...]
    height: float

    @property
    def title_room(self) -> float:
        return 0.0 if self.above else TITLE_HEIGHT


@dataclass
class _Pages:
    """The pages so far, and how far down the last one is used (mm)."""

    size: tuple[float, float]
    pages: list[list[_Band]] = field(default_factory=list)

    @property
    def used(self) -> float:
        if not self.pages or not self.pages[-1]:
            return 0.0
        last = self.pages[-1][-1]
        return last.top + last.title_room + last.height + SECTION_GAP

    def pour(self, section: Section) -> None:
        """Add a section, on new pages where it does not fit."""
        rest, title, head = list(section.cells(self.size[1] - TITLE_HEIGHT)), section.title, section.head
        while rest:
            if not self.pages or (self.used and self._too_low(rest, head)):
                self.pages.append([])
            band, rest = self._band(replace(section, title=title, head=head), rest)
            self.pages[-1].append(band)
            if rest:
                self.pages.append([])
            title, head = section.title + CONTINUED, None

    def _too_low(self, rest: Sequence[Cell], head: Cell | None) -> bool:
        room = self.size[1] - self.used - TITLE_HEIGHT - (head.height + ROW_GAP if head else 0.0)
        least = max(rest[0].height, min(LEAST_BEGUN, _even_height(rest, self.size[0])))
        return least > room

    def _band(self, section: Section, cells: Sequence[Cell]) -> tuple[_Band, list[Cell]]:
        """As much as goes below what the page has, its columns even if that is all; and what is left."""
        (width, height), head = self.size, section.head
        above = head.height + ROW_GAP if head else 0.0
        room = height - self.used - TITLE_HEIGHT - above
        columns = _columns(cells, width)
        placed, rest = ([], list(cells)) if head and cells[0].height > room else _filled(cells, columns, room)
        alone = not self.used and bool(rest) and not head and not _filled(cells, columns, height)[1]
        if alone:
            placed, rest = _filled(cells, columns, height)
        elif rest and section.any_order:
            placed, rest = _filled(cells, columns, room, any_order=True)
        elif not rest:
            placed, rest = _filled(cells, columns, min(room, _even_height(cells, width)))
        lowest = max((bottom for _, bottom in placed), default=0.0)
        shown = [cell.at((0.0, -above)) for cell, _ in placed]
        shown = [head, *shown] if head else shown
        return _Band(section.label, section.title, self.used, alone, tuple(shown), above + lowest), rest


def _columns(cells: Sequence[Cell], width: float) -> int:
    return max(1, int((width + COLUMN_GAP) / (max(cell.width for cell in cells) + COLUMN_GAP)))


def _filled(
    cells: Sequence[Cell], columns: int, height: float, any_order: bool = False
) -> tuple[list[tuple[Cell, float]], list[Cell]]:
    """Cells at their places in columns of this height, each with its lower end below the top (mm); and those left over.

    A cell that is higher is left over, but for the first: no page has room for that. In `any_order` a cell for which
    there is no room lets later ones go first.
    """
    across = max(cell.width for cell in cells) + COLUMN_GAP
    placed: list[tuple[Cell, float]] = []
    rest = list(cells)
    column, y = 0, 0.0
    while rest and column < columns:
        choice = range(len(rest) if any_order else 1)
        fitting = next((index for index in choice if y + rest[index].height <= height + 1e-6), None)
        if fitting is None and (y or placed):
            if not y:
                break
            column, y = column + 1, 0.0
            continue
        cell = rest.pop(fitting or 0)
        placed.append((cell.at((column * across, -y)), y + cell.height))
        y += cell.height + ROW_GAP
    return placed, rest


def _even_height(cells: Sequence[Cell], width: float) -> float:
    """The least height at which all cells go into the columns of this width."""
    columns = _columns(cells, width)
    low, high = max(cell.height for cell in cells), math.fsum(cell.height + ROW_GAP for cell in cells)
    while high - low > BALANCED:
        middle = (low + high) / 2
        low, high = (middle, high) if _filled(cells, columns, middle)[1] else (low, middle)
    return high


def flowing_pages(layout: PageLayout, bike: str, sections: Sequence[Section]) -> tuple[Page, ...]:
    """Return the sections on pages that bear the bike's name; a section without cells is left out."""
    poured = _Pages(layout.picture_size)
    for section in sections:
        poured.pour(section)
    pages = poured.pages
    labels = [band.label for page in pages for band in page]
    seen: dict[str, int] = {}
    found = []
    for page in pages:
        names = []
        for band in page:
            seen[band.label] = seen.get(band.label, 0) + 1
            names.append(f"{band.label} {seen[band.label]}" if labels.count(band.label) > 1 else band.label)
        found.append(_page(layout, page, ", ".join(names), bike))
    return tuple(found)


def _page(layout: PageLayout, bands: Sequence[_Band], name: str, bike: str) -> Page:
    lowest = max(band.top + band.title_room + band.height for band in bands)
    own = shorten_roll(layout, max(lowest, SHORTEST))
    items = (*page_frame(own, name, bike), *(item for band in bands for item in _band_items(own, band)))
    return Page(own.width, own.height, items, name, name.capitalize())


def _band_items(layout: PageLayout, band: _Band) -> Iterator[DisplayItem]:
    x0, _, x1, y1 = layout.picture
    top = y1 - band.top
    yield from title_above(layout, band.title) if band.above else page_title(layout, band.title, top)
    if band.top:
        line = top + SECTION_GAP / 2 - 0.5
        yield Path(((x0, line), (x1, line)), line_width=0.5)
    for cell in band.cells:
        yield from cell_items(cell, (x0, top - band.title_room))
