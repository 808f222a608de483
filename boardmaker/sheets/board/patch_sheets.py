"""Patches on paper: on pages of their own, the last of these in the room that a page of words leaves, if it has enough.

In: named pieces of boards, pages of words. Out: pages, and what each patch shows and where. Apart from `patches`, which
knows rectangles only, and from `laying`, which knows how the pages follow each other.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from boardmaker.drawing import Circle, DisplayItem, Drawing, Page, Path, Text, Window
from boardmaker.fonts import text_width
from boardmaker.geometry import Point
from boardmaker.sheets.board.patches import Patch, patch_pages, patches_within
from boardmaker.sheets.furniture import cut_marks, page_frame, patch_words, patch_words_width
from boardmaker.sheets.page_title import TITLE_HEIGHT, page_title
from boardmaker.sheets.paper import MARKS, Box, PageLayout

HOW = "cut out, glue over the same place of the sheets"
GAP = 6.0  # mm between the end of words and the heading of patches below them, or their room beside them
NARROWEST = 60.0  # mm of room beside words
ANY_NUMBER = "88"  # as wide as any of two digits: where patches lie does not depend on the numbers of sheets


@dataclass(frozen=True)
class Sheet:
    """One tile or patch: on which page (from 1), which board (from 1), what it shows and where on the page."""

    page: int
    board: int
    tile: str
    window: Box
    turn: int
    on_page: Box


@dataclass(frozen=True)
class NamedPiece:
    """A part of a board that a seam cuts and a patch shows in one piece; what it is and where it goes, in words."""

    board: int
    window: Box
    what: str
    place: str
    reading: int = 0  # degrees, the angle at which its words run on the board


@dataclass(frozen=True)
class PatchesOnPages:
    """Which patches lie on each page of patches, and which in the room beside or below the words of a page.

    `words_page` is its number from 0, `room` where on it they lie, their heading above. A patch's number, `piece`, says
    where it lies among those on the pages; `order` has the numbers, from 0, of the pieces as they were given.
    """

    own: tuple[tuple[Patch, ...], ...] = ()
    below: tuple[Patch, ...] = ()
    words_page: int = 0
    room: Box = (0.0, 0.0, 0.0, 0.0)
    order: tuple[int, ...] = ()

    def in_order(self, pieces: Sequence[NamedPiece]) -> list[NamedPiece]:
        """Return the pieces, which are those that were laid, in the order of their numbers."""
        return [pieces[number] for number in self.order]

    def numbered(self) -> PatchesOnPages:
        """Return the patches numbered from the top left of the first page to the last page's lower right."""
        pages = (*self.own, self.below)
        order = [patch.piece for page in pages for patch in sorted(page, key=_reading_order)]
        numbers = {piece: number for number, piece in enumerate(order)}
        *own, below = (tuple(replace(patch, piece=numbers[patch.piece]) for patch in page) for page in pages)
        return replace(self, own=tuple(own), below=below, order=tuple(order))

    def labels(self, words: Sequence[Page]) -> tuple[str, ...]:
        """Return what the pages with patches are called; `words` are the pages of words."""
        own = tuple(_label(number, len(self.own)) for number in range(1, len(self.own) + 1))
        return (*own, words[self.words_page].label) if self.below else own


def _reading_order(patch: Patch) -> Point:
    """Where a patch's upper left corner is: from the top, then from the left."""
    return -(patch.at[1] + patch.size[1]), patch.at[0]


def _label(number: int, count: int) -> str:
    return "patches" if count == 1 else f"patches {number}"


def lay_patches(layout: PageLayout, pieces: Sequence[NamedPiece], words: Sequence[Page]) -> PatchesOnPages:
    """Return where the patches lie: on as few pages as they go on, the last of these in the room that words leave.

    Of the pages of words the last that has enough room is taken.
    """
    texts = [re.sub(r"\d+", ANY_NUMBER, _text(number, piece)) for number, piece in enumerate(pieces)]
    windows = [piece.window for piece in pieces]
    own = patch_pages(
        windows, layout.picture_size, [patch_words_width(text) for text in texts], [one.reading for one in pieces]
    )
    for number in range(len(words) - 1, -1, -1):
        for room in _rooms_left(layout, words[number]) if own else ():
            if below := patches_within(own[-1], (room[2] - room[0], room[3] - room[1])):
                return PatchesOnPages(own[:-1], below, number, room).numbered()
    return PatchesOnPages(own).numbered()


def _rooms_left(layout: PageLayout, page: Page) -> Iterator[Box]:
    """What a page of words leaves for patches: below all of it, and at the right below what reaches there.

    Above each is room for a heading. A page of a roll ends with its words.
    """
    left, low, right, high = layout.picture
    ends = [*_ends(page.items, left)]
    starts = [left, *sorted({x + GAP for x, y in ends if low < y and x + GAP < right - NARROWEST})]
    for start in starts if not layout.roll else ():
        lowest = min((y for x, y in ends if x > start - GAP and y > low), default=high)
        if lowest - GAP - TITLE_HEIGHT - MARKS > low:
            yield start, low, right, lowest - GAP - TITLE_HEIGHT - MARKS


def _ends(items: Sequence[DisplayItem], left: float) -> Iterator[Point]:
    """Right lower ends of all marks of a page but the bar beside its picture, mm."""
    for item in items:
        if isinstance(item, Text) and item.angle_deg == 0:
            width = text_width(item.text, item.height, item.bold)
            right = item.at[0] + {"start": width, "middle": width / 2, "end": 0.0}[item.anchor]
            yield right, item.at[1] - item.height / 3  # below the baseline: g, j, p
        elif isinstance(item, Circle):
            yield item.centre[0] + item.diameter / 2, item.centre[1] - item.diameter / 2
        elif isinstance(item, Path) and max(x for x, _ in item.points) >= left - 1.0:
            yield max(x for x, _ in item.points), min(y for _, y in item.points)


def _text(number: int, piece: NamedPiece) -> str:
    """Words that no tile has: `patch 1: glue over sheet 3, square B2: TC 3`."""
    return f"patch {number + 1}: glue over {piece.place}: {piece.what}"


def own_pages(
    layout: PageLayout,
    bike: str,
    drawings: Sequence[Drawing],
    pieces: Sequence[NamedPiece],
    laid: PatchesOnPages,
    first: int,
) -> Iterator[tuple[Page, list[Sheet]]]:
    """Yield the pages of patches, from page number `first` on; `drawings` are the boards'."""
    for number, patches in enumerate(laid.own, start=first):
        name = _label(number - first + 1, len(laid.own))
        items, sheets = _drawn(layout, drawings, pieces, patches, number)
        frame = page_frame(layout, name, f"{bike}: {HOW}")
        yield Page(layout.width, layout.height, (*frame, *items), name, name.capitalize()), sheets


def below_words(
    layout: PageLayout,
    drawings: Sequence[Drawing],
    pieces: Sequence[NamedPiece],
    laid: PatchesOnPages,
    page: Page,
    number: int,
) -> tuple[Page, list[Sheet]]:
    """Return a page of words, its `number` among all, with its patches under a heading of their own."""
    room = replace(layout, picture=laid.room)
    x0, _, x1, high = laid.room
    top = high + MARKS + TITLE_HEIGHT
    rule = Path(((x0, top + 1.0), (x1, top + 1.0)), line_width=0.5)
    items, sheets = _drawn(room, drawings, pieces, laid.below, number)
    return replace(page, items=(*page.items, rule, *page_title(room, f"Patches: {HOW}", top), *items)), sheets


def _drawn(
    layout: PageLayout, drawings: Sequence[Drawing], pieces: Sequence[NamedPiece], patches: Sequence[Patch], page: int
) -> tuple[list[DisplayItem], list[Sheet]]:
    items: list[DisplayItem] = []
    sheets = [_sheet(layout, patch, pieces[patch.piece], page) for patch in patches]
    for patch, sheet in zip(patches, sheets, strict=True):
        words = _text(patch.piece, pieces[patch.piece])
        items += _items(sheet, drawings[sheet.board - 1], words, patch.room)
    return items, sheets


def _sheet(layout: PageLayout, patch: Patch, piece: NamedPiece, page: int) -> Sheet:
    x, y = layout.picture[0] + patch.at[0], layout.picture[1] + patch.at[1]
    on_page = (x, y, x + patch.size[0], y + patch.size[1])
    return Sheet(page, piece.board, f"patch {patch.piece + 1}", patch.window, patch.turn, on_page)


def _items(sheet: Sheet, drawing: Drawing, words: str, room: Box) -> Iterator[DisplayItem]:
    """The piece, cut marks at its corners and a line that says what it is and where it goes."""
    at = sheet.on_page[:2]
    yield Window(drawing.items, sheet.window, at, sheet.turn)
    yield from cut_marks(sheet.window, sheet.window, sheet.turn, at)
    yield patch_words(words, sheet.on_page, room[2] - room[0])
