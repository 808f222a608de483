"""`verify`: what a finished PDF will print, and whether that is true to scale."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby

from boardmaker.commands.common import existing, say, say_warnings
from boardmaker.commands.requests import VerifyRequest
from boardmaker.guarded import Limits, guarded, read_at_most
from boardmaker.problems import ProblemsFound
from boardmaker.proof import MAKE_IT_AGAIN, Bar, PageReport, Proof, name_pages, prove
from boardmaker.standards.paper import paper, paper_names
from boardmaker.units import counted

SAME_PAPER = 0.5  # mm; programs round paper to whole points or millimetres
MOST_SAID = 10  # names or lengths in one line
MOST_MEGABYTES = 50  # of a file; a set of thirty crowded sheets has 2
LIMITS = Limits(seconds=6.0, megabytes=600)  # 300 crowded sheets take 4 s


def verify_file(request: VerifyRequest) -> None:
    """Print what the file shows and the verdict; raise ProblemsFound where it does not print true to scale."""
    path, quiet = existing(request.file), request.quiet
    content = read_at_most(path, MOST_MEGABYTES, MAKE_IT_AGAIN)
    proof = guarded(str(path), MAKE_IT_AGAIN, LIMITS, prove, content, str(path))
    if not proof.measured:
        say(f"{path.name}: a plan: nothing on it is measured, so it may be printed at any size", quiet)
        return
    for line in (*_report(proof, path.name), _verdict(proof, path.name)):
        say(line, quiet)
    if proof.errors:
        raise ProblemsFound(proof.problems)
    say_warnings(proof.problems)


def _report(proof: Proof, name: str) -> Iterator[str]:
    yield f"{name}: {counted(len(proof.pages), 'page')}"
    yield f"  print dialog   {_asked(proof.print_scaling)}"
    yield f"  page boxes     {_boxes(proof)}"
    yield f"  fonts          {_fonts(proof)}"
    yield f"  printer scale  {_scale(proof)}"
    rows = [("pages", "paper", "bar across", "bar along"), *_rows(proof.pages)]
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    for row in rows:
        yield "  " + "   ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()


def _asked(print_scaling: str) -> str:
    if print_scaling == "None":
        return "asked to leave the size alone"
    return f"not asked to leave the size alone (PrintScaling {print_scaling or 'missing'})"


def _boxes(proof: Proof) -> str:
    if proof.boxes_plain:
        return "whole pages from 0, 0, not cropped, not turned, UserUnit 1"
    return "not plain: see below"


def _fonts(proof: Proof) -> str:
    missing = [name for name, embedded in proof.fonts.items() if not embedded]
    if missing:
        return f"NOT in the file: {_some(missing)}"
    return f"{_some(list(proof.fonts))}: in the file" if proof.fonts else "none"


def _some(names: Sequence[str]) -> str:
    """The first of them, and how many there are beside."""
    others = len(names) - MOST_SAID
    return ", ".join(names[:MOST_SAID]) + (f" and {others:,} more" if others > 0 else "")


def _scale(proof: Proof) -> str:
    if proof.printer_scale is None:
        return "none recorded, taken as 1 × 1"
    across, along = proof.printer_scale
    if proof.printer_scale == (1.0, 1.0):
        return "1 × 1: drawn for a printer that prints true"
    return f"{across:g} × {along:g} taken out: drawn for one printer; lengths below are as that printer prints them"


def _rows(pages: Iterable[PageReport]) -> Iterator[tuple[str, str, str, str]]:
    """A row for pages in succession that are alike."""
    for cells, alike in groupby(pages, _cells):
        numbers = [page.number for page in alike]
        yield (name_pages(numbers).split(" ")[1], *cells)


def _cells(page: PageReport) -> tuple[str, str, str]:
    across, along = ([bar for bar in page.bars if bar.upright is upright] for upright in (False, True))
    size = f"{page.width:.2f} × {page.height:.2f} mm"
    name = _paper_name(page.width, page.height)
    return f"{size} {name}".rstrip(), _lengths(across), _lengths(along)


def _lengths(bars: Sequence[Bar]) -> str:
    return _some(list(dict.fromkeys(f"{bar.stated:g} mm: {bar.printed:.2f}" for bar in bars))) or "none"


def _paper_name(width: float, height: float) -> str:
    for name in paper_names():
        sheet = paper(name)
        for turned, size in (("", (sheet.width, sheet.height)), (" on its side", (sheet.height, sheet.width))):
            if max(abs(width - size[0]), abs(height - size[1])) <= SAME_PAPER:
                return f"{name}{turned}"
    return ""


def _verdict(proof: Proof, name: str) -> str:
    if proof.errors:
        first, others = proof.errors[0].message, len(proof.errors) - 1
        return f"{name} does not print true to scale: {first}{f' (and {others} more)' if others else ''}"
    where = "on the printer that it was made for, " if proof.printer_scale not in (None, (1.0, 1.0)) else ""
    each = "on the page" if len(proof.pages) == 1 else f"on each of {len(proof.pages)} pages"
    return f"{name} prints true to scale: {where}printed at 100 %, both test bars are right {each}"
