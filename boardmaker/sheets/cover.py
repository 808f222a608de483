"""The first sheet: every board with its tiles at a glance, and what to do with the pages."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from boardmaker.drawing import DisplayItem, Path, Placed, Text
from boardmaker.figures.lettering import broken, printable
from boardmaker.figures.wording import scale_text
from boardmaker.geometry import Point, Ring, box_ring
from boardmaker.service import Work
from boardmaker.sheets.paper import PageLayout
from boardmaker.sheets.tiling import Tile

STEPS = (
    "Print every page at 100 % (“actual size”), never “fit to page”. Measure the two test bars of the first sheet: "
    "if they are not 100 mm long, stop and mend the print settings before you print the rest.",
    "Cut each sheet at its marks along the lower and the left seam. The strip beyond the upper and the right seam "
    "stays on: the neighbouring sheet is glued onto it.",
    "Lay the sheets out by the page map, then glue them to the board from one corner. Spray glue is flammable and "
    "bad to breathe: outdoors or by an open window, no flame near, gloves on.",
    "Cut the board along its outline with a sharp knife and a steel rule, on a mat, the hand behind the blade.",
    "Punch or drill each hole. Try one screw of each kind in a scrap of the same stock first.",
    "While you work, every screw goes into its own pocket as it comes out; refit from the highest number down.",
)
CAUTION = (
    "The maker's manual comes first, for torque as for the order of work; where a licence is asked for, leave the work "
    "to those who have it. This board is only as good as the bike file behind it."
)
MAP_GAP = 8.0
MAP_HEADING = 5.0


def draw_cover(
    layout: PageLayout, work: Work, scale: float, boards: Sequence[tuple[Ring, Sequence[Placed], Sequence[Tile]]]
) -> tuple[DisplayItem, ...]:
    """Return the cover: maps of all boards (outline, figures on it, tiles) above the steps."""
    x0, y0, x1, y1 = layout.picture
    steps = tuple(_steps(x0, y0, x1 - x0))
    top = max(item.at[1] for item in steps) + 10.0
    head_low = y1 - 16.0
    heading = _heading(work, scale, len(boards), (x0, y1), x1 - x0)
    return (*heading, *_maps(boards, (x0, top, x1, head_low)), *steps)


def _heading(work: Work, scale: float, boards: int, top_left: Point, width: float) -> Iterator[Text]:
    x, y = top_left
    name = broken(printable(work.bike.name, work.bike.file), 7.0, width, bold=True)[0]
    yield Text((x, y - 7.0), name, 7.0, bold=True)
    count = len(work.freed)
    panels = len({one.panel.key for one in work.freed})
    facts = f"{boards} board{'s' * (boards != 1)}, {panels} panels at {scale_text(scale)}, {count} pockets"
    yield Text((x, y - 12.5), facts, 3.5)


def _steps(x: float, y: float, width: float) -> Iterator[Text]:
    """Numbered steps and the caution, set from the bottom upwards so that the maps get what is left."""
    paragraphs = [(f"{number}", step) for number, step in enumerate(STEPS, start=1)] + [("!", CAUTION)]
    for number, paragraph in reversed(paragraphs):
        lines = broken(paragraph, 2.5, width - 6.0)
        for line in reversed(lines):
            yield Text((x + 6.0, y), line, 2.5)
            y += 4.4
        yield Text((x, y - 4.4), number, 2.5, bold=True)
        y += 1.4


def _maps(
    boards: Sequence[tuple[Ring, Sequence[Placed], Sequence[Tile]]], room: tuple[float, float, float, float]
) -> Iterator[DisplayItem]:
    x0, y0, x1, y1 = room
    columns = max(range(1, len(boards) + 1), key=lambda count: _map_scale(boards, count, x1 - x0, y1 - y0))
    cell_width, cell_height = _map_cell(len(boards), columns, x1 - x0, y1 - y0)
    for index, (outline, placed, tiles) in enumerate(boards):
        column, row = index % columns, index // columns
        left = x0 + column * (cell_width + MAP_GAP)
        low = y1 - cell_height - row * (cell_height + MAP_GAP)
        yield from _map(index, outline, placed, tiles, (left, low, left + cell_width, low + cell_height))


def _map_cell(count: int, columns: int, width: float, height: float) -> Point:
    """Width and height of the room for one map, where so many stand in so many columns."""
    rows = -(-count // columns)
    return (width - MAP_GAP * (columns - 1)) / columns, (height - MAP_GAP * (rows - 1)) / rows


def _map_scale(
    boards: Sequence[tuple[Ring, Sequence[Placed], Sequence[Tile]]], columns: int, width: float, height: float
) -> float:
    """The scale at which the largest board fits into its cell."""
    cell_width, cell_height = _map_cell(len(boards), columns, width, height)
    across = max(x for outline, _, _ in boards for x, _ in outline)
    along = max(y for outline, _, _ in boards for _, y in outline)
    return min(cell_width / across, (cell_height - MAP_HEADING) / along)


def _map(
    index: int, outline: Ring, placed: Sequence[Placed], tiles: Sequence[Tile], room: tuple[float, float, float, float]
) -> Iterator[DisplayItem]:
    x0, y0, x1, y1 = room
    width, height = max(x for x, _ in outline), max(y for _, y in outline)
    scale = min((x1 - x0) / width, (y1 - y0 - MAP_HEADING) / height)
    low = y1 - MAP_HEADING - height * scale

    def shrunk(ring: Sequence[Point]) -> Ring:
        return tuple((x0 + x * scale, low + y * scale) for x, y in ring)

    yield Text((x0, y1 - 2.5), f"Board {index + 1}", 2.5, bold=True)
    for one in placed:
        ring = one.figure.outline or one.figure.zone
        yield Path(shrunk(ring), closed=True, line_width=0.18, grey=0.35)
    for tile in tiles:
        (left, bottom), _, (right, top), _ = shrunk(box_ring(*tile.trim))
        yield Path(box_ring(left, bottom, right, top), closed=True, line_width=0.25, dash=(1.5, 1.0))
        yield Text(((left + right) / 2, (bottom + top) / 2 - 2.5), tile.name, 5.0, "middle", bold=True)
    yield Path(shrunk(outline), closed=True, line_width=0.5)
