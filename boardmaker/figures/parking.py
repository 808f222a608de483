"""Parking: pockets for screws that were found in the wrong hole, or have none, each with a line to write on."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from functools import lru_cache

from boardmaker.display_list import Path
from boardmaker.figures.figure import Figure, Pocket
from boardmaker.figures.framed import framed
from boardmaker.figures.material import pocket_hole
from boardmaker.model import BoardSetup, Fastener
from boardmaker.service import Work
from boardmaker.typeset.label import Words
from boardmaker.typeset.table import Cell, stacked, words_cell
from boardmaker.typeset.type_sizes import TypeSizes

PLACES = 6
WRITING_ROOM = 7.0  # mm under a pocket for a word in pencil, with the line that it stands on
BELOW_LINE = 2.0  # mm of it below the line, which belongs to the pocket above and not to the next one
COLUMNS = (2, 3, 6)


def draw_parking(work: Work, board: BoardSetup, sizes: TypeSizes) -> tuple[Figure, ...]:
    """Return the parking in two, three or six columns; nothing where no fastener comes off."""
    kinds = _commonest(work)
    if not kinds:
        return ()
    return _parkings(kinds, board, sizes)


@lru_cache(maxsize=16)  # the same at every scale
def _parkings(kinds: tuple[Fastener, ...], board: BoardSetup, sizes: TypeSizes) -> tuple[Figure, ...]:
    return tuple(_parking(kinds, board, columns, sizes) for columns in COLUMNS)


def _commonest(work: Work) -> tuple[Fastener, ...]:
    """Six fasteners to size the pockets by: the commonest kinds, in turn, from thin to thick."""
    counts = Counter(freed.fastener.key for freed in work.freed)
    used = [fastener for fastener in work.bike.fasteners if counts[fastener.key]]
    common = sorted(used, key=lambda fastener: -counts[fastener.key])[:3]
    chosen = [common[place % len(common)] for place in range(PLACES)] if common else []
    return tuple(sorted(chosen, key=lambda fastener: fastener.diameter))


def _parking(kinds: Sequence[Fastener], board: BoardSetup, columns: int, sizes: TypeSizes) -> Figure:
    heading = [Words("Wrong hole, or no hole", sizes.text, bold=True)]
    if columns == COLUMNS[0]:
        heading = [Words("Wrong hole,", sizes.text, bold=True), Words("or no hole", sizes.text, bold=True)]
    caption = words_cell([*heading, Words("write where it was found", sizes.small)])
    return framed("parking", "", stacked([caption, _pockets(kinds, board, columns)], gap=2.0), wish=(1.0, 0.5))


def _pockets(kinds: Sequence[Fastener], board: BoardSetup, columns: int) -> Cell:
    widest = max(kind.head.diameter for kind in kinds)
    across = widest + max(board.finger_room, 4.0)
    down = widest + WRITING_ROOM + max(board.finger_room - WRITING_ROOM, 0.5)
    pockets, lines = [], []
    for place, kind in enumerate(kinds):
        x = (place % columns + 0.5) * across
        y = -(place // columns) * down - widest / 2
        pockets.append(Pocket("", 0, "", (x, y), (x, y), pocket_hole(kind, board.material), kind.head.diameter))
        low = y - widest / 2 - WRITING_ROOM + BELOW_LINE
        lines.append(Path(((x - widest / 2, low), (x + widest / 2, low)), line_width=0.18))
    rows = -(-len(kinds) // columns)
    return Cell(across * columns, down * rows, marks=tuple(lines), carried=tuple(pockets))
