"""What stands beside a pocket: its number and fastener, a box to tick, what lies behind it, its own note.

In: the work, a panel's pockets and ghosts, what is around them. Out: a label and its place for each, and the notes for
which there was no room. Apart from `labels`, which finds places and knows no words.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Literal

import shapely
from shapely import Polygon

from boardmaker.figures.figure import Ghost, NoteBelow, Pocket
from boardmaker.figures.labels import GAP, LabelPlace, Surroundings, WantedLabel, place_labels
from boardmaker.figures.style import BoardStyle
from boardmaker.figures.symbols import GHOST_RADIUS
from boardmaker.geometry import Point
from boardmaker.service import Freed, Work
from boardmaker.typeset.label import Label, Words
from boardmaker.typeset.lettering import broken, lines_size, printable, ticked_size
from boardmaker.wording.torques import is_in_nm, torque_nm_text, torque_written_lines

MUST_NOT_SIGN = "✖"
NOTE_SIGN = "*"
DANGER_WIDTH = 24.0  # mm of the words that name a danger, in the usual type,
NOTE_WIDTH = 32.0  # and of a note
REMARK_GAP = 1.0  # mm between a head's rim and a label with lines of remarks, which would seem to run into it
LONGEST_NOTE = 4  # lines; a longer one is no label


@dataclass(frozen=True)
class PocketLabels:
    """Places and labels of all pockets and then of all ghosts, and the notes that stand in the title block instead."""

    places: tuple[LabelPlace, ...]
    labels: tuple[Label, ...]
    notes: tuple[NoteBelow, ...]


def label_pockets(
    work: Work,
    pockets: Sequence[Pocket],
    ghosts: Sequence[Ghost],
    around: Surroundings,
    shape: Polygon,
    style: BoardStyle,
) -> PocketLabels:
    """Return the labels; a note stays where it makes the figure no larger and its label needs no leader."""
    freed = {one.hole_key: one for one in work.freed}
    noted = {pocket.hole for pocket in pockets if _note_lines(freed[pocket.hole], style)}
    found = _placed(work, pockets, ghosts, around, style, noted)
    if noted:
        placed = zip((pocket.hole for pocket in pockets), found.places, strict=False)
        inside = {hole for hole, one in placed if not one.leader and shape.contains(shapely.box(*one.box))}
        if (fitting := noted & inside) != noted:
            found = _placed(work, pockets, ghosts, around, style, fitting)
    return found


def _placed(
    work: Work,
    pockets: Sequence[Pocket],
    ghosts: Sequence[Ghost],
    around: Surroundings,
    style: BoardStyle,
    noted: Collection[str],
) -> PocketLabels:
    """All labels, those of the `noted` holes with their notes."""
    freed = {one.hole_key: one for one in work.freed}
    own = [_pocket_lines(work, pocket, freed[pocket.hole], style, pocket.hole in noted) for pocket in pockets]
    others = [_ghost_lines(freed[ghost.hole], style) for ghost in ghosts]
    size_of = ticked_size if style.ticked else lines_size
    wanted = [
        WantedLabel(one.at, one.rim, size_of(lines), style.type.wide(GAP if len(lines) == 1 else REMARK_GAP))
        for one, lines in zip(pockets, own, strict=True)
    ]
    wanted += [
        WantedLabel(one.at, GHOST_RADIUS, lines_size(lines), style.type.wide(GAP))
        for one, lines in zip(ghosts, others, strict=True)
    ]
    places = place_labels(wanted, around)
    labels = [
        Label(lines, place.box, _side_of(place, one.at), ticked=style.ticked)
        for one, lines, place in zip(pockets, own, places, strict=False)
    ]
    labels += [Label(lines, place.box) for lines, place in zip(others, places[len(own) :], strict=True)]
    below = [pocket for pocket in pockets if freed[pocket.hole].hole.note and pocket.hole not in noted]
    notes = tuple(NoteBelow(pocket.hole, freed[pocket.hole].hole.note) for pocket in below)
    return PocketLabels(places, tuple(labels), notes)


def _side_of(place: LabelPlace, at: Point) -> Literal["start", "end"]:
    """To which side lines are set: that at which their pocket is, or their leader ends, which else may end in air."""
    x0, _, x1, _ = place.box
    if place.leader:
        return "end" if place.leader[1][0] > (x0 + x1) / 2 else "start"
    return "end" if at[0] > x1 else "start"


def _pocket_lines(work: Work, pocket: Pocket, freed: Freed, style: BoardStyle, with_note: bool) -> tuple[Words, ...]:
    """`3 C`, with a sign where the screw is wrong; where something lies behind, its torque and the word for it."""
    sizes = style.type
    key = printable(pocket.fastener, "?")
    below = bool(freed.hole.note) and not with_note
    signs = f" {MUST_NOT_SIGN}" * bool(pocket.must_not) + f" {NOTE_SIGN}" * below
    first = Words(f"{pocket.number} {key}{signs}", sizes.text, bold=True)
    note = _note_lines(freed, style) if with_note else ()
    return first, *_danger_lines(work, pocket, style), *(Words(line, sizes.small) for line in note)


def _danger_lines(work: Work, pocket: Pocket, style: BoardStyle) -> tuple[Words, ...]:
    if not pocket.behind:
        return ()
    sizes = style.type
    word = printable(pocket.behind.upper(), pocket.behind, "?")
    named = broken(word, sizes.small, sizes.wide(DANGER_WIDTH), bold=True)
    lines = [Words(line, sizes.small, bold=True, ink=style.danger) for line in named]
    if (torque := work.bike.fastener(pocket.fastener).torque) is not None:
        lines.append(Words(", ".join(torque_written_lines(torque)), sizes.text))
        lines += [] if is_in_nm(torque) else [Words(torque_nm_text(torque), sizes.small)]
    return tuple(lines)


def _note_lines(freed: Freed, style: BoardStyle) -> tuple[str, ...]:
    """The hole's own note as lines; nothing where there is none or it is too long for a label."""
    lines = broken(printable(freed.hole.note), style.type.small, style.type.wide(NOTE_WIDTH)) if freed.hole.note else ()
    return lines if len(lines) <= LONGEST_NOTE else ()


def _ghost_lines(freed: Freed, style: BoardStyle) -> tuple[Words, ...]:
    """The tag and number of the pocket that holds this screw."""
    return (Words(f"{printable(freed.panel.tag, '?')} {freed.number}", style.type.small),)
