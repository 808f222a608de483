"""The first pages of a mat: how to make it and how to take the photos, which sheets for which size of panel."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from boardmaker.display_list import Page, Path
from boardmaker.geometry import box_ring
from boardmaker.mat.parts import Block, Mat, sheet_name
from boardmaker.sheets.furniture import page_frame
from boardmaker.sheets.page_title import TITLE_HEIGHT, page_title
from boardmaker.sheets.paper import PageLayout
from boardmaker.typeset.cells import NARROW, Column, columns_cell, heading, set_line
from boardmaker.typeset.flow import cell_items, pour
from boardmaker.typeset.label import Label, Words
from boardmaker.typeset.lettering import SMALL, TEXT
from boardmaker.typeset.table import Cell

TITLE = "Capture mat"
AROUND = 45.0  # mm of mat that are to be seen on every side of a panel: two codes deep
MOST_COLUMN = 180.0  # mm of a column of words
MAP_SCALE = 0.055  # of the picture of the mat
INDENT = 6.0
BEFORE_HEADING = 0.6  # mm
BEFORE_MAP = 2.0  # mm

MAKE = (
    "Print every page at 100 % (“actual size”), in colour, on plain matt paper. Print only the sheets of the block "
    "that your panel needs (below), and the marks.",
    "Before you trim, measure both test bars of sheet A1 from end line to end line with a steel rule and note them: "
    "across ________ mm, along ________ mm.",
    "Trim each sheet along the edge of its tint, with a sharp knife along a steel rule in several light passes, the "
    "hand behind the blade.",
    "Lay the sheets out on flat, firm ground by their faint names, A1 at the top left, all names upright. Push them "
    "together edge to edge and tape them from behind. A millimetre or a degree off does no harm; gaps and waves do.",
)
PHOTOGRAPH = (
    "Take out the screws, and stick the mark of its fastener over each hole as its screw comes out.",
    "Lay the panel in the middle of the mat, outside up, its upper edge towards A1, with codes to be seen on every "
    "side. It must lie still: from "
    "the first photo to the last nothing moves.",
    "Take two or three photos from different places: one from nearly above, then step aside for each of the others. "
    "About 1 m away, tilted by up to 25 degrees, with the lens at its ordinary setting: no zoom, no wide angle.",
    "Panel and codes all round are in each picture, sharp, in even light: no flash, no hard shadow, no glare.",
    "boardmaker trace my-bike.yaml PANEL one.jpg two.jpg --mat mat.json --measured ACROSS ALONG takes outline and "
    "holes into the bike file: your two lengths behind --measured. Keep mat.json with the sheets.",
)
CAUTIONS = (
    "No panel that drips with fuel: drain and wipe it, and let it dry outdoors, away from flames and sparks.",
    "Let panels near engine and exhaust cool down. A panel of the mat’s own colour cannot be told from it: print the "
    "mat with the other tint (--tint green, --tint magenta).",
)


def use_pages(layout: PageLayout, mat: Mat) -> tuple[Page, ...]:
    """Return the pages that say how to use the mat."""
    x0, y0, x1, y1 = layout.picture
    top = y1 - TITLE_HEIGHT
    width = min(x1 - x0, MOST_COLUMN)
    poured = pour(tuple(_cells(mat, width)), width, top - y0)
    names = ["mat", *(f"mat {number}" for number in range(2, len(poured) + 1))]
    return tuple(
        Page(
            layout.width,
            layout.height,
            (
                *page_frame(layout, name, "how to use it"),
                *page_title(layout, TITLE),
                *(item for cell in cells for item in cell_items(cell, (x0, top))),
            ),
            name,
            TITLE if name == "mat" else f"{TITLE}, {name}",
        )
        for name, cells in zip(names, poured, strict=True)
    )


def _cells(mat: Mat, width: float) -> Iterator[Cell]:
    yield heading("Make the mat", NARROW, width)
    yield from _numbered(MAKE, width)
    yield from _section("Which sheets for which panel", width)
    yield _row("sheets", "panel up to", "print pages", width, bold=True)
    for block in mat.blocks():
        yield _block_row(mat, block, width)
    if mat.marks:
        yield _row("marks", "", _page_runs(tuple(mark.page for mark in mat.marks)), width)
    yield Cell(width, BEFORE_MAP)
    yield _map(mat, width)
    yield from _section("Take the photos", width)
    yield from _numbered(PHOTOGRAPH, width)
    yield from _section("Mind", width)
    yield from (_numbered_cell("!", text, width) for text in CAUTIONS)


def _section(title: str, width: float) -> Iterator[Cell]:
    yield Cell(width, BEFORE_HEADING)
    yield heading(title, NARROW, width)


def _numbered(texts: tuple[str, ...], width: float) -> Iterator[Cell]:
    yield from (_numbered_cell(f"{number}", text, width) for number, text in enumerate(texts, start=1))


def _numbered_cell(mark: str, text: str, width: float) -> Cell:
    columns = [Column(mark, 0.0, INDENT, bold=True), Column(text, INDENT, width - INDENT)]
    return columns_cell(columns, TEXT, width, most=20, air=0.0)


def _block_row(mat: Mat, block: Block, width: float) -> Cell:
    across, along = (count * side - 2 * AROUND for count, side in zip(block, mat.sheet, strict=True))
    last = sheet_name(block[0] - 1, block[1] - 1)
    sheets = f"{block[0]} × {block[1]}: A1 to {last}" if last != "A1" else "1: A1"
    return _row(sheets, f"{across:.0f} × {along:.0f} mm", _page_runs(mat.pages_of(block)), width)


def _row(sheets: str, panel: str, pages: str, width: float, bold: bool = False) -> Cell:
    middle, last = 0.28 * width, 0.56 * width
    columns = [
        Column(sheets, 0.0, middle - 2.0, bold),
        Column(panel, middle, last - middle - 2.0, bold),
        Column(pages, last, width - last, bold),
    ]
    return columns_cell(columns, TEXT, width, air=0.0)


def _page_runs(pages: tuple[int, ...]) -> str:
    """Words such as `2-3, 6-7`, as print dialogs take them."""
    numbers = sorted(set(pages))
    runs = [[one for _, one in run] for _, run in groupby(enumerate(numbers), lambda pair: pair[1] - pair[0])]
    return ", ".join(f"{run[0]}-{run[-1]}" if len(run) > 1 else f"{run[0]}" for run in runs)


def _map(mat: Mat, width: float) -> Cell:
    """A small picture of the mat with the names and pages of its sheets."""
    across, along = (side * min(MAP_SCALE, width / (mat.columns * mat.sheet[0])) for side in mat.sheet)
    marks, labels = [], list[Label]()
    for number, page in enumerate(mat.pages):
        row, column = divmod(number, mat.columns)
        x, y = column * across, -row * along
        marks.append(Path(box_ring(x, y - along, x + across, y), closed=True, line_width=0.25))
        middle = x + across / 2
        labels.append(set_line(Words(sheet_name(column, row), TEXT, bold=True), middle, y - along / 2, "middle"))
        labels.append(set_line(Words(f"p. {page}", SMALL), middle, y - along / 2 - 3.4, "middle"))
    return Cell(width, mat.rows * along + 1.0, tuple(labels), tuple(marks))
