"""One panel drawn as the file describes it: outline, sizes, axes, holes with their labels, fixings, what is odd.

In: a scene and the room in mm. Out: a cell. Sizes and rulers stand outside of all labels; the lines that lead to sizes,
and the axes, are in the label placer's way, so that no words ever run into them. On a crowded panel labels say less,
and the rest is said below the drawing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import shapely

from boardmaker.display_list import Path
from boardmaker.figures.labels import LabelPlace, Surroundings, place_labels
from boardmaker.geometry import Point, bounds, distance, scale_ring
from boardmaker.picture.look import BOLD, FINE, SHADE, THIN, PictureLook
from boardmaker.picture.panel_axes import axis_boxes, axis_labels
from boardmaker.picture.panel_things import (
    LabelledThing,
    Stage,
    Telling,
    held,
    reach_of,
    tellings,
    things_marks,
    things_of,
)
from boardmaker.picture.scene import PanelScene
from boardmaker.picture.strokes import (
    BEYOND,
    Strokes,
    box_around,
    height_size,
    lying_ruler,
    ruler_step,
    standing_ruler,
    width_size,
)
from boardmaker.picture.unplaced import unplaced_lines
from boardmaker.typeset.label import Box, Label
from boardmaker.typeset.table import Cell, Mark

LARGEST_SCALE = 1.5  # of a small panel
AIR = 4.0  # mm between labels and what stands outside of them
FIRST_MARGIN = 22.0  # mm on each side that labels, sizes and rulers may take, at first
SMALLER = 0.9  # a further try is so much smaller at the least,
SMALLEST = 0.5  # and none is smaller than so much of the first: beyond that labels only crowd more
FAULT = 20.0  # a label that cannot be led to is as bad as a drawing so many mm too large
ENDLESS = 1000.0  # mm: further than any label goes
TOUCHING = 0.01  # mm from the edge of its box at which a point of an outline lies on it
OFF_OUTLINE = 1.0  # mm between an outline and a line to its size
SHORTEST_STRAY = 1.0  # mm of the line from a stray hole to its outline


@dataclass(frozen=True)
class DrawnPanel:
    """The drawing; how much its labels say; how many of them could not be led to, or lie over the outline."""

    cell: Cell
    telling: Telling
    faults: int


def draw_panel_within(scene: PanelScene, room: Point, look: PictureLook) -> DrawnPanel:
    """Return the panel as large as it goes into so many mm of width and height, its labels told in full if they can be.

    A panel too crowded for that is the least bad that was tried; it may be larger than its room.
    """
    x0, y0, x1, y1 = reach_of(scene)
    spans = x1 - x0, y1 - y0
    first = min(
        LARGEST_SCALE,
        *(max(side - 2 * FIRST_MARGIN, side / 3) / span for side, span in zip(room, spans, strict=True)),
    )
    tried: list[tuple[float, DrawnPanel]] = []
    for telling in tellings(scene):
        scale = first
        while scale >= SMALLEST * first:
            drawn = _drawn(Stage(scene, scale, look, telling))
            over = _over(drawn.cell, room)
            if over <= 0.0 and not drawn.faults:
                return drawn
            tried.append((over + FAULT * drawn.faults, drawn))
            if drawn.faults:  # a smaller panel is more crowded still
                break
            scale *= min(SMALLER, _share(drawn.cell, spans, room, scale))
    return min(tried, key=lambda one: one[0])[1]


def _over(cell: Cell, room: Point) -> float:
    """By how many mm a drawing is too large."""
    return max(0.0, cell.width - room[0]) + max(0.0, cell.height - room[1])


def _share(cell: Cell, spans: Point, room: Point, scale: float) -> float:
    """How much smaller the panel would have to be if all around it stayed as it is."""
    sides = zip(room, (cell.width, cell.height), spans, strict=True)
    return min((side - (whole - span * scale)) / (span * scale) for side, whole, span in sides)


def _drawn(stage: Stage) -> DrawnPanel:
    outline = scale_ring(stage.scene.panel.outline, stage.scale)
    things = list(things_of(stage))
    lines = tuple(_strays(stage))
    fences = (*(_ends(outline).fences if outline else ()), *axis_boxes(stage))
    axes = axis_labels(stage, outline, fences, things)
    bows = unplaced_lines(stage.scene.panel.unplaced, stage.reach, stage.scale)
    places = _placed(things, outline, (*lines, *bows), (*fences, *(label.box for label in axes)))
    labels = (*axes, *(Label(one.lines, place.box) for one, place in zip(things, places, strict=True)))
    marks = [
        *_outline_marks(stage.scene, outline),
        *(Path(line, line_width=THIN, dash=(1.2, 0.8)) for line in lines),
        *(Path(place.leader, line_width=FINE) for place in places if place.leader),
        *things_marks(stage),
    ]
    ring = shapely.linearrings(outline) if outline else shapely.LineString()
    faults = sum(not one.can_be_followed or ring.intersects(shapely.box(*one.box)) for one in places)
    return DrawnPanel(_with_sizes(stage, labels, marks), stage.telling, faults)


def _placed(
    things: Sequence[LabelledThing],
    outline: Sequence[Point],
    lines: Sequence[tuple[Point, Point]],
    fences: tuple[Box, ...],
) -> tuple[LabelPlace, ...]:
    around = Surroundings(
        circles=tuple((one.at, one.radius) for one in things),
        boxes=fences,
        leaders=lines,
        outline=shapely.linearrings(outline) if outline else shapely.LineString(),
        inside=shapely.polygons(outline) if outline else shapely.Polygon(),
    )
    return place_labels([one.wanted for one in things], around)


def _outline_marks(scene: PanelScene, outline: Sequence[Point]) -> Iterator[Mark]:
    """The outline on its ground; one that the program drew is dashed."""
    if outline:
        dash = (3.0, 1.5) if scene.panel.outline_drawn else ()
        yield Path(tuple(outline), closed=True, line_width=BOLD, fill=SHADE, dash=dash)


def _strays(stage: Stage) -> Iterator[tuple[Point, Point]]:
    """From each odd hole outside of its outline the shortest way back to it."""
    panel = stage.scene.panel
    if not panel.outline or panel.outline_drawn:
        return
    shape = shapely.Polygon(panel.outline)
    for one in stage.scene.holes:
        at = shapely.Point(held(one.hole.at, stage.reach))
        if one.oddities and shape.distance(at) * stage.scale > SHORTEST_STRAY:
            _, near = shapely.get_coordinates(shapely.shortest_line(at, shape)).tolist()
            (x, y), (to_x, to_y) = stage.on_paper(one.hole.at), (near[0] * stage.scale, near[1] * stage.scale)
            share = stage.claim(one) / distance((x, y), (to_x, to_y))
            if share < 1.0:
                yield (x + (to_x - x) * share, y + (to_y - y) * share), (to_x, to_y)


@dataclass(frozen=True)
class _Ends:
    """The box around an outline as drawn, and from where on each of its edges the lines to the sizes run.

    `left_y` and `right_y`: upwards from the highest point on the left and right edge; `low_x`, `high_x`: to the right
    from the last point on the lower and upper one.
    """

    box: Box
    left_y: float
    right_y: float
    low_x: float
    high_x: float

    @property
    def fences(self) -> tuple[Box, ...]:
        """Where those lines will run, as far out as they may have to."""
        x0, y0, x1, y1 = self.box
        return (
            (x0, self.left_y, x0, y1 + ENDLESS),
            (x1, self.right_y, x1, y1 + ENDLESS),
            (self.low_x, y0, x1 + ENDLESS, y0),
            (self.high_x, y1, x1 + ENDLESS, y1),
        )


def _ends(outline: Sequence[Point]) -> _Ends:
    x0, y0, x1, y1 = box = bounds(outline)
    return _Ends(
        box,
        max(y for x, y in outline if x - x0 < TOUCHING),
        max(y for x, y in outline if x1 - x < TOUCHING),
        max(x for x, y in outline if y - y0 < TOUCHING),
        max(x for x, y in outline if y1 - y < TOUCHING),
    )


def _with_sizes(stage: Stage, labels: Sequence[Label], marks: Sequence[Mark]) -> Cell:
    """The drawing with rulers left of it and below, sizes above and to the right, its upper left corner at [0, 0]."""
    reach, drawn = stage.reach, box_around(labels, marks)
    box = bounds([*scale_ring((reach[:2], reach[2:]), stage.scale), drawn[:2], drawn[2:]])
    sizes = _sizes(stage, box)
    rulers = _rulers(stage, box)
    all_labels = (*labels, *(label for _, some in (sizes, rulers) for label in some))
    all_marks = (*(mark for some, _ in (rulers, sizes) for mark in some), *marks)
    x0, y0, x1, y1 = box_around(all_labels, all_marks)
    return Cell(x1 - x0, y1 - y0, all_labels, all_marks).at((-x0, -y1))


def _sizes(stage: Stage, box: Box) -> Strokes:
    scene, look = stage.scene, stage.look
    if not scene.panel.outline or scene.size is None:
        return (), ()
    ends = _ends(scale_ring(scene.panel.outline, stage.scale))
    x0, y0, x1, y1 = ends.box
    across, up = box[3] + AIR, box[2] + AIR
    wide, wide_words = width_size(x0, x1, across, f"{scene.size[0]:.0f} mm", look.axes)
    high, high_words = height_size(y0, y1, up, f"{scene.size[1]:.0f} mm", look.axes)
    runs = (
        ((x0, ends.left_y + OFF_OUTLINE), (x0, across + BEYOND)),
        ((x1, ends.right_y + OFF_OUTLINE), (x1, across + BEYOND)),
        ((ends.low_x + OFF_OUTLINE, y0), (up + BEYOND, y0)),
        ((ends.high_x + OFF_OUTLINE, y1), (up + BEYOND, y1)),
    )
    lines = tuple(Path(run, line_width=FINE, ink=look.axes) for run in runs)
    return (*lines, *wide, *high), (wide_words, high_words)


def _rulers(stage: Stage, box: Box) -> Strokes:
    (x0, y0, x1, y1), scale, look = stage.reach, stage.scale, stage.look
    step = ruler_step(scale)
    lying, lying_words = lying_ruler((x0, x1), scale, box[1] - AIR, step, look.axes)
    standing, standing_words = standing_ruler((y0, y1), scale, box[0] - AIR, step, look.axes)
    return (*lying, *standing), (*lying_words, *standing_words)
