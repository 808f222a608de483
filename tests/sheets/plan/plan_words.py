"""The words of a plan as two readers find them: PDFium in the sheets, by their place, and markdown-it in the list.

Nothing of the program that made them is asked. A tick box is a word of its own, so that it counts, and where it stands.
"""

from __future__ import annotations

import ctypes
import re

import pypdfium2
import pypdfium2.raw as pdfium
from markdown_it import MarkdownIt

POINT = 25.4 / 72
FOOT = 15.0  # mm above the page's lower edge: the page's own name and number
BOX = "☐"
SAME_LINE = 1.5  # mm between the baselines of large and small type on one line; lines stand 3 mm apart
LARGEST_BOX, FRAMED = 8.0, 0.05  # mm: a box is square; so is the frame around some tags
SHEET_ALONE = ["words", "only", "print", "at", "any", "size"]  # said of the paper
SEPARATORS = ",:·–"


def tokens_of(text):
    """Words without what stands between them, which may differ; boxes apart."""
    words = text.replace(BOX, f" {BOX} ").casefold().split()
    return [word for word in (word.strip(SEPARATORS) for word in words) if word]


def markdown_words(markdown):
    """The words that a reader of Markdown shows, boxes to tap first in their line."""
    tokens = MarkdownIt("commonmark").parse(markdown.decode("utf-8"))
    lines = ["".join(child.content or " " for child in token.children) for token in tokens if token.type == "inline"]
    return tokens_of(" ".join(_pieces_together(re.sub(r"^\[ \]", BOX, line) for line in lines)))


def _pieces_together(lines):
    """A box a piece stands under each other here and beside each other on paper."""
    for line in lines:
        piece = re.fullmatch(rf"({BOX}.*), (\d+) of (\d+)", line)
        if not piece:
            yield line
        elif piece[2] == "1":
            yield BOX * (int(piece[3]) - 1) + piece[1]


def sheet_words(pdf, with_boxes):
    """The words of the sheets before the hang tags: line by line from the top, or in the file's order without boxes."""
    pages = []
    for page in pypdfium2.PdfDocument(pdf):
        marks = [mark for mark in _letters(page) if mark[1] > FOOT]
        if with_boxes:
            marks = _read_by_place([*marks, *_boxes(page, marks)])
        said = tokens_of("".join(_spaced(marks)))
        if said[:4] == ["where", "the", "panels", "hang"]:
            break
        pages += said
    return _without_what_paper_says(pages)


def _without_what_paper_says(words):
    plain = [word.strip(".") for word in words]
    at = next(at for at in range(len(words)) if plain[at : at + len(SHEET_ALONE)] == SHEET_ALONE)
    return words[:at] + words[at + len(SHEET_ALONE) :]


def _letters(page):
    """Each as (x, y, text, where it ends) in mm, in the file's order."""
    text = page.get_textpage()
    x, y, box = ctypes.c_double(), ctypes.c_double(), pdfium.FS_RECTF()
    for index in range(text.count_chars()):
        letter = chr(pdfium.FPDFText_GetUnicode(text, index))
        if pdfium.FPDFText_IsGenerated(text, index) or letter in "\r\n":
            continue
        assert pdfium.FPDFText_GetCharOrigin(text, index, x, y)
        assert pdfium.FPDFText_GetLooseCharBox(text, index, box)
        yield x.value * POINT, y.value * POINT, letter, box.right * POINT


def _boxes(page, letters):
    """Squares that are drawn as lines with nothing in them, as letters on the baseline of their line."""
    for item in page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_PATH]):
        left, bottom, right, top = (edge * POINT for edge in item.get_bounds())
        square = abs(right - left - (top - bottom)) < FRAMED and 2.0 < right - left < LARGEST_BOX
        if square and not any(left < x < right and bottom < y < top for x, y, _, _ in letters):
            yield left, bottom + 0.7, BOX, right


def _read_by_place(marks):
    lines = []
    for mark in sorted(marks, key=lambda mark: -mark[1]):
        if not lines or lines[-1][0][1] - mark[1] > SAME_LINE:
            lines.append([])
        lines[-1].append(mark)
    return [mark for line in lines for mark in sorted(line)]


def _spaced(marks):
    """The letters, with a space where the next one does not follow at once."""
    end, level = 0.0, 0.0
    for x, y, letter, right in marks:
        yield " " if abs(y - level) > 0.01 or not -0.3 < x - end < 0.3 else ""
        yield letter
        end, level = right, y
