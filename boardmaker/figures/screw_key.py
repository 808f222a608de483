"""The screw key: one silhouette at true size, what it is, and the count of each fastener that has a pocket."""

from __future__ import annotations

from collections import Counter
from functools import lru_cache

from boardmaker.display_list import Path
from boardmaker.figures.figure import Figure
from boardmaker.figures.framed import framed
from boardmaker.figures.material import pocket_hole
from boardmaker.figures.silhouette import draw_silhouette, moved
from boardmaker.geometry import box_ring
from boardmaker.model import Fastener
from boardmaker.service import Work
from boardmaker.typeset.label import Words
from boardmaker.typeset.lettering import HEADING, NAME, SMALL, TEXT, broken, printable
from boardmaker.typeset.table import Cell, beside, in_columns, stacked, words_cell
from boardmaker.wording.fasteners import fastener_details, size_text

TEXT_WIDTH = 40.0
LONG = 45.0  # mm; a longer screw would make the picture column too wide for all the others
GAP = 2.0
COLUMNS = (1, 2, 3, 4)
Kinds = tuple[tuple[Fastener, int], ...]


def draw_screw_key(work: Work, material: str) -> tuple[Figure, ...]:
    """Return the screw key in one to four columns; nothing where no fastener comes off."""
    return _key_of(_kinds(work), material)


@lru_cache(maxsize=16)  # the same at every scale
def _key_of(kinds: Kinds, material: str) -> tuple[Figure, ...]:
    cell_rows = _rows(kinds, material)
    counts = [count for count in COLUMNS if count <= max(1, len(cell_rows))]
    return tuple(_key_in(cell_rows, count) for count in counts) if cell_rows else ()


def _key_in(rows: tuple[Cell, ...], columns: int) -> Figure:
    heading = words_cell([Words("Screws, true to size", NAME, bold=True)])
    return framed("screw key", "", stacked([heading, in_columns(rows, columns)], gap=1.6), wish=(0.5, 0.0))


def screw_key_rows(work: Work, material: str) -> tuple[Cell, ...]:
    """Return a row for each kind of fastener that comes off, in the file's order."""
    return _rows(_kinds(work), material)


def _kinds(work: Work) -> Kinds:
    """Each kind of fastener that comes off and how many there are of it."""
    counts = Counter(freed.fastener.key for freed in work.freed)
    return tuple((fastener, counts[fastener.key]) for fastener in work.bike.fasteners if counts[fastener.key])


def _rows(kinds: Kinds, material: str) -> tuple[Cell, ...]:
    used = [fastener for fastener, _ in kinds]
    lengths = [draw_silhouette(fastener).length for fastener in used]
    room = max((length for length in lengths if length <= LONG), default=0.0)
    key_width = max((_key_words(fastener).width for fastener in used), default=0.0)
    return tuple(_row(fastener, pocket_hole(fastener, material), count, key_width, room) for fastener, count in kinds)


def _row(fastener: Fastener, hole: float, count: int, key_width: float, room: float) -> Cell:
    """Key, picture, words, count; a long screw lies above its words, so that the columns stay narrow."""
    side_view = draw_silhouette(fastener)
    picture = Cell(side_view.length, side_view.height, marks=moved(side_view, (0.0, -side_view.height / 2)))
    key = _key_cell(fastener, key_width)
    words = [_text(fastener), _count(count, hole)]
    if side_view.length > LONG:
        return beside([key, stacked([picture, beside([Cell(room, 0.0), *words], GAP)], gap=0.6)], GAP)
    return beside([key, Cell(room, picture.height, marks=picture.marks), *words], GAP)


def _key_cell(fastener: Fastener, width: float) -> Cell:
    """The key in a box, as large as it can be read from a step away."""
    words = _key_words(fastener)
    frame = Path(box_ring(0.0, -words.height - 1.0, width + 1.0, 0.0), closed=True, line_width=0.25)
    inside = words.at(((width + 1.0 - words.width) / 2, -0.5))
    return Cell(width + 1.0, words.height + 1.0, inside.labels, (frame,))


def _key_words(fastener: Fastener) -> Cell:
    return words_cell([Words(printable(fastener.key, "?"), HEADING, bold=True)])


def _text(fastener: Fastener) -> Cell:
    width = TEXT_WIDTH
    lines = [Words(line, TEXT, bold=True) for line in broken(size_text(fastener), TEXT, width, bold=True)]
    for detail in fastener_details(fastener):
        lines += [Words(line, SMALL) for line in broken(printable(detail), SMALL, width)]
    return words_cell(lines, width + 0.8)


def _count(count: int, hole: float) -> Cell:
    """How many there are, and what to punch for each."""
    return words_cell([Words(f"× {count}", NAME, bold=True), Words(f"hole ⌀{hole:.1f}", SMALL)], width=15.0)
