"""One panel drawn as the file describes it: outline, sizes, axes, holes with their labels, fixings, what is odd.

In: a scene and the room in mm. Out: a cell. Sizes and rulers stand outside of all labels; the lines that lead to sizes,
and the axes, are in the label placer's way, so that no words ever run into them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import shapely

from boardmaker.display_list import Path
from boardmaker.figures.labels import LabelPlace, Surroundings, WantedLabel, place_labels
from boardmaker.figures.symbols import GHOST_RADIUS, RADIUS, fixing_marks, ghost_marks
from boardmaker.geometry import Point, bounds, distance, scale_ring
from boardmaker.picture.look import BOLD, FINE, GREY, SHADE, SMALL, TEXT, THIN, Look
from boardmaker.picture.scene import PanelScene, SeenHole
from boardmaker.picture.strokes import (
    BEYOND,
    Strokes,
    box_around,
    height_size,
    hole_marks,
    lying_ruler,
    odd_marks,
    origin_marks,
    ruler_step,
    standing_ruler,
    width_size,
)
from boardmaker.typeset.label import Box, Label, Words
from boardmaker.typeset.lettering import broken, lines_size, printable
from boardmaker.typeset.table import Cell, Mark
from boardmaker.wording.numbers import decimal

LARGEST_SCALE = 1.5  # of a small panel
FAR = 0.6  # of the panel's size: how far outside of it something may be and is still drawn at its place
LEAST_SPAN = 40.0  # mm of a panel that is nothing but a hole
AXIS = 12.0  # mm of an axis's arrow
LEAST_HEAD = 1.1  # mm, radius
AIR = 4.0  # mm between labels and what stands outside of them
ODD_AIR = 1.6  # mm between a head and the mark around it
WORDS_WIDTH = 34.0  # mm of a label's lines
TIP_AIR = 1.8  # mm around an axis's tip, where its letter stands
MOST_TRIES = 8
ENDLESS = 1000.0  # mm: further than any label goes
TOUCHING = 0.01  # mm from the edge of its box at which a point of an outline lies on it
OFF_OUTLINE = 1.0  # mm between an outline and a line to its size
FIRST_MARGIN = 26.0  # mm on each side that labels, sizes and rulers may take


@dataclass(frozen=True)
class _Thing:
    """Something with a label: where it is in mm of the picture, its radius, its words."""

    at: Point
    radius: float
    lines: tuple[Words, ...]

    @property
    def wanted(self) -> WantedLabel:
        """What the label placer is asked for."""
        return WantedLabel(self.at, self.radius, lines_size(self.lines))


def draw_panel_within(scene: PanelScene, room: Point, look: Look) -> Cell:
    """Return the panel as large as it goes into so many mm of width and height."""
    x0, y0, x1, y1 = _reach(scene)
    scale = min(LARGEST_SCALE, *(max(side - 2 * FIRST_MARGIN, side / 3) / long for side, long in _pairs(room, scene)))
    for _ in range(MOST_TRIES):
        cell = _drawn(scene, scale, look)
        over = max(cell.width - room[0], cell.height - room[1])
        if over <= 0.0:
            break
        shares = (
            (side - (whole - long * scale)) / (long * scale)
            for side, whole, long in zip(room, (cell.width, cell.height), (x1 - x0, y1 - y0), strict=True)
        )
        scale *= min(0.95, max(0.6, min(shares)))
    return cell


def _pairs(room: Point, scene: PanelScene) -> tuple[tuple[float, float], ...]:
    x0, y0, x1, y1 = _reach(scene)
    return (room[0], x1 - x0), (room[1], y1 - y0)


def _reach(scene: PanelScene) -> Box:
    """The part of the panel's frame that is drawn, mm on the bike: outline and holes, and the origin unless it is far.

    What lies further off than `FAR` of the outline's size is drawn at the edge.
    """
    points = list(scene.panel.outline) or [one.hole.at for one in scene.holes] or [(0.0, 0.0)]
    x0, y0, x1, y1 = bounds(points)
    wide, high = max(0.0, LEAST_SPAN - (x1 - x0)) / 2, max(0.0, LEAST_SPAN - (y1 - y0)) / 2
    x0, y0, x1, y1 = x0 - wide, y0 - high, x1 + wide, y1 + high
    off = FAR * max(x1 - x0, y1 - y0)
    others = [one.hole.at for one in scene.holes] + [one.at for one in scene.panel.fixings if one.at]
    others += [at for _, at in scene.through if at] + [(0.0, 0.0)]
    near = [(x, y) for x, y in others if x0 - off <= x <= x1 + off and y0 - off <= y <= y1 + off]
    return bounds([(x0, y0), (x1, y1), *near])


def _drawn(scene: PanelScene, scale: float, look: Look) -> Cell:
    reach = _reach(scene)
    outline = scale_ring(scene.panel.outline, scale)
    axes = _Axes(reach, scale)
    things = [*_holes(scene, reach, scale, look), *_small_things(scene, reach, scale), *axes.things(look)]
    lines = tuple(_strays(scene, reach, scale))
    fences = (*(_ends(outline).fences if outline else ()), *axes.boxes)
    places = _placed(things, outline, lines, fences)
    labels = tuple(Label(one.lines, place.box) for one, place in zip(things, places, strict=True))
    marks = [
        *_outline_marks(scene, outline),
        *(Path(line, line_width=THIN, dash=(1.2, 0.8)) for line in lines),
        *(Path(place.leader, line_width=FINE) for place in places if place.leader),
        *axes.marks(look),
        *_hole_marks(scene, reach, scale, look),
        *_small_marks(scene, reach, scale),
    ]
    return _with_sizes(scene, scale, reach, labels, marks, look)


def _placed(
    things: Sequence[_Thing], outline: Sequence[Point], lines: Sequence[tuple[Point, Point]], fences: tuple[Box, ...]
) -> tuple[LabelPlace, ...]:
    around = Surroundings(
        circles=tuple((one.at, one.radius) for one in things),
        boxes=fences,
        leaders=lines,
        outline=shapely.linearrings(outline) if outline else shapely.LineString(),
        inside=shapely.polygons(outline) if outline else shapely.Polygon(),
    )
    return place_labels([one.wanted for one in things], around)


def _held(at: Point, reach: Box) -> Point:
    """A place in the part that is drawn; what lies beyond comes to its edge."""
    return min(max(at[0], reach[0]), reach[2]), min(max(at[1], reach[1]), reach[3])


def _on_paper(at: Point, reach: Box, scale: float) -> Point:
    x, y = _held(at, reach)
    return x * scale, y * scale


def _radius(one: SeenHole, scale: float) -> float:
    return max(LEAST_HEAD, one.head / 2 * scale)


def _holes(scene: PanelScene, reach: Box, scale: float, look: Look) -> Iterator[_Thing]:
    for one in scene.holes:
        radius = _radius(one, scale)
        radius = (radius + ODD_AIR) * 1.42 if one.oddities else radius
        yield _Thing(_on_paper(one.hole.at, reach, scale), radius, tuple(_hole_lines(one, reach, look)))


def _hole_lines(one: SeenHole, reach: Box, look: Look) -> Iterator[Words]:
    hole = one.hole
    odd = "".join(f"{oddity.mark} " for oddity in one.oddities)
    pocket = f", pocket {one.number}" if one.differs else ""
    key = hole.fastener if one.is_read else f"{hole.fastener}?"
    yield Words(printable(f"{odd}hole {hole.id}{pocket}: {key}"), TEXT, bold=True)
    x, y = (decimal(side) for side in hole.at)
    yield Words(f"[{x}, {y}]", SMALL, ink=GREY)
    if _held(hole.at, reach) != hole.at:
        yield Words("far outside, drawn at the edge", SMALL)
    if hole.also_holds:
        yield from _lines(f"also holds {', '.join(hole.also_holds)}", SMALL)
    if hole.behind:
        yield from (replace(words, ink=look.danger) for words in _lines(f"{hole.behind} behind", SMALL))


def _lines(text: str, height: float) -> tuple[Words, ...]:
    return tuple(Words(line, height) for line in broken(printable(text), height, WORDS_WIDTH))


def _small_things(scene: PanelScene, reach: Box, scale: float) -> Iterator[_Thing]:
    for fixing in scene.panel.fixings:
        if fixing.at:
            yield _Thing(_on_paper(fixing.at, reach, scale), RADIUS, (Words(fixing.kind, SMALL),))
    for key, at in scene.through:
        if at:
            yield _Thing(_on_paper(at, reach, scale), GHOST_RADIUS, _lines(key, SMALL))


def _small_marks(scene: PanelScene, reach: Box, scale: float) -> Iterator[Mark]:
    for fixing in scene.panel.fixings:
        if fixing.at:
            yield from fixing_marks(fixing.kind, _on_paper(fixing.at, reach, scale))
    for _, at in scene.through:
        if at:
            yield from ghost_marks(_on_paper(at, reach, scale))


def _hole_marks(scene: PanelScene, reach: Box, scale: float, look: Look) -> Iterator[Mark]:
    for one in scene.holes:
        at = _on_paper(one.hole.at, reach, scale)
        if one.oddities:
            yield from odd_marks(at, _radius(one, scale) + ODD_AIR, look.odd)
        yield from hole_marks(at, _radius(one, scale))


def _outline_marks(scene: PanelScene, outline: Sequence[Point]) -> Iterator[Mark]:
    """The outline on its ground; one that the program drew is dashed."""
    if outline:
        dash = (3.0, 1.5) if scene.panel.outline_drawn else ()
        yield Path(tuple(outline), closed=True, line_width=BOLD, fill=SHADE, dash=dash)


def _strays(scene: PanelScene, reach: Box, scale: float) -> Iterator[tuple[Point, Point]]:
    """From each hole outside of its outline the shortest way back to it."""
    if not scene.panel.outline or scene.panel.outline_drawn:
        return
    shape = shapely.Polygon(scene.panel.outline)
    for one in scene.holes:
        at = shapely.Point(_held(one.hole.at, reach))
        if one.oddities and shape.distance(at) * scale > 1.0:
            ends = shapely.get_coordinates(shapely.shortest_line(at, shape))
            (x, y), (near_x, near_y) = ((round(a * scale, 4), round(b * scale, 4)) for a, b in ends.tolist())
            share = (_radius(one, scale) + ODD_AIR) * 1.42 / max(1e-9, distance((x, y), (near_x, near_y)))
            if share < 1.0:
                yield (x + (near_x - x) * share, y + (near_y - y) * share), (near_x, near_y)


@dataclass(frozen=True)
class _Axes:
    """The origin of the panel's frame with its two arrows, where it is in the part that is drawn."""

    reach: Box
    scale: float

    @property
    def is_shown(self) -> bool:
        """Whether the origin is near enough."""
        return _held((0.0, 0.0), self.reach) == (0.0, 0.0)

    @property
    def boxes(self) -> tuple[Box, ...]:
        """What words keep off."""
        return ((0.0, 0.0, AXIS, 0.0), (0.0, 0.0, 0.0, AXIS)) if self.is_shown else ()

    def things(self, look: Look) -> tuple[_Thing, ...]:
        """The letters of the axes and the name of the origin."""
        if not self.is_shown:
            return ()
        at = (((0.0, 0.0), "[0, 0]"), ((AXIS, 0.0), "x"), ((0.0, AXIS), "y"))
        return tuple(_Thing(place, TIP_AIR, (Words(word, TEXT, ink=look.axes),)) for place, word in at)

    def marks(self, look: Look) -> tuple[Mark, ...]:
        """Ring and arrows."""
        return origin_marks((0.0, 0.0), AXIS, look.axes) if self.is_shown else ()


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


def _with_sizes(
    scene: PanelScene, scale: float, reach: Box, labels: Sequence[Label], marks: Sequence[Mark], look: Look
) -> Cell:
    """The drawing with rulers left of it and below, sizes above and to the right, its upper left corner at [0, 0]."""
    box = box_around(labels, marks)
    sizes = _sizes(scene, scale, box, look)
    rulers = _rulers(reach, scale, box, look)
    all_labels = (*labels, *(label for _, some in (sizes, rulers) for label in some))
    all_marks = (*(mark for some, _ in (rulers, sizes) for mark in some), *marks)
    x0, y0, x1, y1 = box_around(all_labels, all_marks)
    return Cell(x1 - x0, y1 - y0, all_labels, all_marks).at((-x0, -y1))


def _sizes(scene: PanelScene, scale: float, box: Box, look: Look) -> Strokes:
    if not scene.panel.outline or scene.size is None:
        return (), ()
    ends = _ends(scale_ring(scene.panel.outline, scale))
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


def _rulers(reach: Box, scale: float, box: Box, look: Look) -> Strokes:
    x0, y0, x1, y1 = reach
    step = ruler_step(max(x1 - x0, y1 - y0), max(x1 - x0, y1 - y0) * scale)
    lying, lying_words = lying_ruler((x0, x1), scale, box[1] - AIR, step, look.axes)
    standing, standing_words = standing_ruler((y0, y1), scale, box[0] - AIR, step, look.axes)
    return (*lying, *standing), (*lying_words, *standing_words)
