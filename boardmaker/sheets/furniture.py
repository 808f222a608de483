"""What stands around a picture on a page: test bars on both axes, cut marks, names, the page map."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace

from boardmaker.drawing import DisplayItem, Path, Text
from boardmaker.fonts import text_width
from boardmaker.geometry import Point, Ring, bounds, box_ring, turn_point, turn_ring
from boardmaker.sheets.bars import END_LINE, bar, length_in_words
from boardmaker.sheets.board.tiling import Tile
from boardmaker.sheets.paper import BOTTOM, LEFT, Box, PageLayout

BAR = 100.0
SHORT_BAR = 50.0  # on paper too small for the long one
MARK = 2.6  # mm, length of a cut mark
BAR_START = 12.0  # mm above the picture's lower edge, where the upright bar begins clear of the cut marks
MARK_GAP = 0.9  # mm between the picture and a cut mark
NAME_HEIGHT = 2.8
PATCH_WORDS = 2.0
GLUE_GREY, EDGE_GREY = 0.92, 0.7
MAP_HEIGHT = 8.2
MAP_WIDTH = 16.0
CUT, LEAVE = "cut here", "glue strip: leave it on"
HERE = "you are here"
_SIDES = ("left", "high", "right", "low")  # of the board
_PART = re.compile(r"[,:] ")  # between a name and what is said of it
_TURNED_SIDES = ("low", "left", "high", "right")  # where they are on a page that is turned by 90 degrees


def page_frame(layout: PageLayout, name: str, what: str, beside: str = "") -> tuple[DisplayItem, ...]:
    """Return what every sheet carries: both test bars, its name and what it shows; `beside` stands left of the map."""
    return (*_lying_bar(layout), *_upright_bar(layout), *_names(layout, name, what, beside))


def bar_lengths(layout: PageLayout) -> tuple[float, float]:
    """Return the true lengths in mm of the lying and the upright test bar of this page."""
    across = layout.width - layout.margins.left - layout.margins.right - LEFT - MAP_WIDTH
    along = layout.picture_size[1] - BAR_START
    return BAR if across >= BAR else SHORT_BAR, BAR if along >= BAR else SHORT_BAR


def _lying_bar(layout: PageLayout) -> Iterator[DisplayItem]:
    """The bar along the lower edge; its words beside it where the page is wide enough, else above it."""
    length, _ = bar_lengths(layout)
    x, y = layout.margins.left + LEFT, layout.margins.bottom + END_LINE / 2 + 0.3
    yield from bar((x, y), length, upright=False)
    if _words_beside_bar(layout):
        yield Text((x + length + 2.0, y - 1.0), _bar_words(length), 2.0)
    else:
        yield Text((x + length - 1.0, y + 0.8), length_in_words(length), 2.0, "end")


def _words_beside_bar(layout: PageLayout) -> bool:
    """Whether the words of the lying bar go between it and the page map."""
    length, _ = bar_lengths(layout)
    room = layout.width - layout.margins.right - MAP_WIDTH - (layout.margins.left + LEFT + length)
    return text_width(_bar_words(length), 2.0) + 2.0 <= room


def _upright_bar(layout: PageLayout) -> Iterator[DisplayItem]:
    _, length = bar_lengths(layout)
    x, y = layout.margins.left + END_LINE / 2 + 2.2, layout.margins.bottom + BOTTOM + BAR_START
    yield from bar((x, y), length, upright=True)
    yield Text((x - 1.0, y + length / 2), _bar_words(length), 2.0, "middle", 90)


def _bar_words(length: float) -> str:
    return f"{length_in_words(length)}: measure before you cut"


def _names(layout: PageLayout, name: str, what: str, beside: str) -> Iterator[DisplayItem]:
    x, y = layout.margins.left + LEFT, layout.margins.bottom + 5.3
    yield Text((x, y), name, NAME_HEIGHT, bold=True)
    end = layout.width - layout.margins.right - MAP_WIDTH - 2.0
    if not _words_beside_bar(layout):  # these stand above the bar, so the names end where they begin
        length, _ = bar_lengths(layout)
        end, beside = x + length - 1.0 - text_width(length_in_words(length), 2.0) - 2.0, ""
    if beside:
        yield Text((end, y), beside, 2.0, "end")
    room = end - text_width(beside, 2.0) - 2.0 - x
    start = x + text_width(name, NAME_HEIGHT, bold=True) + 3.0
    room -= start - x
    alone = _PART.split(what)[0]
    ways = ((what, 2.5), (alone, 2.5), (alone, 2.0))  # a name alone, and a small one, before one that is cut
    shown, height = next((way for way in ways if text_width(*way) <= room), ways[-1])
    yield Text((start, y), _cut_to(shown, height, room), height)


def _cut_to(text: str, height: float, room: float) -> str:
    """The text, shortened with an ellipsis where the page is too narrow for it."""
    if text_width(text, height) <= room:
        return text
    while text and text_width(f"{text}…", height) > room:
        text = text[:-1]
    return f"{text.rstrip()}…"


def cut_marks(window: Box, trim: Box, turn: int, at: Point) -> Iterator[Path]:
    """Yield the marks outside the picture at the four lines along which it may be cut.

    `window` is shown with its lower left (after the turn) at `at`; `trim` is the window without its glue strips.
    """
    width, height = window[2] - window[0], window[3] - window[1]
    shown_width, shown_height = (width, height) if turn == 0 else (height, width)
    x0, y0 = at
    x1, y1 = x0 + shown_width, y0 + shown_height
    for x in _trim_places(window, trim, turn, axis=0):
        for start, end in ((y1 + MARK_GAP, y1 + MARK_GAP + MARK), (y0 - MARK_GAP - MARK, y0 - MARK_GAP)):
            yield Path(((x0 + x, start), (x0 + x, end)), line_width=0.18)
    for y in _trim_places(window, trim, turn, axis=1):
        for start, end in ((x1 + MARK_GAP, x1 + MARK_GAP + MARK), (x0 - MARK_GAP - MARK, x0 - MARK_GAP)):
            yield Path(((start, y0 + y), (end, y0 + y)), line_width=0.18)


def _trim_places(window: Box, trim: Box, turn: int, axis: int) -> tuple[float, float]:
    """Where the trim lines lie on the page, from the picture's lower left corner."""
    if turn == 0:
        return trim[axis] - window[axis], trim[axis + 2] - window[axis]
    if axis == 1:  # turned counter-clockwise: board x runs up the page
        return trim[0] - window[0], trim[2] - window[0]
    return window[3] - trim[3], window[3] - trim[1]  # and board y runs to the left


def glue_strips(window: Box, trim: Box, turn: int, at: Point, joined: Collection[str]) -> Iterator[Path]:
    """Yield the ground of the glue strips, light enough for every mark to be read on it, and where they begin.

    Drawn before the picture, so that nothing of the board is covered; the next sheet's edge comes to lie on the line.
    """
    (x0, y0, x1, y1), (_, _, right, high) = window, trim
    strips = {"right": ((right, y0, x1, y1), ((right, y0), (right, high)))}
    strips["high"] = ((x0, high, right, y1), ((x0, high), (right, high)))
    shown = [strips[side] for side in ("right", "high") if side in joined]
    for strip, _ in shown:
        yield Path(_on_page(box_ring(*strip), window, turn, at), closed=True, line_width=0.0, fill=GLUE_GREY)
    for _, edge in shown:
        yield Path(_on_page(edge, window, turn, at), line_width=0.18, ink=EDGE_GREY)


def _on_page(places: Sequence[Point], window: Box, turn: int, at: Point) -> Ring:
    """Places of the board where the page shows them."""
    x0, y0, _, y1 = window
    if turn == 0:
        return tuple((at[0] + x - x0, at[1] + y - y0) for x, y in places)
    return tuple((at[0] + y1 - y, at[1] + x - x0) for x, y in places)


def seam_words(window: Box, turn: int, at: Point, joined: Collection[str]) -> Iterator[Text]:
    """Yield what to do at each side of a tile where another is joined: cut it, or leave the glue strip on."""
    x0, y0, x1, y1 = window
    width, height = (x1 - x0, y1 - y0) if turn == 0 else (y1 - y0, x1 - x0)
    left, low, right, high = at[0], at[1], at[0] + width, at[1] + height
    sides = {
        "left": Text((left - MARK_GAP, (low + high) / 2), "", 2.0, "middle", 90),
        "right": Text((right + MARK_GAP + 2.0, (low + high) / 2), "", 2.0, "middle", 90),
        "low": Text(((left + right) / 2, low - MARK_GAP - 2.0), "", 2.0, "middle"),
        "high": Text(((left + right) / 2, high + MARK_GAP), "", 2.0, "middle"),
    }
    shown = dict(zip(_SIDES, _SIDES if turn == 0 else _TURNED_SIDES, strict=True))
    words = {"left": CUT, "low": CUT, "right": LEAVE, "high": LEAVE}
    yield from (replace(sides[shown[side]], text=text) for side, text in words.items() if side in joined)


def patch_words_width(text: str) -> float:
    """Return how wide a patch must be for this line between its cut marks, mm."""
    return text_width(text, PATCH_WORDS) + 2 * MARK_GAP


def patch_words(text: str, on_page: Box, longest: float) -> Text:
    """Return a line about a patch below its lower edge, between its cut marks; under them where it is wider.

    It is cut to `longest` mm.
    """
    x0, y0, x1, _ = on_page
    room = x1 - x0 - 2 * MARK_GAP
    if text_width(text, PATCH_WORDS) <= room:
        return Text((x0 + MARK_GAP, y0 - MARK_GAP - PATCH_WORDS), text, PATCH_WORDS)
    low = y0 - MARK_GAP - MARK - MARK_GAP - PATCH_WORDS
    return Text((x0, low), _cut_to(text, PATCH_WORDS, max(longest, room)), PATCH_WORDS)


def page_map(layout: PageLayout, outline: Sequence[Point], tiles: Sequence[Tile], here: Tile) -> Iterator[DisplayItem]:
    """Yield the small map in the lower right corner, turned as the picture is: board, tiles, this one filled."""
    x0, y0, x1, y1 = bounds(turn_ring(outline, here.turn))
    scale = min(MAP_WIDTH / (x1 - x0), MAP_HEIGHT / (y1 - y0))
    left = layout.width - layout.margins.right - (x1 - x0) * scale
    low = layout.margins.bottom + 0.5

    def place(point: Point) -> Point:
        x, y = turn_point(point, here.turn)
        return left + (x - x0) * scale, low + (y - y0) * scale

    for tile in tiles:
        ring = tuple(place(point) for point in box_ring(*tile.trim))
        yield Path(ring, closed=True, line_width=0.18, ink=0.3, fill=0.55 if tile == here else None)
    yield Path(tuple(place(point) for point in outline), closed=True, line_width=0.35)
