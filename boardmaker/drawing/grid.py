"""The grid at a board's edges, by which a pocket that is named on paper is found on the board: `B3`.

In: a board's stock, outline and margin. Out: `BoardGrid`, which says in which square a place lies, and its marks. They
lie in the margin, where nothing is placed, so a packing need not know of them. Letters are columns from the left,
numbers rows from the top, as one reads; they stand at both ends, because a hand or a panel may hide one.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice
from math import floor

import shapely

from boardmaker.display_list import Path, Text
from boardmaker.fonts import text_width
from boardmaker.geometry import Point, Ring

SQUARE = 125.0  # mm, about: a hand covers it, and the eye finds a number in it at once
LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"  # without I and O, which look like numbers (so does ISO 5457)
MOST_IN_A_ROW = len(LETTERS)  # of a larger board the squares are larger
LEAST_MARGIN = 5.0  # mm; in less, words of 2.5 mm come too near to the cut or to a figure
WIDEST_LANE = 8.0  # mm from the edge, however wide the margin is: the grid belongs to the edge
LEAST_HEIGHT, PART_OF_LANE = 2.5, 0.4  # mm of the capitals, and their share of the lane
EDGE_AIR = 1.0  # mm that marks keep from the cut, which may stray
TICK = 2.0  # mm
TICK_AIR = 2.0  # mm between words and the ticks at both ends of their square
STEP = 2.0  # mm by which a word gives way to a corner that is cut off
GREY, FINE = 0.45, 0.18
ROUNDING = 1e-6  # mm
DECIMALS = 4  # of the mm of a place, as in the board file: its reader finds the same square


@dataclass(frozen=True)
class BoardGrid:
    """The stock (width, height in mm) divided into columns and rows, at least two squares."""

    stock: Point
    columns: int
    rows: int

    @property
    def letters(self) -> str:
        """Those of the columns, from the left."""
        return LETTERS[: self.columns]

    def square_at(self, place: Point) -> str:
        """Return the square of a place in mm from the stock's lower left corner: column's letter, row's number.

        On a line between two squares it is the right or the lower one; a place outside has the nearest square.
        """
        (width, height), (x, y) = _rounded(self.stock), _rounded(place)
        across, down = _share(x, width, self.columns), _share(height - y, height, self.rows)
        return f"{LETTERS[across]}{down + 1}"


def _rounded(point: Point) -> Point:
    return round(point[0], DECIMALS), round(point[1], DECIMALS)


def _share(way: float, side: float, count: int) -> int:
    return min(count - 1, max(0, floor(round(way, DECIMALS) * count / side)))


def board_grid(stock: Point, margin: float) -> BoardGrid | None:
    """Return the grid of a board; None where it would be one square, or where the margin (mm) has no room for it."""
    columns, rows = (min(MOST_IN_A_ROW, max(1, floor(side / SQUARE + 0.5))) for side in stock)
    return BoardGrid(stock, columns, rows) if columns * rows > 1 and margin >= LEAST_MARGIN else None


def grid_marks(grid: BoardGrid, outline: Ring, margin: float) -> Iterator[Path | Text]:
    """Yield ticks where squares meet, letters and numbers along all edges: whichever is nearest names a square.

    What does not lie on the board is left out; a word that a cut corner would take gives way along its edge.
    """
    board = shapely.Polygon(outline)
    lane = min(margin, WIDEST_LANE)
    for tick in _ticks(grid):
        if _is_on(board, shapely.LineString(tick)):
            yield Path(tick, line_width=FINE, ink=GREY)
    for places in (*_letters(grid, lane), *_numbers(grid, lane)):
        yield from islice((text for text in places if _is_on(board, _box(text))), 1)


def _is_on(board: shapely.Polygon, mark: shapely.Geometry) -> bool:
    """Whether a mark lies on the board, clear of where it is cut."""
    return bool(board.covers(mark) and board.exterior.distance(mark) >= EDGE_AIR - ROUNDING)


def _ticks(grid: BoardGrid) -> Iterator[tuple[Point, Point]]:
    width, height = grid.stock
    near, far = EDGE_AIR, EDGE_AIR + TICK
    for x in (width * number / grid.columns for number in range(1, grid.columns)):
        yield (x, height - near), (x, height - far)
        yield (x, near), (x, far)
    for y in (height * number / grid.rows for number in range(1, grid.rows)):
        yield (near, y), (far, y)
        yield (width - near, y), (width - far, y)


def _letters(grid: BoardGrid, lane: float) -> Iterator[tuple[Text, ...]]:
    """For each column the places of its letter at the upper edge and those at the lower one, the best first."""
    (_, height), side, tall = grid.stock, grid.stock[0] / grid.columns, _height(lane)
    for number, letter in enumerate(grid.letters):
        along = [side * (number + 0.5) + off for off in _offsets(side, text_width(letter, tall))]
        for y in (height - lane / 2, lane / 2):
            yield tuple(_word((x, y), letter, tall) for x in along)


def _numbers(grid: BoardGrid, lane: float) -> Iterator[tuple[Text, ...]]:
    """The same for the rows at the left and at the right edge."""
    (width, height), side, tall = grid.stock, grid.stock[1] / grid.rows, _height(lane)
    for row, words in ((row, f"{row + 1}") for row in range(grid.rows)):
        along = [height - side * (row + 0.5) + off for off in _offsets(side, tall)]
        inwards = max(lane / 2, EDGE_AIR + text_width(words, tall) / 2)
        for x in (inwards, width - inwards):
            yield tuple(_word((x, y), words, tall) for y in along)


def _height(lane: float) -> float:
    return max(LEAST_HEIGHT, PART_OF_LANE * lane)


def _offsets(side: float, long: float) -> list[float]:
    """By how much a word of this length may lie off the middle of its square, the least first."""
    most = floor(max(0.0, side / 2 - TICK_AIR - long / 2) / STEP)
    return [STEP * step * way for step in range(most + 1) for way in (1, -1)]


def _word(middle: Point, words: str, height: float) -> Text:
    return Text((middle[0], middle[1] - height / 2), words, height, anchor="middle", ink=GREY)


def _box(text: Text) -> shapely.Polygon:
    half = text_width(text.text, text.height) / 2
    x, y = text.at
    return shapely.box(x - half, y, x + half, y + text.height)
