"""Torque cards: one a job. N·m first and large, pound-force units after it, then how and with what."""

from __future__ import annotations

from boardmaker.figures.figure import Figure, Words
from boardmaker.figures.lettering import NAME, PAD, SMALL, TEXT, broken, printable
from boardmaker.figures.table import Cell, beside, framed, in_columns, stacked, words_cell
from boardmaker.figures.wording import row_details, torque_lbf_lines, torque_nm_lines
from boardmaker.inputs.model import TorqueRow
from boardmaker.service import TorqueCard

WHAT_WIDTH = 46.0
TORQUE_WIDTH = 26.0
BETWEEN = 2.0  # mm from what is tightened to its torque
BESIDE = TORQUE_WIDTH + BETWEEN + 4 * PAD  # what a row takes beside its words
NARROWEST_WHAT = 26.0  # mm; in a narrower row the torque stands below


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


def torque_rows(card: TorqueCard, width: float = WHAT_WIDTH + BESIDE) -> tuple[Cell, ...]:
    """Return one row a tightening point, at most `width` mm wide: the torque beside what it is for, or below it."""
    beside_it = width - BESIDE >= NARROWEST_WHAT
    return tuple(_row(row, width - BESIDE) if beside_it else _narrow_row(row, width - 2 * PAD) for row in card.rows)


def _row(row: TorqueRow, what_width: float) -> Cell:
    return beside([words_cell(_what(row, what_width), what_width + 2 * PAD), _torque(row)], BETWEEN)


def _narrow_row(row: TorqueRow, width: float) -> Cell:
    return stacked([words_cell(_what(row, width)), _torque(row)], gap=0.4)


def _what(row: TorqueRow, width: float) -> list[Words]:
    """What is tightened, where, how and with what."""
    what = [Words(line, TEXT) for line in broken(printable(row.what, row.key), TEXT, width)]
    details = " · ".join([part for part in (row.where_on_bike,) if part] + [*row_details(row)])
    return what + [Words(line, SMALL, grey=0.15) for line in broken(printable(details), SMALL, width)]


def _torque(row: TorqueRow) -> Cell:
    lines = [Words(line, TEXT, bold=True) for line in torque_nm_lines(row.torque)]
    lines += [Words(line, SMALL) for line in torque_lbf_lines(row.torque)]
    return words_cell(lines, TORQUE_WIDTH + 2 * PAD)
