"""The pages of a mat: how to use it, the sheets, the marks.

In: the setup, how many marks of which fastener, the tint's name. Out: the `Mat` and its pages for a renderer.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import groupby

from boardmaker.display_list import Circle, DisplayItem, Page, Path, Text
from boardmaker.fonts import text_width
from boardmaker.geometry import box_ring
from boardmaker.mat.codes import MARK_CODES, SHEET_CODES, code_cells, draw_code
from boardmaker.mat.how_to_use import use_pages
from boardmaker.mat.layout import BAR_INSET, STRIP, lay_mat, mat_layout
from boardmaker.mat.parts import Mat, MatMark, sheet_name
from boardmaker.model import Setup
from boardmaker.sheets.bars import END_LINE, bar, length_in_words
from boardmaker.sheets.furniture import MARK, MARK_GAP, page_frame
from boardmaker.sheets.page_title import page_title
from boardmaker.sheets.paper import PageLayout
from boardmaker.typeset.lettering import SMALL, TEXT, broken, printable

NAME_HEIGHT = 8.0  # mm, of a sheet's name on its tint
FAINT = 0.94  # of the tint: a name that a person reads and a camera takes for tint
DISC_GREY = 0.6
PAPER = 255, 255, 255
LETTER = 2.4  # mm, of the fastener on a mark
LETTER_BELOW = 10.4  # mm from a mark's middle to the letter's base line: as far from the code as the disc allows
LETTER_ROOM = 8.5  # mm, the disc's width there
TITLE = "Capture mat"
ABOUT_MARKS = (
    "Cut each mark out along its circle and stick it on, with a scrap of tape rolled up under it, its middle over the "
    "middle of the hole, as the screw comes out. The letter says which fastener was in it. Turn it as you like; keep "
    "it flat, dry and inside of the panel’s edge."
)


@dataclass(frozen=True)
class PrintedMat:
    """A mat and its pages."""

    mat: Mat
    pages: tuple[Page, ...]


def mat_pages(setup: Setup, copies: Mapping[str, int], tint: str) -> PrintedMat:
    """Return the mat for the setup's paper and printer. Raises ProblemsFound where the paper is too small."""
    layout = mat_layout(setup)
    mat = lay_mat(setup, copies, tint, first_page=2)
    first = use_pages(layout, mat)
    if len(first) != 1:  # page numbers stand on them
        mat = lay_mat(setup, copies, tint, first_page=len(first) + 1)
        first = use_pages(layout, mat)
    sheets = (_sheet_page(layout, mat, number) for number in range(len(mat.pages)))
    return PrintedMat(mat, (*first, *sheets, *_mark_pages(layout, mat)))


def _sheet_page(layout: PageLayout, mat: Mat, number: int) -> Page:
    row, column = divmod(number, mat.columns)
    name = sheet_name(column, row)
    page = mat.pages[number]
    items = (*_ground(mat, page, name), *_cut_marks(mat), *_bars(layout, mat, f"sheet {name}"))
    return Page(layout.width, layout.height, items, name, f"Sheet {name}")


def _ground(mat: Mat, page: int, name: str) -> Iterator[DisplayItem]:
    """The tint, the codes on it, the sheet's name between the first two of them."""
    tint = _ink(mat.tint or PAPER)
    yield Path(box_ring(*mat.trim), closed=True, line_width=0.0, fill=tint)
    tags = [tag for tag in mat.tags if tag.page == page]
    for tag in tags:
        yield from draw_code(code_cells(SHEET_CODES, tag.id), tag.centre, tag.size, _ink(mat.ink))
    (x0, y), (x1, _) = tags[0].centre, tags[1].centre
    red, green, blue = tint
    faint = (red * FAINT, green * FAINT, blue * FAINT)
    yield Text(((x0 + x1) / 2, y - NAME_HEIGHT / 2), name, NAME_HEIGHT, "middle", bold=True, ink=faint)


def _ink(colour: tuple[int, int, int]) -> tuple[float, float, float]:
    red, green, blue = colour
    return red / 255, green / 255, blue / 255


def _cut_marks(mat: Mat) -> Iterator[Path]:
    """Marks in the strip that is trimmed off; above and to the right the tint itself reaches to the printable edge."""
    x0, y0, x1, y1 = mat.trim
    for x in (x0, x1):
        yield Path(((x, y0 - MARK_GAP - MARK), (x, y0 - MARK_GAP)), line_width=0.18)
    for y in (y0, y1):
        yield Path(((x0 - MARK_GAP - MARK, y), (x0 - MARK_GAP, y)), line_width=0.18)


def _bars(layout: PageLayout, mat: Mat, name: str) -> Iterator[DisplayItem]:
    """Both test bars with their words in the strip, and the sheet's name."""
    x0, y0, _, _ = mat.trim
    across, along = mat.bars
    y = layout.margins.bottom + END_LINE / 2 + 0.1
    yield from bar((x0 + BAR_INSET, y), across, upright=False)
    yield Text((x0 + BAR_INSET + 3.0, y + 0.8), _bar_words(across), SMALL)
    yield Text((x0 + across - 3.0, y + 0.8), name, SMALL, "end", bold=True)
    x = layout.margins.left + STRIP - END_LINE / 2 - 0.6
    yield from bar((x, y0 + BAR_INSET), along, upright=True)
    yield Text((x - 0.8, y0 + BAR_INSET + along / 2), _bar_words(along), SMALL, "middle", 90)


def _bar_words(length: float) -> str:
    return f"{length_in_words(length)}: measure before you trim"


def _mark_pages(layout: PageLayout, mat: Mat) -> Iterator[Page]:
    for index, (_, marks) in enumerate(groupby(mat.marks, lambda one: one.page), start=1):
        name = "marks" if index == 1 else f"marks {index}"
        drawn = [item for mark in marks for item in _draw_mark(mat, mark)]
        head = _marks_head(layout)
        frame = page_frame(layout, name, "hole marks: cut out along the circles")
        yield Page(layout.width, layout.height, (*frame, *head, *drawn), name, f"Hole {name}")


def _marks_head(layout: PageLayout) -> Iterator[Text]:
    x0, _, x1, y1 = layout.picture
    yield from page_title(layout, "Hole marks")
    for index, line in enumerate(broken(ABOUT_MARKS, TEXT, x1 - x0)[:4]):
        yield Text((x0, y1 - 11.0 - index * 3.8), line, TEXT)


def _draw_mark(mat: Mat, mark: MatMark) -> Iterator[DisplayItem]:
    (x, y), (x0, _, x1, _) = mark.centre, mark.box
    family = next(one for one in MARK_CODES if one.name == mat.mark_family)
    yield Circle((x, y), x1 - x0 - 0.2, line_width=0.18, ink=DISC_GREY, fill=1.0)
    yield from draw_code(code_cells(family, mark.id or 0), (x, y), mark.size or 0.0)
    yield Text((x, y - LETTER_BELOW), _cut(printable(mark.fastener)), LETTER, "middle", bold=True)


def _cut(key: str) -> str:
    """A key as wide as a mark has room for."""
    if text_width(key, LETTER, bold=True) <= LETTER_ROOM:
        return key
    while key and text_width(f"{key}…", LETTER, bold=True) > LETTER_ROOM:
        key = key[:-1]
    return f"{key}…"
