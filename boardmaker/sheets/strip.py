"""Pages to have beside the bike: the order of removal, the screw key, the torque strip."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from boardmaker.drawing import DisplayItem, Page, Path
from boardmaker.figures.cautions import TORQUE_CAUTION
from boardmaker.figures.figure import Words
from boardmaker.figures.lettering import NAME, SMALL, broken, printable
from boardmaker.figures.screw_key import screw_key_rows
from boardmaker.figures.table import Cell, stacked, words_cell
from boardmaker.figures.torque_card import torque_rows
from boardmaker.geometry import box_ring
from boardmaker.problems import Problem, ProblemsFound, error
from boardmaker.service import TorqueCard, Work
from boardmaker.sheets.flow import COLUMN_GAP, cell_items, pour
from boardmaker.sheets.furniture import page_frame
from boardmaker.sheets.order import order_caution, order_rows
from boardmaker.sheets.paper import PageLayout

INSET = 2.5
NARROWEST_CARD = 80.0  # mm, where the width is ours to choose
LEAST_CARD = 36.0  # mm, where the user chooses: room for the longest torque


def torque_pages(layout: PageLayout, work: Work, card_width: float | None = None) -> tuple[Page, ...]:
    """Return the torque strip: a card a job, each in a frame to cut out, `card_width` mm wide.

    Raises ProblemsFound for a card that is too narrow to read or wider than the page.
    """
    width, height = layout.picture_size
    if card_width is not None and not LEAST_CARD <= card_width <= width:
        raise ProblemsFound([_no_card_width(card_width, width)])
    cards = [piece for card in work.cards for piece in _card(card, card_width or _card_width(width), height)]
    return _pages(layout, cards, "torque", f"Torque strip: {printable(work.bike.name, work.bike.file)}")


def _no_card_width(wanted: float, most: float) -> Problem:
    return error(
        f"a torque card of {wanted:g} mm cannot be printed: this paper takes {LEAST_CARD:g} to {most:.0f} mm",
        hint="choose another --width, or larger --paper",
    )


def order_pages(layout: PageLayout, work: Work) -> tuple[Page, ...]:
    """Return the order of removal with all notes of the bike file; none where nothing comes off."""
    if not work.steps:
        return ()
    width = _card_width(layout.picture_size[0])
    rows = [order_caution(width), *order_rows(work, width)]
    return _pages(layout, rows, "order", f"Order of removal: {printable(work.bike.name, work.bike.file)}")


def _card_width(width: float) -> float:
    """Two columns of cards where there is room to read them, else one."""
    return (width - COLUMN_GAP) / 2 if width >= 2 * NARROWEST_CARD + COLUMN_GAP else width


def screw_key_pages(layout: PageLayout, work: Work, material: str) -> tuple[Page, ...]:
    """Return the screw key, at true size."""
    return _pages(
        layout,
        screw_key_rows(work, material),
        "key",
        f"Screw key, true to size: {printable(work.bike.name, work.bike.file)}",
    )


def _pages(layout: PageLayout, cells: Sequence[Cell], label: str, what: str) -> tuple[Page, ...]:
    poured = pour(cells, *layout.picture_size)
    pages = []
    for number, page in enumerate(poured, start=1):
        name = label if len(poured) == 1 else f"{label} {number}"
        items = (*page_frame(layout, name, what), *_items(page, layout))
        pages.append(Page(layout.width, layout.height, items, name, name.capitalize()))
    return tuple(pages)


def _items(cells: Sequence[Cell], layout: PageLayout) -> Iterator[DisplayItem]:
    top_left = layout.picture[0], layout.picture[3]
    for cell in cells:
        yield from cell_items(cell, top_left)


def _card(card: TorqueCard, width: float, height: float) -> Iterator[Cell]:
    """A card in a frame, in several pieces where it is longer than a page."""
    rows = torque_rows(card, width - 2 * INSET)
    heading = f"Torque: {printable(card.name, card.key)}"
    caution = words_cell([Words(line, SMALL) for line in broken(TORQUE_CAUTION, SMALL, width - 2 * INSET)])
    room = height - 2 * INSET - caution.height - 12.0
    piece: list[Cell] = []
    for row in rows:
        if piece and sum(cell.height + 1.6 for cell in piece) + row.height > room:
            yield _framed_card(heading, piece, caution, width)
            piece = []
            heading = f"Torque: {printable(card.name, card.key)} (continued)"
        piece.append(row)
    yield _framed_card(heading, piece, caution, width)


def _framed_card(heading: str, rows: Sequence[Cell], caution: Cell, width: float) -> Cell:
    title = words_cell([Words(line, NAME, bold=True) for line in broken(heading, NAME, width - 2 * INSET, bold=True)])
    inner = stacked([title, stacked(rows, gap=1.6, ruled=True), caution], gap=2.2)
    height = inner.height + 2 * INSET
    frame = Path(box_ring(0.0, -height, width, 0.0), closed=True, line_width=0.35)
    content = inner.at((INSET, -INSET))
    return Cell(width, height, content.labels, (frame, *content.marks))
