"""Patches: what a seam cuts and a page holds, printed whole once more, to be glued over its place.

In: what ought to stay whole, the parts of the board that tiles show. Out: pieces of the board, and where each lies on
pages of patches. Knows nothing of seams: how they were found does not matter.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from boardmaker.geometry import Point
from boardmaker.sheets.board.wholes import RULE_ROOM, TOUCHING, Whole, fits_page
from boardmaker.sheets.paper import Box

BESIDE, BELOW = 4.0, 8.0  # mm between two patches on a page: for cut marks; for these and a line of type


@dataclass(frozen=True)
class Patch:
    """A piece of the board on a page of patches: its lower left corner from that of the page's picture, and its turn.

    `piece` is its number among those that were to be laid, from 0.
    """

    piece: int
    window: Box
    at: Point
    turn: int

    @property
    def size(self) -> Point:
        """Width and height on the page, mm."""
        return turned_size(self.window, self.turn)


def turned_size(box: Box, turn: int) -> Point:
    """Return width and height of a box that is turned by 0 or 90 degrees, mm."""
    width, height = box[2] - box[0], box[3] - box[1]
    return (width, height) if turn == 0 else (height, width)


def pieces_cut(wholes: Sequence[Whole], parts: Sequence[Box], picture_size: Point) -> tuple[tuple[int, Box], ...]:
    """Return the tables, and the rows of tables that are too large for a page, that lie within none of the parts.

    Each with the number of its table. Rows that follow each other are one piece, as far as a page holds them.
    """
    cut = [one for one in wholes if one.kind in ("table", "row") and not any(one.within(part) for part in parts)]
    return tuple(
        (table, piece)
        for table, of_one in groupby(cut, key=lambda one: one.table)
        for piece in _joined([one.box for one in of_one], picture_size)
    )


def _joined(boxes: Sequence[Box], picture_size: Point) -> Iterator[Box]:
    """Boxes that follow each other, made one where their whole fits a page."""
    piece = boxes[0]
    for box in boxes[1:]:
        both = (min(piece[0], box[0]), min(piece[1], box[1]), max(piece[2], box[2]), max(piece[3], box[3]))
        if _touch(piece, box) and fits_page(both, picture_size):
            piece = both
        else:
            yield piece
            piece = box
    yield piece


def _touch(one: Box, other: Box) -> bool:
    """Whether two boxes are as wide as each other and meet at an edge."""
    alike = [abs(a - b) < TOUCHING for a, b in zip(one, other, strict=True)]
    gap = 2 * RULE_ROOM + TOUCHING
    meet_above, meet_beside = abs(other[1] - one[3]) < gap, abs(other[0] - one[2]) < gap
    return (meet_above and alike[0] and alike[2]) or (meet_beside and alike[1] and alike[3])


def patch_pages(pieces: Sequence[Box], picture_size: Point) -> tuple[tuple[Patch, ...], ...]:
    """Return the pieces on as few pages as they go on one after the other, the highest first, from the top left."""
    pages: list[list[Patch]] = []
    order = sorted(range(len(pieces)), key=lambda number: (-max(turned_size(pieces[number], 0)), number))
    for number in order:
        for page in pages:
            if patch := _placed(number, pieces[number], page, picture_size):
                page.append(patch)
                break
        else:
            if patch := _placed(number, pieces[number], [], picture_size):
                pages.append([patch])
    return tuple(tuple(page) for page in pages)


def _placed(number: int, piece: Box, page: Sequence[Patch], picture_size: Point) -> Patch | None:
    """The piece at a page's highest free place beside or below others, there the leftmost; upright if that can be."""
    width, height = picture_size
    lefts = [0.0, *(one.at[0] + one.size[0] + BESIDE for one in page)]
    tops = [height, *(one.at[1] - BELOW for one in page)]
    for turn in (0, 90):
        wide, high = turned_size(piece, turn)
        for top in sorted(tops, reverse=True):
            for left in sorted(lefts):
                patch = Patch(number, piece, (left, top - high), turn)
                if left + wide <= width + TOUCHING and high <= top + TOUCHING and _is_free(patch, page):
                    return patch
    return None


def _is_free(patch: Patch, page: Sequence[Patch]) -> bool:
    (x, y), (width, height) = patch.at, patch.size
    return not any(
        x < one.at[0] + one.size[0] + BESIDE - TOUCHING
        and one.at[0] < x + width + BESIDE - TOUCHING
        and y < one.at[1] + one.size[1] + BELOW - TOUCHING
        and one.at[1] < y + height + BELOW - TOUCHING
        for one in page
    )
