"""Pages of words to have beside the bike: rows under a title, among them the order of removal and the screw key."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from boardmaker.drawing import DisplayItem, Page, Path
from boardmaker.figures.screw_key import screw_key_rows
from boardmaker.geometry import Point
from boardmaker.service import Work
from boardmaker.sheets.furniture import page_frame
from boardmaker.sheets.page_title import TITLE_HEIGHT, page_title, title_above
from boardmaker.sheets.paper import PageLayout
from boardmaker.sheets.reference.order import order_caution, order_picture, order_rows
from boardmaker.typeset.flow import COLUMN_GAP, cell_items, pour
from boardmaker.typeset.lettering import printable
from boardmaker.typeset.table import Cell
from boardmaker.wording.board_places import Pockets

NARROWEST_CARD = 80.0  # mm, where the width is ours to choose


def order_pages(layout: PageLayout, work: Work, pockets: Pockets | None = None) -> tuple[Page, ...]:
    """Return the order of removal with all notes of the bike file; none where nothing comes off.

    `pockets` are those on the boards by `panel/hole`, where figures lie on boards.
    """
    if not work.steps:
        return ()
    width = card_width(layout.picture_size[0])
    rows = [order_caution(width), *order_rows(work, width, pockets)]
    what = f"Order of removal: {printable(work.bike.name, work.bike.file)}"
    return titled_pages(layout, lambda _: rows, "order", what, order_picture(work, layout.picture_size))


def card_width(width: float) -> float:
    """Return the width in mm for two columns of cards where there is room to read them, else for one."""
    return (width - COLUMN_GAP) / 2 if width >= 2 * NARROWEST_CARD + COLUMN_GAP else width


def screw_key_pages(layout: PageLayout, work: Work, material: str) -> tuple[Page, ...]:
    """Return the screw key, at true size."""
    rows = screw_key_rows(work, material, layout.picture_size[0])
    what = f"Screw key, true to size: {printable(work.bike.name, work.bike.file)}"
    return titled_pages(layout, lambda _: rows, "key", what)


def titled_pages(
    layout: PageLayout, cells: Callable[[float], Sequence[Cell]], label: str, what: str, head: Cell | None = None
) -> tuple[Page, ...]:
    """Return cells that are made for a height on pages below a title, or above the picture where it costs a page.

    `head` stands above the columns of the first page.
    """
    width, height = layout.picture_size
    full, below = (pour(cells(room), width, room, head) for room in (height, height - TITLE_HEIGHT))
    titled = len(below) <= len(full) and all(_ends_within(page, height - TITLE_HEIGHT) for page in below)
    poured, top = (below, layout.picture[3] - TITLE_HEIGHT) if titled else (full, layout.picture[3])
    title = tuple((page_title if titled else title_above)(layout, what))
    pages = []
    for number, page in enumerate(poured, start=1):
        name = label if len(poured) == 1 else f"{label} {number}"
        items = (*page_frame(layout, name, what), *title, *_items(page, (layout.picture[0], top)))
        pages.append(Page(layout.width, layout.height, items, name, name.capitalize()))
    return tuple(pages)


def _ends_within(cells: Sequence[Cell], height: float) -> bool:
    """Whether nothing of a page's cells reaches below its picture."""
    boxes = [label.box for cell in cells for label in cell.labels]
    marks = [y for cell in cells for mark in cell.marks if isinstance(mark, Path) for _, y in mark.points]
    return min([*(box[1] for box in boxes), *marks], default=0.0) >= -height - 1e-6


def _items(cells: Sequence[Cell], top_left: Point) -> Iterator[DisplayItem]:
    for cell in cells:
        yield from cell_items(cell, top_left)
