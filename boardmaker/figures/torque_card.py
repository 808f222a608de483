"""Torque cards: one a job. N·m first and large, pound-force units after it, then how and with what."""

from __future__ import annotations

from boardmaker.figures.figure import Figure, Words
from boardmaker.figures.lettering import NAME, SMALL, TEXT, broken, printable
from boardmaker.figures.table import Cell, beside, framed, in_columns, stacked, words_cell
from boardmaker.figures.wording import row_details, torque_lbf_lines, torque_nm_lines
from boardmaker.inputs.model import TorqueRow
from boardmaker.service import TorqueCard

WHAT_WIDTH = 46.0
TORQUE_WIDTH = 26.0


def draw_torque_card(card: TorqueCard) -> tuple[Figure, ...]:
    """Return the card in one column, and in two where it has the rows for them."""
    rows = torque_rows(card)
    heading = words_cell([Words(line, NAME, bold=True) for line in broken(_heading(card), NAME, 70.0, bold=True)])
    return tuple(
        framed("torque card", card.key, stacked([heading, in_columns(rows, columns)], gap=1.6), wish=(0.0, 0.0))
        for columns in (1, 2)
        if columns <= max(1, len(rows) // 2)
    )


def _heading(card: TorqueCard) -> str:
    return f"Torque: {printable(card.name, card.key)}"


def torque_rows(card: TorqueCard, what_width: float = WHAT_WIDTH) -> tuple[Cell, ...]:
    """Return one row a tightening point."""
    return tuple(_row(row, what_width) for row in card.rows)


def _row(row: TorqueRow, what_width: float) -> Cell:
    what = [Words(line, TEXT) for line in broken(printable(row.what, row.key), TEXT, what_width)]
    details = " · ".join([part for part in (row.where_on_bike,) if part] + [*row_details(row)])
    what += [Words(line, SMALL, grey=0.15) for line in broken(printable(details), SMALL, what_width)]
    return beside([words_cell(what, what_width + 0.8), _torque(row)])


def _torque(row: TorqueRow) -> Cell:
    lines = [Words(line, TEXT, bold=True) for line in torque_nm_lines(row.torque)]
    lines += [Words(line, SMALL) for line in torque_lbf_lines(row.torque)]
    return words_cell(lines, TORQUE_WIDTH + 0.8)
