"""Small pictures of all boards with their tiles and the names of the tables: by these the sheets are laid out.

In: outlines, figures and named tiles. Out: display items for the first sheet. Apart from the words below.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from boardmaker.drawing import DisplayItem, Path, Placed, Text
from boardmaker.fonts import text_width
from boardmaker.geometry import Point, Ring, bounds, box_ring
from boardmaker.sheets.paper import Box
from boardmaker.typeset.lettering import NAME, SMALL, broken

MAP_GAP = 8.0
MAP_HEADING = 5.0
SMALLEST_TAGGED = 0.12  # a map below this scale has no room for tags
LINE = 2.8  # mm from line to line of a table's name
GREY = 0.35
DASH = (1.0, 0.8)
AIR = 0.3  # mm between a patch and its name


@dataclass(frozen=True)
class BoardMap:
    """What the map of a board shows: outline, figures, tiles by name (what they show without glue), names of tables.

    And patches by name.
    """

    outline: Ring
    placed: tuple[Placed, ...]
    tiles: tuple[tuple[str, Box], ...]
    table_names: Mapping[tuple[str, str], str]  # by kind and key
    patches: tuple[tuple[str, Box], ...] = ()


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
    return min(cell_width / across, (cell_height - MAP_HEADING) / along)


def _map(index: int, board: BoardMap, room: Box) -> Iterator[DisplayItem]:
    x0, y0, x1, y1 = room
    width, height = max(x for x, _ in board.outline), max(y for _, y in board.outline)
    scale = min((x1 - x0) / width, (y1 - y0 - MAP_HEADING) / height)
    low = y1 - MAP_HEADING - height * scale

    def shrunk(ring: Sequence[Point]) -> Ring:
        return tuple((x0 + x * scale, low + y * scale) for x, y in ring)

    yield Text((x0, y1 - 2.5), f"Board {index + 1}", 2.5, bold=True)
    corners = [(name, bounds(shrunk(box_ring(*trim)))) for name, trim in board.tiles]
    for one in board.placed:
        ring = shrunk(one.figure.outline or one.figure.zone)
        yield Path(ring, closed=True, line_width=0.18, ink=GREY)
        if one.figure.kind != "panel":
            yield from _table_name(board.table_names.get((one.figure.kind, one.figure.key), ""), bounds(ring), corners)
        elif scale > SMALLEST_TAGGED:
            yield _tag(one, bounds(ring))
    yield from _patches([(name, bounds(shrunk(box_ring(*box)))) for name, box in board.patches], corners)
    for name, box in corners:
        yield Path(box_ring(*box), closed=True, line_width=0.25)
        yield from _tile_name(name, (box[0], box[3]))
    yield Path(shrunk(board.outline), closed=True, line_width=0.5)


def _tag(placed: Placed, box: Box) -> Text:
    """A panel's tag in the middle of its picture."""
    text = placed.figure.labels[0].lines[0].text
    return Text(((box[0] + box[2]) / 2, (box[1] + box[3]) / 2 - 1.0), text, SMALL, "middle", ink=0.2)


def _table_name(name: str, box: Box, tiles: Sequence[tuple[str, Box]]) -> Iterator[Text]:
    """A table's name in the middle of its picture, as far as there is room, clear of the tiles' names."""
    width, height = box[2] - box[0] - 1.0, box[3] - box[1] - 1.0
    lines = broken(name, SMALL, width) if name and width > 2 * SMALL else ()
    if not lines or max(text_width(line, SMALL) for line in lines) > width:
        return
    lines = lines[: int((height + LINE - SMALL) / LINE)]
    x, top = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2 + ((len(lines) - 1) * LINE + SMALL) / 2
    names = [_name_box(tile, (corner[0], corner[3])) for tile, corner in tiles]
    for index, line in enumerate(lines):
        half, y = text_width(line, SMALL) / 2, top - SMALL - index * LINE
        if not any(a < x + half and x - half < c and b < y + SMALL and y < d for a, b, c, d in names):
            yield Text((x, y), line, SMALL, "middle", ink=GREY)


def _patches(patches: Sequence[tuple[str, Box]], tiles: Sequence[tuple[str, Box]]) -> Iterator[DisplayItem]:
    """Each patch as a dashed box, its name on white beside it, clear of the names of tiles and other patches."""
    taken = [_name_box(tile, (corner[0], corner[3])) for tile, corner in tiles]
    for name, box in patches:
        yield Path(box_ring(*box), closed=True, line_width=0.35, dash=DASH)
        places = list(_beside(box, text_width(name, SMALL, bold=True) + 0.8, SMALL + 0.8))
        free = (place for place in places if not any(_touch(place, other) for other in taken))
        x0, y0, x1, y1 = place = next(free, places[0])
        taken.append(place)
        yield Path(box_ring(x0, y0, x1, y1), closed=True, line_width=0.0, fill=1.0)
        yield Text((x0 + 0.4, y0 + 0.4), name, SMALL, bold=True)


def _beside(box: Box, width: float, height: float) -> Iterator[Box]:
    """Boxes of this size at the sides of another one and at its corners inside, the best first."""
    x0, y0, x1, y1 = box
    middle, high = (x0 + x1 - width) / 2, (y0 + y1 - height) / 2
    corners = ((x0, y0), (x1 - width, y0), (x1 - width, y1 - height), (x0, y1 - height))
    sides = ((x1 + AIR, high), (x0 - AIR - width, high), (middle, y1 + AIR), (middle, y0 - AIR - height))
    for x, y in (*sides, *corners):
        yield x, y, x + width, y + height


def _touch(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _tile_name(name: str, corner: Point) -> Iterator[DisplayItem]:
    """A tile's name in its upper left corner, on white."""
    x0, y0, x1, y1 = _name_box(name, corner)
    yield Path(box_ring(x0, y0, x1, y1), closed=True, line_width=0.25, fill=1.0)
    yield Text((x0 + 0.8, y0 + 0.8), name, NAME, bold=True)


def _name_box(name: str, corner: Point) -> Box:
    x, y = corner
    return x, y - NAME - 1.6, x + text_width(name, NAME, bold=True) + 1.6, y
