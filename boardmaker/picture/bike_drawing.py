"""The whole bike: its views in frames, beside them which tag is which panel, and what is not placed.

In: the scenes of all panels, the oddities. Out: cells for the sheet.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from boardmaker.display_list import Path
from boardmaker.figures.bike_views import BikeView
from boardmaker.figures.symbols import ARROW_RADIUS, arrow_marks
from boardmaker.geometry import box_ring
from boardmaker.picture.frames import oddity_cell, paragraph, tag_cell
from boardmaker.picture.look import GREY, MEDIUM, NAME, SMALL, TEXT, PictureLook
from boardmaker.picture.oddities import Oddity
from boardmaker.picture.scene import PanelScene
from boardmaker.picture.view_drawing import DrawnView, draw_view, is_far, tagged_views, view_span
from boardmaker.typeset.cells import Column, columns_cell
from boardmaker.typeset.label import Words
from boardmaker.typeset.table import Cell, beside, in_columns, stacked, top_aligned, words_cell

INNER = 240.0  # mm, the width of what a frame holds
TALLEST = 0.62  # of that, the height of a view
ASIDE, ALOFT = 34.0, 22.0  # mm of a view that tags beside it and rulers take
SMALLEST_SCALE = 0.01
BAR = 500.0  # mm on the bike
GAP = 3.0
MOST_ROWS = 16  # panels in one column of the index
TAG_WIDTH, COLUMN_GAP, BETWEEN_HALVES = 14.0, 1.5, 6.0  # mm
SHARES = (0.335, 0.285, 0.18, 0.10, 0.10)  # of the rest: name, key, size, holes, what is odd
MOST_SAID = 30  # oddities; nobody reads on
CAPTIONS = {
    "left": ("from the left", "mm ahead of the rear axle, above the ground"),
    "right": ("from the right", "mm ahead of the rear axle, above the ground"),
    "above": ("from above", "mm ahead of the rear axle, right of the middle"),
}


def bike_cells(scenes: Sequence[PanelScene], lost: Sequence[str], look: PictureLook) -> tuple[Cell, ...]:
    """Return a cell a view and the index of panels; `lost` are keys of panels that could not be read."""
    views = tagged_views([scene.panel for scene in scenes])
    by_key = {scene.panel.key: scene for scene in scenes}
    drawn = _views(views, by_key, look)
    return (*drawn, _index(scenes, lost, {one.key for view in views for one in view.panels}, look))


def oddities_cell(oddities: Sequence[Oddity], width: float, look: PictureLook) -> Cell | None:
    """Return what is odd about the file in columns, as wide as that; None where nothing is."""
    if not oddities:
        return None
    columns = 2 if len(oddities) > 1 else 1
    between = 8.0
    each = (width - between * (columns - 1)) / columns
    cells = [oddity_cell(one, each, look) for one in oddities[:MOST_SAID]]
    if len(oddities) > MOST_SAID:
        cells.append(paragraph([Words(f"and {len(oddities) - MOST_SAID} more: `boardmaker check` says them", TEXT)]))
    half = math.ceil(len(cells) / columns)
    sides = [stacked(cells[start : start + half], GAP) for start in range(0, len(cells), half)]
    return top_aligned(sides, between)


def _views(views: Sequence[BikeView], scenes: dict[str, PanelScene], look: PictureLook) -> tuple[Cell, ...]:
    """All views at one scale, the largest at which each goes into its frame."""
    if not views:
        return ()
    scale = min(_scale(view) for view in views)
    while True:
        drawn = [draw_view(view, scenes, scale, look) for view in views]
        over = max(max(one.cell.width / INNER, one.cell.height / (INNER * TALLEST)) for one in drawn)
        if over <= 1.0 or scale < SMALLEST_SCALE:
            break
        scale *= 0.96 / over
    lefts = _lefts(drawn)
    return tuple(
        _captioned(view, one.cell.at((left, 0.0)), scale) for view, one, left in zip(views, drawn, lefts, strict=True)
    )


def _lefts(drawn: Sequence[DrawnView]) -> list[float]:
    """Where each view begins in its frame: in the middle, the one from above in line with the left one."""
    lefts = [(INNER - one.cell.width) / 2 for one in drawn]
    if (drawn[0].name, drawn[-1].name) == ("left", "above"):
        in_line = lefts[0] + drawn[0].axle - drawn[-1].axle
        lefts[-1] = min(max(0.0, in_line), max(0.0, INNER - drawn[-1].cell.width))
    return lefts


def _scale(view: BikeView) -> float:
    wide, high = view_span(view)
    return min((INNER - ASIDE) / max(wide, BAR), (INNER * TALLEST - ALOFT) / max(high, BAR))


def _captioned(view: BikeView, cell: Cell, scale: float) -> Cell:
    """A view under its name, the way to the front, what the rulers count and a bar to scale."""
    name, rulers = CAPTIONS[view.name]
    words = words_cell([Words(name, NAME, bold=True)])
    arrow = Cell(2 * ARROW_RADIUS, 2 * ARROW_RADIUS, marks=arrow_marks((ARROW_RADIUS, -ARROW_RADIUS), view.front_deg))
    front = words_cell([Words("front", TEXT)])
    side = [words, arrow, front] if view.front_deg == 180 else [words, front, arrow]
    left = stacked([beside(side, 1.5), paragraph([Words(rulers, SMALL, ink=GREY)])], 1.5)
    bar = _bar(scale)
    heading = Cell(
        INNER,
        max(left.height, bar.height),
        (*left.labels, *bar.at((INNER - bar.width, 0.0)).labels),
        (*left.marks, *bar.at((INNER - bar.width, 0.0)).marks),
    )
    return stacked([heading, cell], GAP)


def _bar(scale: float) -> Cell:
    """A bar of 500 mm on the bike."""
    long = BAR * scale
    ring = box_ring(0.0, -5.6, long / 2, -4.6), box_ring(long / 2, -5.6, long, -4.6)
    marks = (
        Path(ring[0], closed=True, line_width=MEDIUM, fill=0.0),
        Path(ring[1], closed=True, line_width=MEDIUM, fill=1.0),
    )
    words = words_cell([Words(f"{BAR:.0f} mm", TEXT)])
    return Cell(max(long, words.width), 6.0, words.at((max(0.0, (long - words.width) / 2), 0.0)).labels, marks)


def _index(scenes: Sequence[PanelScene], lost: Sequence[str], seen: set[str], look: PictureLook) -> Cell:
    """Which tag is which panel; below, the panels that are in no view, and why."""
    placed = [scene for scene in scenes if scene.panel.key in seen]
    others = [scene for scene in scenes if scene.panel.key not in seen]
    parts = [words_cell([Words("panels", NAME, bold=True)])]
    columns = 2 if len(scenes) + len(lost) > MOST_ROWS else 1
    width = (INNER - BETWEEN_HALVES * (columns - 1)) / columns
    if placed:
        rows = [_row(scene, width, look) for scene in placed]
        parts.append(stacked([_head(min(columns, len(rows)), width), _listed(rows, columns)], 0.6))
    if others or lost:
        parts.append(words_cell([Words("in no view", TEXT, bold=True)]))
        rows = [_row(scene, width, look, _why(scene)) for scene in others]
        parts.append(_listed([*rows, *(_lost_row(key, width, look) for key in lost)], columns))
    return stacked(parts, GAP)


def _listed(rows: Sequence[Cell], columns: int) -> Cell:
    return in_columns(rows, min(columns, len(rows)), gap=1.2, between=BETWEEN_HALVES)


def _why(scene: PanelScene) -> str:
    panel = scene.panel
    if panel.on_bike is None:
        return "no on_bike" if panel.outline else "no on_bike, no outline"
    if not panel.outline:
        return "no outline"
    return f"on_bike is far off: [{panel.on_bike[0]:g}, {panel.on_bike[1]:g}]" if is_far(panel) else "seen edge on"


def _row(scene: PanelScene, width: float, look: PictureLook, why: str = "") -> Cell:
    """Tag, name and key, size (or why it is in no view), holes, the marks of what is odd."""
    panel = scene.panel
    odd = " ".join(one.mark for one in scene.oddities)
    tag = tag_cell(panel.tag, panel.side, look.tint(panel.side), SMALL)
    size = why or scene.size_words.removesuffix(" mm")
    return _columns(tag, (panel.name, panel.key, size, str(len(panel.holes)), odd), width)


def _lost_row(key: str, width: float, look: PictureLook) -> Cell:
    return _columns(tag_cell("", "centre", look.odd, SMALL), ("cannot be read", key, "see the errors", "", ""), width)


def _head(columns: int, width: float) -> Cell:
    """The words over the columns of the index, over each of its halves."""
    one = _columns(Cell(0.0, 0.0), ("name", "key", "size in mm", "holes", "odd"), width)
    quiet = [replace(label, lines=(Words(label.text, SMALL, ink=GREY),)) for label in one.labels]
    return top_aligned([Cell(width, one.height, tuple(quiet))] * columns, BETWEEN_HALVES)


def _columns(tag: Cell, words: tuple[str, str, str, str, str], width: float) -> Cell:
    room = width - TAG_WIDTH
    columns, x = [], TAG_WIDTH
    for index, (text, share) in enumerate(zip(words, SHARES, strict=True)):
        if text:
            columns.append(Column(text, x, share * room - COLUMN_GAP, bold=index in (0, 4)))
        x += share * room
    row = columns_cell(columns, SMALL, width, most=2)
    middle = (row.labels[0].box[1] + row.labels[0].box[3]) / 2
    placed = tag.at((0.0, middle + tag.height / 2))
    return Cell(width, max(row.height, tag.height), (*placed.labels, *row.labels), placed.marks)
