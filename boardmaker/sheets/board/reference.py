"""Pages to have beside the bike: the order of removal, the screw key, the torque strip."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from boardmaker.drawing import DisplayItem, Page, Path
from boardmaker.figures.screw_key import screw_key_rows
from boardmaker.figures.torque_card import torque_rows
from boardmaker.geometry import Point, box_ring
from boardmaker.problems import Problem, ProblemsFound, error
from boardmaker.service import TorqueCard, Work
from boardmaker.service.torque.adapter import Adapter
from boardmaker.sheets.board.order import order_caution, order_rows
from boardmaker.sheets.furniture import page_frame
from boardmaker.sheets.page_title import TITLE_HEIGHT, page_title, title_above
from boardmaker.sheets.paper import PageLayout
from boardmaker.typeset.flow import COLUMN_GAP, cell_items, pour
from boardmaker.typeset.label import Words
from boardmaker.typeset.lettering import NAME, SMALL, broken, printable
from boardmaker.typeset.table import Cell, stacked, words_cell
from boardmaker.wording.cautions import TORQUE_CAUTION
from boardmaker.wording.numbers import decimal
from boardmaker.wording.torques import TorqueStyle

INSET = 2.5
ROW_GAP = 1.6  # mm between two rows of a card
PART_GAP = 2.2  # mm between its title, its rows and its caution
NARROWEST_CARD = 80.0  # mm, where the width is ours to choose
LEAST_CARD = 36.0  # mm, where the user chooses: room for the longest torque
STRIP_STYLE = TorqueStyle(in_words=True)


def torque_pages(
    layout: PageLayout, work: Work, card_width: float | None = None, style: TorqueStyle = STRIP_STYLE
) -> tuple[Page, ...]:
    """Return the torque strip: a card a job, each in a frame to cut out, `card_width` mm wide.

    Raises ProblemsFound for a card that is too narrow to read or wider than the page.
    """
    width, _ = layout.picture_size
    if card_width is not None and not LEAST_CARD <= card_width <= width:
        raise ProblemsFound([_no_card_width(card_width, width)])
    wide = card_width or _card_width(width)

    def cards(height: float) -> list[Cell]:
        return [piece for card in work.cards for piece in _card(card, wide, height, style)]

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
    return _pages(layout, lambda _: rows, "order", f"Order of removal: {printable(work.bike.name, work.bike.file)}")


def _card_width(width: float) -> float:
    """Two columns of cards where there is room to read them, else one."""
    return (width - COLUMN_GAP) / 2 if width >= 2 * NARROWEST_CARD + COLUMN_GAP else width


def screw_key_pages(layout: PageLayout, work: Work, material: str) -> tuple[Page, ...]:
    """Return the screw key, at true size."""
    rows = screw_key_rows(work, material)
    what = f"Screw key, true to size: {printable(work.bike.name, work.bike.file)}"
    return _pages(layout, lambda _: rows, "key", what)


def _pages(layout: PageLayout, cells: Callable[[float], Sequence[Cell]], label: str, what: str) -> tuple[Page, ...]:
    """Pour the cells that are made for a height, below a title; above the picture where it would cost a page more."""
    width, height = layout.picture_size
    full, below = (pour(cells(room), width, room) for room in (height, height - TITLE_HEIGHT))
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


def adapter_note(adapter: Adapter) -> str:
    """Return what "set" means, and how the two lengths are measured."""
    angle = f" at {decimal(adapter.angle_deg)}° to it" if adapter.angle_deg else " straight on"
    tools = f"a wrench of {decimal(adapter.wrench)} mm with an adapter of {decimal(adapter.length)} mm{angle}"
    return (
        f"“Set” is for {tools}, and for nothing else. The wrench is measured from the middle of its square drive to "
        "the middle of the grip, where the hand pulls; the adapter from the middle of the drive to the middle of the "
        "nut. With the adapter at 90° to the wrench nothing changes: set the torque itself."
    )


def _card(card: TorqueCard, width: float, height: float, style: TorqueStyle) -> Iterator[Cell]:
    """A card in a frame, in several pieces where it is longer than a page."""
    inner = width - 2 * INSET
    heading = f"Torque: {printable(card.name, card.key)}"
    continued = f"{heading} (continued)"
    caution = _caution(inner, style)
    room = height - 2 * INSET - caution.height - _title(continued, inner).height - 2 * PART_GAP
    piece: list[Cell] = []
    for row in torque_rows(card, inner, style):
        if piece and sum(cell.height + ROW_GAP for cell in piece) + row.height > room:
            yield _framed_card(heading, piece, caution, width)
            piece, heading = [], continued
        piece.append(row)
    yield _framed_card(heading, piece, caution, width)


def _caution(width: float, style: TorqueStyle) -> Cell:
    notes = [TORQUE_CAUTION] + ([adapter_note(style.adapter)] if style.adapter else [])
    paragraphs = [[Words(line, SMALL) for line in broken(note, SMALL, width)] for note in notes]
    return stacked([words_cell(paragraph) for paragraph in paragraphs], gap=1.2)


def _title(heading: str, width: float) -> Cell:
    return words_cell([Words(line, NAME, bold=True) for line in broken(heading, NAME, width, bold=True)])


def _framed_card(heading: str, rows: Sequence[Cell], caution: Cell, width: float) -> Cell:
    parts = [_title(heading, width - 2 * INSET), stacked(rows, gap=ROW_GAP, ruled=True), caution]
    inner = stacked(parts, gap=PART_GAP)
    height = inner.height + 2 * INSET
    frame = Path(box_ring(0.0, -height, width, 0.0), closed=True, line_width=0.35)
    content = inner.at((INSET, -INSET))
    return Cell(width, height, content.labels, (frame, *content.marks))
