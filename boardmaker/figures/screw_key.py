"""The screw key: one silhouette at true size, what it is, and the count of each fastener that has a pocket."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache

from boardmaker.figures.figure import Figure
from boardmaker.figures.framed import framed
from boardmaker.figures.gauge import draw_gauge
from boardmaker.figures.key_frames import family_of, frame_legend, frame_room, key_frame
from boardmaker.figures.material import pocket_hole
from boardmaker.figures.silhouette import draw_silhouette, moved
from boardmaker.model import Fastener
from boardmaker.service import Work
from boardmaker.typeset.label import Words
from boardmaker.typeset.lettering import HEADING, NAME, SMALL, TEXT, broken, printable
from boardmaker.typeset.table import Cell, beside, in_columns, stacked, top_aligned, words_cell
from boardmaker.wording.fasteners import fastener_details, size_text

TEXT_WIDTH = 40.0
LONG = 45.0  # mm; a longer screw would make the picture column too wide for all the others
GAP = 2.0
MOST_ROOMS = 4  # widths of the column of pictures that are tried
LONGEST_GAUGE = 100.0  # mm wide, where the rows of the key are narrower
COLUMNS = (1, 2, 3, 4)
Kinds = tuple[tuple[Fastener, int], ...]


def draw_screw_key(work: Work, material: str) -> tuple[Figure, ...]:
    """Return the screw key in one to four columns; nothing where no fastener comes off."""
    return _key_of(_kinds(work), material)


@lru_cache(maxsize=16)  # the same at every scale
def _key_of(kinds: Kinds, material: str) -> tuple[Figure, ...]:
    used = tuple(fastener for fastener, _ in kinds)
    tables = [_rows(kinds, material, room) for room in _rooms(used)]
    return tuple(_key_in(tables, used, count) for count in COLUMNS if count <= max(1, len(kinds))) if kinds else ()


def _rooms(used: tuple[Fastener, ...]) -> list[float]:
    """How wide the column of pictures may be, the widest first: what is longer lies above its words."""
    lengths = {length for fastener in used if (length := draw_silhouette(fastener).length) <= LONG}
    return sorted(lengths, reverse=True)[:MOST_ROOMS] or [0.0]


def _key_in(tables: list[tuple[Cell, ...]], used: tuple[Fastener, ...], columns: int) -> Figure:
    """The key in so many columns, in the form that takes the least of a board."""
    smallest = min((form for rows in tables for form in _forms(rows, used, columns)), key=_area)
    return framed("screw key", "", smallest, wish=(0.5, 0.0))


def _forms(rows: tuple[Cell, ...], used: tuple[Fastener, ...], columns: int) -> Iterator[Cell]:
    """The key with its gauge as its last row, or beside the heading; with the legend beside or under that."""
    heading, legend = words_cell([Words("Screws, true to size", NAME, bold=True)]), frame_legend(used)
    plain = in_columns(rows, columns)
    gauge = draw_gauge(used, max(plain.width, LONGEST_GAUGE))
    parts = [heading, *([legend] if legend else [])]
    if gauge is None or gauge.width <= max(row.width for row in rows):
        last = in_columns((*rows, gauge), columns) if gauge else plain
        yield from (stacked([top, last], gap=1.6) for top in (beside(parts, 6.0), stacked(parts, gap=0.8)))
    if gauge:
        yield stacked([top_aligned([stacked(parts, gap=1.2), gauge], 6.0), plain], gap=1.6)
        yield stacked([beside(parts, 6.0), gauge, plain], gap=1.6)


def _area(cell: Cell) -> float:
    return cell.width * cell.height


def screw_key_rows(work: Work, material: str, width: float) -> tuple[Cell, ...]:
    """Return the gauge, at most `width` mm wide, and a row for each kind of fastener that comes off, as in the file."""
    kinds = _kinds(work)
    used = tuple(fastener for fastener, _ in kinds)
    above = [cell for cell in (frame_legend(used), draw_gauge(used, width)) if cell]
    return ((stacked(above, gap=1.6),) if above else ()) + _rows(kinds, material, _rooms(used)[0])


def _kinds(work: Work) -> Kinds:
    """Each kind of fastener that comes off and how many there are of it."""
    counts = Counter(freed.fastener.key for freed in work.freed)
    return tuple((fastener, counts[fastener.key]) for fastener in work.bike.fasteners if counts[fastener.key])


def _rows(kinds: Kinds, material: str, room: float) -> tuple[Cell, ...]:
    used = [fastener for fastener, _ in kinds]
    key_width = max((_key_words(fastener).width for fastener in used), default=0.0)
    keys = {fastener.key: _key_cell(fastener, key_width) for fastener in used}
    across = max((key.width for key in keys.values()), default=0.0)
    words_width = max((_text(fastener).width for fastener in used), default=0.0)
    counts_width = max((_count(count, pocket_hole(fastener, material)).width for fastener, count in kinds), default=0.0)
    rows = []
    for fastener, count in kinds:
        counted = replace(_count(count, pocket_hole(fastener, material)), width=counts_width)
        words = [_text(fastener, words_width), counted]
        rows.append(_row(fastener, _widened(keys[fastener.key], across), words, room))
    return tuple(rows)


def _widened(cell: Cell, width: float) -> Cell:
    """The cell in the middle of a wider one."""
    return replace(cell.at(((width - cell.width) / 2, 0.0)), width=width)


def _row(fastener: Fastener, key: Cell, words: list[Cell], room: float) -> Cell:
    """Key, picture, words, count; a long screw lies above its words, so that the columns stay narrow."""
    side_view = draw_silhouette(fastener)
    picture = Cell(side_view.length, side_view.height, marks=moved(side_view, (0.0, -side_view.height / 2)))
    if side_view.length > room:
        return beside([key, stacked([picture, beside([Cell(room, 0.0), *words], GAP)], gap=0.6)], GAP)
    return beside([key, Cell(room, picture.height, marks=picture.marks), *words], GAP)


def _key_cell(fastener: Fastener, width: float) -> Cell:
    """The key, as large as it can be read from a step away, in the frame of its family."""
    words = _key_words(fastener)
    width, height = width + 1.0, words.height + 0.6
    beside_it, below = frame_room([family_of(fastener)], height)
    frame = key_frame(fastener, (beside_it, -height, beside_it + width, 0.0))
    inside = words.at((beside_it + (width - words.width) / 2, -0.3))
    return Cell(width + 2 * beside_it, height + below, inside.labels, frame)


def _key_words(fastener: Fastener) -> Cell:
    return words_cell([Words(printable(fastener.key, "?"), HEADING, bold=True)])


def _text(fastener: Fastener, least: float = 0.0) -> Cell:
    width = TEXT_WIDTH
    lines = [Words(line, TEXT, bold=True) for line in broken(size_text(fastener), TEXT, width, bold=True)]
    flat = ["in a case: lies flat on top"] if fastener.lies_flat else []
    for detail in (*fastener_details(fastener), *flat):
        lines += [Words(line, SMALL) for line in broken(printable(detail), SMALL, width)]
    return words_cell(lines, least)


def _count(count: int, hole: float) -> Cell:
    """How many there are, and what to punch for each."""
    return words_cell([Words(f"× {count}", NAME, bold=True), Words(f"punch {hole:.1f}", SMALL)])
