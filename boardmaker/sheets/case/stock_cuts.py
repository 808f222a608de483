"""How the boards' rectangles are cut from sheets of stock with a knife and a rule: a picture and the cuts in order.

In: the size of the stock, the sizes of the boards. Out: cells. All cuts go from side to side, so that no knife has to
stop. Boards that are the stock as bought need none.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from boardmaker.case import boards_on_sheet
from boardmaker.display_list import Path
from boardmaker.fonts import text_width
from boardmaker.geometry import Point, box_ring
from boardmaker.typeset.label import Label, Words
from boardmaker.typeset.lettering import PAD, TEXT, box_at, broken, lines_size
from boardmaker.typeset.table import Cell, beside, stacked, words_cell
from boardmaker.units import counted
from boardmaker.wording.numbers import length_text, size_text

SHEET = (64.0, 44.0)  # mm, the most of a sheet's picture
BOARD_LINE, SHEET_LINE = 0.5, 0.18
WASTE_DASH = (1.2, 0.8)
BESIDE = 3.0  # mm between picture and words
OWN_SIZE = "Then trim each board to its own size, said below."
NARROWEST_WORDS = 60.0  # mm; in less they stand below the picture

Rectangle = tuple[float, float, float, float]
Units = tuple[bool, bool]  # whether the stock's size, and what is cut from it, are said in inches


def stock_cells(stock: Point, blanks: Sequence[Point], inches: Units, width: float) -> Iterator[Cell]:
    """Yield a cell for each size of board that is cut from the stock, at most `width` mm wide; none as bought."""
    for size, numbers in _shared(stock, blanks).items():
        if size != stock and (places := boards_on_sheet(stock, size)):
            own = any(blanks[number - 1] != size for number in numbers)
            picture = _picture(stock, places, numbers)
            room = width - picture.width - BESIDE
            below = room < NARROWEST_WORDS
            words = [*_words(stock, size, places, numbers, inches), *([OWN_SIZE] if own else [])]
            cell = words_cell([line for text in words for line in _lines(text, width if below else room)])
            yield stacked([picture, cell], 1.0) if below else beside([picture, cell], BESIDE)


def _shared(stock: Point, blanks: Sequence[Point]) -> dict[Point, list[int]]:
    """The numbers of the boards by the size to cut; boards of several sizes alike where that saves a sheet."""
    alone: dict[Point, list[int]] = {}
    for number, blank in enumerate(blanks, start=1):
        alone.setdefault(blank, []).append(number)
    alike = {(max(x for x, _ in blanks), max(y for _, y in blanks)): [*range(1, len(blanks) + 1)]}
    return alike if _sheets(stock, alike) < _sheets(stock, alone) else alone


def _sheets(stock: Point, numbers: dict[Point, list[int]]) -> int:
    return sum(-(-len(some) // max(1, len(boards_on_sheet(stock, size)))) for size, some in numbers.items())


def _lines(text: str, width: float) -> list[Words]:
    return [Words(line, TEXT) for line in broken(text, TEXT, width - 2 * PAD)]


def _words(
    stock: Point, size: Point, places: Sequence[Rectangle], numbers: Sequence[int], inches: Units
) -> Iterator[str]:
    """What comes out of how many sheets, and every cut from an edge, in the order in which a knife makes them."""
    sheets = -(-len(numbers) // len(places))
    yield (
        f"Stock {size_text(stock, inches[0])}: {counted(len(places), 'board')} of {size_text(size, inches[1])} "
        f"from each sheet; "
        f"{counted(len(numbers), 'board')}, so {counted(sheets, 'sheet')}."
    )
    yield from _cuts(stock, places[: len(numbers)], inches[1])
    yield "Check the corners with a square: every later measure begins at them."


def _cuts(stock: Point, places: Sequence[Rectangle], inches: bool) -> Iterator[str]:
    """First the cuts that part the strips from each other, then those inside of the strips."""
    lying = _in_strips(places, lengthwise=True)
    edge, side = ("lower", "left") if lying else ("left", "lower")
    low, high, first, last = (1, 3, 0, 2) if lying else (0, 2, 1, 3)
    along, across = (stock[0], stock[1]) if lying else (stock[1], stock[0])
    tops = sorted({round(place[high], 6) for place in places})
    if cuts := [top for top in tops if top < across - 1e-6]:
        yield f"First from side to side, from the {edge} edge: {_list(cuts, inches)}."
    ends: list[tuple[float, ...]] = [
        tuple(sorted(round(place[last], 6) for place in strip))
        for _, strip in groupby(sorted(places, key=lambda one: (one[low], one[first])), key=lambda one: one[low])
    ]
    for key, alike in ((key, [*group]) for key, group in groupby(ends)):
        if inner := [cut for cut in key if cut < along - 1e-6]:
            which = (
                "Then the strip"
                if len(ends) == 1
                else f"Then {'each of ' if len(alike) > 1 else ''}{counted(len(alike), 'strip')}"
            )
            yield f"{which}, from its {side} edge: {_list(inner, inches)}."


def _in_strips(places: Sequence[Rectangle], *, lengthwise: bool) -> bool:
    """Whether straight cuts along the lower edge part the boards, without going through one."""
    low, high = (1, 3) if lengthwise else (0, 2)
    return not any(one[low] + 1e-6 < other[high] < one[high] - 1e-6 for one in places for other in places)


def _list(lengths: Sequence[float], inches: bool) -> str:
    return ", ".join(length_text(length, inches) for length in lengths)


def _picture(stock: Point, places: Sequence[Rectangle], numbers: Sequence[int]) -> Cell:
    """The sheet, reduced, with a board in each place; what is not needed now is another board of that size."""
    share = min(SHEET[0] / stock[0], SHEET[1] / stock[1])
    width, height = stock[0] * share, stock[1] * share
    sheet = Path(box_ring(0.0, -height, width, 0.0), closed=True, line_width=SHEET_LINE, dash=WASTE_DASH)
    marks, labels = [sheet], []
    for place, rectangle in enumerate(places):
        x0, y0, x1, y1 = (side * share for side in rectangle)
        needed = place < len(numbers)
        dash = () if needed else WASTE_DASH
        ring = box_ring(x0, y0 - height, x1, y1 - height)
        marks.append(Path(ring, closed=True, line_width=BOARD_LINE if needed else SHEET_LINE, dash=dash))
        words = [Words(_name(place, numbers, len(places), x1 - x0), TEXT)]
        centre = (x0 + x1) / 2, (y0 + y1) / 2 - height
        labels.append(Label(tuple(words), box_at(centre, lines_size(words))))
    return Cell(width, height, tuple(labels), tuple(marks))


def _name(place: int, numbers: Sequence[int], on_a_sheet: int, room: float) -> str:
    """The board that comes from this place of the first sheet, and of later ones; short where there is little room."""
    of_place = [f"{number}" for number in numbers[place::on_a_sheet]]
    joined = " and ".join(of_place) if len(of_place) < 3 else ", ".join(of_place)
    name = f"board {joined}" if of_place else "spare"
    return name if text_width(name, TEXT) + 2 * PAD <= room else joined or "+"
