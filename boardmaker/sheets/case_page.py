"""The case page: plan and section of the box with the boards in it, to scale, and the list of cuts.

In: the setup's case and the boards' shapes with what stands above and below them. Out: pages. The boards' outlines are
the ones that are cut; the walls are those of the setup file.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from shapely import Polygon, affinity

from boardmaker.case import BoardShape, Layer, boards_from_sheet, case_section
from boardmaker.drawing import DisplayItem, Page, Path, Text
from boardmaker.figures.figure import Words
from boardmaker.figures.lettering import NAME, PAD, SMALL, TEXT, broken
from boardmaker.figures.table import Cell, beside, words_cell
from boardmaker.figures.wording import length_text, scale_text
from boardmaker.geometry import Point, Ring, box_ring, ring_of
from boardmaker.inputs.model import CaseSetup, Setup
from boardmaker.sheets.flow import cell_items, pour
from boardmaker.sheets.furniture import page_frame
from boardmaker.sheets.paper import PageLayout

SCALES = (2.0, 2.5, 4.0, 5.0, 10.0, 20.0, 50.0, 100.0)  # 1 : so much; ISO 5455 and the half steps between
HEADING = 8.0  # mm of a drawing's height
ROOM = 13.0  # mm around a drawing for its dimensions
TWO_COLUMNS = 150.0  # mm of the page's width for two boards beside each other in the list
COLUMN_GAP = 8.0
LIST_SHARE = 0.36  # of the page's height for the list of cuts
ARROW = (2.5, 0.8)  # mm, length and width of an arrowhead
WALL, BOARD, FINE = 0.7, 0.5, 0.18
LOCK_GREY, PART_GREY = 0.75, 0.85
PARTS_INSET = 8.0  # mm from a board's edge to what stands on it, as drawn
OPEN_TOP = 60.0  # mm of wall that are drawn where the setup gives no height
CARE = (
    "Cut with a sharp knife along a steel rule, the other hand behind the blade, several light cuts. Screw tips are "
    "sharp: keep them off hands and off whatever else rides in the case. Nothing loose on top of the boards; weight "
    "and speed with luggage as the bike's and the case's makers say."
)


@dataclass(frozen=True)
class BoardInCase:
    """One board as it lies in the case, and how far its fasteners reach beyond it."""

    shape: BoardShape
    layer: Layer
    thickness: float

    @property
    def low(self) -> float:
        """Height of its underside above the floor, mm."""
        return self.shape.in_case.floor_height if self.shape.in_case else 0.0

    @property
    def outline(self) -> Ring:
        """Its outline where it lies, in the frame of the rim."""
        assert self.shape.in_case is not None
        turned = affinity.rotate(Polygon(self.shape.outline), self.shape.in_case.turn, origin=(0, 0))
        return ring_of(affinity.translate(turned, *self.shape.in_case.at))


def case_pages(layout: PageLayout, setup: Setup, boards: Sequence[BoardInCase]) -> tuple[Page, ...]:
    """Return the case page, and more where the list of cuts is long; none without a case."""
    case = setup.case
    if case is None:
        return ()
    x0, y0, x1, y1 = layout.picture
    lines = _cutting_list(setup, boards, x1 - x0)
    bottom = y1 - (y1 - y0) * (1 - LIST_SHARE)
    drawn = (*_drawings(case, boards, (x0, bottom, x1, y1)),)
    bottom = min(y for item in drawn if isinstance(item, Path) for _, y in item.points) - ROOM / 2
    first, *others = _poured(lines, x1 - x0, bottom - y0, y1 - y0)
    pages = [(*drawn, *_set(first, (x0, bottom)))]
    pages += [tuple(_set(cells, (x0, y1))) for cells in others]
    names = ["case", *(f"case {number}" for number in range(2, len(pages) + 1))]
    return tuple(
        Page(layout.width, layout.height, (*page_frame(layout, name, "The case and the cuts"), *items), name, "Case")
        for name, items in zip(names, pages, strict=True)
    )


def _poured(cells: Sequence[Cell], width: float, first: float, height: float) -> tuple[tuple[Cell, ...], ...]:
    """The list on the first page as far as it goes, the rest on pages of their own."""
    down, count = 0.0, 0
    while count < len(cells) and down + cells[count].height <= first:
        down += cells[count].height + 2.4
        count += 1
    return pour(cells[:count], width, first)[:1] + pour(cells[count:], width, height) or ((),)


def _set(cells: Sequence[Cell], top_left: Point) -> Iterator[DisplayItem]:
    for cell in cells:
        yield from cell_items(cell, top_left)


def _drawings(
    case: CaseSetup, boards: Sequence[BoardInCase], room: tuple[float, float, float, float]
) -> Iterator[DisplayItem]:
    x0, y0, x1, y1 = room
    width, depth = case.inside
    height = _wall_height(case, boards)
    across, along = x1 - x0 - 2 * ROOM, y1 - y0 - 2 * HEADING - 3 * ROOM
    reduction = next((one for one in SCALES if width / one <= across and (depth + height) / one <= along), SCALES[-1])
    scale = scale_text(1 / reduction)
    plan_low = y1 - HEADING - ROOM / 2 - depth / reduction
    left = x0 + ROOM
    yield Text((x0, y1 - NAME), f"Plan, from above, {scale}", NAME, bold=True)
    yield from _plan(case, boards, reduction, (left, plan_low))
    section_top = plan_low - ROOM - 2.0
    yield Text((x0, section_top - NAME), f"Section, from the front, {scale}", NAME, bold=True)
    yield from _section(case, boards, reduction, (left, section_top - HEADING - height / reduction), height)


def _wall_height(case: CaseSetup, boards: Sequence[BoardInCase]) -> float:
    top = max((one.low + one.thickness + one.layer.above for one in boards), default=0.0)
    return case.height or max(OPEN_TOP, top + 10.0)


def _plan(case: CaseSetup, boards: Sequence[BoardInCase], reduction: float, at: Point) -> Iterator[DisplayItem]:
    def drawn(ring: Ring) -> Ring:
        return tuple((at[0] + x / reduction, at[1] + y / reduction) for x, y in ring)

    rim = case_section(case, case.height or 0.0)
    for keep_out in case.keep_out:
        (x, y), (width, height) = keep_out.at, keep_out.size
        lock = Polygon(box_ring(x, y, x + width, y + height)).intersection(rim)
        if isinstance(lock, Polygon) and not lock.is_empty:
            yield Path(drawn(ring_of(lock)), closed=True, line_width=FINE, fill=LOCK_GREY)
    if case.floor:
        yield Path(drawn(ring_of(case_section(case, 0.0))), closed=True, line_width=FINE, dash=(2.0, 1.0))
    for number, board in enumerate(boards, start=1):
        yield Path(
            drawn(board.outline), closed=True, line_width=BOARD, dash=() if number == len(boards) else (4.0, 1.0)
        )
    yield Path(drawn(ring_of(rim)), closed=True, line_width=WALL)
    yield from _board_names(boards, drawn)
    width, depth = case.inside[0] / reduction, case.inside[1] / reduction
    yield from dimension((at[0], at[1]), (at[0] + width, at[1]), -6.0, length_text(case.inside[0], inches=False))
    yield from dimension((at[0], at[1]), (at[0], at[1] + depth), 6.0, length_text(case.inside[1], inches=False))


def _board_names(boards: Sequence[BoardInCase], drawn) -> Iterator[Text]:  # type: ignore[no-untyped-def]
    """The boards' numbers in the middle; boards of one outline share a line."""
    for _, alike in groupby(enumerate(boards, start=1), key=lambda one: one[1].outline):
        numbers = [number for number, _ in alike]
        board = boards[numbers[0] - 1]
        point = Polygon(board.outline).representative_point()
        (middle,) = drawn(((point.x, point.y),))
        name = f"board {numbers[0]}" if len(numbers) == 1 else f"boards {numbers[0]} to {numbers[-1]}"
        yield Text((middle[0], middle[1] - TEXT / 2 - 4.5 * (numbers[0] - 1)), name, TEXT, "middle")


def _section(
    case: CaseSetup, boards: Sequence[BoardInCase], reduction: float, at: Point, height: float
) -> Iterator[DisplayItem]:
    """Walls from floor to rim, and each board with what stands above and below it."""

    def drawn(points: Sequence[Point]) -> Ring:
        return tuple((at[0] + x / reduction, at[1] + y / reduction) for x, y in points)

    width = case.inside[0]
    floor = case.floor[0] if case.floor else width
    lean = (width - floor) / 2
    for board in boards:
        xs = [x for x, _ in board.outline]
        inset = PARTS_INSET
        top = board.low + board.thickness
        if board.layer.above > 0.0:
            heads = box_ring(min(xs) + inset, top, max(xs) - inset, top + board.layer.above)
            yield Path(drawn(heads), closed=True, line_width=0.0, fill=PART_GREY)
        if board.layer.below > 0.0:
            tips = box_ring(min(xs) + inset, board.low - board.layer.below, max(xs) - inset, board.low)
            yield Path(drawn(tips), closed=True, line_width=0.0, fill=PART_GREY)
        yield Path(drawn(box_ring(min(xs), board.low, max(xs), top)), closed=True, line_width=BOARD)
    walls = ((0.0, height), (lean, 0.0), (width - lean, 0.0), (width, height))
    yield Path(drawn(walls), line_width=WALL)
    if case.height:
        yield Path(drawn(((0.0, height), (width, height))), line_width=FINE, dash=(4.0, 1.0))
        (low, high) = drawn(((0.0, 0.0), (0.0, height)))
        yield from dimension(low, high, 6.0, length_text(case.height, inches=False))
    if case.floor:
        left, right = drawn(((lean, 0.0), (width - lean, 0.0)))
        yield from dimension(left, right, -6.0, f"floor {length_text(floor, inches=False)}")


def dimension(start: Point, end: Point, off: float, words: str) -> Iterator[DisplayItem]:
    """Yield a dimension line as ISO 129-1 has it, `off` mm beside a lying or upright edge, read from below or right."""
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


def _cutting_list(setup: Setup, boards: Sequence[BoardInCase], width: float) -> list[Cell]:
    """What to cut, board by board, and how the boards are to lie."""
    columns = 2 if len(boards) > 1 and width >= TWO_COLUMNS else 1
    column = (width - (columns - 1) * COLUMN_GAP) / columns
    lists = [_board_list(setup, number, board, column) for number, board in enumerate(boards, start=1)]
    cells = [words_cell([Words("Cuts", NAME, bold=True)])]
    for start in range(0, len(lists), columns):
        row = lists[start : start + columns]
        top = max(cell.height for cell in row)
        cells.append(beside([replace(cell, height=top, width=column) for cell in row], COLUMN_GAP))
    for text in (*_protection(boards), CARE):
        cells.append(words_cell([Words(line, SMALL) for line in broken(text, SMALL, width - 2 * PAD)]))
    return cells


def _board_list(setup: Setup, number: int, board: BoardInCase, width: float) -> Cell:
    lines = [Words(f"Board {number}", TEXT, bold=True)]
    for text in _board_lines(setup, board):
        lines += [Words(line, TEXT) for line in broken(text, TEXT, width - 2 * PAD)]
    return words_cell(lines, width)


def _board_lines(setup: Setup, board: BoardInCase) -> Iterator[str]:
    shape, inches = board.shape, setup.inches
    size = " x ".join(length_text(side, inches) for side in shape.stock)
    if shape.stock == setup.board.size:
        yield f"The stock as bought, {size}."
    else:
        count = boards_from_sheet(setup.board.size, shape.stock)
        yield f"Trim to {size}; one sheet of stock gives {count} of this size."
    for cut in shape.corner_cuts:
        along_x, along_y = length_text(cut.along_x, inches), length_text(cut.along_y, inches)
        yield f"Cut {cut.corner}: {along_x} along x, {along_y} along y."
    turn = shape.in_case.turn if shape.in_case else 0
    turned = f", turned {turn:g} degrees anticlockwise" if turn else ""
    yield f"Lies {board.low:.0f} mm above the floor{turned}; parts reach {board.layer.above:.0f} mm above it."


def _protection(boards: Sequence[BoardInCase]) -> Iterator[str]:
    if boards and boards[0].layer.below > 0.0:
        tips = f"{boards[0].layer.below:.0f} mm"
        yield (
            f"Tips stand out up to {tips} below the lowest board. It lies on them only on paper: put spacer strips of "
            f"{tips} under its edges, a second layer of foam board, or a liner as thick into the case."
        )
    if len(boards) > 1:
        yield "Between boards: spacer strips at the edges, so that no head carries the board above it."
