"""Torque cards: one a job. The torque as written first and large, another unit after it, then how and with what."""

from __future__ import annotations

from functools import lru_cache

from boardmaker.figures.figure import Figure
from boardmaker.figures.framed import framed
from boardmaker.model import TorqueRow
from boardmaker.service import TorqueCard
from boardmaker.service.torque.adapter import Adapter
from boardmaker.typeset.label import Words
from boardmaker.typeset.lettering import PAD, broken, printable
from boardmaker.typeset.table import Cell, beside, in_columns, stacked, words_cell
from boardmaker.typeset.type_sizes import BOARD_TYPE, TypeSizes
from boardmaker.wording.torque_rows import marked_name, row_details, safety_caution, stage_notes
from boardmaker.wording.torques import (
    TorqueStyle,
    torque_second_lines,
    torque_set_lines,
    torque_written_lines,
)

WHAT_WIDTH = 54.0  # mm in the usual type, as all widths here
TORQUE_WIDTH = 32.0
SET_GAP = 0.8
BETWEEN = 2.0  # mm from what is tightened to its torque
SET_WIDTH = 36.0  # mm of the torque's column with what to set on a wrench with an adapter under it
HEADING_WIDTH = 70.0
BESIDE = TORQUE_WIDTH + BETWEEN + 4 * PAD  # what a row takes beside its words
PLAIN = TorqueStyle()
NARROWEST_WHAT = 26.0  # mm; in a narrower row the torque stands below


@lru_cache(maxsize=256)  # the same at every scale
def draw_torque_card(card: TorqueCard, sizes: TypeSizes) -> tuple[Figure, ...]:
    """Return the card in one column, and in two where it has the rows for them."""
    rows = torque_rows(card, sizes.wide(WHAT_WIDTH + BESIDE), PLAIN, sizes)
    lines = broken(_heading(card), sizes.text, sizes.wide(HEADING_WIDTH), bold=True)
    heading = words_cell([Words(line, sizes.text, bold=True) for line in lines])
    tables = [in_columns(rows, columns) for columns in (1, 2) if columns <= max(1, len(rows) // 2)]
    return tuple(
        framed(
            "torque card",
            card.key,
            stacked([heading, table, *safety_cells(card, table.width, sizes)], gap=1.6),
            wish=(0.0, 0.0),
        )
        for table in tables
    )


def _heading(card: TorqueCard) -> str:
    return f"Torque: {printable(card.name, card.key)}"


def safety_cells(card: TorqueCard, width: float, sizes: TypeSizes = BOARD_TYPE) -> tuple[Cell, ...]:
    """Return what stands below the rows of which some bear the mark of brakes and steering; nothing without any."""
    caution = safety_caution(card.rows)
    lines = broken(caution, sizes.small, width - 2 * PAD) if caution else ()
    return (words_cell([Words(line, sizes.small) for line in lines]),) if lines else ()


def torque_rows(
    card: TorqueCard, width: float, style: TorqueStyle = PLAIN, sizes: TypeSizes = BOARD_TYPE
) -> tuple[Cell, ...]:
    """Return one row a tightening point, at most `width` mm wide: the torque beside what it is for, or below it."""
    torque_width = sizes.wide(SET_WIDTH if style.adapter else TORQUE_WIDTH)
    what_width = width - BETWEEN - 4 * PAD - torque_width
    torques = [_torque(row, style, torque_width, sizes) for row in card.rows]
    beside_it = what_width >= sizes.wide(NARROWEST_WHAT)
    words = [_what(row, what_width if beside_it else width - 2 * PAD, sizes) for row in card.rows]
    if beside_it:
        cells = [words_cell(lines, what_width + 2 * PAD) for lines in words]
        return tuple(beside([cell, torque], BETWEEN) for cell, torque in zip(cells, torques, strict=True))
    return tuple(stacked([words_cell(lines), torque], gap=0.4) for lines, torque in zip(words, torques, strict=True))


def _what(row: TorqueRow, width: float, sizes: TypeSizes) -> list[Words]:
    """What is tightened, where, how and with what."""
    name = marked_name(row, printable(row.what, row.key))
    what = [Words(line, sizes.small, bold=True) for line in broken(name, sizes.small, width, bold=True)]
    details = " · ".join([part for part in (row.where_on_bike,) if part] + [*row_details(row), *stage_notes(row)])
    return what + [Words(line, sizes.small) for line in broken(printable(details), sizes.small, width)]


def _torque(row: TorqueRow, style: TorqueStyle, width: float, sizes: TypeSizes) -> Cell:
    """As written, the second unit, and apart from them what to set with an adapter on: never to be taken for it."""
    stages = torque_written_lines(row.torque)
    broken_stages = [line for stage in stages for line in broken(stage, sizes.text, width, bold=True)]
    lines = [Words(line, sizes.text, bold=True) for line in broken_stages]
    seconds = torque_second_lines(row.torque, style)
    lines += [Words(line, sizes.small) for second in seconds for line in broken(second, sizes.small, width)]
    true = words_cell(lines, width + 2 * PAD)
    return stacked([true, words_cell(_to_set(row, style, style.adapter, sizes))], SET_GAP) if style.adapter else true


def _to_set(row: TorqueRow, style: TorqueStyle, adapter: Adapter, sizes: TypeSizes) -> list[Words]:
    lines = [Words(line, sizes.text) for line in torque_set_lines(row.torque, adapter)]
    second = () if style.unit == "none" else torque_set_lines(row.torque, adapter, style.unit)
    return lines + [Words(line, sizes.small) for line in second]
