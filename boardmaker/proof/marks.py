"""Straight lines and lines of words on a page, as PDFium sees them: through every matrix, in mm on the page.

In comes a page of PDFium, out come `PageMarks`. Nothing is judged here.
"""

from __future__ import annotations

import ctypes
import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import pypdfium2
import pypdfium2.raw as pdfium

from boardmaker.proof.report import Point
from boardmaker.proof.structure import MM_PER_POINT

Segment = tuple[Point, Point]

MOST_SEGMENTS = 64  # of a path that may be a test bar; outlines of panels have more and are passed over
DEEPEST = 28  # forms in forms, as deep as PDFium itself goes
_NEXT_LETTER = 2.0  # heights of a letter to the next one of the same line of words, a blank or two between them
_OFF_LINE = 0.3


@dataclass(frozen=True)
class WordsOnPage:
    """A line of words: from the first letter to the last on its base line, its direction, height of the font (mm)."""

    text: str
    start: Point
    end: Point
    direction: Point
    height: float
    mirrored: bool


@dataclass(frozen=True)
class PageMarks:
    """The straight stroked lines and the words of a page."""

    segments: tuple[Segment, ...]
    words: tuple[WordsOnPage, ...]


@dataclass(frozen=True)
class _Letter:
    letter: str
    at: Point
    direction: Point
    height: float
    mirrored: bool


def read_marks(page: pypdfium2.PdfPage) -> PageMarks:
    """Return what may be test bars and their words."""
    segments = tuple(segment for item, matrix in _paths(page) for segment in _segments(item, matrix))
    return PageMarks(segments, tuple(_lines(page)))


def _paths(page: pypdfium2.PdfPage) -> Iterator[tuple[pypdfium2.PdfObject, pypdfium2.PdfMatrix]]:
    """Every path with the matrix that brings it onto the page, through the forms that it is in."""
    within: list[pypdfium2.PdfMatrix] = []  # of the forms around the object at hand
    for item in page.get_objects(max_depth=DEEPEST):
        if item.type not in (pdfium.FPDF_PAGEOBJ_PATH, pdfium.FPDF_PAGEOBJ_FORM):
            continue
        del within[item.level :]
        matrix = item.get_matrix()
        if within:
            matrix = matrix.multiply(within[-1])
        if item.type == pdfium.FPDF_PAGEOBJ_FORM:
            within.append(matrix)
        else:
            yield item, matrix


def _segments(item: pypdfium2.PdfObject, matrix: pypdfium2.PdfMatrix) -> Iterator[Segment]:
    """The straight parts of a stroked path; nothing of long ones and of curves."""
    count = pdfium.FPDFPath_CountSegments(item.raw)
    if not 2 <= count <= MOST_SEGMENTS or not _stroked(item):
        return
    points = [_point(pdfium.FPDFPath_GetPathSegment(item.raw, index), matrix) for index in range(count)]
    for (start, _), (end, kind) in pairwise(points):
        if kind == pdfium.FPDF_SEGMENT_LINETO:
            yield start, end


def _stroked(item: pypdfium2.PdfObject) -> bool:
    fill, stroke = ctypes.c_int(), ctypes.c_int()
    return bool(pdfium.FPDFPath_GetDrawMode(item.raw, fill, stroke)) and bool(stroke.value)


def _point(segment: object, matrix: pypdfium2.PdfMatrix) -> tuple[Point, int]:
    x, y = ctypes.c_float(), ctypes.c_float()
    pdfium.FPDFPathSegment_GetPoint(segment, x, y)
    across, up = matrix.on_point(x.value, y.value)
    return (across * MM_PER_POINT, up * MM_PER_POINT), pdfium.FPDFPathSegment_GetType(segment)


def _lines(page: pypdfium2.PdfPage) -> Iterator[WordsOnPage]:
    """Letters one after another on one base line make a line of words, whatever the file keeps together."""
    run: list[_Letter] = []
    for letter in _letters(page):
        if run and letter.letter == " ":
            run.append(_Letter(" ", run[-1].at, run[-1].direction, run[-1].height, run[-1].mirrored))
            continue
        if run and not _follows(run[-1], letter):
            yield _joined(run)
            run = []
        if letter.letter != " ":
            run.append(letter)
    if run:
        yield _joined(run)


def _joined(run: list[_Letter]) -> WordsOnPage:
    first, last = run[0], run[-1]
    text = "".join(letter.letter for letter in run)
    return WordsOnPage(text, first.at, last.at, first.direction, first.height, first.mirrored)


def _follows(before: _Letter, letter: _Letter) -> bool:
    if math.dist(before.direction, letter.direction) > 0.01 or before.mirrored != letter.mirrored:
        return False
    across, up = letter.at[0] - before.at[0], letter.at[1] - before.at[1]
    along = across * before.direction[0] + up * before.direction[1]
    off = across * before.direction[1] - up * before.direction[0]
    return 0.0 < along <= _NEXT_LETTER * before.height and abs(off) <= _OFF_LINE * before.height


def _letters(page: pypdfium2.PdfPage) -> Iterator[_Letter]:
    """Every letter; a blank, which PDFium may have made up, has no place of its own."""
    text = page.get_textpage()
    matrix, x, y = pdfium.FS_MATRIX(), ctypes.c_double(), ctypes.c_double()
    for index in range(text.count_chars()):
        letter = chr(pdfium.FPDFText_GetUnicode(text.raw, index))
        if letter.isspace():
            yield _Letter(" ", (0.0, 0.0), (1.0, 0.0), 0.0, False)
            continue
        pdfium.FPDFText_GetCharOrigin(text.raw, index, x, y)
        pdfium.FPDFText_GetMatrix(text.raw, index, matrix)
        length = math.hypot(matrix.a, matrix.b) or 1.0
        yield _Letter(
            letter,
            (x.value * MM_PER_POINT, y.value * MM_PER_POINT),
            (matrix.a / length, matrix.b / length),
            pdfium.FPDFText_GetFontSize(text.raw, index) * math.hypot(matrix.c, matrix.d) * MM_PER_POINT,
            matrix.a * matrix.d - matrix.b * matrix.c < 0,
        )
    text.close()
