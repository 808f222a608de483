"""Whether a finished PDF prints true to scale, opened as a stranger would.

In: the bytes of any PDF. Out: a frozen `Proof` with what was found and the problems. Knows nothing of how the file was
made but the rule of the printer's scale; reads with other engines than the one that writes (pypdf the structure,
PDFium the geometry), and takes the lengths from the words on the page, not from our own notes.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import dist

import pypdfium2

from boardmaker.problems import ProblemsFound, error
from boardmaker.proof.bars import FoundBar, find_bars
from boardmaker.proof.ink import beyond_the_page, on_the_page, visible
from boardmaker.proof.judge import (
    Remark,
    gather,
    judge_bars,
    judge_drawing,
    judge_edges,
    judge_file,
    judge_make,
    name_pages,
)
from boardmaker.proof.marks import read_marks
from boardmaker.proof.report import Bar, PageReport, Point, Proof
from boardmaker.proof.structure import MAKE_IT_AGAIN, PageMake, Structure, read_structure
from boardmaker.render.printer_scale import nothing_measured, read_note

LEAST_BAR = 40.0  # mm; bars on sheets are longer, a cell of a plan may say "8 mm"

__all__ = ["MAKE_IT_AGAIN", "Bar", "PageReport", "Proof", "name_pages", "prove"]


def prove(content: bytes, name: str) -> Proof:
    """Return what a file shows and whether it prints true; `name` is for messages.

    Raises ProblemsFound where the file cannot be read at all.
    """
    structure = read_structure(content, name)
    noted = read_note(structure.keywords)
    pages: list[PageReport] = []
    remarks: list[Remark] = []
    plain = True
    for page, found in _measure(content, name, structure, noted or (1.0, 1.0)):
        about_boxes = list(judge_make(page.number, structure.pages[page.number - 1], structure.printed_areas))
        plain = plain and not about_boxes
        remarks += about_boxes
        remarks += judge_bars(page.number, page.bars, noted)
        remarks += found
        pages.append(page)
    remarks += judge_file(structure, noted)  # after the pages: what is measured weighs more than what is hinted
    measured = any(bar.stated >= LEAST_BAR for page in pages for bar in page.bars) or not nothing_measured(
        structure.keywords
    )
    problems = gather(remarks) if measured else ()
    return Proof(tuple(pages), structure.fonts, plain, structure.print_scaling, noted, problems, measured)


def _measure(
    content: bytes, name: str, structure: Structure, printer_scale: Point
) -> Iterator[tuple[PageReport, list[Remark]]]:
    """Measure every page: its bars, and what is wrong with how they are drawn."""
    try:
        document = pypdfium2.PdfDocument(content)
        if len(document) != len(structure.pages):
            raise pypdfium2.PdfiumError("two readers disagree on the number of pages")
        for number, make in enumerate(structure.pages, start=1):
            yield _measure_page(document[number - 1], number, make, printer_scale)
        document.close()
    except pypdfium2.PdfiumError:
        raise ProblemsFound([error(f"{name} is damaged: a page cannot be drawn", hint=MAKE_IT_AGAIN)]) from None


def _measure_page(
    page: pypdfium2.PdfPage, number: int, make: PageMake, printer_scale: Point
) -> tuple[PageReport, list[Remark]]:
    page.set_rotation(0)  # a turned page is a fault of its own; the rest is judged as if it lay straight
    bars: list[Bar] = []
    remarks: list[Remark] = []
    for found in find_bars(read_marks(page)):
        bar = _as_printed(found, printer_scale)
        whole = on_the_page(page, found)
        remarks += judge_drawing(number, found, bar.name, whole, whole and visible(page, found))
        bars.append(bar)
    remarks += judge_edges(number, beyond_the_page(page))
    page.close()
    x0, y0, x1, y1 = make.media
    return PageReport(number, x1 - x0, y1 - y0, tuple(bars)), remarks


def _as_printed(found: FoundBar, printer_scale: Point) -> Bar:
    """The bar as the printer will make it: it stretches what is drawn by its scale."""
    across, along = printer_scale
    start, end = ((x * across, y * along) for x, y in (found.start, found.end))
    return Bar(found.upright, found.stated, dist(start, end))
