"""All sheets of a board set in their order: page map, the case, tiles, order of removal, screw key, torque strip.

In: drawings of boards, the work, the setup. Out: `Sheets`: pages for a renderer, and which part of which board each
one shows. Apart from drawing because a board does not change with the paper.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from boardmaker.drawing import BoardGrid, Drawing, Page, Placed, Window
from boardmaker.geometry import Point, Ring
from boardmaker.model import Setup
from boardmaker.service import BoardPocket, Work
from boardmaker.sheets.board.cover import STEPS_FOR_CUTOUTS, STEPS_FOR_TILES, draw_cover
from boardmaker.sheets.board.tiling import WHOLE, Tile, cut_into_tiles, joined_sides, whole_board
from boardmaker.sheets.case.cutting_list import BoardInCase
from boardmaker.sheets.case.page import case_pages
from boardmaker.sheets.furniture import HERE, cut_marks, page_frame, page_map, seam_words
from boardmaker.sheets.paper import WORDS_LENGTH, Box, PageLayout, lay_page, page_for, shorten_roll
from boardmaker.sheets.reference.pages import order_pages, screw_key_pages
from boardmaker.sheets.reference.torque_strip import torque_pages
from boardmaker.typeset.lettering import printable

_TOP_ARROW = {0: "▲", 90: "◀"}  # where the board's top is on the page
BOARD, CUTOUTS = "board", "figures to cut out"  # what the sheets call what they show
COVER_LENGTH = 360.0
ROLL_PICTURE = 1000.0  # mm of a roll that figures to cut out are spread over


@dataclass(frozen=True)
class BoardOnPaper:
    """What the sheets need of a board: its drawing, and for the maps its outline and the figures on it; its grid."""

    drawing: Drawing
    outline: Ring
    placed: tuple[Placed, ...]
    grid: BoardGrid | None = None


@dataclass(frozen=True)
class Sheet:
    """One tile: on which page (from 1), which board (from 1), what it shows and where on the page."""

    page: int
    board: int
    tile: str
    window: Box
    turn: int
    on_page: Box


@dataclass(frozen=True)
class Sheets:
    """All pages in order, the tiles among them, and how many pockets (heads) a seam cuts in two."""

    pages: tuple[Page, ...]
    tiles: tuple[Sheet, ...]
    pockets_cut: int = 0


def picture_size(setup: Setup) -> Point:
    """Return width and height in mm of the largest picture on a page of the setup's paper."""
    layout = lay_page(setup)
    width, height = layout.picture_size
    return width, min(height, ROLL_PICTURE) if layout.roll else height


def lay_sheets(  # noqa: PLR0913 - all but four by keyword
    boards: Sequence[BoardOnPaper],
    work: Work,
    scale: float,
    setup: Setup,
    *,
    whole: bool = False,
    cutouts: Sequence[BoardOnPaper] = (),
    remark: str = "",
    in_case: Sequence[BoardInCase] = (),
) -> Sheets:
    """Return the printable sheets: page map, the case, tiles board by board, order of removal, screw key, torque strip.

    `whole` gives one page of the board's own size instead of tiles, `cutouts` pages of figures to cut out (these show
    no part of a board, so they are no tiles); a `remark` stands on the page map; `in_case` are the boards as
    they lie in the case. Raises ProblemsFound for paper without
    room.
    """
    layout = lay_page(setup)
    cut = [_cut(number, board, layout, whole) for number, board in enumerate(boards, start=1)]
    pages = _cover(layout, work, scale, cut, remark, loose=bool(cutouts))
    pages += case_pages(shorten_roll(layout, COVER_LENGTH), setup, in_case)
    sheets: list[Sheet] = []
    if cutouts:
        loose = [_cut(number, board, layout, whole=False) for number, board in enumerate(cutouts, start=1)]
        pages += [page for page, _ in _tile_pages(layout, work, loose, CUTOUTS)]
    else:
        for page, sheet in _tile_pages(layout, work, cut, BOARD):
            pages.append(page)
            sheets.append(replace(sheet, page=len(pages)))
    strip_layout = shorten_roll(layout, WORDS_LENGTH)
    pages += order_pages(strip_layout, work, {} if cutouts else _pockets_on(boards))
    pages += [*screw_key_pages(strip_layout, work, setup.board.material), *torque_pages(strip_layout, work)]
    return Sheets(tuple(pages), tuple(sheets), 0 if cutouts else sum(_pockets_cut(one) for one in cut))


def _pockets_on(boards: Sequence[BoardOnPaper]) -> dict[str, BoardPocket]:
    """The pockets on the boards by `panel/hole`, each with its square."""
    return {
        pocket.hole: BoardPocket(
            pocket.hole, pocket.number, pocket.fastener, number, board.grid.square_at(pocket.at) if board.grid else ""
        )
        for number, board in enumerate(boards, start=1)
        for one in board.placed
        for pocket in one.figure.pockets
        if pocket.hole
    }


def _tile_pages(layout: PageLayout, work: Work, cut: Sequence[_CutBoard], what: str) -> Iterator[tuple[Page, Sheet]]:
    """Every tile of every board; `what` is what the sheets call them."""
    name_of_bike = printable(work.bike.name, work.bike.file)
    for board in cut:
        for tile in board.tiles:
            name = f"{board.number}-{tile.name}" if len(cut) > 1 else tile.name
            title = f"{name_of_bike}, {what} {board.number} of {len(cut)}"
            if what == BOARD:
                title = f"{_TOP_ARROW[tile.turn]} top of board    {_place_of(tile, board)}{title}"
            yield _tile_page(layout, board, tile, name, title, HERE if what == BOARD else "")


def _place_of(tile: Tile, cut: _CutBoard) -> str:
    """Where a tile lies that is joined to no other: nothing else tells it."""
    if len(cut.tiles) == 1 or joined_sides(tile, cut.tiles):
        return ""
    x, y = tile.trim[:2]
    return f"{x:.0f} mm from the board's left edge, {y:.0f} mm from its lower one    "


@dataclass(frozen=True)
class _CutBoard:
    """A board with its number (from 1) and its tiles."""

    number: int
    board: BoardOnPaper
    tiles: tuple[Tile, ...]


def _cut(number: int, board: BoardOnPaper, layout: PageLayout, whole: bool) -> _CutBoard:
    if whole:
        return _CutBoard(number, board, whole_board(board.drawing))
    zones = [one.figure.zone for one in board.placed]
    return _CutBoard(number, board, cut_into_tiles(board.drawing, layout.picture_size, zones))


def _pockets_cut(cut: _CutBoard) -> int:
    """How many pockets lie on the seams of a board's tiles."""
    boxes = [tile.trim for tile in cut.tiles]
    pockets = [pocket for one in cut.board.placed for pocket in one.figure.pockets]
    return sum(not any(_within(pocket.at, pocket.head_diameter / 2, box) for box in boxes) for pocket in pockets)


def _within(centre: Point, radius: float, box: Box) -> bool:
    (x, y), (x0, y0, x1, y1) = centre, box
    return x0 <= x - radius and x + radius <= x1 and y0 <= y - radius and y + radius <= y1


def _cover(
    layout: PageLayout, work: Work, scale: float, cut: Sequence[_CutBoard], remark: str, loose: bool
) -> list[Page]:
    """The page map with the steps, these on pages of their own where the paper is small."""
    layout = shorten_roll(layout, COVER_LENGTH)
    maps = [(one.board.outline, one.board.placed, () if loose else one.tiles) for one in cut]
    covers = draw_cover(layout, work, scale, maps, STEPS_FOR_CUTOUTS if loose else STEPS_FOR_TILES, remark)
    names = ["map", *(f"steps {number}" for number in range(1, len(covers)))]
    bookmarks = ["Page map", *("Steps" for _ in covers[1:])]
    return [
        Page(
            layout.width,
            layout.height,
            (*page_frame(layout, name, printable(work.bike.name, work.bike.file)), *items),
            name,
            bookmark,
        )
        for name, bookmark, items in zip(names, bookmarks, covers, strict=True)
    ]


def _tile_page(
    layout: PageLayout, cut: _CutBoard, tile: Tile, name: str, what: str, beside_map: str
) -> tuple[Page, Sheet]:
    """The page of one tile; `name`, `what` and the words beside the map are printed on it."""
    width, height = tile.window[2] - tile.window[0], tile.window[3] - tile.window[1]
    shown = (width, height) if tile.turn == 0 else (height, width)
    own_layout = page_for(layout, *shown) if tile.name == WHOLE else shorten_roll(layout, shown[1])
    at = own_layout.picture[:2]
    items = (
        Window(cut.board.drawing.items, tile.window, at, tile.turn),
        *cut_marks(tile.window, tile.trim, tile.turn, at),
        *seam_words(tile.window, tile.turn, at, joined_sides(tile, cut.tiles)),
        *page_frame(own_layout, name, what, beside_map),
        *page_map(own_layout, cut.board.outline, cut.tiles, tile),
    )
    page = Page(own_layout.width, own_layout.height, items, name, f"Board {cut.number}, tile {tile.name}")
    return page, Sheet(0, cut.number, tile.name, tile.window, tile.turn, (*at, at[0] + shown[0], at[1] + shown[1]))
