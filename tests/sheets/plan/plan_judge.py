"""Where the words of a finished PDF stand, read back with pdfplumber: inside the printable page, none over another."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from io import BytesIO

import pdfplumber
from pdfminer.layout import LTChar, LTCurve, LTLine

MM = 25.4 / 72
ABOVE, BELOW = 0.73, 0.22  # of the em: DejaVu Sans Condensed's capitals and its descenders
TOUCH = 0.05  # mm that boxes may touch by rounding


@dataclass(frozen=True)
class Seen:
    """What stands on a page, in mm from the lower left corner: runs and lines (x0, y0, x1, y1), widths of curves."""

    width: float
    height: float
    runs: tuple[tuple[str, float, float, float, float], ...]
    lines: tuple[tuple[float, float, float, float], ...]
    curves: tuple[float, ...]


@lru_cache(maxsize=32)  # several tests look at one file, and reading it takes a second
def seen_in(pdf):
    """The pages of a file as pdfplumber reads them."""
    with pdfplumber.open(BytesIO(pdf)) as file:
        return tuple(_seen(page) for page in file.pages)


def _seen(page):
    things = list(page.layout)  # as pdfminer lays it out: `page.chars` and `page.lines` take twice as long
    boxes = [tuple(side * MM for side in one.bbox) for one in things if isinstance(one, LTLine)]
    curves = [one.width * MM for one in things if isinstance(one, LTCurve) and type(one) is LTCurve]
    return Seen(float(page.width) * MM, float(page.height) * MM, runs_of(things), tuple(boxes), tuple(curves))


def runs_of(things):
    """Every run of letters on one baseline as (text, x0, y0, x1, y1) in mm from the lower left corner."""
    runs = []
    for char in things:
        if not isinstance(char, LTChar):
            continue
        size, baseline = char.size * MM, char.matrix[5] * MM
        x0, x1 = char.x0 * MM, char.x1 * MM
        box = [char.get_text(), x0, baseline - BELOW * size, x1, baseline + ABOVE * size, baseline]
        if runs and abs(runs[-1][5] - baseline) < 0.01 and -0.05 < x0 - runs[-1][3] < 0.3:
            runs[-1][0] += char.get_text()
            runs[-1][3] = x1
        else:
            runs.append(box)
    return tuple(tuple(run[:5]) for run in runs if run[0].strip())


def overlaps_on(page):
    """Pairs of runs of which one covers part of the other."""
    found = []
    ordered = sorted(page.runs, key=lambda run: run[2])
    for index, one in enumerate(ordered):
        for other in ordered[index + 1 :]:
            if other[2] >= one[4] - TOUCH:
                break
            if other[1] < one[3] - TOUCH and one[1] < other[3] - TOUCH and other[2] < one[4] - TOUCH:
                found.append((one[0], other[0]))
    return found


def outside_of(page, margin):
    """Runs that reach into the margin (mm) that the printer cannot print."""
    return [
        run[0]
        for run in page.runs
        if run[1] < margin - TOUCH
        or run[2] < margin - 1.0
        or run[3] > page.width - margin + TOUCH
        or run[4] > page.height - margin + TOUCH
    ]


def faults_of(pdf, margin=10.0):
    """Every overlap and every run outside, with its page."""
    return [
        (number, fault)
        for number, page in enumerate(seen_in(pdf), start=1)
        for fault in (*overlaps_on(page), *outside_of(page, margin))
    ]


def text_of(pdf):
    """All words of the file, page after page, on single spaces."""
    return " ".join(" ".join(run[0] for run in page.runs) for page in seen_in(pdf))
