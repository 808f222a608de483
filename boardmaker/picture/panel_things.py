"""What stands on a panel and wants words: holes, fixings, screws of other panels, the axes of the panel's frame.

In: a scene, the part of the panel's frame that is drawn, a scale. Out: things with their labels, and the marks of each.
Apart from the drawing, which says where the labels go.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import sqrt
from typing import Literal

from boardmaker.display_list import Circle
from boardmaker.figures.labels import WantedLabel
from boardmaker.figures.symbols import GHOST_RADIUS, RADIUS, fixing_marks, ghost_marks
from boardmaker.geometry import Point, bounds
from boardmaker.model import UnplacedHole
from boardmaker.picture.look import GREY, MEDIUM, SMALL, TEXT, PictureLook
from boardmaker.picture.scene import PanelScene, SeenHole, ThroughScrew
from boardmaker.picture.strokes import odd_marks, origin_marks
from boardmaker.picture.unplaced import unplaced_marks
from boardmaker.typeset.label import Box, Words
from boardmaker.typeset.lettering import broken, lines_size, printable
from boardmaker.typeset.table import Mark
from boardmaker.wording.numbers import decimal

FAR = 0.6  # of the panel's size: how far outside of it something may be and is still drawn at its place;
EDGE = 0.25  # what lies further out is drawn so far outside
LEAST_SPAN = 40.0  # mm of a panel that is nothing but a hole
AXIS = 12.0  # mm of an axis's arrow
LEAST_HEAD = 1.1  # mm, radius
DOT = 0.8  # mm, the middle of a hole
ODD_AIR = 1.6  # mm between a head and the mark around it
WORDS_WIDTH = 34.0  # mm of a label's lines
LOST = 1.0  # mm: the mark at the place that fits a hole without one best
ORIGIN = (0.0, 0.0)
MOST_TOLD = 14  # holes of a panel beside which everything is told; more find no room for that
MOST_LABELLED = 40  # things on a panel: more are drawn and listed, but none has a label

# Everything; the hole's names and fastener; its id alone; nothing.
Telling = Literal["all", "names", "number", "nothing"]


@dataclass(frozen=True)
class LabelledThing:
    """Something with a label: where it is in mm of the picture, its radius, its words."""

    at: Point
    radius: float
    lines: tuple[Words, ...]

    @property
    def wanted(self) -> WantedLabel:
        """What the label placer is asked for."""
        return WantedLabel(self.at, self.radius, lines_size(self.lines))


@dataclass(frozen=True)
class Stage:
    """A scene at a scale, in its inks; how much its labels say: what they do not stands below the drawing."""

    scene: PanelScene
    scale: float
    look: PictureLook
    telling: Telling = "all"

    @property
    def reach(self) -> Box:
        """The part of the panel's frame that is drawn, mm on the bike."""
        return reach_of(self.scene)

    def on_paper(self, at: Point) -> Point:
        """Return where a place of the panel's frame is in the picture; what lies beyond comes to the edge."""
        x, y = held(at, self.reach)
        return x * self.scale, y * self.scale

    def radius(self, one: SeenHole) -> float:
        """Return the radius of a hole's head in mm of the picture."""
        return max(LEAST_HEAD, one.head / 2 * self.scale)

    def claim(self, one: SeenHole) -> float:
        """Return the radius in mm of all that is drawn at a hole."""
        return (self.radius(one) + ODD_AIR) * sqrt(2.0) if one.oddities else self.radius(one)

    @property
    def has_origin(self) -> bool:
        """Whether the origin is near enough to be drawn."""
        return held(ORIGIN, self.reach) == ORIGIN


def reach_of(scene: PanelScene) -> Box:
    """Return the part of the panel's frame that is drawn, mm on the bike: outline, holes, the origin.

    What lies further off than `FAR` of the outline's size is drawn at the edge.
    """
    points = list(scene.panel.outline) or [one.hole.at for one in scene.holes] or [ORIGIN]
    x0, y0, x1, y1 = bounds(points)
    wide, high = max(0.0, LEAST_SPAN - (x1 - x0)) / 2, max(0.0, LEAST_SPAN - (y1 - y0)) / 2
    x0, y0, x1, y1 = x0 - wide, y0 - high, x1 + wide, y1 + high
    size = max(x1 - x0, y1 - y0)
    far, edge = _grown((x0, y0, x1, y1), FAR * size), _grown((x0, y0, x1, y1), EDGE * size)
    things = [one.hole.at for one in scene.holes] + [one.at for one in scene.panel.fixings if one.at]
    things += [one.near for one in scene.panel.unplaced if one.near]
    shown = [at if held(at, far) == at else held(at, edge) for at in things]
    return bounds([(x0, y0), (x1, y1), *shown, *([ORIGIN] if held(ORIGIN, far) == ORIGIN else [])])


def _grown(box: Box, by: float) -> Box:
    return box[0] - by, box[1] - by, box[2] + by, box[3] + by


def held(at: Point, reach: Box) -> Point:
    """Return a place in the part that is drawn; what lies beyond comes to its edge."""
    return min(max(at[0], reach[0]), reach[2]), min(max(at[1], reach[1]), reach[3])


def is_empty(scene: PanelScene) -> bool:
    """Say whether there is nothing to draw."""
    return not (scene.panel.outline or scene.holes or any(one.at for one in scene.panel.fixings))


def tellings(scene: PanelScene) -> tuple[Telling, ...]:
    """Return how much labels may say, the most first: the least where there are too many for any."""
    count = len(scene.holes) + len(scene.panel.fixings) + len(scene.through) + len(scene.panel.unplaced)
    if count > MOST_LABELLED:
        return ("nothing",)
    return ("names", "number") if len(scene.holes) > MOST_TOLD else ("all", "names", "number")


def placed_through(scene: PanelScene) -> tuple[tuple[ThroughScrew, Point], ...]:
    """Return the screws of other panels whose place on this one is known and drawn."""
    reach = reach_of(scene)
    return tuple((one, one.at) for one in scene.through if one.at and held(one.at, reach) == one.at)


def things_of(stage: Stage) -> Iterator[LabelledThing]:
    """Yield everything that has a label."""
    if stage.telling == "nothing":
        return
    for hole in stage.scene.holes:
        yield LabelledThing(stage.on_paper(hole.hole.at), stage.claim(hole), tuple(_hole_lines(hole, stage)))
    for fixing in stage.scene.panel.fixings:
        if fixing.at:
            yield LabelledThing(stage.on_paper(fixing.at), RADIUS, (Words(fixing.kind, SMALL),))
    for lost in stage.scene.panel.unplaced:
        if lost.near:
            yield LabelledThing(
                stage.on_paper(lost.near), GHOST_RADIUS, _lines(_without_place(lost, stage.scene), TEXT)
            )
    for one, at in placed_through(stage.scene):
        yield LabelledThing(
            stage.on_paper(at), GHOST_RADIUS, _lines(one.key if stage.telling == "all" else one.short, SMALL)
        )


def things_marks(stage: Stage) -> Iterator[Mark]:
    """Yield axes, small marks and holes, what is odd under its hole."""
    if stage.has_origin:
        yield from origin_marks(ORIGIN, AXIS, stage.look.axes)
    for one in stage.scene.holes:
        at = stage.on_paper(one.hole.at)
        if one.oddities:
            yield from odd_marks(at, stage.radius(one) + ODD_AIR, stage.look.odd)
        yield Circle(at, 2 * stage.radius(one), MEDIUM, fill=1.0)  # the head's rim, true to the panel's scale
    for one in stage.scene.holes:  # over all rims: no head hides the middle of another
        yield Circle(stage.on_paper(one.hole.at), DOT, 0.0, fill=0.0)
    for fixing in stage.scene.panel.fixings:
        if fixing.at:
            yield from fixing_marks(fixing.kind, stage.on_paper(fixing.at))
    yield from unplaced_marks(stage.scene.panel.unplaced, stage.reach, stage.scale)
    for lost in stage.scene.panel.unplaced:
        if lost.near:
            yield from odd_marks(stage.on_paper(lost.near), LOST, stage.look.odd)
    for _, at in placed_through(stage.scene):
        yield from ghost_marks(stage.on_paper(at))


def hole_name(one: SeenHole) -> str:
    """Return what a hole is called: as in the file, its pocket where that differs, its fastener."""
    pocket = f", pocket {one.number}" if one.differs else ""
    return f"hole {one.hole.id}{pocket}: {one.hole.fastener}{'' if one.is_read else '?'}"


def at_words(at: Point) -> str:
    """Return a place as it stands in the file."""
    return f"[{decimal(at[0])}, {decimal(at[1])}]"


def _hole_lines(one: SeenHole, stage: Stage) -> Iterator[Words]:
    hole = one.hole
    odd = "".join(f"{oddity.mark} " for oddity in one.oddities)
    name = hole.id if stage.telling == "number" else hole_name(one)
    yield Words(printable(f"{odd}{name}"), TEXT, bold=True)
    if held(hole.at, stage.reach) != hole.at:
        yield Words(f"{at_words(hole.at)}: further out", SMALL)
    elif stage.telling == "all":
        yield Words(at_words(hole.at), SMALL, ink=GREY)
    if stage.telling != "all":
        return
    if hole.also_holds:
        yield from _lines(f"also holds {', '.join(hole.also_holds)}", SMALL)
    if hole.behind:
        yield from (
            replace(words, bold=True, ink=stage.look.danger) for words in _lines(f"{hole.behind} behind", SMALL)
        )


def _without_place(lost: UnplacedHole, scene: PanelScene) -> str:
    odd = "".join(f"{one.mark} " for one in scene.oddities if one.is_about(scene.panel.key, lost.id))
    return f"{odd}hole {lost.id}: {lost.fastener}, no place"


def _lines(text: str, height: float) -> tuple[Words, ...]:
    return tuple(Words(line, height) for line in broken(printable(text), height, WORDS_WIDTH))
