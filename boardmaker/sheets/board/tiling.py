"""How a board is divided into tiles: as few as the paper allows, seams off pockets and text, none empty.

Tiles stand in rows (A at the top) and columns (1 at the left). The division is one into strips, rows or columns,
whichever takes fewer pages; a strip may have its pages upright or lying, and its seams may lie beside those of the next
strip where that spares a pocket. Each tile shows a strip of its right and its upper neighbour as well, to glue them
onto: hold every sheet with the board's top up, and one instruction serves all of them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from boardmaker.drawing import Drawing
from boardmaker.geometry import Point, Ring
from boardmaker.sheets.board.division import GLUE, Grid, PageShape, cheapest_parts, divide
from boardmaker.sheets.board.obstacles import Obstacles, raster
from boardmaker.sheets.board.seams import MORE_PAGES, StripChoice, StripCosts, cheapest_strips, nudged_strips
from boardmaker.sheets.board.wholes import PAGE, Whole
from boardmaker.sheets.paper import Box

WHOLE = "whole"  # the name of a tile that shows all of a board
STEP = 1.0  # mm between two places of a seam that are tried
TOUCHING = 1e-3  # mm, and less along an edge is no joint
MOST_STEPS = 1500  # along a side: a very large board is divided in larger steps


Spans = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Tile:
    """A part of a board for one page: its name, what it shows, and the same without the glue strips."""

    name: str
    window: Box
    trim: Box
    turn: int


def cut_into_tiles(
    drawing: Drawing, picture_size: Point, zones: Sequence[Ring] = (), wholes: Sequence[Whole] = ()
) -> tuple[Tile, ...]:
    """Return the tiles of a board for pictures of at most this size, from the top left, strip by strip.

    Whatever lies in one of the `zones`, blank or not, is shown; `wholes` stay in one piece where that can be. Of all
    divisions into the fewest pages, or up to `MORE_PAGES` more, the one where pages and what seams cut cost least.
    """
    if tile := _single(drawing, picture_size):
        return (tile,)
    xs, ys = (_places(length, picture_size) for length in (drawing.width, drawing.height))
    ink, obstacles = raster(drawing, zones, xs, ys), Obstacles(drawing.items, wholes)
    rows = _Divided(Grid(ink, ys, xs), picture_size, obstacles, axis=1)
    columns = _Divided(Grid(ink.T, xs, ys), picture_size, obstacles, axis=0)
    fewest = min(rows.fewest, columns.fewest)

    def price(way: _Tiling) -> float:
        return round(PAGE * len(way.tiles) + obstacles.cut_by([trim for _, trim, _ in way.tiles]), 6)

    best = min((rows.first(), columns.first()), key=price)
    if price(best) > PAGE * fewest:
        best = min((best, *rows.divisions(fewest), *columns.divisions(fewest)), key=price)
        best = min((best, best.divided.nudged(best.strips)), key=price)
    return tuple(_tile(name, trim, turn, drawing, picture_size) for name, trim, turn in best.tiles)


def whole_board(drawing: Drawing) -> tuple[Tile, ...]:
    """Return the board as one tile, turned so that the page is portrait as every other."""
    box = (0.0, 0.0, drawing.width, drawing.height)
    return (Tile(WHOLE, box, box, 90 if drawing.width > drawing.height else 0),)


def joined_sides(tile: Tile, tiles: Sequence[Tile]) -> frozenset[str]:
    """Return on which sides of the board (left, low, right, high) another tile is joined to this one."""
    x0, y0, x1, y1 = tile.trim
    sides = set()
    for other in tiles:
        a, b, c, d = other.trim
        if min(y1, d) - max(y0, b) > TOUCHING:
            sides |= {side for side, gap in (("left", c - x0), ("right", a - x1)) if abs(gap) < TOUCHING}
        if min(x1, c) - max(x0, a) > TOUCHING:
            sides |= {side for side, gap in (("low", d - y0), ("high", b - y1)) if abs(gap) < TOUCHING}
    return frozenset(sides)


def _single(drawing: Drawing, picture_size: Point) -> Tile | None:
    """The only tile of a board that goes onto one page; on a roll turned to use less of it."""
    box = (0.0, 0.0, drawing.width, drawing.height)
    turns = sorted((0, 90), key=lambda turn: drawing.height if turn == 0 else drawing.width)
    for turn in turns:
        size = (drawing.width, drawing.height) if turn == 0 else (drawing.height, drawing.width)
        if size[0] <= picture_size[0] and size[1] <= picture_size[1]:
            return Tile("A1", box, box, turn)
    return None


def _places(length: float, picture_size: Point) -> np.ndarray:
    """Where a seam may lie along a side: every step, and where pages end that are laid close."""
    step = max(STEP, length / MOST_STEPS)
    close = [side - GLUE for side in picture_size]
    most = [range(int(length // side) + 1) for side in close]
    tight = [first * close[0] + second * close[1] for first, second in product(*most)]
    places = [*np.arange(0.0, length, step), *(place for place in tight if place < length), length]
    return np.unique(np.round(places, 6))


@dataclass(frozen=True)
class _Tiling:
    """One way to divide a board: its strips, and name, part of the board without glue strips and turn of every tile."""

    divided: _Divided
    strips: tuple[StripChoice, ...]
    tiles: tuple[tuple[str, Box, int], ...]


class _Divided:
    """A board in rows (`axis` 1: strips follow each other along y) or columns (`axis` 0)."""

    def __init__(self, grid: Grid, picture_size: Point, obstacles: Obstacles, axis: int) -> None:
        self._grid, self._obstacles, self._axis = grid, obstacles, axis
        width, height = picture_size
        lying, upright = PageShape(height, width, 90), PageShape(width, height, 0)
        if axis == 0:
            lying, upright = PageShape(width, height, 90), PageShape(height, width, 0)
        self._shapes = upright, lying
        self._division = divide(grid, self._shapes, obstacles.costs(axis, grid.across))
        self.fewest = self._division.pages

    def first(self) -> _Tiling:
        """Return the division into the fewest pages, found at every place of the grid."""
        strips = self._division.strips
        return self._division_of([StripChoice(one.low, one.high, one.shape, len(one.parts)) for one in strips])

    def divisions(self, fewest: int) -> Iterator[_Tiling]:
        """Yield the divisions that cut least, into the fewest pages and some more."""
        costs, most = StripCosts(self._obstacles, self._axis), fewest + MORE_PAGES
        for choice in cheapest_strips(self._grid, self._division, self._shapes, costs, most):
            yield self._division_of(choice)

    def nudged(self, strips: Sequence[StripChoice]) -> _Tiling:
        """Return the division with each seam between strips moved a little to where it and those within cut least."""
        return self._division_of(nudged_strips(self._grid, strips, StripCosts(self._obstacles, self._axis)))

    def _division_of(self, strips: Sequence[StripChoice]) -> _Tiling:
        return _Tiling(self, tuple(strips), tuple(self._tiles(strips)))

    def _place_seams(self, strips: Sequence[StripChoice]) -> dict[StripChoice, Spans]:
        """The pages along each strip, mm, where they cut least; strips of one kind share seams if none loses by it."""
        parts: dict[StripChoice, Spans] = {}
        kinds: dict[tuple[PageShape, int, bytes], list[StripChoice]] = {}
        for strip in strips:
            inked = self._grid.inked(strip.low, strip.high)
            kinds.setdefault((strip.shape, strip.pages, inked.tobytes()), []).append(strip)
        for alike in kinds.values():
            parts |= dict(zip(alike, self._spans_of(alike), strict=True))
        return parts

    def _spans_of(self, strips: Sequence[StripChoice]) -> list[Spans]:
        """The pages of strips with their ink in the same places."""
        places, inked = self._grid.along, self._grid.inked(strips[0].low, strips[0].high)
        count, length = strips[0].pages, strips[0].shape.along
        costs = [self._obstacles.costs(1 - self._axis, places, self._span(strip)) for strip in strips]
        shared, shared_cost = cheapest_parts(places, inked, np.sum(costs, axis=0), count, length)
        own = [cheapest_parts(places, inked, cost, count, length) for cost in costs]
        own_cost = sum(cost for _, cost in own)
        apart = own_cost < shared_cost - 1.0
        found = [parts for parts, _ in own] if apart else [shared] * len(strips)
        return [_filled(places, parts, length) for parts in found]

    def _span(self, strip: StripChoice) -> tuple[float, float]:
        return float(self._grid.across[strip.low]), float(self._grid.across[strip.high])

    def _tiles(self, strips: Sequence[StripChoice]) -> Iterator[tuple[str, Box, int]]:
        shown = [strip for strip in strips if strip.pages]
        parts = self._place_seams(shown)
        for number, strip in enumerate(shown[::-1] if self._axis == 1 else shown):  # rows from the top
            low, high = self._span(strip)
            if self._axis == 1:
                for column, (x0, x1) in enumerate(parts[strip], start=1):
                    yield f"{_row_name(number)}{column}", (x0, low, x1, high), strip.shape.turn
            else:
                for row, (y0, y1) in enumerate(reversed(parts[strip])):
                    yield f"{_row_name(row)}{number + 1}", (low, y0, high, y1), strip.shape.turn


def _filled(places: np.ndarray, parts: Sequence[tuple[int, int]], length: float) -> Spans:
    """Pages in mm, each reaching into the blanks beside it as far as it is long, so that none shows a sliver."""
    spans: list[tuple[float, float]] = []
    following = [float(places[first]) for first, _ in parts[1:]] + [float(places[parts[-1][1]])]
    for (first, last), limit in zip(parts, following, strict=True):
        low, high, before = float(places[first]), float(places[last]), spans[-1][1] if spans else float(places[first])
        high = max(high, min(limit, low + length)) if limit > high else high
        spans.append((min(low, max(before, high - length)) if before < low else low, high))
    return tuple(spans)


def _tile(name: str, trim: Box, turn: int, drawing: Drawing, picture_size: Point) -> Tile:
    """The tile with as much of its right and upper neighbour as glue needs, the board and the page allow."""
    x0, y0, x1, y1 = trim
    width, height = picture_size if turn == 0 else picture_size[::-1]
    window = (x0, y0, min(x1 + GLUE, drawing.width, x0 + width), min(y1 + GLUE, drawing.height, y0 + height))
    return Tile(name, window, trim, turn)


def _row_name(row: int) -> str:
    return chr(ord("A") + row) if row < 26 else f"{_row_name(row // 26 - 1)}{_row_name(row % 26)}"
