"""A panel's frame: its heading, the drawing, what is odd about it and what cannot be drawn; all in one box.

In: a scene and the frame's width in mm. Out: a cell of that width. A frame whose scene is the same is not drawn again.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache

from boardmaker.display_list import Ink, Path
from boardmaker.figures.side_tag import side_tag_marks, tag_size
from boardmaker.figures.symbols import ARROW_RADIUS, UPRIGHT_VIEWS, arrow_marks, up_marks
from boardmaker.geometry import box_ring
from boardmaker.model import Fixing
from boardmaker.picture.look import GREY, MEDIUM, NAME, PALE, SMALL, TEXT, PictureLook
from boardmaker.picture.oddities import Oddity
from boardmaker.picture.panel_drawing import draw_panel_within
from boardmaker.picture.panel_things import at_words, hole_name, is_empty, placed_through
from boardmaker.picture.scene import SEEN, PanelScene, SeenHole
from boardmaker.typeset.cells import set_line
from boardmaker.typeset.label import Label, Words
from boardmaker.typeset.lettering import broken, lines_size, printable
from boardmaker.typeset.table import Cell, beside, in_columns, stacked, words_cell
from boardmaker.units import counted
from boardmaker.wording.numbers import decimal

INSET = 5.0  # mm between a frame and what it holds
TALLEST = 0.74  # of a frame's width that its drawing may be high
GAP = 3.0  # mm between heading, drawing and notes
FRONT_DEG = {"left": 180, "right": 0, "top": 90}
PITCH = 1.7  # from baseline to baseline, in heights of a capital
MOST_ODD = 25  # messages under a panel; nobody reads on
MOST_ROWS = 100  # of holes under a panel
MARK_WIDTH = 9.0  # mm in which the number of what is odd stands


@lru_cache(maxsize=256)  # on a save of the file, most panels are as they were
def panel_frame(scene: PanelScene, width: float, look: PictureLook) -> Cell:
    """Return the frame of a panel, `width` mm wide, as high as it needs to be."""
    inner = width - 2 * INSET
    drawn = None if is_empty(scene) else draw_panel_within(scene, (inner, inner * TALLEST), look)
    parts = [_heading(scene, inner, look)]
    if drawn:
        parts.append(_centred(drawn.cell, inner))
    return stacked([*parts, *_notes(scene, inner, look, drawn is not None and drawn.telling != "all")], GAP)


def lost_frame(key: str, oddities: Sequence[Oddity], width: float, look: PictureLook) -> Cell:
    """Return the frame of a panel that could not be read: its key and why."""
    inner = width - 2 * INSET
    heading = words_cell([Words(printable(key, "?"), NAME, bold=True)])
    said = paragraph([Words("This panel cannot be drawn until the file is right.", TEXT)])
    return stacked([heading, said, *(oddity_cell(one, inner, look) for one in oddities)], GAP)


def in_frame(cell: Cell, width: float, height: float) -> Cell:
    """Return a cell in a frame of this size, mm."""
    frame = Path(box_ring(0.0, -height, width, 0.0), closed=True, line_width=MEDIUM, ink=PALE)
    inner = cell.at((INSET, -INSET))
    return Cell(width, height, inner.labels, (frame, *inner.marks))


def _centred(cell: Cell, width: float) -> Cell:
    return cell.at((max(0.0, (width - cell.width) / 2), 0.0)).sized(max(width, cell.width))


def _heading(scene: PanelScene, width: float, look: PictureLook) -> Cell:
    """Tag and name; what it is seen from; size, holes, place on the bike; and the way to the front."""
    arrow = _front(scene)
    room = width - arrow.width - GAP
    panel = scene.panel
    name = Words(printable(panel.name, panel.key), NAME, bold=True)
    tag = tag_cell(panel.tag, panel.side, look.tint(panel.side), NAME)
    lines = broken(name.text, NAME, room - tag.width - GAP, bold=True)
    title = beside([tag, words_cell([replace(name, text=line) for line in lines])], 2.0)
    below = paragraph([words for text in _facts(scene) for words in _set(text, SMALL, room)])
    words = stacked([title, below], 2.0)
    return _joined(words, arrow.at((width - arrow.width, 0.0)), width)


def _joined(left: Cell, right: Cell, width: float) -> Cell:
    height = max(left.height, right.height)
    return Cell(width, height, (*left.labels, *right.labels), (*left.marks, *right.marks))


def tag_cell(tag: str, side: str, tint: Ink, height: float) -> Cell:
    """Return a panel's tag in the shape of its side."""
    words = Words(printable(tag, "?") or "–", height, bold=True)
    wide, high = tag_size(words)
    label = Label((words,), (0.0, -high, wide, 0.0))
    return Cell(wide, high, (label,), tuple(side_tag_marks(label, side, tint)))


def _facts(scene: PanelScene) -> Iterator[str]:
    panel = scene.panel
    seen, axes = SEEN[scene.seen_from]
    yield f"{panel.key} · {panel.side} panel, {seen}: {axes}"
    place = f"on_bike [{decimal(panel.on_bike[0])}, {decimal(panel.on_bike[1])}]" if panel.on_bike else "no on_bike"
    mirrored = f" · mirror image of {panel.mirrors}" if panel.mirrors else ""
    holes = counted(len(panel.holes), "hole") + (f", {len(panel.unplaced)} without a place" if panel.unplaced else "")
    yield f"{scene.size_words} · {holes} · {place}{mirrored}"


def _front(scene: PanelScene) -> Cell:
    """An arrow to the front of the bike, or upwards, with its word."""
    upright = scene.seen_from in UPRIGHT_VIEWS
    side = 2 * ARROW_RADIUS
    word = words_cell([Words("up" if upright else "front", TEXT)])
    middle = (ARROW_RADIUS, -ARROW_RADIUS)
    marks = up_marks(middle) if upright else arrow_marks(middle, FRONT_DEG[scene.seen_from])
    arrow = Cell(side, side, marks=marks)
    return beside([arrow, word] if scene.seen_from != "right" else [word, arrow], 0.8)


def _notes(scene: PanelScene, width: float, look: PictureLook, in_rows: bool) -> Iterator[Cell]:
    """What is odd, then what the labels had no room for, then what cannot be drawn."""
    for one in scene.oddities[:MOST_ODD]:
        yield oddity_cell(one, width, look)
    if (rest := len(scene.oddities) - MOST_ODD) > 0:
        yield paragraph([Words(f"and {rest} more: `boardmaker check` says them", TEXT)])
    if in_rows and scene.holes:
        yield _hole_rows(scene, width)
    if said := [words for text in _unplaced(scene) for words in _set(text, SMALL, width)]:
        yield paragraph(said)


def oddity_cell(one: Oddity, width: float, look: PictureLook) -> Cell:
    """Return what is odd: its mark, what it is, where it stands in the file, what to do."""
    words = Words(one.mark, TEXT, bold=True)
    wide, high = lines_size((words,))
    label = Label((words,), (0.0, -high, wide, 0.0))
    ground = Path(box_ring(0.0, -high, wide, 0.0), closed=True, line_width=MEDIUM, fill=look.odd)
    mark = Cell(MARK_WIDTH, high, (label,), (ground,))
    place = f"line {one.line}: " if one.line else ""
    said = f"{place}{'error: ' if one.is_error else ''}{one.message}"
    room = width - MARK_WIDTH - 1.0
    lines = [*_set(said, TEXT, room, 0.0), *(_set(one.hint, SMALL, room) if one.hint else ())]
    text = paragraph(lines)
    wide = max(MARK_WIDTH, mark.labels[0].box[2] + 1.0)
    return _joined(mark, text.at((wide, 0.0)), width)


def _hole_rows(scene: PanelScene, width: float) -> Cell:
    """What the labels do not say, a row a hole."""
    rows = [words_cell(_set(_row(one), SMALL, width / 2 - GAP)) for one in scene.holes[:MOST_ROWS]]
    if (rest := len(scene.holes) - MOST_ROWS) > 0:
        rows.append(words_cell(_set(f"and {rest} more holes", SMALL, width / 2 - GAP)))
    return in_columns(rows, min(2, len(rows)), gap=0.4, between=GAP)


def _row(one: SeenHole) -> str:
    """A hole in one line."""
    held = f", also holds {', '.join(one.hole.also_holds)}" if one.hole.also_holds else ""
    behind = f", {one.hole.behind} behind" if one.hole.behind else ""
    return f"{hole_name(one)} at {at_words(one.hole.at)}{held}{behind}"


def _unplaced(scene: PanelScene) -> Iterator[str]:
    """What the drawing does not show."""
    panel = scene.panel
    if panel.outline_drawn:
        yield "No outline in the file: the dashed one is drawn around the holes."
    if not panel.outline:
        yield "No outline to draw."
    for said, count in Counter(_fixing_words(one) for one in panel.fixings if one.note or not one.at).items():
        yield f"{count} × {said}" if count > 1 else said
    placed = {one.key for one, _ in placed_through(scene)}
    unplaced = [one.key for one in scene.through if one.key not in placed]
    if unplaced:
        yield f"also held by {', '.join(unplaced)}: where is not known, or not on this panel"
    if panel.rides_on:
        yield f"rides on {panel.rides_on}"
    if panel.after:
        yield f"after {', '.join(panel.after)}"
    if panel.note:
        yield f"note: {panel.note}"


def paragraph(lines: Sequence[Words]) -> Cell:
    """Return lines of type from one left edge, evenly apart whatever letters they have."""
    labels, down = [], 0.0
    for words in lines:
        labels.append(set_line(words, 0.0, down - words.height))
        down -= words.height * PITCH
    return Cell(max(label.box[2] for label in labels), -down, tuple(labels))


def _fixing_words(one: Fixing) -> str:
    return f"{one.kind}{'' if one.at else ', without a place'}{': ' if one.note else ''}{one.note}"


def _set(text: str, height: float, width: float, ink: Ink = GREY) -> tuple[Words, ...]:
    return tuple(Words(line, height, ink=ink) for line in broken(printable(text), height, width))
