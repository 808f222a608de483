"""The order of removal: which panel comes off after which, what lets go by hand, and every note of the bike file."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from boardmaker.figures.figure import Words
from boardmaker.figures.lettering import NAME, PAD, SMALL, TEXT, broken, printable
from boardmaker.figures.table import Cell, beside, stacked, words_cell
from boardmaker.inputs.model import Fixing, Panel
from boardmaker.service import Step, Work

NUMBER_WIDTH = 9.0
TAG_WIDTH = 14.0


def order_rows(work: Work, width: float) -> tuple[Cell, ...]:
    """Return one row a step, `width` mm wide."""
    return tuple(_row(number, step, width) for number, step in enumerate(work.steps, start=1))


def _row(number: int, step: Step, width: float) -> Cell:
    room = width - NUMBER_WIDTH - TAG_WIDTH - 4.0 - 2 * PAD
    name = printable(step.carrier.name, step.carrier.key)
    lines = [Words(line, TEXT, bold=True) for line in broken(f"{name}{_count(step)}", TEXT, room, bold=True)]
    for note in _notes(step):
        lines += [Words(line, SMALL) for line in broken(printable(note), SMALL, room)]
    return beside(
        [
            words_cell([Words(f"{number}", NAME)], NUMBER_WIDTH),
            words_cell([Words(printable(step.carrier.tag, "?"), NAME, bold=True)], TAG_WIDTH),
            words_cell(lines, room + 2 * PAD),
        ]
    )


def _count(step: Step) -> str:
    return f" ({len(step.freed)})" if step.freed else ""


def _notes(step: Step) -> Iterator[str]:
    for panel in (step.carrier, *step.riders):
        if panel.note:
            yield panel.note
        for words, count in Counter(_fixing(fixing) for fixing in panel.fixings).items():
            yield f"by hand: {count} × {words}" if count > 1 else f"by hand: {words}"
    yield from (f"{freed.number} {freed.fastener.key}: {freed.hole.note}" for freed in step.freed if freed.hole.note)
    if step.riders:
        yield f"stays on it: {', '.join(_name(rider) for rider in step.riders)}"


def _fixing(fixing: Fixing) -> str:
    if fixing.note:
        return fixing.note if fixing.kind == "other" else f"{fixing.kind}, {fixing.note}"
    return fixing.kind


def _name(panel: Panel) -> str:
    return printable(panel.name, panel.key)


def order_caution(width: float) -> Cell:
    """Return what stands above the rows."""
    text = (
        "In brackets: how many fasteners. Refit from the bottom up. The maker's manual comes first; plastic that does "
        "not come by hand is still held."
    )
    return stacked([words_cell([Words(line, SMALL) for line in broken(text, SMALL, width - 2 * PAD)])])
