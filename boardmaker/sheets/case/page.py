"""The case page: plan and section of the box with the boards in it, to scale, and the list of cuts.

In: the setup's case and the boards' shapes with what stands above and below them. Out: pages. The boards' outlines are
the ones that are cut; the walls are those of the setup file.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from itertools import groupby

from shapely import Polygon

from boardmaker.case import case_section
from boardmaker.drawing import DisplayItem, Page, Path, Text
from boardmaker.fonts import text_width
from boardmaker.geometry import Point, Ring, box_ring, ring_of
from boardmaker.model import CaseSetup, Setup
from boardmaker.sheets.case.cutting_list import (
    BELOW_DASH,
    BOARD,
    FINE,
    FLOOR_DASH,
    LOCK_GREY,
    PART_GREY,
    RIM_DASH,
    WALL,
    BoardInCase,
    cut_middles,
    cutting_list,
)
from boardmaker.sheets.furniture import page_frame
from boardmaker.sheets.page_title import TITLE_HEIGHT, page_title
from boardmaker.sheets.paper import PageLayout
from boardmaker.typeset.flow import ROW_GAP, cell_items, pour
from boardmaker.typeset.lettering import NAME, TEXT
from boardmaker.typeset.table import Cell
from boardmaker.wording.numbers import length_text, scale_text, size_text

SCALES = (2.0, 2.5, 4.0, 5.0, 6.0, 8.0, 10.0, 20.0, 50.0, 100.0)  # 1 : so much; ISO 5455 and steps between
HEADING = 8.0  # mm of a drawing's height
ROOM = 13.0  # mm around a drawing for its dimensions
BELOW = 10.5  # mm under a drawing for its dimension
BEFORE_LIST = 4.0  # mm
LIST_SHARE = 0.2  # of the page's height for the beginning of a list that goes over onto another page
MOST_LIST = 0.58  # of the page's height for a list that does not
NUMBERS_APART = 3.6  # mm between the middles of two numbers at one corner
INWARDS = 3.8  # mm from a cut to its number: clear of boards that reach further out
ARROW = (2.5, 0.8)  # mm, length and width of an arrowhead
PARTS_INSET = 8.0  # mm from a board's edge to what stands on it, as drawn
OPEN_TOP = 60.0  # mm of wall that are drawn where the setup gives no height
NUMBER_STEP = 3.2  # mm between the numbers of two boards in the section
DIMENSION_OFF = 6.0  # mm from a drawing to its dimension line
TITLE = "The case and the cuts"

Draw = Callable[[Sequence[Point]], Ring]


def case_pages(layout: PageLayout, setup: Setup, boards: Sequence[BoardInCase]) -> tuple[Page, ...]:
    """Return the case page, and more where the list of cuts is long; none without a case."""
    case = setup.case
    if case is None:
        return ()
    x0, y0, x1, y1 = layout.picture
    lines = cutting_list(setup, case, boards, x1 - x0)
    room = (x0, y0 + _list_height(lines, y1 - y0), x1, y1 - TITLE_HEIGHT)
    drawn = (*page_title(layout, TITLE), *_drawings(case, boards, room))
    bottom = min(y for item in drawn if isinstance(item, Path) for _, y in item.points) - BEFORE_LIST
    first, *others = _poured(lines, x1 - x0, bottom - y0, y1 - y0)
    pages = [(*drawn, *_set(first, (x0, bottom)))]
    pages += [tuple(_set(cells, (x0, y1))) for cells in others]
    names = ["case", *(f"case {number}" for number in range(2, len(pages) + 1))]
    return tuple(
        Page(layout.width, layout.height, (*page_frame(layout, name, TITLE), *items), name, "Case")
        for name, items in zip(names, pages, strict=True)
    )


def _list_height(cells: Sequence[Cell], height: float) -> float:
    """What the list may take of the page: all that it needs, or little where it goes over onto another page anyway."""
    needed = sum(cell.height + ROW_GAP for cell in cells) + BEFORE_LIST
    return needed if needed <= MOST_LIST * height else LIST_SHARE * height


def _poured(cells: Sequence[Cell], width: float, first: float, height: float) -> tuple[tuple[Cell, ...], ...]:
    """The list on the first page as far as it goes, the rest on pages of their own."""
    down, count = 0.0, 0
    while count < len(cells) and down + cells[count].height <= first:
        down += cells[count].height + ROW_GAP
        count += 1
    return pour(cells[:count], width, first)[:1] + pour(cells[count:], width, height) or ((),)


def _set(cells: Sequence[Cell], top_left: Point) -> Iterator[DisplayItem]:
    for cell in cells:
        yield from cell_items(cell, top_left)


def _drawings(
    case: CaseSetup, boards: Sequence[BoardInCase], room: tuple[float, float, float, float]
) -> Iterator[DisplayItem]:
    x0, y0, x1, y1 = room
    (width, depth), height = case.inside, _wall_height(case, boards)
    across, along = x1 - x0 - 2 * ROOM, y1 - y0 - 2 * (HEADING + BELOW)
    reduction = next((one for one in SCALES if width / one <= across and (depth + height) / one <= along), SCALES[-1])
    plan_low = y1 - HEADING - depth / reduction
    yield Text((x0, y1 - NAME), _plan_title(case, reduction), NAME, bold=True)
    yield from _plan(case, boards, reduction, (x0 + ROOM, plan_low))
    section_top = plan_low - BELOW
    section_low = section_top - HEADING - height / reduction
    yield Text((x0, section_top - NAME), _section_title(case, reduction), NAME, bold=True)
    yield from _section(case, boards, reduction, (x0 + ROOM, section_low), height)


def _wall_height(case: CaseSetup, boards: Sequence[BoardInCase]) -> float:
    return case.height or max(OPEN_TOP, max((one.top for one in boards), default=0.0) + 10.0)


def _plan_title(case: CaseSetup, reduction: float) -> str:
    """With the sizes where the case is drawn too small for dimensions beside it."""
    title = f"Plan, from above, {scale_text(1 / reduction)}"
    if all(_fits(_inside_words(length, case.inches), length / reduction) for length in case.inside):
        return title
    return f"{title}, inside {size_text(case.inside, case.inches)}"


def _section_title(case: CaseSetup, reduction: float) -> str:
    title, height = f"Section, from the front, {scale_text(1 / reduction)}", case.height
    if height is None or _fits(_height_words(height, case.inches), height / reduction):
        return title
    return f"{title}, {_height_words(height, case.inches)}"


def _inside_words(length: float, inches: bool) -> str:
    return f"inside {length_text(length, inches)}"


def _height_words(height: float, inches: bool) -> str:
    return f"height {length_text(height, inches)}"


def _fits(words: str, length: float) -> bool:
    return text_width(words, TEXT) + 2.0 <= length  # clear of the extension lines


def _plan(case: CaseSetup, boards: Sequence[BoardInCase], reduction: float, at: Point) -> Iterator[DisplayItem]:
    drawn = _reduced(reduction, at)
    rim = case_section(case, case.height or 0.0)
    for keep_out in case.keep_out:
        (x, y), (width, height) = keep_out.at, keep_out.size
        lock = Polygon(box_ring(x, y, x + width, y + height)).intersection(rim)
        if isinstance(lock, Polygon) and not lock.is_empty:
            yield Path(drawn(ring_of(lock)), closed=True, line_width=FINE, fill=LOCK_GREY)
    if case.floor:
        yield Path(drawn(ring_of(case_section(case, 0.0))), closed=True, line_width=FINE, dash=FLOOR_DASH)
    for number, board in enumerate(boards, start=1):
        dash = () if number == len(boards) else BELOW_DASH
        yield Path(drawn(board.outline), closed=True, line_width=BOARD, dash=dash)
    yield Path(drawn(ring_of(rim)), closed=True, line_width=WALL)
    yield from _board_names(boards, drawn)
    yield from _cut_numbers(boards, drawn)
    width, depth = case.inside[0] / reduction, case.inside[1] / reduction
    yield from dimension(at, (at[0] + width, at[1]), -DIMENSION_OFF, _inside_words(case.inside[0], case.inches))
    yield from dimension(at, (at[0], at[1] + depth), DIMENSION_OFF, _inside_words(case.inside[1], case.inches))


def _reduced(reduction: float, at: Point) -> Draw:
    """Return what brings points of the case onto the page, reduced, the case's corner at `at`."""
    return lambda points: tuple((at[0] + x / reduction, at[1] + y / reduction) for x, y in points)


def _board_names(boards: Sequence[BoardInCase], drawn: Draw) -> Iterator[Text]:
    """The boards' numbers in the middle; boards of one outline share a line."""
    for _, alike in groupby(enumerate(boards, start=1), key=lambda one: one[1].outline):
        numbers = [number for number, _ in alike]
        board = boards[numbers[0] - 1]
        point = Polygon(board.outline).representative_point()
        (middle,) = drawn(((point.x, point.y),))
        joined = " and " if len(numbers) == 2 else " to "
        name = f"board {numbers[0]}" if len(numbers) == 1 else f"boards {numbers[0]}{joined}{numbers[-1]}"
        yield Text((middle[0], middle[1] - TEXT / 2 - 4.5 * (numbers[0] - 1)), name, TEXT, "middle")


def _cut_numbers(boards: Sequence[BoardInCase], drawn: Draw) -> Iterator[Text]:
    """The numbers of the first board's cuts, inside of it; other boards with other cuts have sketches of their own."""
    if not boards or not (lies := boards[0].shape.in_case):
        return
    spots: list[Point] = []
    for middle, outwards in cut_middles(boards[0].shape):
        turned = _turned(middle, lies.turn)
        ((x, y),) = drawn([(turned[0] + lies.at[0], turned[1] + lies.at[1])])
        away = _turned(outwards, lies.turn)
        spots.append((x - INWARDS * away[0], y - INWARDS * away[1]))
    corners = [cut.corner for cut in boards[0].shape.corner_cuts]
    for index in range(1, len(spots)):
        if corners[index] == corners[index - 1]:
            spots[index - 1 : index + 1] = _apart(*spots[index - 1 : index + 1])
    for number, (x, y) in enumerate(spots, start=1):
        yield Text((x, y - TEXT / 2), f"{number}", TEXT, "middle", bold=True)


def _apart(one: Point, other: Point) -> tuple[Point, Point]:
    """Two points moved apart until a number at each can be read."""
    way = math.dist(one, other) or 1.0
    push = max(0.0, NUMBERS_APART - way) / 2 / way
    x, y = (other[0] - one[0]) * push, (other[1] - one[1]) * push
    return (one[0] - x, one[1] - y), (other[0] + x, other[1] + y)


def _turned(point: Point, angle_deg: float) -> Point:
    angle = math.radians(angle_deg)
    (x, y), cos, sin = point, math.cos(angle), math.sin(angle)
    return x * cos - y * sin, x * sin + y * cos


def _section(
    case: CaseSetup, boards: Sequence[BoardInCase], reduction: float, at: Point, height: float
) -> Iterator[DisplayItem]:
    """Walls from floor to rim, and each board with its number and what stands above and below it."""
    drawn, width = _reduced(reduction, at), case.inside[0]
    floor = case.floor[0] if case.floor else width
    lean = (width - floor) / 2
    for board in boards:
        yield from _board_from_the_side(board, drawn)
    yield from _section_numbers(boards, drawn, width)
    yield Path(drawn(((0.0, height), (lean, 0.0), (width - lean, 0.0), (width, height))), line_width=WALL)
    if case.height:
        yield Path(drawn(((0.0, height), (width, height))), line_width=FINE, dash=RIM_DASH)
        low, high = drawn(((0.0, 0.0), (0.0, height)))
        yield from dimension(low, high, DIMENSION_OFF, _height_words(height, case.inches))
    if case.floor:
        left, right = drawn(((lean, 0.0), (width - lean, 0.0)))
        yield from dimension(left, right, -DIMENSION_OFF, f"floor {length_text(floor, case.inches)}")


def _board_from_the_side(board: BoardInCase, drawn: Draw) -> Iterator[Path]:
    xs = [x for x, _ in board.outline]
    left, right = min(xs) + PARTS_INSET, max(xs) - PARTS_INSET
    surface = board.low + board.thickness
    for low, high in ((surface, board.top), (board.low - board.layer.below, board.low)):
        if high > low:
            yield Path(drawn(box_ring(left, low, right, high)), closed=True, line_width=0.0, fill=PART_GREY)
    yield Path(drawn(box_ring(min(xs), board.low, max(xs), surface)), closed=True, line_width=BOARD)


def _section_numbers(boards: Sequence[BoardInCase], drawn: Draw, width: float) -> Iterator[Path | Text]:
    """Each board's number right of the walls, at its height or as near above it as the number below it allows."""
    lowest = float("-inf")
    for number, board in enumerate(boards, start=1):
        edge = max(x for x, _ in board.outline)
        (start, wall) = drawn(((edge, board.low + board.thickness / 2), (width, board.low + board.thickness / 2)))
        lowest = max(start[1], lowest + NUMBER_STEP)
        yield Path((start, (wall[0] + 1.5, start[1]), (wall[0] + 3.0, lowest)), line_width=FINE)
        yield Text((wall[0] + 3.6, lowest - TEXT / 2), f"{number}", TEXT, bold=True)


def dimension(start: Point, end: Point, off: float, words: str) -> Iterator[DisplayItem]:
    """Yield a dimension line as ISO 129-1 has it, `off` mm beside a lying or upright edge, read from below or right.

    Words longer than the line are left to the title. They begin with a word: those of a bar that is to be measured
    begin with its length, and `verify` reads them so.
    """
    lying = start[1] == end[1]
    if lying:
        a, b = (start[0], start[1] + off), (end[0], end[1] + off)
    else:
        a, b = (start[0] - off, start[1]), (end[0] - off, end[1])
    for edge, tip in ((start, a), (end, b)):
        yield Path((edge, _beyond(edge, tip)), line_width=FINE)
    yield Path((a, b), line_width=FINE)
    yield from (_arrow(a, lying, 1.0), _arrow(b, lying, -1.0))
    middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    if not _fits(words, max(b[0] - a[0], b[1] - a[1])):
        return
    if lying:
        yield Text((middle[0], middle[1] + 0.9), words, TEXT, "middle")
    else:
        yield Text((middle[0] - 0.9, middle[1]), words, TEXT, "middle", 90)


def _beyond(edge: Point, tip: Point) -> Point:
    """An extension line goes 1.5 mm past the dimension line."""
    if edge[0] == tip[0]:
        return tip[0], tip[1] + (1.5 if tip[1] > edge[1] else -1.5)
    return tip[0] + (1.5 if tip[0] > edge[0] else -1.5), tip[1]


def _arrow(tip: Point, lying: bool, way: float) -> Path:
    (x, y), (length, width) = tip, ARROW
    if lying:
        points = (tip, (x + way * length, y + width / 2), (x + way * length, y - width / 2))
    else:
        points = (tip, (x + width / 2, y + way * length), (x - width / 2, y + way * length))
    return Path(points, closed=True, line_width=0.0, fill=0.0)
