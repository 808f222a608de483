"""The screw key: one silhouette at true size, what it is, and the count of each fastener that has a pocket."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
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
from boardmaker.typeset.lettering import PAD, broken, printable
from boardmaker.typeset.run_around import GAP as RUN_GAP
from boardmaker.typeset.run_around import Paragraph, run_around
from boardmaker.typeset.table import Cell, beside, in_columns, stacked, top_aligned, words_cell
from boardmaker.typeset.type_sizes import BOARD_TYPE, TypeSizes
from boardmaker.wording.fasteners import fastener_details, size_text
from boardmaker.wording.torques import torque_line

WIDTHS = tuple(range(56, 106, 3))  # mm of a row beside its key in the usual type; what takes least of a board is taken
PAGE_WIDTH = 110.0  # mm of the same on a page, where there is room
POCKETS_GAP, LEAST_POCKETS = 5.0, 36.0  # mm off the row of a fastener, and width, of the list of its pockets
NARROWEST_WORDS = 18.0  # mm of words beside their count; where a picture leaves less, it lies above them
COUNT_WIDTH = 25.0
GAP = 1.2
ROW_GAP = 0.8  # mm between two rows
BETWEEN = 3.0  # mm between two columns
ROOMS = (20.0, 22.0, 24.5, 28.5, 38.0)  # mm, of the column of pictures; words give way to a longer one
EVEN = 1.02  # times the least of a board that the key may take so that more of its words begin below each other
PAGE_ROOM = 45.0  # mm at most of that column on a page, where all words begin below each other
LONGEST_GAUGE = 100.0  # mm wide, where the rows of the key are narrower
GAUGE_STEP = 5.0  # mm: few gauges serve many forms
COLUMNS = (1, 2, 3, 4)
Kinds = tuple[tuple[Fastener, int], ...]
Space = tuple[float, float]  # mm, of the column of pictures, and of a row beside its key
Shown = Callable[[Cell], Cell]  # whole, or its room alone
Gauges = Callable[[float], tuple[Cell, ...]]  # the gauge at most so many mm wide; nothing where there is none


def _whole(cell: Cell) -> Cell:
    return cell


def _bare(cell: Cell) -> Cell:
    """The room of a cell alone, which is quickly moved."""
    return Cell(cell.width, cell.height)


def draw_screw_key(work: Work, material: str, sizes: TypeSizes) -> tuple[Figure, ...]:
    """Return the screw key in one to four columns; nothing where no fastener comes off."""
    return _key_of(_kinds(work), material, sizes)


@lru_cache(maxsize=16)  # the same at every scale
def _key_of(kinds: Kinds, material: str, sizes: TypeSizes) -> tuple[Figure, ...]:
    used = tuple(fastener for fastener, _ in kinds)
    things = _things(kinds, material, sizes)
    spaces = [(room, sizes.wide(width)) for room in _rooms(used) for width in WIDTHS]
    tables = {space: _rows(things, space, sizes, _bare) for space in spaces}
    gauges: Gauges = lru_cache(maxsize=None)(lambda width: tuple(filter(None, [draw_gauge(used, width)])))
    counts = [count for count in COLUMNS if count <= len(kinds)]
    return tuple(_key_in(things, tables, gauges, count, sizes) for count in counts)


def _rooms(used: tuple[Fastener, ...]) -> list[float]:
    """How wide the column of pictures may be: words stand below each other in it, but for those of longer screws."""
    longest = max((draw_silhouette(fastener).length for fastener in used), default=0.0)
    return [room for room in ROOMS if room < longest] + [min(longest, ROOMS[-1])]


def _key_in(
    things: Sequence[_KeyEntry],
    tables: Mapping[Space, Sequence[Cell]],
    gauges: Gauges,
    columns: int,
    sizes: TypeSizes,
) -> Figure:
    """The key in so many columns, in the form that takes the least of a board; `tables`: bare rows by their space."""
    used = tuple(one.fastener for one in things)
    heading, legend = words_cell([Words("Screws, true to size", sizes.text, bold=True)]), frame_legend(used)
    top = [heading, *([legend] if legend else [])]

    def forms(space: Space, rows: Sequence[Cell], shown: Shown) -> Iterator[Cell]:
        width = max(in_columns(tables[space], columns, ruled=False).width, LONGEST_GAUGE)
        gauge = gauges(width - width % GAUGE_STEP)
        return _forms([*map(shown, top)], list(rows), [*map(shown, gauge)], columns, ruled=shown is _whole)

    areas = {
        (space, form): cell.width * cell.height
        for space, rows in tables.items()
        for form, cell in enumerate(forms(space, rows, _bare))
    }
    most = EVEN * min(areas.values())
    small = [one for one, area in areas.items() if area <= most]
    space, form = min(small, key=lambda one: (_out_of_line(things, one[0][0]), areas[one]))
    drawn = forms(space, _rows(things, space, sizes), _whole)
    return framed("screw key", "", next(islice(drawn, form, None)), wish=(0.5, 0.0))


def _out_of_line(things: Sequence[_KeyEntry], room: float) -> int:
    """How many rows have a picture that is longer than the column of pictures."""
    return sum(one.picture.width > room for one in things)


def _forms(top: list[Cell], rows: list[Cell], gauge: list[Cell], columns: int, ruled: bool) -> Iterator[Cell]:
    """The key with its gauge as its last row, or beside the heading; with the legend beside or under that."""
    plain = in_columns(rows, columns, ROW_GAP, BETWEEN, ruled)
    if not gauge or gauge[0].width <= max(row.width for row in rows):
        last = in_columns([*rows, *gauge], columns, ROW_GAP, BETWEEN, ruled)
        yield from (stacked([head, last], gap=1.0) for head in (beside(top, 6.0), stacked(top, gap=0.8)))
    if gauge:
        yield stacked([top_aligned([stacked(top, gap=1.2), *gauge], 4.0), plain], gap=1.0)
        yield stacked([beside(top, 6.0), *gauge, plain], gap=1.0)


def screw_key_rows(work: Work, material: str, width: float, sizes: TypeSizes = BOARD_TYPE) -> tuple[Cell, ...]:
    """Return the gauge, at most `width` mm wide, and a row for each kind of fastener that comes off, as in the file.

    Beside each stand its pockets, where columns of this width leave room for them.
    """
    kinds = _kinds(work)
    used = tuple(fastener for fastener, _ in kinds)
    above = [cell for cell in (frame_legend(used), draw_gauge(used, width)) if cell]
    things = _things(kinds, material, sizes)
    longest = max((one.picture.width for one in things if one.picture.width <= PAGE_ROOM), default=ROOMS[0])
    rows = _rows(things, (longest, PAGE_WIDTH), sizes)
    room = width - max((row.width for row in rows), default=0.0) - POCKETS_GAP
    if room >= LEAST_POCKETS:
        start = width - room
        rows = tuple(
            top_aligned([row.sized(start - POCKETS_GAP), _pockets(work, fastener, room, sizes)], POCKETS_GAP)
            for row, fastener in zip(rows, used, strict=True)
        )
    return ((stacked(above, gap=1.6),) if above else ()) + rows


def _pockets(work: Work, fastener: Fastener, width: float, sizes: TypeSizes) -> Cell:
    """Where a kind of fastener goes: `CH 1 2 · IL 1 2`, the tags of panels with the numbers of their pockets."""
    numbers: dict[str, list[str]] = {}
    for freed in work.freed:
        if freed.fastener.key == fastener.key:
            numbers.setdefault(printable(freed.panel.tag, "?"), []).append(f"{freed.number}")
    panels = ["\N{NO-BREAK SPACE}".join([tag, *found]) for tag, found in numbers.items()]
    lines = broken(" · ".join(panels), sizes.small, width - 2 * PAD)
    return words_cell([Words("pockets", sizes.small, bold=True), *(Words(line, sizes.small) for line in lines)])


def _kinds(work: Work) -> Kinds:
    """Each kind of fastener that comes off and how many there are of it."""
    counts = Counter(freed.fastener.key for freed in work.freed)
    return tuple((fastener, counts[fastener.key]) for fastener in work.bike.fasteners if counts[fastener.key])


@dataclass(frozen=True)
class _KeyEntry:
    """What a row shows of a fastener: its key in its frame, its picture, words, count; how wide words are at least."""

    fastener: Fastener
    text: tuple[Paragraph, ...]
    key: Cell
    picture: Cell
    count: Cell
    least_beside: float


def _things(kinds: Kinds, material: str, sizes: TypeSizes) -> tuple[_KeyEntry, ...]:
    used = [fastener for fastener, _ in kinds]
    key_width = max((_key_words(fastener, sizes).width for fastener in used), default=0.0)
    keys = [_key_cell(fastener, key_width, sizes) for fastener in used]
    across = max((key.width for key in keys), default=0.0)
    counts = [_count(fastener, count, pocket_hole(fastener, material), sizes) for fastener, count in kinds]
    wide = max((cell.width for cell in counts), default=0.0)
    return tuple(
        _KeyEntry(
            one,
            _text(one, sizes),
            _widened(key, across),
            _picture(one),
            count.sized(wide),
            _least_beside(one, sizes),
        )
        for one, key, count in zip(used, keys, counts, strict=True)
    )


def _rows(things: Sequence[_KeyEntry], space: Space, sizes: TypeSizes, shown: Shown = _whole) -> tuple[Cell, ...]:
    return tuple(_row(one, space, sizes, shown) for one in things)


def _picture(fastener: Fastener) -> Cell:
    side_view = draw_silhouette(fastener)
    return Cell(side_view.length, side_view.height, marks=moved(side_view, (0.0, -side_view.height / 2)))


def _widened(cell: Cell, width: float) -> Cell:
    """The cell in the middle of a wider one."""
    return cell.at(((width - cell.width) / 2, 0.0)).sized(width)


def _row(thing: _KeyEntry, space: Space, sizes: TypeSizes, shown: Shown) -> Cell:
    """Key, picture, words around the count; a long screw takes more than its room, or lies above its words."""
    room, width = space
    key, picture, count = shown(thing.key), shown(thing.picture), thing.count
    left = width - max(room, picture.width) - GAP
    if left < count.width + thing.least_beside:
        words = shown(run_around(thing.text, count, max(width, picture.width)))
        indent = key.width + GAP
        below = words.at((indent, 0.0)).sized(words.width + indent)
        return stacked([beside([key, picture], GAP), below], gap=0.4)
    words = shown(run_around(thing.text, count, left))
    return beside([key, picture.sized(max(room, picture.width)), words], GAP)


def _least_beside(fastener: Fastener, sizes: TypeSizes) -> float:
    """How wide words beside their count are at least, mm: a size stays in one line, or breaks before its hole."""
    parts = [words_cell([Words(part, sizes.text, bold=True)]).width for part in size_text(fastener).split(" for ")]
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


def _text(fastener: Fastener, sizes: TypeSizes) -> tuple[Paragraph, ...]:
    flat = ["in a case: lies flat on top"] if fastener.lies_flat else []
    details = printable(" · ".join([*fastener_details(fastener, with_torque=False), *flat]))
    return (size_text(fastener), sizes.text, True), (details, sizes.small, False)


def _count(fastener: Fastener, count: int, hole: float, sizes: TypeSizes) -> Cell:
    """How many there are, how tight each goes in, and what to punch for it."""
    width = sizes.wide(COUNT_WIDTH)
    torque = broken(torque_line(fastener.torque), sizes.text, width, bold=True) if fastener.torque else ()
    lines = [Words(f"× {count}", sizes.text), *(Words(line, sizes.text, bold=True) for line in torque)]
    return words_cell([*lines, Words(f"punch {hole:.1f} mm", sizes.small)])
