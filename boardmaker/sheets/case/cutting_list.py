"""What the case page says beside its drawings: the cuts of each board with a sketch, the legend, heights and air.

In: the setup and the boards as they lie in the case. Out: cells to be poured onto pages. Edges are named as they lie
when the printed board is read, for that is what lies on the bench when it is cut.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from shapely import LineString, Polygon, affinity

from boardmaker.case import Blank, CornerCut, Layer, cut_triangle
from boardmaker.display_list import Path
from boardmaker.fonts import text_width
from boardmaker.geometry import Point, Ring, box_ring, ring_of
from boardmaker.model import CaseSetup, Fastener, Setup
from boardmaker.sheets.case.stock_cuts import stock_cells
from boardmaker.typeset.label import Label, Words
from boardmaker.typeset.lettering import NAME, PAD, SMALL, TEXT, box_at, broken, lines_size, printable
from boardmaker.typeset.table import Cell, beside, stacked, top_aligned, words_cell
from boardmaker.wording.numbers import decimal, length_text, size_text

TWO_COLUMNS = 150.0  # mm of the page's width for two boards beside each other in the list
COLUMN_GAP = 8.0
WALL, BOARD, FINE = 0.7, 0.5, 0.18
LOCK_GREY, PART_GREY = 0.75, 0.85
BELOW_DASH, FLOOR_DASH, WASTE_DASH, RIM_DASH = (4.0, 1.0), (2.0, 1.0), (1.2, 0.8), (4.0, 1.0)
SKETCH = (42.0, 26.0)  # mm, the most of a board's sketch
AROUND_SKETCH = 4.0  # mm beside it for the numbers of its cuts
NUMBER_OFF = 2.2  # mm from the middle of a cut to the middle of its number
SWATCH = (9.0, 2.6)  # mm
CARE = (
    "Cut with a sharp knife along a steel rule, the other hand behind the blade, several light cuts. Screw tips are "
    "sharp: keep them off hands and off whatever else rides in the case. Nothing loose on top of the boards; weight "
    "and speed with luggage as the bike's and the case's makers say."
)


@dataclass(frozen=True)
class BoardInCase:
    """One board as it lies in the case, and how far its fasteners reach beyond it."""

    shape: Blank
    layer: Layer
    thickness: float
    flat: tuple[Fastener, ...] = ()  # too long to stand in it: they lie on it

    @property
    def low(self) -> float:
        """Height of its underside above the floor, mm."""
        return self.shape.in_case.floor_height if self.shape.in_case else 0.0

    @property
    def top(self) -> float:
        """Height of its highest part above the floor, mm."""
        return self.low + self.thickness + self.layer.above

    @property
    def outline(self) -> Ring:
        """Its outline where it lies, in the frame of the rim."""
        assert self.shape.in_case is not None
        turned = affinity.rotate(Polygon(self.shape.outline), self.shape.in_case.turn, origin=(0, 0))
        return ring_of(affinity.translate(turned, *self.shape.in_case.at))


def cutting_list(setup: Setup, case: CaseSetup, boards: Sequence[BoardInCase], width: float) -> list[Cell]:
    """Return the legend, what to cut, board by board, and how the boards are to lie."""
    columns = 2 if len(boards) > 1 and width >= TWO_COLUMNS else 1
    column = (width - (columns - 1) * COLUMN_GAP) / columns
    lists = [_board_list(setup, boards, index, column) for index in range(len(boards))]
    rows = [top_aligned(lists[start : start + columns], COLUMN_GAP) for start in range(0, len(lists), columns)]
    heading = words_cell([Words("Cuts, on the printed side", NAME, bold=True)])
    units = (setup.inches, setup.cuts_in_inches)
    stock = list(stock_cells(setup.board.size, [board.shape.stock for board in boards], units, width))
    if stock:
        stock[0] = stacked([words_cell([Words("From the stock", NAME, bold=True)]), stock[0]])
    cells = [_legend(case, boards, width), *stock, *([stacked([heading, rows[0]]), *rows[1:]] if rows else [])]
    cells.append(_paragraph(f"{stack_text(case, boards)} {clearance_text(case)}", TEXT, width))
    return cells + [_paragraph(text, SMALL, width) for text in (*_protection(boards), CARE)]


def numbered_alike(board: BoardInCase, first: BoardInCase) -> bool:
    """Whether the numbers that the plan shows at the cuts of the first board hold for this one too."""
    ways = [(one.shape.in_case and one.shape.in_case.turn, _corners(one)) for one in (board, first)]
    return ways[0] == ways[1]


def _corners(board: BoardInCase) -> tuple[str, ...]:
    return tuple(cut.corner for cut in board.shape.corner_cuts)


def _paragraph(text: str, height: float, width: float) -> Cell:
    return words_cell([Words(line, height) for line in broken(text, height, width - 2 * PAD)])


def stack_text(case: CaseSetup, boards: Sequence[BoardInCase]) -> str:
    """Return how high the boards stand in all, against the height that the case has."""
    top = max((board.top for board in boards), default=0.0)
    if case.height is None:
        return (
            f"Boards, heads and tips stand {decimal(top)} mm high in all. The setup gives no height of the case: "
            "see that the lid closes."
        )
    closes = "the lid closes" if top <= case.height + 1e-6 else "the lid does not close"
    return f"Boards, heads and tips: {decimal(top)} of {decimal(case.height)} mm: {closes}."


def clearance_text(case: CaseSetup) -> str:
    """Return how much air the boards have, in words."""
    if case.clearance > 0.0:
        return f"At least {decimal(case.clearance)} mm free all around."
    return "No clearance: a board may bind. Give the case a clearance in the setup file, or trim a little more off."


def _legend(case: CaseSetup, boards: Sequence[BoardInCase], width: float) -> Cell:
    """What the lines and greys of the drawings mean, as many beside each other as the page has room for."""
    entries = [beside([_swatch(path), words_cell([Words(text, SMALL)])], 1.0) for path, text in _signs(case, boards)]
    rows: list[list[Cell]] = [[]]
    for entry in entries:
        if rows[-1] and sum(one.width + 4.0 for one in rows[-1]) + entry.width > width:
            rows.append([])
        rows[-1].append(entry)
    return stacked([beside(row, 4.0) for row in rows], 0.6)


def _signs(case: CaseSetup, boards: Sequence[BoardInCase]) -> Iterator[tuple[Path, str]]:
    across = ((0.0, -SWATCH[1] / 2), (SWATCH[0], -SWATCH[1] / 2))
    filled = box_ring(0.0, -SWATCH[1], SWATCH[0], 0.0)
    yield Path(across, line_width=WALL), "inside of the case"
    if case.floor:
        yield Path(across, line_width=FINE, dash=FLOOR_DASH), "its floor, where the walls lean in"
    yield Path(across, line_width=BOARD), "board" if len(boards) == 1 else "uppermost board"
    if len(boards) > 1:
        yield Path(across, line_width=BOARD, dash=BELOW_DASH), "boards below it"
    if case.keep_out:
        yield Path(filled, closed=True, line_width=FINE, fill=LOCK_GREY), "lock or hinge: keep out"
    yield Path(filled, closed=True, line_width=0.0, fill=PART_GREY), "heads above a board, tips below it"


def _swatch(path: Path) -> Cell:
    return Cell(*SWATCH, marks=(path,))


def _board_list(setup: Setup, boards: Sequence[BoardInCase], index: int, width: float) -> Cell:
    board = boards[index]
    cuts = [f"Cut {n}: {cut_text(cut, setup.cuts_in_inches)}" for n, cut in enumerate(board.shape.corner_cuts, start=1)]
    lines = [Words(f"Board {index + 1}", TEXT, bold=True), *_paragraph_lines(_size_text(setup, board), width)]
    lines += [Words(text, _one_line(cuts, width)) for text in cuts]
    for text in _how_it_lies(board):
        lines += _paragraph_lines(text, width)
    cells = [words_cell(lines, width)]
    alone = cuts and not numbered_alike(board, boards[0])
    return stacked([*cells, _sketch(board.shape)] if alone else cells, 1.0)


def _paragraph_lines(text: str, width: float) -> list[Words]:
    return [Words(line, TEXT) for line in broken(text, TEXT, width - 2 * PAD)]


def _one_line(texts: Sequence[str], width: float) -> float:
    """The height of type at which each text stays on a line of its own, as far as it can be read."""
    longest = max((text_width(text, TEXT) for text in texts), default=1.0)
    return max(SMALL, min(TEXT, TEXT * (width - 2 * PAD) / longest))


def _size_text(setup: Setup, board: BoardInCase) -> str:
    if board.shape.stock == setup.board.size:
        return f"The stock as bought, {size_text(setup.board.size, setup.inches)}."
    return f"Trim to {size_text(board.shape.stock, setup.cuts_in_inches)}."


def _how_it_lies(board: BoardInCase) -> Iterator[str]:
    shape = board.shape
    if pairs := double_cuts(shape.corner_cuts):
        yield (
            f"Two cuts at one corner ({', '.join(pairs)}): measure both from the square corner, and mark both cuts "
            "before you cut."
        )
    turn = shape.in_case.turn if shape.in_case else 0
    turned = f", turned {turn:g} degrees anticlockwise" if turn else ""
    yield f"Lies {board.low:.0f} mm above the floor, its heads up to {board.top:.0f} mm{turned}."
    if board.flat:
        yield f"{flat_text(board.flat)}."


def flat_text(flat: Sequence[Fastener]) -> str:
    """Return what to do with fasteners that are too long to stand in a board in its case."""
    names = " and ".join(f"{printable(one.key, '?')} ({decimal(one.length)} mm)" for one in flat)
    lie = "lies" if len(flat) == 1 else "lie"
    return f"{names} {lie} flat on the board, tied down through the pocket; standing, the board would need high spacers"


def cut_text(cut: CornerCut, inches: bool) -> str:
    """Return where a cut ends, measured from the square corner along both edges, in words."""
    level, side = cut.corner.split()
    way = "up" if level == "lower" else "down"
    along_x, along_y = length_text(cut.along_x, inches), length_text(cut.along_y, inches)
    return f"{along_x} along the {level} edge, {along_y} {way} the {side} side"


def double_cuts(cuts: Sequence[CornerCut]) -> tuple[str, ...]:
    """Return the numbers (from 1) of cuts that share a corner: `2 and 3`."""
    by_corner = groupby(enumerate(cuts, start=1), key=lambda one: one[1].corner)
    numbers = [[number for number, _ in alike] for _, alike in by_corner]
    return tuple(" and ".join(map(str, several)) for several in numbers if len(several) > 1)


def _sketch(shape: Blank) -> Cell:
    """The board as it is cut from its stock, reduced, each cut with its number."""
    width, height = shape.stock
    share = min(SKETCH[0] / width, SKETCH[1] / height)
    drop = height * share + AROUND_SKETCH

    def drawn(points: Sequence[Point]) -> Ring:
        return tuple((AROUND_SKETCH + x * share, y * share - drop) for x, y in points)

    waste = Path(drawn(box_ring(0.0, 0.0, width, height)), closed=True, line_width=FINE, dash=WASTE_DASH)
    board = Path(drawn(shape.outline), closed=True, line_width=BOARD)
    labels = []
    for number, (middle, outwards) in enumerate(cut_middles(shape), start=1):
        (at,) = drawn([middle])
        labels.append(_number_at(str(number), at, outwards))
    size = width * share + 2 * AROUND_SKETCH, height * share + 2 * AROUND_SKETCH
    return Cell(*size, tuple(labels), (waste, board))


def cut_middles(shape: Blank) -> Iterator[tuple[Point, Point]]:
    """Yield of each cut the middle of what it leaves as an edge of the board, and the direction away from the board.

    Of two cuts at a corner each has a part of its own.
    """
    board = Polygon(shape.outline).buffer(1e-3)
    for cut in shape.corner_cuts:
        _, on_x, on_y = cut_triangle(shape.stock, cut)
        edge = LineString([on_x, on_y]).intersection(board)
        middle = (edge if edge.length else LineString([on_x, on_y])).interpolate(0.5, normalized=True)
        yield (middle.x, middle.y), _outwards(cut)


def _outwards(cut: CornerCut) -> Point:
    long = math.hypot(cut.along_x, cut.along_y)
    x, y = cut.along_y / long, cut.along_x / long
    return x if "right" in cut.corner else -x, y if "upper" in cut.corner else -y


def _number_at(text: str, middle: Point, outwards: Point) -> Label:
    words = Words(text, TEXT, bold=True)
    centre = middle[0] + NUMBER_OFF * outwards[0], middle[1] + NUMBER_OFF * outwards[1]
    return Label((words,), box_at(centre, lines_size([words])), align="middle")


def _protection(boards: Sequence[BoardInCase]) -> Iterator[str]:
    if boards and boards[0].layer.below > 0.0:
        tips = f"{boards[0].layer.below:.0f} mm"
        yield (
            f"Tips stand out up to {tips} below the lowest board. It lies on them only on paper: put spacer strips of "
            f"{tips} under its edges, a second layer of foam board, or a liner as thick into the case."
        )
    if len(boards) > 1:
        yield "Between boards: spacer strips at the edges, so that no head carries the board above it."
