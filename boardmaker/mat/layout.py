"""Where everything of a mat lies: sheets as large as the paper allows, their codes, the marks.

In: the setup, and how many marks of which fastener. Out: a `Mat`. The tint fills what can be printed but for a strip at
the left and the lower side with the test bars, which is trimmed off: on the mat itself stands nothing but codes.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from boardmaker.geometry import Point
from boardmaker.mat.codes import MARK_CODES, SHEET_CODES, CodeFamily
from boardmaker.mat.mark_codes import EACH, letter_codes, mark_codes
from boardmaker.mat.parts import LETTERS, Box, Mat, MatMark, SheetTag
from boardmaker.model import Setup
from boardmaker.problems import ProblemsFound, error
from boardmaker.sheets.paper import PageLayout, lay_page, shorten_roll

TINTS = {"green": (60, 175, 95), "magenta": (205, 70, 160)}  # both half as bright as paper: dark codes stand out
INKS = {"green": (50, 90, 60), "magenta": (100, 50, 82)}  # of the codes: dark, and yet of a colour that no panel has
STRIP = 6.0  # mm at the left and the lower side for the bars, from the printable edge to the tint
BAR_INSET = 2.0  # mm from the tint's corner to where a bar begins, clear of the cut marks
MOST_BAR = 300.0  # mm, the steel rule that everybody has
WHOLE = (700.0, 750.0)  # mm that the whole mat reaches at least across and along: the largest panels, and codes around
ROLL = 780.0  # mm of height of a sheet from a roll
TAG = 24.0  # mm, side of the dark square: 3 mm a cell, which a phone sees with 6 pixels from 1.5 m
TAG_PITCH = (62.0, 68.0)  # mm between the middles of two codes, about: 12 on a sheet of A4
TAG_EDGE = 16.4  # mm from the middle of a code to the sheet's edge: a cell of tint and more around it after trimming
MARK = 14.0  # mm, side of a mark's dark square
DISC = 23.0  # mm, the round paper: light around the code's corners, and room for a letter
MARK_PITCH = 24.5
MARKS_HEAD = 24.0  # mm above the marks for title and words


def mat_layout(setup: Setup) -> PageLayout:
    """Return the page for the setup's paper. Raises ProblemsFound where its margins leave no room."""
    return shorten_roll(lay_page(setup), ROLL)


def lay_mat(setup: Setup, copies: Mapping[str, int], tint: str, first_page: int) -> Mat:
    """Return the mat: `copies` marks of each fastener by its key, sheets from `first_page` on.

    Raises ProblemsFound where there are too few codes for so many sheets or fasteners.
    """
    layout = mat_layout(setup)
    trim = _trim(layout)
    sheet = (trim[2] - trim[0], trim[3] - trim[1])
    columns, rows = (max(1, math.ceil(whole / side)) for whole, side in zip(WHOLE, sheet, strict=True))
    pages = tuple(range(first_page, first_page + columns * rows))
    marks = tuple(_marks(layout, copies, pages[-1] + 1))
    family = _mark_family(max((one.id or 0 for one in marks), default=0))
    return Mat(
        columns,
        rows,
        sheet,
        trim,
        pages,
        (_bar(sheet[0]), _bar(sheet[1])),
        marks,
        _tags(trim, pages, setup.paper.name),
        TINTS[tint],
        INKS[tint],
        SHEET_CODES.name,
        family.name,
        setup.printer.scale,
    )


def _trim(layout: PageLayout) -> Box:
    """The tinted part of a page, in whole millimetres."""
    x0, y0 = layout.margins.left + STRIP, layout.margins.bottom + STRIP
    width = math.floor(layout.width - layout.margins.right - x0)
    height = math.floor(layout.height - layout.margins.top - y0)
    return (x0, y0, x0 + width, y0 + height)


def _bar(side: float) -> float:
    """The length of a bar along a side: whole centimetres."""
    return min(MOST_BAR, math.floor((side - 2 * BAR_INSET) / 10.0) * 10.0)


def _tags(trim: Box, pages: tuple[int, ...], paper: str) -> tuple[SheetTag, ...]:
    """The codes of all sheets, row by row from the top left, sheet by sheet."""
    places = tuple(tag_places(trim))
    if len(places) * len(pages) > SHEET_CODES.count:
        raise ProblemsFound([error(f"there are too few codes for a mat on paper {paper}", hint="take larger paper")])
    centres = ((page, centre) for page in pages for centre in places)
    return tuple(SheetTag(number, page, centre, TAG) for number, (page, centre) in enumerate(centres))


def tag_places(trim: Box) -> Iterator[Point]:
    """Yield the middles of a sheet's codes, row by row from the top left."""
    x0, y0, x1, y1 = trim
    columns = _evenly(x0 + TAG_EDGE, x1 - TAG_EDGE, round((x1 - x0) / TAG_PITCH[0]))
    rows = _evenly(y0 + TAG_EDGE, y1 - TAG_EDGE, round((y1 - y0) / TAG_PITCH[1]))
    yield from ((x, y) for y in reversed(rows) for x in columns)


def _evenly(low: float, high: float, count: int) -> tuple[float, ...]:
    count = max(2, count)
    return tuple(round(low + (high - low) * number / (count - 1), 3) for number in range(count))


def standard_mat(setup: Setup, keys: Sequence[str], tint: str) -> Mat:
    """Return the mat that `lay_mat` gives for the same setup and tint, with the marks of all letters from A to Z.

    `keys`: fasteners, those that are no such letter among them. Raises ProblemsFound as `lay_mat`.
    """
    mat = lay_mat(setup, dict.fromkeys(keys, EACH), tint, first_page=2)
    taken = {one.id for one in mat.marks}
    at = (0.0, 0.0, DISC, DISC)  # where a mark was printed does not matter once it is cut out
    more = [
        MatMark(letter, mat.pages[-1] + 1, at, code, MARK)
        for letter in LETTERS
        if letter not in keys
        for code in letter_codes(letter)
        if code not in taken
    ]
    return replace(mat, marks=(*mat.marks, *more), mark_family=MARK_CODES[-1].name)


def _mark_family(highest: int) -> CodeFamily:
    """The smallest family with a code of this number; each begins with the codes of the smaller ones."""
    return next(one for one in MARK_CODES if highest < one.count)


def _marks(layout: PageLayout, copies: Mapping[str, int], first_page: int) -> Iterator[MatMark]:
    """So many marks of each key; where there are more than it has codes, its codes come again."""
    codes = mark_codes([*copies])
    places = tuple(_mark_places(layout))
    wanted = [(key, codes[key][number % len(codes[key])]) for key, count in copies.items() for number in range(count)]
    for number, (key, code) in enumerate(wanted):
        page, at = divmod(number, len(places))
        x, y = places[at]
        box = (x - DISC / 2, y - DISC / 2, x + DISC / 2, y + DISC / 2)
        yield MatMark(key, first_page + page, box, code, MARK)


def _mark_places(layout: PageLayout) -> Iterator[Point]:
    """The middles of a page's marks, row by row from the top left."""
    x0, y0, x1, y1 = layout.picture
    columns, rows = int((x1 - x0) / MARK_PITCH), int((y1 - y0 - MARKS_HEAD) / MARK_PITCH)
    for row in range(rows):
        for column in range(columns):
            yield (round(x0 + (column + 0.5) * MARK_PITCH, 3), round(y1 - MARKS_HEAD - (row + 0.5) * MARK_PITCH, 3))
