"""All sheets of a board set in their order: page map, the case, tiles and patches, order of removal, key, torque strip.

In: drawings of boards, the work, the setup. Out: `Sheets`: pages for a renderer, and which part of which board each
one shows. Apart from drawing because a board does not change with the paper.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import count

from boardmaker.drawing import BoardGrid, DisplayItem, Drawing, Page, Placed, Window
from boardmaker.figures import Figure
from boardmaker.figures.style import BoardStyle, board_style
from boardmaker.geometry import Point, Ring
from boardmaker.model import Setup
from boardmaker.service import BoardPocket, Work
from boardmaker.sheets.board.cover import STEPS_FOR_CUTOUTS, CoverWords, draw_cover, steps_for_tiles
from boardmaker.sheets.board.patch_sheets import (
    NamedPiece,
    PatchesOnPages,
    Sheet,
    below_words,
    lay_patches,
    own_pages,
)
from boardmaker.sheets.board.patches import pieces_cut
from boardmaker.sheets.board.tile_map import BoardMap
from boardmaker.sheets.board.tiling import WHOLE, Tile, cut_into_tiles, joined_sides, whole_board
from boardmaker.sheets.board.wholes import Whole, wholes_of
from boardmaker.sheets.case.cutting_list import BoardInCase
from boardmaker.sheets.case.page import case_pages
from boardmaker.sheets.furniture import (
    HERE,
    cut_marks,
    glue_strips,
    page_frame,
    page_map,
    seam_words,
)
from boardmaker.sheets.paper import WORDS_LENGTH, Box, PageLayout, lay_page, page_for, shorten_roll
from boardmaker.sheets.reference.flowing import flowing_pages
from boardmaker.sheets.reference.pages import order_section, screw_key_section
from boardmaker.sheets.reference.torque_strip import torque_section
from boardmaker.typeset.lettering import printable, shown_name
from boardmaker.wording.numbers import NO_BREAK_SPACE

_TOP_ARROW = {0: "▲", 90: "◀"}  # where the board's top is on the page
BOARD, CUTOUTS = "board", "figures to cut out"  # what the sheets call what they show
WHERE_PANELS = "Sheets with the pockets of"
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
class Sheets:
    """All pages in order, the tiles among them, the patches, and how many pockets (heads) a seam cuts in two."""

    pages: tuple[Page, ...]
    tiles: tuple[Sheet, ...]
    patches: tuple[Sheet, ...] = ()
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
    layout, style = lay_page(setup), board_style(setup.board)
    cut = [_cut(number, board, layout, whole) for number, board in enumerate(boards, start=1)]
    loose = [_cut(number, board, layout, whole=False) for number, board in enumerate(cutouts, start=1)]
    case = case_pages(shorten_roll(layout, COVER_LENGTH), setup, in_case)
    names = table_names(work)
    words = _pages_of_words(layout, work, setup, {} if cutouts else _pockets_on(boards))
    pieces = [] if cutouts else _pieces(cut, layout, names, 0)
    laid = lay_patches(layout, pieces, words)
    cover = _Cover(layout, work, scale, cut, remark, bool(cutouts), style)
    behind = sum(len(one.tiles) for one in loose or cut) + len(laid.own)
    pages = [*cover.pages(len(case), laid.in_order(pieces), laid.labels(words), behind, words), *case]
    patched = [] if cutouts else laid.in_order(_pieces(cut, layout, names, len(pages) + 1))
    tiles: list[Sheet] = []
    for page, sheet in _tile_pages(layout, work, loose or cut, CUTOUTS if cutouts else BOARD, len(pages) + 1):
        pages.append(page)
        tiles += [sheet] if not cutouts else []
    last, patches = _with_patches(layout, work, cut, patched, laid, words, len(pages) + 1)
    pockets_cut = 0 if cutouts else len(_on_seams(cut, patched, 0))
    return Sheets((*pages, *last), tuple(tiles), tuple(patches), pockets_cut)


def _pages_of_words(layout: PageLayout, work: Work, setup: Setup, pockets: Mapping[str, BoardPocket]) -> list[Page]:
    """Order of removal, screw key and torque strip."""
    layout = shorten_roll(layout, WORDS_LENGTH)
    sections = [
        order_section(layout, work, board_style(setup.board), dict(pockets)),
        screw_key_section(layout, work, setup.board.material),
        torque_section(layout, work),
    ]
    return [*flowing_pages(layout, printable(work.bike.name, work.bike.file), sections)]


def _with_patches(
    layout: PageLayout,
    work: Work,
    cut: Sequence[_CutBoard],
    pieces: Sequence[NamedPiece],
    laid: PatchesOnPages,
    words: Sequence[Page],
    first: int,
) -> tuple[list[Page], list[Sheet]]:
    """The pages of patches and those of words, from page number `first` on, and all patches in their order."""
    drawings, bike = [one.board.drawing for one in cut], printable(work.bike.name, work.bike.file)
    pages: list[Page] = []
    patches: list[Sheet] = []
    for page, sheets in own_pages(layout, bike, drawings, pieces, laid, first):
        pages.append(page)
        patches += sheets
    pages += words
    if laid.below:
        at = len(laid.own) + laid.words_page
        pages[at], sheets = below_words(layout, drawings, pieces, laid, pages[at], first + at)
        patches += sheets
    return pages, patches


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


def _tile_pages(
    layout: PageLayout, work: Work, cut: Sequence[_CutBoard], what: str, first: int
) -> Iterator[tuple[Page, Sheet]]:
    """Every tile of every board, from page number `first` on; `what` is what the sheets call them."""
    name_of_bike = printable(work.bike.name, work.bike.file)
    tiles = [(board, tile) for board in cut for tile in board.tiles]
    for number, (board, tile) in enumerate(tiles, start=first):
        title = f"{name_of_bike}, {what} {board.number} of {len(cut)}"
        if what == BOARD:
            title = f"{_TOP_ARROW[tile.turn]} top of board    {_place_of(tile, board)}{title}"
        here = HERE if what == BOARD and len(board.tiles) > 1 else ""
        page, sheet = _tile_page(layout, board, tile, f"sheet {number}", title, here)
        yield page, replace(sheet, page=number)


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
    wholes = wholes_of(board.placed, layout.picture_size)
    return _CutBoard(number, board, cut_into_tiles(board.drawing, layout.picture_size, zones, wholes))


def _pieces(
    cut: Sequence[_CutBoard], layout: PageLayout, names: Mapping[tuple[str, str], str], first: int
) -> list[NamedPiece]:
    """What needs a patch on all boards; `names` are those of tables, `first` is the page of the first tile."""
    found = []
    for one in cut:
        placed, parts = one.board.placed, [tile.trim for tile in one.tiles]
        for piece in pieces_cut(wholes_of(placed, layout.picture_size), parts, layout.picture_size):
            what = ", ".join(dict.fromkeys(_what(whole, placed[whole.figure].figure, names) for whole in piece.shows))
            place = _place_on_sheets(one, piece.window, first, len(cut))
            reading = placed[piece.shows[0].figure].reading_deg
            found.append(NamedPiece(one.number, piece.window, what, place, reading))
        first += len(one.tiles)
    return found


def _what(whole: Whole, figure: Figure, names: Mapping[tuple[str, str], str]) -> str:
    """What a patch shows: a table by its name, a panel by its tag, a pocket as everywhere: `TC 3`."""
    if figure.kind != "panel":
        return names.get((figure.kind, figure.key), figure.kind)
    tag = figure.labels[0].text
    return tag if whole.kind == "name" else f"{tag} {figure.pockets[whole.pocket].number}"


def _place_on_sheets(cut: _CutBoard, window: Box, first: int, boards: int) -> str:
    """Over which sheets a patch is glued, and where: `sheets 3 and 4, square B2`; the square is that of its middle."""
    sheets = _sheets_text([first + number for number, tile in enumerate(cut.tiles) if _overlap(tile.trim, window)])
    middle = (window[0] + window[2]) / 2, (window[1] + window[3]) / 2
    square = f", square {cut.board.grid.square_at(middle)}" if cut.board.grid else ""
    return f"{sheets}{f', board {cut.number}' if boards > 1 else ''}{square}"


def _sheets_text(sheets: Sequence[int]) -> str:
    """`sheet 3`, `sheets 3 and 4`, `sheets 3, 4 and 7`."""
    return f"sheet{'s' * (len(sheets) > 1)} {_joined([f'{one}' for one in sheets])}"


def _joined(words: Sequence[str]) -> str:
    """`3`, `3 and 4`, `3, 4 and 7`."""
    return " and ".join([", ".join(words[:-1])] * (len(words) > 1) + [*words[-1:]])


def _overlap(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _on_seams(cut: Sequence[_CutBoard], patched: Sequence[NamedPiece], first: int) -> list[str]:
    """The pockets on seams that no patch shows, with their sheets from `first` on: `SL 5 (sheets 5 and 8)`."""
    found = []
    for one in cut:
        boxes = [*(tile.trim for tile in one.tiles), *(piece.window for piece in patched if piece.board == one.number)]
        for placed in one.board.placed:
            for pocket in placed.figure.pockets:
                head = _around(pocket.at, pocket.head_diameter / 2)
                if not any(_contains(box, head) for box in boxes):
                    sheets = _sheets_text([first + n for n, tile in enumerate(one.tiles) if _overlap(tile.trim, head)])
                    found.append(f"{_called(placed.figure)} {pocket.number} ({sheets})")
        first += len(one.tiles)
    return found


def _called(figure: Figure) -> str:
    return figure.labels[0].text if figure.kind == "panel" else "wrong hole"


def _around(centre: Point, radius: float) -> Box:
    return centre[0] - radius, centre[1] - radius, centre[0] + radius, centre[1] + radius


def _contains(box: Box, other: Box) -> bool:
    return box[0] <= other[0] and box[1] <= other[1] and other[2] <= box[2] and other[3] <= box[3]


@dataclass(frozen=True)
class _Cover:
    """The page map with the steps, these on pages of their own where the paper is small."""

    layout: PageLayout
    work: Work
    scale: float
    cut: Sequence[_CutBoard]
    remark: str
    loose: bool
    style: BoardStyle

    def pages(
        self,
        between: int,
        patched: Sequence[NamedPiece],
        patch_pages: Sequence[str],
        behind: int,
        words: Sequence[Page],
    ) -> list[Page]:
        """The pages, with so many between them and the tiles, and from there on so many before the pages of words.

        Patches are on the pages of these names.
        """
        layout, covers = shorten_roll(self.layout, COVER_LENGTH), 1
        for _ in range(2):  # first to count them
            first = covers + between + 1
            contents = contents_text(words, first + behind)
            drawn = self._drawn(layout, first, patched, patch_pages, contents)
            covers = len(drawn)
        return _cover_pages(layout, self.work, drawn)

    def _drawn(
        self,
        layout: PageLayout,
        first: int,
        patched: Sequence[NamedPiece],
        patch_pages: Sequence[str],
        contents: str,
    ) -> tuple[tuple[DisplayItem, ...], ...]:
        numbers, names = count(first), table_names(self.work)
        joined = any(len(one.tiles) > 1 for one in self.cut)
        on_seams = [] if self.loose else _on_seams(self.cut, patched, first)
        steps = STEPS_FOR_CUTOUTS if self.loose else steps_for_tiles(joined, patch_pages, on_seams)
        maps = [
            BoardMap(
                one.board.outline,
                one.board.placed,
                () if self.loose else tuple((f"{next(numbers)}", tile.trim) for tile in one.tiles),
                names,
                tuple((f"P{n}", piece.window) for n, piece in enumerate(patched, start=1) if piece.board == one.number),
                None if self.loose else one.board.grid,
            )
            for one in self.cut
        ]
        remarks = [(text, loud) for text, loud in ((self.remark, True), (contents, False)) if text]
        index = "" if self.loose else panels_text(self.work, self.cut, first)
        return draw_cover(layout, self.work, self.scale, maps, CoverWords(steps, remarks, index), self.style)


def panels_text(work: Work, cut: Sequence[_CutBoard], first: int) -> str:
    """On which sheets, numbered from `first` on, each panel has its pockets, by its name; "" where there is but one."""
    names = {one.panel.key: one.panel for one in work.freed}
    sheets: list[str] = []
    for board in cut:
        panels = [one.figure for one in board.board.placed if one.figure.kind == "panel" and one.figure.key in names]
        for panel, figure in ((names[figure.key], figure) for figure in panels):
            on = _joined([f"{first + n}" for n, tile in enumerate(board.tiles) if _shows_pocket(tile, figure)])
            sheets.append(f"{shown_name(panel)} {printable(panel.tag, '?')}: {on}".replace(" ", NO_BREAK_SPACE))
        first += len(board.tiles)
    several = sum(len(board.tiles) for board in cut) > 1
    return f"{WHERE_PANELS} {' · '.join(sorted(sheets))}" if several and sheets else ""


def _shows_pocket(tile: Tile, figure: Figure) -> bool:
    return any(_contains(tile.trim, (*pocket.at, *pocket.at)) for pocket in figure.pockets)


SECTIONS = {  # of the pages of words, by how their names begin
    "order": "order of removal, dangers, signs",
    "key": "screw key",
    "torque": "torque strip",
}


def contents_text(words: Sequence[Page], first: int) -> str:
    """Where the pages of words are, the first of them page number `first`; "" for none of them."""
    found = []
    for section, what in SECTIONS.items():
        pages = [n for n, page in enumerate(words) if any(part.startswith(section) for part in page.label.split(", "))]
        if pages:
            named = dict.fromkeys((pages[0], pages[-1]))
            numbers, labels = "–".join(f"{first + n}" for n in named), " to ".join(f"“{words[n].label}”" for n in named)
            found.append(f"{what}: page{'s' * (len(named) > 1)} {numbers}, {labels.replace(' ', NO_BREAK_SPACE)}")
    return f"Behind the sheets: {' · '.join(found)}" if found else ""


def table_names(work: Work) -> dict[tuple[str, str], str]:
    """What the map calls the tables, by kind and key."""
    torques = {("torque card", card.key): f"torque: {printable(card.name, card.key)}" for card in work.cards}
    others = {
        "screw key": "screw key",
        "title": "title, signs",
        "parking": "wrong hole, or none",
        "bike map": "where: bike",
    }
    views = {("bike map", view): f"where: {view}" for view in ("left", "above", "right")}
    return {**{(kind, ""): name for kind, name in others.items()}, **torques, **views}


def _cover_pages(layout: PageLayout, work: Work, covers: Sequence[tuple[DisplayItem, ...]]) -> list[Page]:
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
    at, joined = own_layout.picture[:2], joined_sides(tile, cut.tiles)
    items = (
        *glue_strips(tile.window, tile.trim, tile.turn, at, joined),
        Window(cut.board.drawing.items, tile.window, at, tile.turn),
        *cut_marks(tile.window, tile.trim, tile.turn, at),
        *seam_words(tile.window, tile.turn, at, joined),
        *page_frame(own_layout, name, what, beside_map),
        *(page_map(own_layout, cut.board.outline, cut.tiles, tile) if len(cut.tiles) > 1 else ()),
    )
    page = Page(own_layout.width, own_layout.height, items, name, f"Board {cut.number}, {name}")
    return page, Sheet(0, cut.number, tile.name, tile.window, tile.turn, (*at, at[0] + shown[0], at[1] + shown[1]))
