"""The title block: whose board this is, how far it may be trusted, what the marks mean, and what to beware of."""

from __future__ import annotations

import math
from collections.abc import Sequence

from boardmaker.figures.figure import Figure
from boardmaker.figures.framed import framed
from boardmaker.figures.symbols import ARROW_RADIUS, RADIUS, arrow_marks, fixing_marks, ghost_marks
from boardmaker.service import Verdict, Work
from boardmaker.typeset.label import Words
from boardmaker.typeset.lettering import HEADING, NAME, SMALL, TEXT, broken, printable, shown_name
from boardmaker.typeset.table import Cell, beside, stacked, words_cell
from boardmaker.wording.cautions import CHECKED, GENERAL_CAUTIONS, UNCHECKED
from boardmaker.wording.numbers import scale_text
from boardmaker.wording.steps import must_not_text

WIDTHS = (88.0, 130.0, 62.0)  # mm; the first is the most pleasant to read


def draw_title(work: Work, scale: float) -> tuple[Figure, ...]:
    """Return the title block in a few widths."""
    return tuple(_title(work, scale, width) for width in WIDTHS)


def draw_board_mark(work: Work, number: int, count: int) -> Figure:
    """Return the small mark that tells one board of several from the others."""
    name = printable(work.bike.name, work.bike.file)
    cell = beside([words_cell([Words(f"Board {number} of {count}", NAME, bold=True)]), words_cell([Words(name, TEXT)])])
    return framed("title", f"board {number}", cell)


def _title(work: Work, scale: float, width: float) -> Figure:
    parts = [_name(work, width), _facts(work, scale, width), _warnings(work, width), *_legend(work, width)]
    return framed("title", "", stacked([part for part in parts if part], gap=1.8, ruled=True), wish=(1.0, 0.0))


def _paragraphs(texts: Sequence[str], width: float, height: float = SMALL, bold: bool = False) -> list[Words]:
    return [Words(line, height, bold) for text in texts for line in broken(printable(text), height, width, bold)]


def _name(work: Work, width: float) -> Cell:
    bike = work.bike
    lines = _paragraphs([printable(bike.name, bike.file)], width, HEADING, bold=True)
    if bike.years:
        lines += _paragraphs([bike.years], width, TEXT)
    return words_cell(lines, width)


def _facts(work: Work, scale: float, width: float) -> Cell:
    bike = work.bike
    facts = _paragraphs([f"Panels {scale_text(scale)}. Pockets and screws true to size."], width, TEXT, bold=True)
    facts += _paragraphs([f"Jobs: {_jobs(work)}."], width, TEXT)
    if work.equipment:
        names = dict(bike.equipment)
        facts += _paragraphs([f"With: {', '.join(names[key] for key in work.equipment)}."], width)
    if bike.source:
        facts += _paragraphs([f"Source: {bike.source}."], width)
    facts += _paragraphs([CHECKED if bike.checked else UNCHECKED], width, bold=not bike.checked)
    facts += _paragraphs([f"File {bike.file}, version {bike.sha256[:8]}."], width)
    return words_cell(facts, width)


def _jobs(work: Work) -> str:
    if not work.jobs:
        return "all, every panel comes off"
    return ", ".join(printable(job.name, job.key) for job in work.jobs)


def _warnings(work: Work, width: float) -> Cell:
    lines: list[Words] = []
    for freed in work.freed:
        if freed.fit.verdict is Verdict.MUST_NOT:
            lines += _paragraphs([must_not_text(freed, shown_name)], width, TEXT, bold=True)
    lines += _paragraphs([*work.bike.cautions, *GENERAL_CAUTIONS], width)
    return words_cell(lines, width)


def _legend(work: Work, width: float) -> list[Cell]:
    """The marks that occur on these boards, each with its word."""
    entries = _signs(work)
    arrow = Cell(2 * ARROW_RADIUS, 2.4, marks=arrow_marks((ARROW_RADIUS, -1.2), 0))
    if drawn := {one.panel.key for one in work.freed}:
        entries.append(
            beside([arrow, words_cell([Words("front of the bike (seen from front or rear: up)", SMALL)])], 0.8)
        )
    if any(held in drawn for one in work.freed for held in one.hole.also_holds):
        entries.append(_entry(ghost_marks((RADIUS, -RADIUS)), "screw has its pocket on that panel"))
    kinds = {f.kind: None for panel in work.bike.panels if panel.key in drawn for f in panel.fixings if f.at}
    entries += [_entry(fixing_marks(kind, (RADIUS, -RADIUS)), kind) for kind in kinds]
    return [_flow(entries, width)] if entries else []


def _signs(work: Work) -> list[Cell]:
    signs = []
    if any(freed.hole.behind for freed in work.freed):
        behind = ", ".join(dict.fromkeys(freed.hole.behind for freed in work.freed if freed.hole.behind))
        signs.append(words_cell([Words(f"▲ {printable(behind)} behind: never a longer screw", SMALL, bold=True)]))
    if any(freed.fit.verdict is Verdict.MUST_NOT for freed in work.freed):
        signs.append(words_cell([Words("✖ must not go back in", SMALL, bold=True)]))
    return signs


def _entry(marks: Sequence, word: str) -> Cell:  # type: ignore[type-arg]
    symbol = Cell(2 * RADIUS, 2 * RADIUS, marks=tuple(marks))
    return beside([symbol, words_cell([Words(printable(word), SMALL)])], gap=0.8)


def _flow(entries: Sequence[Cell], width: float) -> Cell:
    """Entries side by side, line after line."""
    lines: list[list[Cell]] = [[]]
    for entry in entries:
        used = math.fsum(cell.width + 3.0 for cell in lines[-1])
        if lines[-1] and used + entry.width > width:
            lines.append([])
        lines[-1].append(entry)
    return stacked([beside(line, gap=3.0) for line in lines], gap=0.8)
