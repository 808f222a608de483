"""The order of removal: which panel comes off after which, what lets go by hand, and every note of the bike file."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from boardmaker.figures.bike_map import map_within
from boardmaker.figures.bike_views import bike_views
from boardmaker.figures.style import BoardStyle
from boardmaker.geometry import Point
from boardmaker.service import Group, RemovalStep, Work, make_plan
from boardmaker.typeset.label import Words
from boardmaker.typeset.lettering import PAD, TEXT, broken, printable, shown_name
from boardmaker.typeset.table import Cell, stacked, top_aligned, words_cell
from boardmaker.wording.board_places import Pockets, square_text
from boardmaker.wording.cautions import HELD_CAUTION
from boardmaker.wording.numbers import NO_BREAK_SPACE
from boardmaker.wording.steps import by_hand_text, hold_text, hole_notes, panel_notes, riders_text, staying_text

PICTURE_SHARE = 0.4  # of the page's height, at most
HEAD = 3.0  # mm, height of a row's number, tag and name
NUMBER_WIDTH, TAG_WIDTH, GAP = 7.0, 9.0, 1.5  # mm; longer tags take more
# Of the board, as its legend has them.
LAST = "On the board a thick ring is the last screw: hold the panel, also while clips follow."
DANGER = "Red hatching: something lies behind, never a longer screw."
GHOST = "A dashed ring: that screw’s pocket is on the panel of its tag."
MOVED = "A line from a pocket to a dot: its hole is there."
NOT_ON_BOARD = "no screws: not on the board"


def order_rows(work: Work, width: float, pockets: Pockets | None = None) -> tuple[Cell, ...]:
    """Return one row a step, `width` mm wide; with `pockets` it says in which squares of the boards they are."""
    steps = make_plan(work).removal
    widest = max((_tag_cell(step).width for step in steps), default=0.0)
    return tuple(_row(step, (width, max(widest, TAG_WIDTH)), pockets or {}) for step in steps)


def order_picture(work: Work, room: Point, style: BoardStyle) -> Cell | None:
    """Return the picture of the bike with the tags of all that comes off, as large as it goes into its part of `room`.

    None where the file does not say where panels sit, or where the paper is too small.
    """
    tagged = tuple(dict.fromkeys((*(step.carrier.key for step in work.steps), *(one.panel.key for one in work.freed))))
    return map_within(bike_views(work, tagged), (room[0], room[1] * PICTURE_SHARE), style)


def _tag_cell(step: RemovalStep, width: float = 0.0) -> Cell:
    return words_cell([Words(printable(step.carrier.tag, "?"), HEAD, bold=True)], width)


def _row(step: RemovalStep, widths: tuple[float, float], pockets: Pockets) -> Cell:
    """Number, tag and name level with each other, the notes below the name; `widths` are of all and of the tag."""
    width, tag_width = widths
    number = words_cell([Words(f"{step.number}.", HEAD)], NUMBER_WIDTH)
    tag = _tag_cell(step, tag_width)
    room = width - number.width - tag.width - 2 * GAP - 2 * PAD
    title = f"{shown_name(step.carrier)}{_count(step)}"
    lines = [Words(line, HEAD, bold=True) for line in broken(title, HEAD, room, bold=True)]
    for note, loud in _notes(step, pockets):
        parts = broken(printable(note), TEXT, room, bold=loud)
        lines += [Words(line.replace(NO_BREAK_SPACE, " "), TEXT, bold=loud) for line in parts]
    return top_aligned([number, tag, words_cell(lines, room + 2 * PAD)], GAP)


def _count(step: RemovalStep) -> str:
    return f" ({len(step.step.freed)})" if step.step.freed else ""


def _notes(step: RemovalStep, pockets: Pockets) -> Iterator[tuple[str, bool]]:
    """Each with whether nobody may miss it."""
    if not step.groups:
        yield NOT_ON_BOARD, False
    if step.groups:
        yield " · ".join(text for group in step.groups for text in _group_texts(group, step, pockets)), False
    yield from ((danger, True) for danger in _dangers(step))
    yield from ((note, False) for note in panel_notes(step))
    yield from ((f"by hand: {by_hand_text(one)}", False) for one in (*step.by_hand, *step.connections))
    yield from ((note, True) for note in hole_notes([one for group in step.groups for one in group.freed]))
    if riders := riders_text(step, shown_name):
        yield riders, False
    yield from ((staying_text(one, shown_name), False) for one in step.staying)


def _group_texts(group: Group, step: RemovalStep, pockets: Pockets) -> Iterator[str]:
    """`1, 2 A (B3)` and `3 A (C3)`, as their pockets are labelled, with the square; what carries the panel says so."""
    tag = "" if group.panel.key == step.carrier.key else f"{printable(group.panel.tag, '?')} "
    runs = [(place, list(run)) for place, run in groupby(group.freed, key=lambda one: square_text(one, pockets))]
    for number, (place, run) in enumerate(runs, start=1):
        numbers = ", ".join(f"{one.number}" for one in run)
        carries = f", {hold_text(group, step)}" if group.last and number == len(runs) else ""
        said = f"{tag}{numbers} {printable(group.fastener.key, '?')}{f' ({place})' if place else ''}"
        yield f"{said.replace(' ', NO_BREAK_SPACE)}{carries}"


def _dangers(step: RemovalStep) -> Iterator[str]:
    """`fuel tank behind: 1, 2`, a line for each thing that a longer screw would reach."""
    for behind in dict.fromkeys(one.hole.behind for one in step.step.freed if one.hole.behind):
        numbers = ", ".join(f"{one.number}" for one in step.step.freed if one.hole.behind == behind)
        yield f"{behind} behind: {numbers} - never a longer screw"


def order_caution(work: Work, width: float, pockets: Pockets | None = None) -> Cell:
    """Return what stands above the rows, with every dangerous hole; with `pockets`, how rows name their squares."""
    text = (
        f"In brackets: how many fasteners. {_how_to_read_squares(work, pockets or {})}Refit from the bottom up; the "
        f"command “boardmaker plan” makes sheets with every step to tick off. {' '.join(_marks(work))} The maker's "
        f"manual comes first. {HELD_CAUTION}"
    )
    lines = [Words(line, TEXT) for line in broken(text, TEXT, width - 2 * PAD)]
    for danger in _dangers_of(work):
        lines += [Words(line, TEXT, bold=True) for line in broken(danger, TEXT, width - 2 * PAD, bold=True)]
    return stacked([words_cell(lines)])


def _how_to_read_squares(work: Work, pockets: Pockets) -> str:
    """What one row's words mean, by the first of them."""
    rows = (one for step in make_plan(work).removal for group in step.groups for one in group.freed)
    first = next((one for one in rows if square_text(one, pockets)), None)
    if first is None:
        return ""
    number, key, place = first.number, printable(first.fastener.key, "?"), square_text(first, pockets)
    said = f"{number} {key} ({place})".replace(" ", NO_BREAK_SPACE)
    return f"{said}: pocket {number} holds fastener {key}, in square {place} of the board’s grid. "


def _marks(work: Work) -> Iterator[str]:
    yield LAST
    if any(one.hole.behind for one in work.freed):
        yield DANGER
    if any(one.hole.also_holds for one in work.freed):
        yield GHOST
    yield MOVED


def _dangers_of(work: Work) -> Iterator[str]:
    """`▲ fuel tank behind: TL 1, 2 · TR 1, 2 - never a longer screw`, a line for each thing that one would reach."""
    numbers: dict[str, dict[str, list[str]]] = {}
    for one in work.freed:
        if one.hole.behind:
            tag = printable(one.panel.tag, "?")
            numbers.setdefault(one.hole.behind, {}).setdefault(tag, []).append(f"{one.number}")
    for behind, tags in numbers.items():
        places = " · ".join(f"{tag} {', '.join(found)}".replace(" ", NO_BREAK_SPACE) for tag, found in tags.items())
        yield f"▲ {behind} behind: {places} - never a longer screw"
