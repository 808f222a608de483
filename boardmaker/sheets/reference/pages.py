"""Pages of words to have beside the bike: what stands in their sections order of removal and screw key."""

from __future__ import annotations

from boardmaker.figures.screw_key import screw_key_rows
from boardmaker.figures.style import BoardStyle
from boardmaker.service import Work
from boardmaker.sheets.paper import PageLayout
from boardmaker.sheets.reference.flowing import Section
from boardmaker.sheets.reference.order import order_caution, order_picture, order_rows
from boardmaker.typeset.flow import COLUMN_GAP
from boardmaker.typeset.lettering import printable
from boardmaker.wording.board_places import Pockets

NARROWEST_CARD = 80.0  # mm, where the width is ours to choose


def order_section(layout: PageLayout, work: Work, style: BoardStyle, pockets: Pockets | None = None) -> Section:
    """Return the order of removal with all notes of the bike file; no cells where nothing comes off.

    The picture of the bike is in the boards' style; `pockets` are those on the boards by `panel/hole`, where
    figures lie on boards.
    """
    width = card_width(layout.picture_size[0])
    rows = (
        [
            order_caution(work, width, pockets),
            *order_rows(work, width, pockets),
        ]
        if work.steps
        else []
    )
    what = f"Order of removal: {printable(work.bike.name, work.bike.file)}"
    head = order_picture(work, layout.picture_size, style) if work.steps else None
    return Section("order", what, lambda _: rows, head)


def card_width(width: float) -> float:
    """Return the width in mm of as many columns of cards as there is room to read."""
    columns = max(1, int((width + COLUMN_GAP) / (NARROWEST_CARD + COLUMN_GAP)))
    return (width - COLUMN_GAP * (columns - 1)) / columns


def screw_key_section(layout: PageLayout, work: Work, material: str) -> Section:
    """Return the screw key, at true size."""
    rows = screw_key_rows(work, material, layout.picture_size[0])
    return Section("key", f"Screw key, true to size: {printable(work.bike.name, work.bike.file)}", lambda _: rows)
