"""Patches: what a seam cuts and a page holds, printed whole once more, to be glued over its place.

Tables are read line by line, a panel is found by its name, and a pocket over a danger is to be seen at a glance; any
other pocket is as good with a seam through it. In: what ought to stay whole, the parts of the board that tiles show.
Out: pieces of the board, and where each lies on pages of patches. Knows nothing of seams: how they were found does not
matter.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from boardmaker.geometry import Point
from boardmaker.sheets.board.wholes import RULE_ROOM, TOUCHING, Whole, box_of, fits_page
from boardmaker.sheets.paper import Box

BESIDE, BELOW = 10.0, 10.0  # mm between two patches on a page: for cut marks of both; for these and a line of type
UNDER_MARKS = 6.0  # mm below a patch that is narrower than its line of type: this stands under the cut marks then
AIR = 1.0  # mm around a name or a pocket over a danger, so that the knife keeps off it
CLOSE = 1.4  # names and dangers are one piece if that is at most so much larger than each of them alone


@dataclass(frozen=True)
class Piece:
    """A part of a board to print once more, and what of it a seam cuts."""

    shows: tuple[Whole, ...]
    window: Box


@dataclass(frozen=True)
class Patch:
    """A piece of the board on a page of patches: its lower left corner from that of the page's picture, and its turn.

    `piece` is its number among those that were to be laid, from 0.
    """

    piece: int
    window: Box
    at: Point
    turn: int
    words: float = 0.0  # mm of type below it
    reading: int = 0  # degrees, the angle at which its own words run on the board

    @property
    def turns(self) -> tuple[int, int]:
        """The turns at which nothing in it stands on its head, the one with upright words first."""
        return (0, 90) if self.reading == 0 else (270, 0)

    @property
    def size(self) -> Point:
        """Width and height on the page, mm."""
        return turned_size(self.window, self.turn)

    @property
    def room(self) -> Box:
        """What it takes of the page's picture with words that are wider than itself, mm."""
        (x, y), (width, height) = self.at, self.size
        wide, below = room_for(self.size, self.words)
        return x, y - below, x + max(width, wide), y + height


def room_for(size: Point, words: float) -> Point:
    """Return how wide a patch's line of type is, and what it takes below the patch; 0 where it goes between marks."""
    return (words, UNDER_MARKS) if words > size[0] else (0.0, 0.0)


def turned_size(box: Box, turn: int) -> Point:
    """Return width and height of a box that is turned by 0, 90 or 270 degrees, mm."""
    width, height = box[2] - box[0], box[3] - box[1]
    return (width, height) if turn == 0 else (height, width)


def pieces_cut(wholes: Sequence[Whole], parts: Sequence[Box], picture_size: Point) -> tuple[Piece, ...]:
    """Return what needs a patch: tables, rows of too large tables, names and dangers that lie within none of the parts.

    Rows that follow each other are one piece, as far as a page holds them; so are names and dangers close together.
    None lies within another, and a page holds each.
    """
    cut = [one for one in wholes if not any(one.within(part) for part in parts)]
    tables = [one for one in cut if one.kind in ("table", "row")]
    pieces = [
        Piece((rows[0],), window)
        for _, rows in ((figure, list(of_one)) for figure, of_one in groupby(tables, key=lambda one: one.figure))
        for window in _joined([one.box for one in rows], picture_size)
    ]
    small = [Piece((one,), _wider(one.box)) for one in cut if one.kind in ("name", "danger")]
    fitting = [[one for one in some if fits_page(one.window, picture_size)] for some in (pieces, small)]
    return _outermost([*fitting[0], *_gathered(fitting[1], picture_size)])


def _outermost(pieces: Sequence[Piece]) -> tuple[Piece, ...]:
    """The pieces without those that lie within another one, of equal ones the first."""
    kept: list[Piece] = []
    for piece in sorted(pieces, key=lambda one: -_area(one.window)):  # stable: equal ones stay in their order
        if not any(_lies_in(piece.window, other.window) for other in kept):
            kept.append(piece)
    return tuple(piece for piece in pieces if any(piece is one for one in kept))


def _lies_in(one: Box, other: Box) -> bool:
    low = other[0] <= one[0] + TOUCHING and other[1] <= one[1] + TOUCHING
    return low and one[2] <= other[2] + TOUCHING and one[3] <= other[3] + TOUCHING


def _wider(box: Box) -> Box:
    return box[0] - AIR, box[1] - AIR, box[2] + AIR, box[3] + AIR


def _gathered(pieces: Sequence[Piece], picture_size: Point) -> list[Piece]:
    """The pieces, those that lie close together as one."""
    found: list[Piece] = []
    for piece in pieces:
        one = piece
        while other := next((other for other in found if _lie_close(one, other, picture_size)), None):
            found.remove(other)
            one = Piece((*other.shows, *one.shows), box_of((other.window, one.window)))
        found.append(one)
    return found


def _lie_close(one: Piece, other: Piece, picture_size: Point) -> bool:
    both = box_of((one.window, other.window))
    return fits_page(both, picture_size) and _area(both) <= CLOSE * (_area(one.window) + _area(other.window))


def _area(box: Box) -> float:
    return (box[2] - box[0]) * (box[3] - box[1])


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


def patch_pages(
    pieces: Sequence[Box], picture_size: Point, words: Sequence[float] = (), readings: Sequence[int] = ()
) -> tuple[tuple[Patch, ...], ...]:
    """Return the pieces on as few pages as they go on one after the other, the highest first, from the top left.

    `words` are the widths in mm of the lines of type below them; a patch that needs all of a page has a shorter line.
    `readings` are the angles at which their own words run, which are never shown upside down. Raises ValueError for a
    piece that no page holds.
    """
    pages: list[list[Patch]] = []
    angles = [*readings, *(0 for _ in pieces[len(readings) :])]
    bare = [
        Patch(number, piece, (0.0, 0.0), 0, reading=angle)
        for number, (piece, angle) in enumerate(zip(pieces, angles, strict=True))
    ]
    named = [replace(one, words=min(width, picture_size[0])) for one, width in zip(bare, words, strict=False)]
    for patch in sorted(named or bare, key=lambda one: (-max(one.size), one.piece)):
        for page in pages:
            if placed := _placed(patch, page, picture_size):
                page.append(placed)
                break
        else:
            pages.append([_first_on_page(patch, picture_size)])
    return tuple(tuple(page) for page in pages)


def patches_within(patches: Sequence[Patch], room: Point) -> tuple[Patch, ...]:
    """Return all these patches laid into a room of this width and height, mm; none where it does not hold them all.

    Upright where that can be, else all as low as they are.
    """
    for flat in (False, True):
        found: list[Patch] = []
        for patch in patches:
            tall = patch.window[3] - patch.window[1] > patch.window[2] - patch.window[0]
            turns = patch.turns[::-1] if flat and tall == (patch.reading == 0) else patch.turns
            if placed := _placed(replace(patch, words=min(patch.words, room[0])), found, room, turns):
                found.append(placed)
        if len(found) == len(patches):
            return tuple(found)
    return ()


def _first_on_page(patch: Patch, picture_size: Point) -> Patch:
    for tried in (patch, replace(patch, words=0.0)):
        if placed := _placed(tried, [], picture_size):
            return placed
    raise ValueError(f"no page holds the piece {patch.window}")


def _placed(patch: Patch, page: Sequence[Patch], picture_size: Point, turns: tuple[int, ...] = ()) -> Patch | None:
    """The patch at a page's highest free place beside or below others, there the leftmost; the first turn that fits."""
    lefts = [0.0, *(one.room[2] + BESIDE for one in page)]
    tops = [picture_size[1], *(one.room[1] - BELOW for one in page)]
    for turn in turns or patch.turns:
        for top in sorted(tops, reverse=True):
            for left in sorted(lefts):
                tried = replace(patch, turn=turn, at=(left, top - turned_size(patch.window, turn)[1]))
                if _is_free(tried, page, picture_size):
                    return tried
    return None


def _is_free(patch: Patch, page: Sequence[Patch], picture_size: Point) -> bool:
    """Whether a patch lies within the picture and clear of all others."""
    x0, y0, x1, y1 = patch.room
    rooms = [one.room for one in page]
    return (
        x1 <= picture_size[0] + TOUCHING
        and y0 >= -TOUCHING
        and not any(
            x0 < right + BESIDE - TOUCHING
            and left < x1 + BESIDE - TOUCHING
            and y0 < high + BELOW - TOUCHING
            and low < y1 + BELOW - TOUCHING
            for left, low, right, high in rooms
        )
    )
