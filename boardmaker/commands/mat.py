"""`mat`: the sheets on which panels are photographed, and the marks for their holes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from boardmaker.commands.common import load_bike, load_setup, say_warnings, write_and_say
from boardmaker.commands.requests import MatRequest
from boardmaker.mat import Mat, mat_pages, write_mat
from boardmaker.model import Bike
from boardmaker.plain_text import shown
from boardmaker.render.pdf import render_pdf
from boardmaker.units import counted

LETTERS = "ABCDEF"
LEAST_COPIES = 8


def make_mat(request: MatRequest) -> None:
    """Write `mat.pdf` and `mat.json`. Raises ProblemsFound where the paper is too small for a mat."""
    owned, warnings = load_setup(request.setup)
    say_warnings(warnings)
    printed = mat_pages(owned, _copies(request), request.tint)
    files = {
        "mat.pdf": render_pdf(printed.pages, title="Capture mat", printer_scale=owned.printer.scale),
        "mat.json": write_mat(printed.mat),
    }
    write_and_say("mat", files, _lines(printed.mat, len(printed.pages)), request.output)


def _copies(request: MatRequest) -> Mapping[str, int]:
    """How many marks of each fastener."""
    if request.bike is None:
        return dict.fromkeys(LETTERS, LEAST_COPIES)
    bike, warnings = load_bike(request.bike)
    say_warnings(warnings)
    return _copies_for(bike)


def _copies_for(bike: Bike) -> Mapping[str, int]:
    """As many of each as one panel needs, because marks are used again for the next one."""
    counts = [Counter(hole.fastener for hole in panel.holes) for panel in bike.panels]
    return {one.key: max([LEAST_COPIES, *(count[one.key] for count in counts)]) for one in bike.fasteners}


def _lines(mat: Mat, pages: int) -> Iterator[str]:
    width, height = mat.sheet
    yield (
        f"{counted(pages, 'page')}: {mat.columns} × {mat.rows} sheets of {width:g} × {height:g} mm, "
        f"{counted(len(mat.marks), 'mark')} for {shown(', '.join(dict.fromkeys(one.fastener for one in mat.marks)))}"
    )
    yield "print at 100 % (“actual size”) in colour; measure both bars of sheet A1 before you trim it"
