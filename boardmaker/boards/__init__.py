"""One board set: what the bike's figures are on which boards, at which scale, lying where.

In: the work, the setup, what the user asked for. Out: a `BoardSet` with its sheets, and the board file of it. Here the
figures and the packing engine, which know nothing of each other, meet: the scale and the number of boards are searched,
earlier boards are packed again.
"""

from boardmaker.boards.board_set import Board, BoardSet
from boardmaker.boards.build import build_boards, repack_boards
from boardmaker.boards.options import MOST_BOARDS, BoardOptions, PrintAs

__all__ = ["MOST_BOARDS", "Board", "BoardOptions", "BoardSet", "PrintAs", "build_boards", "repack_boards"]
