"""The first sheet: every board with its tiles at a glance, and what to do with the pages."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import takewhile

from boardmaker.drawing import DisplayItem, Path, Text
from boardmaker.figures.bike_map import map_within
from boardmaker.figures.bike_views import bike_views
from boardmaker.figures.style import BoardStyle
from boardmaker.fonts import text_width
from boardmaker.geometry import Point
from boardmaker.service import Work
from boardmaker.sheets.board.tile_map import BoardMap, draw_maps
from boardmaker.sheets.paper import PageLayout
from boardmaker.typeset.flow import COLUMN_GAP, cell_items
from boardmaker.typeset.lettering import SMALL, TEXT, broken, printable
from boardmaker.units import counted
from boardmaker.wording.cautions import BOARD_TRUST, MANUAL_FIRST
from boardmaker.wording.numbers import NO_BREAK_SPACE, scale_text

MEASURE = (
    "Print every page at 100 % (“actual size”), never “fit to page”. Measure the two test bars of the first sheet: if "
    "one is more than half a millimetre off the length written at it, stop. Mend the print settings, or calibrate the "
    "printer (boardmaker testpage), before you print the rest."
)
GLUE_SAFELY = "Spray glue is flammable and bad to breathe: outdoors, no flame near, gloves on."
CUT_BOARD = "Cut the board along its outline with a sharp knife along a steel rule, the other hand behind the blade."
PUNCH_AND_USE = (
    "Punch or drill each hole to the size in the screw key; wear glasses. Try one screw of each kind in a scrap first. "
    "Long screws stand out below: lay the board on battens.",
    "While you work, every screw goes into its own pocket as it comes out. Refit the last panel first, and on each "
    "panel the screws from the highest number down, then the clips.",
)
CUT_TILES = (
    "Turn each sheet so that the small arrow before “top of board” points up. Cut it from mark to mark along the "
    "left and the lower side, where “cut here” stands; the grey glue strips at the right and the upper side stay on."
)
JOIN_TILES = (
    "Lay the sheets out by the map, join each to its neighbour’s glue strip (row by row, or column by column where the "
    "map shows columns), then glue the whole to the board."
)
ON_SEAMS = "On seams, so join these with care:"
ONCE_MORE = "A table, a name or a danger that runs over a seam comes once more in one piece"
GLUE_PATCH = (
    "(P on the map): cut it out from mark to mark and glue it over the same place of the joined sheets, line on line."
)
GLUE_SHEET = "Cut the sheet to the board’s outline with some paper to spare and glue it to the board."
STEPS_FOR_CUTOUTS = (
    MEASURE,
    "Cut each figure out along its dashed line. A figure that is larger than a sheet comes on several: cut those where "
    "“cut here” stands and join them at the glue strips.",
    f"Lay the figures out on the board as on the map, or as you like, then glue them on. {GLUE_SAFELY}",
    CUT_BOARD,
    *PUNCH_AND_USE,
)


def steps_for_tiles(joined: bool, patch_pages: Sequence[str], on_seams: Sequence[str] = ()) -> tuple[str, ...]:
    """Return what to do with the tiles: where there are several to join, and where there are patches.

    Patches are on the pages of these names; `on_seams` are pockets that a seam cuts and no patch shows, with their
    sheets.
    """
    if not joined:
        return MEASURE, f"{GLUE_SHEET} {GLUE_SAFELY}", CUT_BOARD, *PUNCH_AND_USE
    pages = " and ".join(f"“{name}”" for name in patch_pages)
    over = (f"{ONCE_MORE}, on the sheet{'s' * (len(patch_pages) > 1)} {pages} {GLUE_PATCH}",) if patch_pages else ()
    mind = f" {ON_SEAMS} {', '.join(on_seams)}." if on_seams else ""
    return MEASURE, CUT_TILES, f"{JOIN_TILES}{mind} {GLUE_SAFELY}", *over, CUT_BOARD, *PUNCH_AND_USE


CAUTION = f"{MANUAL_FIRST} {BOARD_TRUST}"
HEADING_HEIGHT = 16.0
LEAST_MAPS = 60.0  # mm of the page's height for the maps; with less, the steps stand on pages of their own
READABLE = 130.0  # mm, the least width of a column of steps where there are several
STEPS_GAP = 9.0  # mm between the maps and the steps
INDEX_MARK, INDEX_LINE = "▸", 3.3  # mm from line to line
INDENT, LINE, PARAGRAPH = 6.0, 4.4, 1.4  # mm
MOST_BIKE = 70.0  # mm of height for the picture of the bike


@dataclass(frozen=True)
class CoverWords:
    """What a cover says: the steps; remarks in the heading, each with whether it is loud; an index of the boards."""

    steps: Sequence[str]
    remarks: Sequence[tuple[str, bool]] = ()
    index: str = ""


@dataclass(frozen=True)
class _CoverLine:
    """A line of words, the mark before it ("" for none), its height, and how far down the next one is, mm."""

    mark: str
    text: str
    height: float
    down: float


def draw_cover(
    layout: PageLayout,
    work: Work,
    scale: float,
    boards: Sequence[BoardMap],
    words: CoverWords,
    style: BoardStyle,
) -> tuple[tuple[DisplayItem, ...], ...]:
    """Return what is on the cover: maps of all boards above the words, these in the order index, steps, caution.

    The picture of the bike is in the boards' style. Where the paper is too small for both, the words follow on pages of
    their own.
    """
    x0, y0, x1, y1 = layout.picture
    told = [
        (line.replace(NO_BREAK_SPACE, " "), loud)
        for text, loud in words.remarks
        for line in broken(text, TEXT, x1 - x0, bold=loud)
    ]
    heading = tuple(_heading(work, scale, len(boards), told, (x0, y1), x1 - x0))
    high = HEADING_HEIGHT + LINE * len(told)
    columns = max(1, int((x1 - x0 + COLUMN_GAP) / (READABLE + COLUMN_GAP)))
    width = (x1 - x0 - COLUMN_GAP * (columns - 1)) / columns
    lines = _step_lines(words.steps, width, words.index)
    parts = _in_columns(lines, columns)
    beside_maps = y1 - y0 - high - STEPS_GAP - max(map(_depth, parts))
    together = beside_maps >= LEAST_MAPS
    maps = tuple(draw_maps(boards, (x0, y1 - high - beside_maps if together else y0, x1, y1 - high)))
    if not together:
        return ((*heading, *maps), *(tuple(_set(page, (x0, y1))) for page in _paged(lines, y1 - y0)))
    top = min(y for item in maps if isinstance(item, Path) for _, y in item.points) - STEPS_GAP
    set_parts = (_set(part, (x0 + index * (width + COLUMN_GAP), top)) for index, part in enumerate(parts))
    end = top - max(_depth(part) for part in parts)
    picture = _bike((x0, y0, x1, end - STEPS_GAP), work, style)
    return ((*heading, *maps, *(item for part in set_parts for item in part), *picture),)


def _bike(room: tuple[float, float, float, float], work: Work, style: BoardStyle) -> Iterator[DisplayItem]:
    """The picture of the bike in the middle of what is left of the page, where that is enough."""
    x0, y0, x1, y1 = room
    if y1 <= y0:
        return
    views = bike_views(work, {freed.panel.key for freed in work.freed})
    if cell := _map_within(views, (x1 - x0, min(y1 - y0, MOST_BIKE)), style):
        yield from cell_items(cell, ((x0 + x1 - cell.width) / 2, y1))


# A cover is laid twice, first to count its pages.
_map_within = lru_cache(maxsize=2)(map_within)


def _depth(lines: Sequence[_CoverLine]) -> float:
    return sum(line.down for line in lines)


def _in_columns(lines: Sequence[_CoverLine], columns: int) -> list[list[_CoverLine]]:
    """The lines in columns of about equal height, each beginning with a step."""
    share = _depth(lines) / columns
    parts: list[list[_CoverLine]] = [[]]
    for line in lines:
        if line.mark and len(parts) < columns and _depth(parts[-1]) >= share - LINE:
            parts.append([])
        parts[-1].append(line)
    return parts


def _heading(
    work: Work, scale: float, boards: int, told: Sequence[tuple[str, bool]], top_left: Point, width: float
) -> Iterator[Text]:
    x, y = top_left
    name = broken(printable(work.bike.name, work.bike.file), 7.0, width, bold=True)[0]
    yield Text((x, y - 7.0), name, 7.0, bold=True)
    panels = counted(len({one.panel.key for one in work.freed}), "panel")
    pockets = counted(len(work.freed), "pocket")
    facts = f"{counted(boards, 'board')}, {panels} at {scale_text(scale)}, {pockets}"
    yield Text((x, y - 12.5), facts, 3.5 if text_width(facts, 3.5) <= width else TEXT)
    for number, (line, loud) in enumerate(told, start=1):
        yield Text((x, y - 13.0 - LINE * number), line, TEXT, bold=loud)


def _step_lines(steps: Sequence[str], width: float, index: str) -> list[_CoverLine]:
    """Index, numbered steps and caution, line by line; the index is small, so that the map is not."""
    numbered = [(f"{number}", step, TEXT, LINE) for number, step in enumerate(steps, start=1)]
    first = [(INDEX_MARK, index, SMALL, INDEX_LINE)] if index else []
    lines: list[_CoverLine] = []
    for mark, text, height, down in (*first, *numbered, ("!", CAUTION, TEXT, LINE)):
        found = [line.replace(NO_BREAK_SPACE, " ") for line in broken(text, height, width - INDENT)]
        lines += [_CoverLine(mark * (number == 0), line, height, down) for number, line in enumerate(found)]
        lines[-1] = replace(lines[-1], down=LINE + PARAGRAPH)
    return lines


def _paged(lines: Sequence[_CoverLine], height: float) -> list[list[_CoverLine]]:
    """The lines of each page, a page broken before a step where that can be."""
    pages: list[list[_CoverLine]] = [[]]
    for index, line in enumerate(lines):
        step = [line, *takewhile(lambda one: not one.mark, lines[index + 1 :])] if line.mark else [line]
        if pages[-1] and _depth(pages[-1]) + min(_depth(step), height) > height:
            pages.append([])
        pages[-1].append(line)
    return pages


def _set(lines: Sequence[_CoverLine], top_left: Point) -> Iterator[Text]:
    """The lines from the top down."""
    x, y = top_left[0], top_left[1] - TEXT
    for line in lines:
        if line.mark:
            yield Text((x, y), line.mark, line.height, bold=True)
        yield Text((x + INDENT, y), line.text, line.height)
        y -= line.down
