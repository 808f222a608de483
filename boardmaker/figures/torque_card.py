"""Torque cards: one a job. The torque as written first and large, another unit after it, then how and with what."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from boardmaker.figures.figure import Figure
from boardmaker.figures.framed import framed
from boardmaker.model import TorqueRow
from boardmaker.service import TorqueCard
from boardmaker.service.torque.adapter import Adapter
from boardmaker.typeset.label import Words
from boardmaker.typeset.lettering import PAD, broken, printable
from boardmaker.typeset.run_around import Paragraph, run_around
from boardmaker.typeset.table import Cell, in_columns, stacked, words_cell
from boardmaker.typeset.type_sizes import BOARD_TYPE, TypeSizes
from boardmaker.wording.torque_rows import marked_name, row_details, safety_caution, stage_notes
from boardmaker.wording.torques import (
    TorqueStyle,
    torque_second_of_stages,
    torque_set_lines,
    torque_written_lines,
)

TORQUE_WIDTH = 33.0  # mm in the usual type, as all widths here
SET_GAP = 0.8
BETWEEN = 2.0  # mm from what is tightened to its torque
SET_WIDTH = 36.0  # mm of the torque's column with what to set on a wrench with an adapter under it
CARD_WIDTHS = tuple(map(float, range(52, 82, 2)))  # mm of a column; what takes least of a board is taken
ROW_GAP = 1.0  # mm between two rows; the air of their words adds to it
PLAIN = TorqueStyle()
NARROWEST_WHAT = 26.0  # mm; in a narrower row the torque stands below


@lru_cache(maxsize=256)  # the same at every scale
def draw_torque_card(card: TorqueCard, sizes: TypeSizes) -> tuple[Figure, ...]:
    """Return the card in one column, and in two where it has the rows for them, each as small as it goes."""
    rows = [torque_rows(card, sizes.wide(width), PLAIN, sizes) for width in CARD_WIDTHS]
    counts = [count for count in (1, 2) if count <= max(1, len(card.rows) // 2)]
    tables = [min((_table(card, one, count, sizes) for one in rows), key=_area) for count in counts]
    return tuple(framed("torque card", card.key, table, wish=(0.0, 0.0)) for table in tables)


def _table(card: TorqueCard, rows: Sequence[Cell], columns: int, sizes: TypeSizes) -> Cell:
    """The card with its heading and its caution, no wider than its rows."""
    gap = sizes.wide(ROW_GAP)
    table = in_columns(rows, columns, gap)
    lines = broken(_heading(card), sizes.text, table.width - 2 * PAD, bold=True)
    heading = words_cell([Words(line, sizes.text, bold=True) for line in lines])
    return stacked([heading, table, *safety_cells(card, table.width, sizes)], gap)


def _area(cell: Cell) -> float:
    return cell.width * cell.height


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
    torques = [_torque(row, style, torque_width, sizes) for row in card.rows]
    widest = max((torque.width for torque in torques), default=0.0)
    if width - widest < sizes.wide(NARROWEST_WHAT):
        words = [
            [
                Words(line, height, bold)
                for text, height, bold in _what(row, sizes)
                for line in broken(text, height, width - 2 * PAD, bold)
            ]
            for row in card.rows
        ]
        return tuple(
            stacked([words_cell(lines), torque], gap=0.4) for lines, torque in zip(words, torques, strict=True)
        )
    level = [torque.sized(widest) for torque in torques]
    return tuple(run_around(_what(row, sizes), torque, width) for row, torque in zip(card.rows, level, strict=True))


def _what(row: TorqueRow, sizes: TypeSizes) -> list[Paragraph]:
    """What is tightened, where, how and with what."""
    name = marked_name(row, printable(row.what, row.key))
    details = " · ".join([part for part in (row.where_on_bike,) if part] + [*row_details(row), *stage_notes(row)])
    return [(name, sizes.small, True), (printable(details), sizes.small, False)]


def _torque(row: TorqueRow, style: TorqueStyle, width: float, sizes: TypeSizes) -> Cell:
    """As written, the second unit, and apart from them what to set with an adapter on: never to be taken for it."""
    stages = torque_written_lines(row.torque)
    lines: list[Words] = []
    for stage, second in zip(stages, torque_second_of_stages(row.torque, style), strict=True):
        lines += [Words(line, sizes.text, bold=True) for line in broken(stage, sizes.text, width, bold=True)]
        lines += [Words(line, sizes.small) for line in broken(second, sizes.small, width) if line]
    true = words_cell(lines)
    return stacked([true, words_cell(_to_set(row, style, style.adapter, sizes))], SET_GAP) if style.adapter else true


def _to_set(row: TorqueRow, style: TorqueStyle, adapter: Adapter, sizes: TypeSizes) -> list[Words]:
    lines = [Words(line, sizes.text) for line in torque_set_lines(row.torque, adapter)]
    second = () if style.unit == "none" else torque_set_lines(row.torque, adapter, style.unit)
    return lines + [Words(line, sizes.small) for line in second]
