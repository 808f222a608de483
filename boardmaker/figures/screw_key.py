"""The screw key: one silhouette at true size, what it is, and the count of each fastener that has a pocket."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import islice

from boardmaker.figures.figure import Figure
from boardmaker.figures.framed import framed
from boardmaker.figures.gauge import draw_gauge
from boardmaker.figures.key_frames import family_of, frame_legend, frame_room, key_frame
from boardmaker.figures.material import pocket_hole
from boardmaker.figures.silhouette import draw_silhouette, moved
from boardmaker.model import Fastener
from boardmaker.service import Work
from boardmaker.typeset.label import Words
from boardmaker.typeset.lettering import broken, printable
from boardmaker.typeset.run_around import GAP as RUN_GAP
from boardmaker.typeset.run_around import Paragraph, run_around
from boardmaker.typeset.table import Cell, beside, in_columns, stacked, top_aligned, words_cell
from boardmaker.typeset.type_sizes import BOARD_TYPE, TypeSizes
from boardmaker.wording.fasteners import fastener_details, size_text
from boardmaker.wording.torques import torque_line

WIDTHS = tuple(range(56, 106, 6))  # mm of a row beside its key in the usual type; what takes least of a board is taken
PAGE_WIDTH = 110.0  # mm of the same on a page, where there is room
NARROWEST_WORDS = 18.0  # mm of words beside their count; where a picture leaves less, it lies above them
COUNT_WIDTH = 25.0
GAP = 1.2
ROW_GAP = 0.8  # mm between two rows
BETWEEN = 3.0  # mm between two columns
ROOMS = (20.0, 24.0, 28.0, 38.0)  # mm, of the column of pictures; words give way to a longer one
LONGEST_GAUGE = 100.0  # mm wide, where the rows of the key are narrower
COLUMNS = (1, 2, 3, 4)
Kinds = tuple[tuple[Fastener, int], ...]


def draw_screw_key(work: Work, material: str, sizes: TypeSizes) -> tuple[Figure, ...]:
    """Return the screw key in one to four columns; nothing where no fastener comes off."""
    return _key_of(_kinds(work), material, sizes)


@lru_cache(maxsize=16)  # the same at every scale
def _key_of(kinds: Kinds, material: str, sizes: TypeSizes) -> tuple[Figure, ...]:
    used = tuple(fastener for fastener, _ in kinds)
    tables = [_rows(kinds, material, room, sizes.wide(width), sizes) for room in _rooms(used) for width in WIDTHS]
    counts = [count for count in COLUMNS if count <= len(kinds)]
    return tuple(_key_in(tables, used, count, sizes) for count in counts)


def _rooms(used: tuple[Fastener, ...]) -> list[float]:
    """How wide the column of pictures may be: words stand below each other in it, but for those of longer screws."""
    longest = max((draw_silhouette(fastener).length for fastener in used), default=0.0)
    return [room for room in ROOMS if room < longest] + [min(longest, ROOMS[-1])]


def _key_in(tables: list[tuple[Cell, ...]], used: tuple[Fastener, ...], columns: int, sizes: TypeSizes) -> Figure:
    """The key in so many columns, in the form that takes the least of a board."""
    heading, legend = words_cell([Words("Screws, true to size", sizes.text, bold=True)]), frame_legend(used)
    top = [heading, *([legend] if legend else [])]

    def forms(rows: Sequence[Cell], bare: bool) -> Iterator[Cell]:
        gauge = draw_gauge(used, max(in_columns(list(map(_bare, rows)), columns).width, LONGEST_GAUGE))
        drawn = top, list(rows), [gauge] if gauge else []
        top_cells, row_cells, last = (list(map(_bare, cells)) for cells in drawn) if bare else drawn
        return _forms(top_cells, row_cells, last, columns)

    areas = {
        (number, form): cell.width * cell.height
        for number, rows in enumerate(tables)
        for form, cell in enumerate(forms(rows, bare=True))
    }
    number, form = min(areas, key=areas.__getitem__)
    return framed("screw key", "", next(islice(forms(tables[number], bare=False), form, None)), wish=(0.5, 0.0))


def _bare(cell: Cell) -> Cell:
    """The room of a cell alone, which is quickly moved."""
    return Cell(cell.width, cell.height)


def _forms(top: list[Cell], rows: list[Cell], gauge: list[Cell], columns: int) -> Iterator[Cell]:
    """The key with its gauge as its last row, or beside the heading; with the legend beside or under that."""
    plain = in_columns(rows, columns, ROW_GAP, BETWEEN)
    if not gauge or gauge[0].width <= max(row.width for row in rows):
        last = in_columns([*rows, *gauge], columns, ROW_GAP, BETWEEN)
        yield from (stacked([head, last], gap=1.0) for head in (beside(top, 6.0), stacked(top, gap=0.8)))
    if gauge:
        yield stacked([top_aligned([stacked(top, gap=1.2), *gauge], 4.0), plain], gap=1.0)
        yield stacked([beside(top, 6.0), *gauge, plain], gap=1.0)


def screw_key_rows(work: Work, material: str, width: float, sizes: TypeSizes = BOARD_TYPE) -> tuple[Cell, ...]:
    """Return the gauge, at most `width` mm wide, and a row for each kind of fastener that comes off, as in the file."""
    kinds = _kinds(work)
    used = tuple(fastener for fastener, _ in kinds)
    above = [cell for cell in (frame_legend(used), draw_gauge(used, width)) if cell]
    rows = _rows(kinds, material, ROOMS[-1], PAGE_WIDTH, sizes)
    return ((stacked(above, gap=1.6),) if above else ()) + rows


def _kinds(work: Work) -> Kinds:
    """Each kind of fastener that comes off and how many there are of it."""
    counts = Counter(freed.fastener.key for freed in work.freed)
    return tuple((fastener, counts[fastener.key]) for fastener in work.bike.fasteners if counts[fastener.key])


def _rows(kinds: Kinds, material: str, room: float, width: float, sizes: TypeSizes) -> tuple[Cell, ...]:
    used = [fastener for fastener, _ in kinds]
    key_width = max((_key_words(fastener, sizes).width for fastener in used), default=0.0)
    keys = {fastener.key: _key_cell(fastener, key_width, sizes) for fastener in used}
    across = max((key.width for key in keys.values()), default=0.0)
    counts = [_count(fastener, count, pocket_hole(fastener, material), sizes) for fastener, count in kinds]
    counts_width = max((cell.width for cell in counts), default=0.0)
    level = [replace(count, width=counts_width) for count in counts]
    return tuple(
        _row(_widened(keys[one.key], across), one, count, (room, width), sizes)
        for one, count in zip(used, level, strict=True)
    )


def _widened(cell: Cell, width: float) -> Cell:
    """The cell in the middle of a wider one."""
    return replace(cell.at(((width - cell.width) / 2, 0.0)), width=width)


def _row(key: Cell, fastener: Fastener, count: Cell, space: tuple[float, float], sizes: TypeSizes) -> Cell:
    """Key, picture, words around the count; of `space` for the picture and for all, a long screw takes more.

    One that leaves no room for words lies above them.
    """
    room, width = space
    side_view = draw_silhouette(fastener)
    picture = Cell(side_view.length, side_view.height, marks=moved(side_view, (0.0, -side_view.height / 2)))
    left = width - max(room, picture.width) - GAP
    if left < count.width + _least_beside(fastener, sizes):
        words = run_around(_text(fastener, sizes), count, max(width, picture.width))
        return beside([key, stacked([picture, words], gap=0.4)], GAP)
    words = run_around(_text(fastener, sizes), count, left)
    return beside([key, replace(picture, width=max(room, picture.width)), words], GAP)


def _least_beside(fastener: Fastener, sizes: TypeSizes) -> float:
    """How wide words beside their count are at least, mm: a size stays in one line, or breaks at its comma."""
    parts = [words_cell([Words(part, sizes.text, bold=True)]).width for part in size_text(fastener).split(" hole ")]
    return max(sizes.wide(NARROWEST_WORDS), *parts) + RUN_GAP


def _key_cell(fastener: Fastener, width: float, sizes: TypeSizes) -> Cell:
    """The key, as large as it can be read from a step away, in the frame of its family."""
    words = _key_words(fastener, sizes)
    width, height = width + 1.0, words.height + 0.6
    beside_it, below = frame_room([family_of(fastener)], height)
    frame = key_frame(fastener, (beside_it, -height, beside_it + width, 0.0))
    inside = words.at((beside_it + (width - words.width) / 2, -0.3))
    return Cell(width + 2 * beside_it, height + below, inside.labels, frame)


def _key_words(fastener: Fastener, sizes: TypeSizes) -> Cell:
    return words_cell([Words(printable(fastener.key, "?"), sizes.text, bold=True)])


def _text(fastener: Fastener, sizes: TypeSizes) -> list[Paragraph]:
    flat = ["in a case: lies flat on top"] if fastener.lies_flat else []
    details = printable(" · ".join([*fastener_details(fastener, with_torque=False), *flat]))
    return [(size_text(fastener), sizes.text, True), (details, sizes.small, False)]


def _count(fastener: Fastener, count: int, hole: float, sizes: TypeSizes) -> Cell:
    """How many there are, how tight each goes in, and what to punch for it."""
    width = sizes.wide(COUNT_WIDTH)
    torque = broken(torque_line(fastener.torque), sizes.text, width, bold=True) if fastener.torque else ()
    lines = [Words(f"× {count}", sizes.text), *(Words(line, sizes.text, bold=True) for line in torque)]
    return words_cell([*lines, Words(f"punch {hole:.1f}", sizes.small)])
