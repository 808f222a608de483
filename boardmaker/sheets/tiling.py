"""How a board is divided into tiles: as few as the paper allows, seams off pockets and text, none empty.

Tiles stand in rows (A at the top) and columns (1 at the left). Each tile shows a strip of two neighbours as well, to
glue them onto; the neighbour is cut at the seam and covers the strip. On the page the strips are always at the top and
at the right, so that one instruction serves every sheet: on a board that means right and top, or, where the picture is
turned on the page, right and bottom.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from boardmaker.drawing import Circle, DisplayItem, Drawing, Path, Text
from boardmaker.fonts import text_box
from boardmaker.sheets.paper import Box

WHOLE = "whole"  # the name of a tile that shows all of a board
GLUE = 6.0  # mm of the neighbour that a tile shows
STEP = 1.0  # mm between two places of a seam that are tried
HOLE_CUT, TEXT_CUT = 10.0, 4.0  # cost of a seam through a pocket, through a line of type


@dataclass(frozen=True)
class Tile:
    """A part of a board for one page: its name, what it shows, and the same without the glue strips."""

    name: str
    window: Box
    trim: Box
    turn: int


def cut_into_tiles(drawing: Drawing, picture_size: tuple[float, float]) -> tuple[Tile, ...]:
    """Return the tiles of a board for pictures of at most this size, from the top left, row by row."""
    shapes = [_shape(item) for item in drawing.items]
    choices = [_tiles(drawing, shapes, picture_size, turn) for turn in (0, 90)]
    _, _, tiles = min(choices, key=lambda choice: (len(choice[2]), *choice[:2]))
    return tiles


def whole_board(drawing: Drawing) -> tuple[Tile, ...]:
    """Return the board as one tile, turned so that the page is portrait as every other."""
    box = (0.0, 0.0, drawing.width, drawing.height)
    return (Tile(WHOLE, box, box, 90 if drawing.width > drawing.height else 0),)


def _tiles(
    drawing: Drawing, shapes: Sequence[BaseGeometry], picture_size: tuple[float, float], turn: int
) -> tuple[float, int, tuple[Tile, ...]]:
    """Cost of what the seams cut, turn, tiles."""
    width, height = picture_size if turn == 0 else picture_size[::-1]
    xs, cost_x = _seams(drawing.items, 0, drawing.width, width)
    ys, cost_y = _seams(drawing.items, 1, drawing.height, height, glue_below=turn == 90)
    marks = shapely.STRtree(shapes)
    tiles = tuple(tile for tile in _all_tiles(xs, ys, turn) if _shows_something(tile, marks))
    return cost_x + cost_y, turn, tiles


def _shows_something(tile: Tile, marks: shapely.STRtree) -> bool:
    return len(marks.query(shapely.box(*tile.window), predicate="intersects")) > 0


def _all_tiles(xs: Sequence[float], ys: Sequence[float], turn: int) -> list[Tile]:
    tiles = []
    for row, (y0, y1) in enumerate(reversed(list(pairwise(ys)))):
        for column, (x0, x1) in enumerate(pairwise(xs)):
            low, high = (y0, min(y1 + GLUE, ys[-1])) if turn == 0 else (max(y0 - GLUE, ys[0]), y1)
            window = (x0, low, min(x1 + GLUE, xs[-1]), high)
            tiles.append(Tile(f"{_row_name(row)}{column + 1}", window, (x0, y0, x1, y1), turn))
    return tiles


def _row_name(row: int) -> str:
    return chr(ord("A") + row) if row < 26 else f"{_row_name(row // 26 - 1)}{_row_name(row % 26)}"


def _seams(
    items: Sequence[DisplayItem], axis: int, length: float, picture: float, glue_below: bool = False
) -> tuple[tuple[float, ...], float]:
    """Seams along one axis, edges included: as few as can be, where they cut least, and what they cut.

    Every tile but the last (with `glue_below`: but the first) shows `GLUE` beyond a seam, so its own part is that much
    shorter than the picture.
    """
    if length <= picture:
        return (0.0, length), 0.0
    count = math.ceil((length - GLUE - 1e-6) / (picture - GLUE))
    places = np.arange(0.0, length, STEP)
    costs = _cut_costs(items, axis, length - places if glue_below else places, length)
    seams, cost = _cheapest_seams(places, costs, count, length, picture)
    return tuple(length - seam for seam in reversed(seams)) if glue_below else seams, cost


def _cheapest_seams(
    places: np.ndarray,
    costs: np.ndarray,
    count: int,
    length: float,
    picture: float,
) -> tuple[tuple[float, ...], float]:
    """Dynamic programming over the seams from left to right: the least cost to have each place as a seam."""
    reach = int((picture - GLUE) / STEP + 1e-9)  # how far a seam may lie from the one before it
    best = np.where(places == 0.0, 0.0, np.inf)
    came_from = []
    for _ in range(count - 1):
        windows = np.lib.stride_tricks.sliding_window_view(np.concatenate([np.full(reach, np.inf), best[:-1]]), reach)
        nearest = reach - 1 - np.argmin(windows[:, ::-1], axis=1)
        came_from.append(np.arange(len(places)) - reach + nearest)
        best = windows[np.arange(len(places)), nearest] + costs
    last_reach = picture + 1e-9  # the last tile needs no glue strip
    ends = np.where(length - places <= last_reach, best, np.inf)
    place = int(np.argmin(ends))
    total = float(ends[place])
    seams = [length]
    for sources in reversed(came_from):
        seams.append(float(places[place]))
        place = int(sources[place])
    return (0.0, *reversed(seams)), total


def _cut_costs(items: Sequence[DisplayItem], axis: int, places: np.ndarray, length: float) -> np.ndarray:
    """What a seam at each place would cut, and a little for lying off the even division."""
    costs = np.zeros(len(places))
    for item in items:
        weight = {Circle: HOLE_CUT, Text: TEXT_CUT}.get(type(item), 0.0)
        if weight:
            low, high = _extent(item, axis)
            costs += weight * ((places > low) & (places < high))
    return costs + 1e-6 * np.abs(places - length / 2)


def _extent(item: DisplayItem, axis: int) -> tuple[float, float]:
    bounds = _shape(item).bounds
    return bounds[axis], bounds[axis + 2]


def _shape(item: DisplayItem) -> BaseGeometry:
    """The marks of an item as a shape: lines as lines, type as its box."""
    if isinstance(item, Circle):
        disc = shapely.Point(item.centre).buffer(item.diameter / 2)
        return disc if item.fill is not None else disc.exterior
    if isinstance(item, Path):
        if item.fill is not None:
            return shapely.Polygon(item.points)
        return shapely.LinearRing(item.points) if item.closed else shapely.LineString(item.points)
    if isinstance(item, Text):
        return _text_shape(item)
    return shapely.box(*item.at, item.at[0] + item.size[0], item.at[1] + item.size[1])


def _text_shape(text: Text) -> BaseGeometry:
    width, above, below = text_box(text.text, text.height, text.bold)
    start = {"start": 0.0, "middle": -width / 2, "end": -width}[text.anchor]
    x, y = text.at
    if text.angle_deg == 0:
        return shapely.box(x + start, y - below, x + start + width, y + above)
    return shapely.box(x - above, y + start, x + below, y + start + width)
