"""Small pictures of all boards with their tiles and the names of the tables: by these the sheets are laid out.

In: outlines, figures and named tiles. Out: display items for the first sheet. Apart from the words below.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from boardmaker.drawing import BoardGrid, DisplayItem, Path, Placed, Text
from boardmaker.fonts import text_width
from boardmaker.geometry import Point, Ring, bounds, box_ring
from boardmaker.sheets.board.map_words import AIR, name_within, words_box
from boardmaker.sheets.paper import Box
from boardmaker.typeset.lettering import NAME, SMALL

MAP_GAP = 8.0
MAP_HEADING = 6.5  # mm above a map: its name, and the letters of its columns
NUMBERS = 4.0  # mm
GRID_TICK = 1.5  # mm
SMALLEST_TAGGED = 0.12  # a map below this scale has no room for tags
GREY = 0.35
DASH = (1.0, 0.8)


@dataclass(frozen=True)
class BoardMap:
    """What the map of a board shows: outline, figures, tiles by name (what they show without glue), names of tables.

    And patches by name, and the squares by which pages of words name pockets.
    """

    outline: Ring
    placed: tuple[Placed, ...]
    tiles: tuple[tuple[str, Box], ...]
    table_names: Mapping[tuple[str, str], str]  # by kind and key
    patches: tuple[tuple[str, Box], ...] = ()
    grid: BoardGrid | None = None


def draw_maps(boards: Sequence[BoardMap], room: Box) -> Iterator[DisplayItem]:
    """Yield a map of each board, all as large as the room (mm on the page) has place for."""
    x0, y0, x1, y1 = room
    columns = max(range(1, len(boards) + 1), key=lambda count: _map_scale(boards, count, x1 - x0, y1 - y0))
    cell_width, cell_height = _map_cell(len(boards), columns, x1 - x0, y1 - y0)
    for index, board in enumerate(boards):
        column, row = index % columns, index // columns
        left = x0 + column * (cell_width + MAP_GAP)
        low = y1 - cell_height - row * (cell_height + MAP_GAP)
        yield from _map(index, board, (left, low, left + cell_width, low + cell_height))


def _map_cell(count: int, columns: int, width: float, height: float) -> Point:
    """Width and height of the room for one map, where so many stand in so many columns."""
    rows = -(-count // columns)
    return (width - MAP_GAP * (columns - 1)) / columns, (height - MAP_GAP * (rows - 1)) / rows


def _map_scale(boards: Sequence[BoardMap], columns: int, width: float, height: float) -> float:
    """The scale at which the largest board fits into its cell."""
    cell_width, cell_height = _map_cell(len(boards), columns, width, height)
    across = max(x for board in boards for x, _ in board.outline)
    along = max(y for board in boards for _, y in board.outline)
    return min((cell_width - _numbers_beside(boards)) / across, (cell_height - MAP_HEADING) / along)


def _numbers_beside(boards: Iterable[BoardMap]) -> float:
    """The room at the left of a map for the numbers of its rows, mm."""
    return NUMBERS if any(board.grid for board in boards) else 0.0


def _map(index: int, board: BoardMap, room: Box) -> Iterator[DisplayItem]:
    x0, y0, x1, y1 = room
    x0 += _numbers_beside([board])
    width, height = max(x for x, _ in board.outline), max(y for _, y in board.outline)
    scale = min((x1 - x0) / width, (y1 - y0 - MAP_HEADING) / height)
    low = y1 - MAP_HEADING - height * scale

    def shrunk(ring: Sequence[Point]) -> Ring:
        return tuple((x0 + x * scale, low + y * scale) for x, y in ring)

    yield Text((room[0], y1 - 2.5), f"Board {index + 1}", 2.5, bold=True)
    corners = [(name, bounds(shrunk(box_ring(*trim)))) for name, trim in board.tiles]
    rings = [shrunk(one.figure.outline or one.figure.zone) for one in board.placed]
    yield from (Path(ring, closed=True, line_width=0.18, ink=GREY) for ring in rings)
    taken = [_name_box(name, (box[0], box[3])) for name, box in corners]
    names = [_names(one, board.table_names) if scale > SMALLEST_TAGGED else () for one in board.placed]
    patches = [(name, bounds(shrunk(box_ring(*box)))) for name, box in board.patches]
    edges = [box for _, box in (*corners, *patches)]
    for ring, called in zip(rings, names, strict=True):
        if words := name_within(called, ring, taken, edges, GREY):
            yield from words
            taken.append(words_box(words))
    yield from _patches(patches, taken, bounds(shrunk(board.outline)))
    for name, box in corners:
        yield Path(box_ring(*box), closed=True, line_width=0.25)
        yield from _tile_name(name, (box[0], box[3]))
    yield Path(shrunk(board.outline), closed=True, line_width=0.5)
    if board.grid:
        yield from _squares(board.grid, (x0, low), scale)


def _squares(grid: BoardGrid, corner: Point, scale: float) -> Iterator[DisplayItem]:
    """Letters above the map and numbers beside it, each over the middle of its column or row; ticks where they meet."""
    (x0, y0), (width, height) = corner, (side * scale for side in grid.stock)
    across, along = width / grid.columns, height / grid.rows
    top = y0 + height
    for column, letter in enumerate(grid.letters):
        yield Text((x0 + (column + 0.5) * across, top + 0.8), letter, SMALL, "middle", bold=True)
    for row in range(grid.rows):
        yield Text((x0 - 1.2, top - (row + 0.5) * along - SMALL / 2), f"{row + 1}", SMALL, "end", bold=True)
    for x in (x0 + column * across for column in range(1, grid.columns)):
        yield Path(((x, top), (x, top + GRID_TICK)), line_width=0.25)
    for y in (top - row * along for row in range(1, grid.rows)):
        yield Path(((x0, y), (x0 - GRID_TICK, y)), line_width=0.25)


def _names(placed: Placed, tables: Mapping[tuple[str, str], str]) -> tuple[str, ...]:
    """What a figure may be called, the fullest first: a panel by its tag, a table by its name or how that begins."""
    figure = placed.figure
    if figure.kind == "panel":
        return (figure.labels[0].lines[0].text,)
    name = tables.get((figure.kind, figure.key), "")
    return name, name.partition(":")[0]


def _patches(patches: Sequence[tuple[str, Box]], words: Sequence[Box], within: Box) -> Iterator[DisplayItem]:
    """Each patch as a dashed box, its name on white beside it, clear of words and other patches' names."""
    taken = list(words)
    boxes = [box for _, box in patches]
    for name, box in patches:
        yield Path(box_ring(*box), closed=True, line_width=0.35, dash=DASH)
        beside = list(_beside(box, text_width(name, SMALL, bold=True) + 0.8, SMALL + 0.8))
        places = [place for place in beside if _lies_in(place, within)] or beside
        x0, y0, x1, y1 = place = min(places, key=lambda one: _in_the_way(one, taken, boxes))
        taken.append(place)
        yield Path(box_ring(x0, y0, x1, y1), closed=True, line_width=0.0, fill=1.0)
        yield Text((x0 + 0.4, y0 + 0.4), name, SMALL, bold=True)


def _in_the_way(place: Box, taken: Sequence[Box], boxes: Sequence[Box]) -> tuple[float, float]:
    """How much of words lies under a place, and how much of patches, mm²."""
    return sum(_common(place, other) for other in taken), sum(_common(place, other) for other in boxes)


def _lies_in(one: Box, other: Box) -> bool:
    return other[0] <= one[0] and other[1] <= one[1] and one[2] <= other[2] and one[3] <= other[3]


def _beside(box: Box, width: float, height: float) -> Iterator[Box]:
    """Boxes of this size at the sides of another one and inside it, the best first."""
    x0, y0, x1, y1 = box
    middle, high = (x0 + x1 - width) / 2, (y0 + y1 - height) / 2
    corners = ((x0, y0), (x1 - width, y0), (x1 - width, y1 - height), (x0, y1 - height), (middle, high))
    sides = [(x, y) for y in (high, y0, y1 - height) for x in (x1 + AIR, x0 - AIR - width)]
    ends = [(x, y) for x in (middle, x0, x1 - width) for y in (y1 + AIR, y0 - AIR - height)]
    for x, y in (*sides, *ends, *corners):
        yield x, y, x + width, y + height


def _common(one: Box, other: Box) -> float:
    """The area that two boxes share, mm²."""
    across, along = (min(one[i + 2], other[i + 2]) - max(one[i], other[i]) for i in (0, 1))
    return max(0.0, across) * max(0.0, along)


def _tile_name(name: str, corner: Point) -> Iterator[DisplayItem]:
    """A tile's name in its upper left corner, on white."""
    x0, y0, x1, y1 = _name_box(name, corner)
    yield Path(box_ring(x0, y0, x1, y1), closed=True, line_width=0.25, fill=1.0)
    yield Text((x0 + 0.8, y0 + 0.8), name, NAME, bold=True)


def _name_box(name: str, corner: Point) -> Box:
    x, y = corner
    return x, y - NAME - 1.6, x + text_width(name, NAME, bold=True) + 1.6, y
