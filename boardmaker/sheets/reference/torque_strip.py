"""The torque strip: a card a job, each in a frame to cut out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from boardmaker.drawing import Page, Path
from boardmaker.figures.torque_card import safety_cells, torque_rows
from boardmaker.geometry import box_ring
from boardmaker.model import Setup
from boardmaker.problems import Problem, ProblemsFound, error
from boardmaker.service import TorqueCard, Work
from boardmaker.service.torque.adapter import Adapter
from boardmaker.sheets.paper import WORDS_LENGTH, PageLayout, lay_page, shorten_roll
from boardmaker.sheets.reference.flowing import Section, flowing_pages
from boardmaker.sheets.reference.pages import card_width
from boardmaker.typeset.label import Words
from boardmaker.typeset.lettering import NAME, SMALL, broken, printable
from boardmaker.typeset.table import Cell, stacked, words_cell
from boardmaker.wording.cautions import TORQUE_CAUTION
from boardmaker.wording.numbers import decimal
from boardmaker.wording.torques import TorqueStyle

INSET = 2.5
ROW_GAP = 1.6  # mm between two rows of a card
PART_GAP = 2.2  # mm between its title, its rows and its caution
LEAST_CARD = 36.0  # mm, where the user chooses: room for the longest torque
STRIP_STYLE = TorqueStyle(in_words=True)


def torque_section(
    layout: PageLayout, work: Work, width: float | None = None, style: TorqueStyle = STRIP_STYLE
) -> Section:
    """Return the torque strip: a card a job, each in a frame to cut out, `width` mm wide or as wide as reads well.

    Raises ProblemsFound for a card that is too narrow to read or wider than the page.
    """
    most, _ = layout.picture_size
    if width is not None and not LEAST_CARD <= width <= most:
        raise ProblemsFound([_no_card_width(width, most)])
    wide = width or card_width(most)

    def cards(height: float) -> list[Cell]:
        return [piece for card in work.cards for piece in _card(card, wide, height, style)]

    return Section("torque", f"Torque strip: {printable(work.bike.name, work.bike.file)}", cards, any_order=True)


def _no_card_width(wanted: float, most: float) -> Problem:
    return error(
        f"a torque card of {wanted:g} mm cannot be printed: this paper takes {LEAST_CARD:g} to {most:.0f} mm",
        hint="choose another --width, or larger --paper",
    )


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
    """A card in a frame, in several pieces where it is longer than a page.

    The first one is what the others have no room for: it may go on a page that has room left, and they come after it.
    """
    inner = width - 2 * INSET
    heading = f"Torque: {printable(card.name, card.key)}"
    continued = f"{heading} (continued)"
    caution = _caution(card, inner, style)
    room = height - 2 * INSET - caution.height - _title(continued, inner).height - 2 * PART_GAP
    pieces: list[list[Cell]] = [[]]
    for row in reversed(torque_rows(card, inner, style)):
        if pieces[0] and sum(cell.height + ROW_GAP for cell in pieces[0]) + row.height > room:
            pieces.insert(0, [])
        pieces[0].insert(0, row)
    for number, piece in enumerate(pieces):
        yield _framed_card(continued if number else heading, piece, caution, width)


def _caution(card: TorqueCard, width: float, style: TorqueStyle) -> Cell:
    notes = [TORQUE_CAUTION] + ([adapter_note(style.adapter)] if style.adapter else [])
    paragraphs = [words_cell([Words(line, SMALL) for line in broken(note, SMALL, width)]) for note in notes]
    return stacked([*safety_cells(card, width), *paragraphs], gap=1.2)


def _title(heading: str, width: float) -> Cell:
    return words_cell([Words(line, NAME, bold=True) for line in broken(heading, NAME, width, bold=True)])


def _framed_card(heading: str, rows: Sequence[Cell], caution: Cell, width: float) -> Cell:
    parts = [_title(heading, width - 2 * INSET), stacked(rows, gap=ROW_GAP, ruled=True), caution]
    inner = stacked(parts, gap=PART_GAP)
    height = inner.height + 2 * INSET
    frame = Path(box_ring(0.0, -height, width, 0.0), closed=True, line_width=0.35)
    content = inner.at((INSET, -INSET))
    return Cell(width, height, content.labels, (frame, *content.marks))


def lay_torque_strip(
    work: Work, setup: Setup, card_width: float | None = None, style: TorqueStyle = STRIP_STYLE
) -> tuple[Page, ...]:
    """Return the pages of the torque strip alone; none where no job has a torque row.

    Cards are `card_width` mm wide, else as wide as reads well. Raises ProblemsFound for a width that cannot be.
    """
    layout = shorten_roll(lay_page(setup), WORDS_LENGTH)
    section = torque_section(layout, work, card_width, style)
    return flowing_pages(layout, printable(work.bike.name, work.bike.file), [section])
