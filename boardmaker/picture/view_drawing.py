"""The bike from one side as its panels show it: outlines, tags, holes, ground, rear axle, rulers.

In: a view of the bike, the panels behind it. Out: a cell. Nothing is drawn that the file does not say: no wheels, no
frame. Apart from the small picture on the boards, which has only tags to show and little room for them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import shapely

from boardmaker.display_list import Circle, Path
from boardmaker.figures.bike_views import FRONT, BikeView, SeenPanel, ViewName, as_seen, views_of
from boardmaker.figures.labels import Surroundings, WantedLabel, place_labels
from boardmaker.figures.map_tags import MOST_TAGS, Tagged, TagPlace, place_tags
from boardmaker.geometry import Point, bounds, box_ring, scale_ring, turn_point
from boardmaker.model import Panel
from boardmaker.picture.look import FINE, GREY, MEDIUM, SMALL, TEXT, THIN, PictureLook
from boardmaker.picture.panel_things import held, reach_of
from boardmaker.picture.scene import PanelScene
from boardmaker.picture.strokes import Strokes, box_around, lying_ruler, odd_marks, ruler_step, standing_ruler
from boardmaker.typeset.label import Label, Words
from boardmaker.typeset.lettering import box_at, lines_size, printable
from boardmaker.typeset.table import Cell, Mark

LONGEST_BIKE = 4000.0  # mm; the longest that is built has less than 3000 (common practice, no source)
AIR = 3.0  # mm between the outlest tag and a ruler
DOT, LEADER_DOT, ODD = 0.8, 0.7, 1.3  # mm: a hole's dot, a leader's end, half a mark of what is odd
TAG_PAD = 0.5  # mm around a tag's words
EDGE_TICK = 1.2  # mm to each side at both ends of a panel that is seen edge on
SPECK = 0.05  # mm, as far as an outline is simplified: no eye sees it
HATCH, HATCH_STEP = 1.6, 3.0  # mm: the short slanting lines under the ground
CHAIN = (5.0, 1.0, 0.8, 1.0)  # mm, the dash of a line of symmetry or of an axis (ISO 128-2)
WESTWARD = 180  # degrees: the way to the front from the left


@dataclass(frozen=True)
class _Drawn:
    """A panel of the view in mm of the picture, with what it is tagged with."""

    seen: SeenPanel
    scene: PanelScene
    words: Words

    @property
    def size(self) -> Point:
        """Width and height of its tag."""
        width, height = lines_size((self.words,))
        return width + 2 * TAG_PAD, height + 2 * TAG_PAD


@dataclass(frozen=True)
class DrawnView:
    """A view as a cell; `axle`: how far the rear axle lies from its left edge, mm."""

    name: ViewName
    cell: Cell
    axle: float


def tagged_views(panels: Sequence[Panel]) -> tuple[BikeView, ...]:
    """Return the views of panels that say where they sit, all of them with a tag; the one from above lies, front left.

    Left out is what lies further off than any motorcycle is long: it would make all others small.
    """
    near = [panel for panel in panels if panel.outline and not is_far(panel)]
    views = views_of(near, {panel.key for panel in near})
    return tuple(view.turned(90) if view.name == "above" else view for view in views)


def is_far(panel: Panel) -> bool:
    """Say whether a panel lies further from the rear axle than any motorcycle is long."""
    return panel.on_bike is not None and max(abs(panel.on_bike[0]), abs(panel.on_bike[1])) > LONGEST_BIKE


def view_span(view: BikeView) -> Point:
    """Return width and height of a view in mm on the bike: outlines, the ground, the rear axle."""
    x0, y0, x1, y1 = _reach(view)
    return x1 - x0, y1 - y0


def _reach(view: BikeView) -> tuple[float, float, float, float]:
    return bounds([(0.0, 0.0), *(at for one in view.panels for at in one.ring)])


def draw_view(view: BikeView, scenes: Mapping[str, PanelScene], scale: float, look: PictureLook) -> DrawnView:
    """Return a view, `scale` mm for one of the bike."""
    panels = [
        _Drawn(_reduced(one, scale), scenes[one.key], Words(printable(one.tag, "?"), TEXT, bold=True))
        for one in view.panels
    ]
    places = _tag_places(panels)
    marks = [*_outlines(panels, look), *_holes(view, panels, scale, look)]
    labels = []
    for one, place in zip(panels if places else (), places, strict=True):
        marks += _tag_marks(one, place, look)
        x0, y0, x1, y1 = place.box
        labels.append(Label((one.words,), (x0 + TAG_PAD, y0 + TAG_PAD, x1 - TAG_PAD, y1 - TAG_PAD)))
    more_marks, more_labels = _surroundings(view, scale, box_around(labels, marks), look)
    everything = (*more_labels, *labels), (*more_marks, *marks)
    x0, y0, x1, y1 = box_around(*everything)
    return DrawnView(view.name, Cell(x1 - x0, y1 - y0, *everything).at((-x0, -y1)), -x0)


def _reduced(seen: SeenPanel, scale: float) -> SeenPanel:
    """The panel at its size, without corners that nobody sees; a simple polygon, as the tag placer asks for."""
    ring = scale_ring(seen.ring, scale)
    shape = shapely.Polygon(ring).simplify(SPECK) if not seen.edge_on else None
    if shape is None or not shape.is_valid or shape.area <= 0.0:
        return replace(seen, ring=ring)
    return replace(seen, ring=tuple((float(x), float(y)) for x, y in shape.exterior.coords[:-1]))


def _tag_places(panels: Sequence[_Drawn]) -> tuple[TagPlace, ...]:
    """Each tag in its panel or beside all of them; where there is no way to do that, near its panel's middle.

    None at all where there are more of them than anybody reads in one view.
    """
    if len(panels) > MOST_TAGS:
        return ()
    if found := _in_place(tuple(Tagged(one.seen.ring, one.size) for one in panels)):
        return found
    wanted = [WantedLabel(_middle(one.seen), DOT, one.size) for one in panels]
    around = Surroundings(circles=tuple((one.at, one.radius) for one in wanted))
    spots = place_labels(wanted, around)
    return tuple(
        TagPlace(spot.box, (one.at, spot.leader[1]) if spot.leader else ())
        for one, spot in zip(wanted, spots, strict=True)
    )


@lru_cache(maxsize=32)  # on a save of the file, most views are as they were
def _in_place(tagged: tuple[Tagged, ...]) -> tuple[TagPlace, ...] | None:
    return place_tags(tagged)


def _middle(seen: SeenPanel) -> Point:
    if seen.edge_on:
        (x0, y0), (x1, y1) = seen.ring
        return (x0 + x1) / 2, (y0 + y1) / 2
    point = shapely.Polygon(seen.ring).representative_point()
    return round(point.x, 4), round(point.y, 4)


def _outlines(panels: Sequence[_Drawn], look: PictureLook) -> Iterator[Mark]:
    for one in panels:
        if one.seen.edge_on:
            yield Path(one.seen.ring, line_width=MEDIUM)
            for x, y in one.seen.ring:
                yield Path(((x - EDGE_TICK, y), (x + EDGE_TICK, y)), line_width=MEDIUM)
        else:
            dash = (2.0, 1.0) if one.scene.panel.outline_drawn else ()
            yield Path(one.seen.ring, closed=True, line_width=MEDIUM, dash=dash)


def _holes(view: BikeView, panels: Sequence[_Drawn], scale: float, look: PictureLook) -> Iterator[Mark]:
    for one in panels:
        if not one.seen.edge_on:
            for hole in one.scene.holes:
                x, y = as_seen(one.scene.panel, held(hole.hole.at, reach_of(one.scene)), view.name)
                at = turn_point((x * scale, y * scale), (view.front_deg - FRONT[view.name]) % 360)
                if hole.oddities:
                    yield from odd_marks(at, ODD, look.odd)
                yield Circle(at, DOT, 0.0, fill=0.0)


def _tag_marks(one: _Drawn, place: TagPlace, look: PictureLook) -> Iterator[Mark]:
    if place.leader:
        yield Path(place.leader, line_width=FINE)
        yield Circle(place.leader[0], LEADER_DOT, 0.0, fill=0.0)
    ground = look.odd if one.scene.oddities else look.tint(one.seen.side)
    yield Path(box_ring(*place.box), closed=True, line_width=MEDIUM if one.scene.oddities else THIN, fill=ground)


def _surroundings(view: BikeView, scale: float, box: tuple[float, float, float, float], look: PictureLook) -> Strokes:
    """Ground, rear axle and rulers: ahead of the rear axle, above the ground; from above, right of the middle."""
    x0, y0, x1, y1 = _reach(view)
    step = ruler_step(scale, 12.0)
    low, left = min(box[1], y0 * scale - HATCH) - AIR, min(box[0], x0 * scale) - AIR
    times = -1 if view.front_deg == WESTWARD else 1
    lying, lying_words = lying_ruler((x0, x1), scale, low, step, look.axes, times)
    standing, standing_words = standing_ruler((y0, y1), scale, left, step, look.axes)
    lines = tuple(_lines(view, (x0 * scale, low, x1 * scale, max(box[3], y1 * scale)), look))
    axle = (Words("rear axle", SMALL, ink=look.axes),)
    name = Label(axle, box_at((0.0, max(box[3], y1 * scale) + AIR), lines_size(axle)))
    return (*lines, *lying, *standing), (*lying_words, *standing_words, name)


def _lines(view: BikeView, box: tuple[float, float, float, float], look: PictureLook) -> Iterator[Mark]:
    """The rear axle as a chain line across the view; the ground, or from above the middle of the bike."""
    x0, low, x1, high = box
    if view.name == "above":
        yield Path(((x0, 0.0), (x1, 0.0)), line_width=FINE, ink=look.axes, dash=CHAIN)
    else:
        yield Path(((x0, 0.0), (x1, 0.0)), line_width=MEDIUM, ink=GREY)
        for step in range(int((x1 - x0) / HATCH_STEP)):
            x = x0 + HATCH_STEP * (step + 1)
            yield Path(((x, 0.0), (x - HATCH, -HATCH)), line_width=FINE, ink=GREY)
    yield Path(((0.0, low), (0.0, high)), line_width=FINE, ink=look.axes, dash=CHAIN)
