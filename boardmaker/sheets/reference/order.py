"""The order of removal: which panel comes off after which, what lets go by hand, and every note of the bike file."""

from __future__ import annotations

from collections.abc import Iterator

from boardmaker.figures.bike_map import map_within
from boardmaker.figures.bike_views import bike_views
from boardmaker.figures.style import BoardStyle
from boardmaker.geometry import Point
from boardmaker.service import Group, RemovalStep, Work, make_plan
from boardmaker.typeset.label import Words
from boardmaker.typeset.lettering import NAME, PAD, SMALL, TEXT, broken, printable, shown_name
from boardmaker.typeset.table import Cell, beside, stacked, words_cell
from boardmaker.wording.board_places import Pockets, numbered_places_texts
from boardmaker.wording.cautions import HELD_CAUTION
from boardmaker.wording.steps import by_hand_text, hole_notes, panel_notes, riders_text, staying_text

PICTURE_SHARE = 0.4  # of the page's height, at most
NUMBER_WIDTH = 9.0
TAG_WIDTH = 14.0


def order_rows(work: Work, width: float, pockets: Pockets | None = None) -> tuple[Cell, ...]:
    """Return one row a step, `width` mm wide; with `pockets` it says in which squares of the boards they are."""
    return tuple(_row(step, width, pockets or {}) for step in make_plan(work).removal)


def order_picture(work: Work, room: Point, style: BoardStyle) -> Cell | None:
    """Return the picture of the bike with the tags of all that comes off, as large as it goes into its part of `room`.

    None where the file does not say where panels sit, or where the paper is too small.
    """
    tagged = tuple(dict.fromkeys((*(step.carrier.key for step in work.steps), *(one.panel.key for one in work.freed))))
    return map_within(bike_views(work, tagged), (room[0], room[1] * PICTURE_SHARE), style)


def _row(step: RemovalStep, width: float, pockets: Pockets) -> Cell:
    room = width - NUMBER_WIDTH - TAG_WIDTH - 4.0 - 2 * PAD
    name = shown_name(step.carrier)
    lines = [Words(line, TEXT, bold=True) for line in broken(f"{name}{_count(step)}", TEXT, room, bold=True)]
    for note, loud in _notes(step, pockets):
        lines += [Words(line, SMALL, bold=loud) for line in broken(printable(note), SMALL, room, bold=loud)]
    return beside(
        [
            words_cell([Words(f"{step.number}.", NAME)], NUMBER_WIDTH),
            words_cell([Words(printable(step.carrier.tag, "?"), NAME, bold=True)], TAG_WIDTH),
            words_cell(lines, room + 2 * PAD),
        ]
    )


def _count(step: RemovalStep) -> str:
    return f" ({len(step.step.freed)})" if step.step.freed else ""


def _notes(step: RemovalStep, pockets: Pockets) -> Iterator[tuple[str, bool]]:
    """Each with whether nobody may miss it."""
    if step.groups:
        yield " · ".join(_group_text(group, step) for group in step.groups), False
    yield from ((danger, True) for danger in _dangers(step))
    yield from ((places, False) for places in numbered_places_texts(step.step.freed, step.carrier, pockets))
    yield from ((note, False) for note in panel_notes(step))
    yield from ((f"by hand: {by_hand_text(one)}", False) for one in (*step.by_hand, *step.connections))
    yield from ((note, True) for group in step.groups for note in hole_notes(group))
    if riders := riders_text(step, shown_name):
        yield riders, False
    yield from ((staying_text(one, shown_name), False) for one in step.staying)


def _group_text(group: Group, step: RemovalStep) -> str:
    """`1, 2 A`, as their pockets are labelled; the screw that carries the panel says so."""
    tag = "" if group.panel.key == step.carrier.key else f"{printable(group.panel.tag, '?')} "
    numbers = ", ".join(f"{one.number}" for one in group.freed)
    carries = " (last: hold the panel)" if group.last else ""
    return f"{tag}{numbers} {printable(group.fastener.key, '?')}{carries}"


def _dangers(step: RemovalStep) -> Iterator[str]:
    """`fuel tank behind: 1, 2`, a line for each thing that a longer screw would reach."""
    for behind in dict.fromkeys(one.hole.behind for one in step.step.freed if one.hole.behind):
        numbers = ", ".join(f"{one.number}" for one in step.step.freed if one.hole.behind == behind)
        yield f"{behind} behind: {numbers} - never a longer screw"


def order_caution(width: float) -> Cell:
    """Return what stands above the rows."""
    text = (
        "In brackets: how many fasteners. Refit from the bottom up; `boardmaker plan` makes sheets with every step to "
        f"tick off. The maker's manual comes first. {HELD_CAUTION}"
    )
    return stacked([words_cell([Words(line, SMALL) for line in broken(text, SMALL, width - 2 * PAD)])])
