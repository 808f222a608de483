"""The figure of one panel: outline and true places at the common scale, pockets and words true to size."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice

import numpy as np
import shapely
from shapely import Polygon, affinity
from shapely.geometry.base import BaseGeometry

from boardmaker.display_list import Circle, Path
from boardmaker.figures.drawn_outline import drawn_outline
from boardmaker.figures.figure import Figure, FixingMark, Ghost, Pocket, moved_figure
from boardmaker.figures.labels import OVER_OUTLINE, Surroundings
from boardmaker.figures.material import pocket_hole
from boardmaker.figures.pocket_labels import PocketLabels, label_pockets
from boardmaker.figures.pockets import WantedPocket, spread_pockets
from boardmaker.figures.small_marks import AIR, free_places
from boardmaker.figures.style import BoardStyle
from boardmaker.figures.symbols import (
    ARROW_HALF_WIDTH,
    ARROW_RADIUS,
    GHOST_RADIUS,
    RADIUS,
    UPRIGHT_VIEWS,
    arrow_marks,
    up_marks,
)
from boardmaker.figures.title_leader import Line, WaysOut, meets, shortest_line, until_circle, up_to_words
from boardmaker.figures.titles import Title, TitleWords, place_title, taken_by, titles_outside
from boardmaker.figures.zones import claim_zone, rough_shape
from boardmaker.fixed_order import FINEST
from boardmaker.geometry import Point, Ring, scale_ring, turn_point, turn_ring
from boardmaker.model import BoardSetup, Panel
from boardmaker.service import Freed, Verdict, Work
from boardmaker.service.removal.places import panel_height, place_on_bike, place_on_panel
from boardmaker.typeset.label import Box
from boardmaker.typeset.lettering import printable

FRONT_DEG = {"left": 180, "right": 0, "top": 90}  # which way the front of the bike lies in a panel's frame
PANEL_TURNS_DEG = (0, 90, 270)
Span = tuple[float, float]  # lowest, highest
VIEW_WORDS = {"top": "seen from above", "front": "seen from the front", "rear": "seen from the rear"}
LABEL_ROOM, ARROW_GAP = 4.0, 1.0  # mm from a head to an arrow: so that its label goes between them; at least
ARROW_AIRS = (4.0, 3.0, 2.0)  # mm around an arrow, so that it does not read as part of something: the most there is
ARROW_AIR, BESIDE_TITLE = 1.0, 0.5  # mm at least to the outline, and to the title, where labels leave no room
ARROW_PARTS = 2  # of each half of an arrow, at the ends of which its air is looked after
GHOSTS_APART = 3.0  # mm between the rings of two ghosts: more than from a ring to its words, which tells them apart
BESIDE_OUTLINE = 2.0  # mm that an arrow outside may be further off than it must
TITLES = 400  # places beside a panel that are looked at where leaders cannot be followed with the title in the best,
TITLE_STEP = 3  # of which every third is,
# Where leaders cannot be followed, words become smaller, and in the end they may lie over the outline, on white:
# times the usual type, with boxes to tick, cost of lying over the outline.
MORE_ROOM = 6.0  # mm more between heads where their labels' leaders find no way
CROWDED = ((1.0, True, OVER_OUTLINE), (0.72, False, 40.0))
TITLES_TRIED = 3  # and at most so many with all labels around them


@dataclass(frozen=True)
class _Marks:
    """What stands on a panel before any words do."""

    pockets: tuple[Pocket, ...]
    ghosts: tuple[Ghost, ...]
    fixings: tuple[FixingMark, ...]

    def turned(self, turn_deg: int) -> _Marks:
        """Return them on the panel turned about its origin."""
        return _Marks(
            tuple(
                replace(one, at=turn_point(one.at, turn_deg), true_at=turn_point(one.true_at, turn_deg))
                for one in self.pockets
            ),
            tuple(replace(one, at=turn_point(one.at, turn_deg)) for one in self.ghosts),
            tuple(replace(one, at=turn_point(one.at, turn_deg)) for one in self.fixings),
        )

    @property
    def leaders(self) -> tuple[tuple[Point, Point], ...]:
        """From each pocket that moved to its true place."""
        return tuple((pocket.at, pocket.true_at) for pocket in self.pockets if pocket.moved)

    @property
    def circles(self) -> tuple[tuple[Point, float], ...]:
        """Heads and small marks, which no word may cover."""
        return (
            *((pocket.at, pocket.rim) for pocket in self.pockets),
            *((ghost.at, GHOST_RADIUS) for ghost in self.ghosts),
            *((fixing.at, RADIUS) for fixing in self.fixings),
        )


@dataclass(frozen=True)
class _Worded:
    """A panel's words: its title, whose leader is `()` where it needs none, a label for each pocket and ghost."""

    title: Title
    title_leader: Line
    arrow: Point
    pockets: PocketLabels
    faults: int  # leaders that run under or across something


def draw_panel(
    work: Work,
    panel: Panel,
    scale: float,
    board: BoardSetup,
    heights: Span,
    style: BoardStyle,
    *,
    level_at_deg: int = 0,
) -> Figure:
    """Return the figure of a panel that frees at least one fastener; `heights` are those of all panels, mm.

    Its words run level when it is placed at the turn `level_at_deg`.
    """
    outline = drawn_outline(scale_ring(panel.outline, scale))
    shape = rough_shape(outline)
    bare = _Bare(work, panel, _marks(work, panel, shape, scale, board), shape, outline, style).turned(level_at_deg)
    words = _words_that_fit(bare)
    if words.faults:
        airy = replace(board, finger_room=board.finger_room + MORE_ROOM)
        others = _marks(work, panel, shape, scale, airy, ghosts_apart=AIR)
        other = replace(bare, marks=others.turned(level_at_deg))
        bare, words = min([(bare, words), (other, _words_that_fit(other))], key=lambda found: found[1].faults)
    figure = _figure(bare, words, level_at_deg, heights)
    return replace(figure, zone=claim_zone(figure, shape, board.clearance))


def _figure(bare: _Bare, words: _Worded, level_at_deg: int, heights: Span) -> Figure:
    """The figure at turn 0, as yet without its zone."""
    marks, panel = bare.marks, bare.panel
    title_leader = up_to_words(words.title_leader, words.title.ink, words.title.box)
    leaders = (*marks.leaders, *(place.leader for place in words.pockets.places), title_leader)
    figure = Figure(
        "panel",
        panel.key,
        (),
        bare.outline,
        marks.pockets,
        (words.title.tag, words.title.name, *words.pockets.labels),
        tuple(leader for leader in leaders if leader),
        marks.ghosts,
        marks.fixings,
        words.pockets.notes,
        side=panel.side,
        turns_deg=PANEL_TURNS_DEG,
        level_at_deg=level_at_deg,
        wish=_wish(panel, heights),
    )
    at_turn_0 = moved_figure(figure, (0.0, 0.0), -level_at_deg) if level_at_deg else figure
    return replace(at_turn_0, marks=_arrow_marks(turn_point(words.arrow, -level_at_deg), _seen_from(panel)))


@dataclass(frozen=True)
class _Bare:
    """A panel for which words are wanted: what stands on it, its shape, the outline as drawn, all at some turn."""

    work: Work
    panel: Panel
    marks: _Marks
    shape: Polygon
    outline: Ring
    style: BoardStyle
    over_outline: float = OVER_OUTLINE  # what it costs a label to lie over the outline
    turn_deg: int = 0

    def turned(self, turn_deg: int) -> _Bare:
        """Return it turned, from turn 0, about its origin."""
        if turn_deg == 0:
            return self
        outline = turn_ring(self.outline, turn_deg)
        return replace(
            self, marks=self.marks.turned(turn_deg), shape=rough_shape(outline), outline=outline, turn_deg=turn_deg
        )

    @property
    def arrow_is_upright(self) -> bool:
        """Whether the arrow to the front, or up, runs up and down."""
        seen_from = _seen_from(self.panel)
        return (seen_from in UPRIGHT_VIEWS or FRONT_DEG[seen_from] == 90) != (self.turn_deg in {90, 270})

    @property
    def title_words(self) -> TitleWords:
        """Its tag and its name, as the font can show them, and of a centre panel from where it is seen."""
        view = VIEW_WORDS[self.panel.view] if self.panel.side == "centre" else ""
        return TitleWords(printable(self.panel.tag, "?"), printable(self.panel.name, self.panel.key), view)

    @property
    def taken(self) -> BaseGeometry:
        """What the title keeps off."""
        return taken_by(self.marks.circles, self.marks.leaders)

    def around(self, title: Title | None = None, arrow: Point | None = None, leader: Line = ()) -> Surroundings:
        """What labels keep off; the `leader` is the title's."""
        marks = self.marks
        return Surroundings(
            (*marks.circles, (arrow, ARROW_RADIUS)) if arrow else marks.circles,
            tuple(pocket.true_at for pocket in marks.pockets if pocket.moved),
            (title.box,) if title else (),
            (*marks.leaders, leader) if leader else marks.leaders,
            shapely.linearrings(self.outline),
            self.over_outline,
            shapely.polygons(self.outline),
        )


def _words_that_fit(bare: _Bare) -> _Worded:
    """The words in the usual type; in smaller type on a panel that is too crowded for leaders that can be followed."""
    found: list[_Worded] = []
    for times, ticked, over_outline in CROWDED:
        style = replace(bare.style, type=bare.style.type.shrunk(times), ticked=ticked)
        one = replace(bare, style=style, over_outline=over_outline)
        found.append(_worded(one, place_title(one.title_words, one.shape, one.taken, style.type), ()))
        if not found[-1].faults:
            break
    best = min((*found, *_elsewhere(one, found[-1])), key=lambda words: words.faults)
    if best.title_leader:
        return best
    return replace(best, title_leader=until_circle(shortest_line(best.title.box, bare.shape), bare.marks.circles))


def _elsewhere(one: _Bare, words: _Worded) -> Iterator[_Worded]:
    """Words around other places for the title, until all leaders can be followed."""
    if not words.faults:
        return
    ways, tried = WaysOut(one.shape, one.around()), 0
    others = titles_outside(one.title_words, one.shape, one.taken, one.style.type)
    for other in islice(others, 0, TITLES, TITLE_STEP):
        if not words.faults or tried >= TITLES_TRIED:
            return
        if line := ways.line_to(other.box):
            words, tried = _worded(one, other, line), tried + 1
            yield words


def _worded(one: _Bare, title: Title, leader: Line) -> _Worded:
    """All other words around a title. Without a `leader`, the title gets one that meets none of theirs, if there is."""
    arrow, pockets = _arrow_and_labels(one, title, leader)
    around = one.around(title, arrow, leader)
    drawn = tuple(place.leader for place in pockets.places if place.leader)
    boxes = tuple(label.box for label in pockets.labels)
    around = replace(around, leaders=(*around.leaders, *drawn), boxes=boxes)
    leader = leader or _title_leader(title, one.shape, around)
    lost = not leader and bool(shortest_line(title.box, one.shape))
    faults = _walled_in(pockets) + lost
    return _Worded(title, leader, arrow, pockets, faults)


def _arrow_and_labels(one: _Bare, title: Title, leader: Line) -> tuple[Point, PocketLabels]:
    """Labels have the first choice, the arrow what they leave inside; the other way round where that does not do."""
    labels = _labelled(one, one.around(title, None, leader))
    arrow = None if _walled_in(labels) else _arrow_among(one, title, labels, leader)
    if arrow:
        return arrow, labels
    first = _arrow_place(one, title, leader)
    return first, _labelled(one, one.around(title, first, leader))


def _walled_in(labels: PocketLabels) -> int:
    return sum(not place.can_be_followed for place in labels.places)


def _arrow_among(one: _Bare, title: Title, labels: PocketLabels, leader: Line) -> Point | None:
    """The place nearest to the title where an arrow has air all around it, the more the better; None for none."""
    lines = [line for line in (*one.marks.leaders, *(place.leader for place in labels.places), leader) if line]
    words = [title.box, *(label.box for label in labels.labels)]
    for air in ARROW_AIRS:
        taken = _taken_for_arrow(one.marks, words, lines, air, air)
        room = _arrow_room(one, air).difference(taken)
        if not room.is_empty:
            return _nearest_place(room, shapely.box(*title.box))
    return None


def _labelled(one: _Bare, around: Surroundings) -> PocketLabels:
    return label_pockets(one.work, one.marks.pockets, one.marks.ghosts, around, one.shape, one.style)


def _title_leader(title: Title, shape: Polygon, around: Surroundings) -> Line:
    """The shortest line that meets no head, no leader and no words; else one that meets words alone; () for none."""
    line = shortest_line(title.box, shape)
    if not line or not meets(line, around):
        return line
    if found := WaysOut(shape, around).line_to(title.box):
        return found
    return () if meets(line, replace(around, boxes=())) else line


def _arrow_marks(at: Point, seen_from: str) -> tuple[Path | Circle, ...]:
    """Where the front of the bike is; on a panel seen from front or rear, where up is."""
    if seen_from in UPRIGHT_VIEWS:
        return up_marks(at)
    return arrow_marks(at, FRONT_DEG[seen_from])


def _seen_from(panel: Panel) -> str:
    return panel.side if panel.side != "centre" else panel.view


def _arrow_place(one: _Bare, title: Title, leader: Line) -> Point:
    """The free place nearest to the title: inside the outline, where there is none close beside it."""
    box, shape = shapely.box(*title.box), one.shape
    inside = shape.buffer(-ARROW_RADIUS - ARROW_AIR, quad_segs=4)
    lines = (*one.marks.leaders, leader) if leader else one.marks.leaders
    for around_heads in (LABEL_ROOM, ARROW_GAP):
        taken = _taken_for_arrow(one.marks, [title.box], lines, around_heads, BESIDE_TITLE)
        room = inside.difference(taken)
        if not room.is_empty:
            return _nearest_place(room, box)
    beside, reach = ARROW_RADIUS + ARROW_AIR, BESIDE_OUTLINE
    while True:
        outside = shape.buffer(beside + reach, quad_segs=4).difference(shape.buffer(beside, quad_segs=4))
        room = outside.difference(taken)
        if not room.is_empty:
            return _nearest_place(room, box)
        reach *= 2.0


def _arrow_room(one: _Bare, air: float) -> BaseGeometry:
    """Where the middle of an arrow may lie so that all along it there is so much air to the outline, mm."""
    inner = one.shape.buffer(-air - ARROW_HALF_WIDTH, quad_segs=4)
    across, up = (0.0, 1.0) if one.arrow_is_upright else (1.0, 0.0)
    shifts = [ARROW_RADIUS * part / ARROW_PARTS for part in range(-ARROW_PARTS, ARROW_PARTS + 1)]
    return shapely.intersection_all([affinity.translate(inner, way * across, way * up) for way in shifts])


def _taken_for_arrow(
    marks: _Marks, words: Sequence[Box], lines: Sequence[Sequence[Point]], around_heads: float, around_words: float
) -> BaseGeometry:
    """Where an arrow's middle must not lie: near words, heads, true places, lines."""
    keep_off = [*marks.circles, *((pocket.true_at, 0.5) for pocket in marks.pockets if pocket.moved)]
    centres, radii = shapely.points([at for at, _ in keep_off]), np.array([radius for _, radius in keep_off])
    boxes = shapely.box(*np.array(words).T)
    taken = [
        shapely.buffer(boxes, ARROW_RADIUS + around_words, quad_segs=4),
        shapely.buffer(centres, radii + ARROW_RADIUS + around_heads, quad_segs=8),
        shapely.buffer([shapely.LineString(line) for line in lines], ARROW_RADIUS, quad_segs=4),
    ]
    return shapely.union_all(np.concatenate(taken))


def _nearest_place(room: BaseGeometry, box: Polygon) -> Point:
    near = shapely.shortest_line(room, box).coords[0]
    return round(float(near[0]), FINEST), round(float(near[1]), FINEST)


def panel_heights(work: Work) -> Span:
    """Return how high the lowest and the highest panel's middle are on the bike, mm."""
    heights = [panel_height(one) for one in work.bike.panels if one.on_bike]
    return min(heights, default=0.0), max(heights, default=0.0)


def _wish(panel: Panel, heights: Span) -> Point:
    """Left panels to the left, high panels high: where the figure's middle would like to be on the board."""
    low, high = heights
    up = (panel_height(panel) - low) / (high - low) if panel.on_bike and high > low else 0.5
    return {"left": 0.2, "centre": 0.5, "right": 0.8}[panel.side], 0.1 + 0.8 * up


def _marks(
    work: Work, panel: Panel, shape: Polygon, scale: float, board: BoardSetup, ghosts_apart: float = GHOSTS_APART
) -> _Marks:
    carrying = {step.carrying.hole_key for step in work.steps if step.carrying}
    pockets = _Marks(_pockets(work.freed_of(panel.key), carrying, shape, scale, board), (), ())
    ghosts, fixings = _small_marks(work, panel, shape, scale, pockets, ghosts_apart)
    return replace(pockets, ghosts=ghosts, fixings=fixings)


def _pockets(
    freed: Sequence[Freed], carrying: Collection[str], shape: Polygon, scale: float, board: BoardSetup
) -> tuple[Pocket, ...]:
    true_places = scale_ring((one.hole.at for one in freed), scale)
    holes = [pocket_hole(one.fastener, board.material) for one in freed]
    heads = [one.fastener.head.diameter for one in freed]
    spots = [WantedPocket(at, d / 2, hole / 2) for at, d, hole in zip(true_places, heads, holes, strict=True)]
    places = spread_pockets(spots, board.finger_room, shape)
    return tuple(
        Pocket(
            one.hole_key,
            one.number,
            one.fastener.key,
            at,
            true_at,
            hole,
            head,
            one.hole.behind,
            one.fit.reason if one.fit.verdict is Verdict.MUST_NOT else "",
            one.hole_key in carrying,
        )
        for one, at, true_at, hole, head in zip(freed, places, true_places, holes, heads, strict=True)
    )


def _small_marks(
    work: Work, panel: Panel, shape: Polygon, scale: float, marks: _Marks, ghosts_apart: float
) -> tuple[tuple[Ghost, ...], tuple[FixingMark, ...]]:
    """Ghosts and fixings at the free places nearest to where they belong."""
    through = [one for one in work.freed if panel.key in one.hole.also_holds]
    fixings = [(fixing.kind, fixing.at) for fixing in panel.fixings if fixing.at is not None]
    keep_off = [*marks.circles, *((pocket.true_at, 0.5) for pocket in marks.pockets if pocket.moved)]
    rings = [(_ghost_place(one, panel, shape, scale), GHOST_RADIUS) for one in through]
    of_ghosts = free_places(rings, keep_off, marks.leaders, ghosts_apart)
    keep_off += [(at, GHOST_RADIUS) for at in of_ghosts]
    of_fixings = free_places([((x * scale, y * scale), RADIUS) for _, (x, y) in fixings], keep_off, marks.leaders)
    return (
        tuple(Ghost(one.hole_key, at) for one, at in zip(through, of_ghosts, strict=True)),
        tuple(FixingMark(kind, at) for (kind, _), at in zip(fixings, of_fixings, strict=True)),
    )


def _ghost_place(freed: Freed, panel: Panel, shape: Polygon, scale: float) -> Point:
    """Where a screw of another panel goes through this one; the nearest place on it if the file cannot say."""
    x, y = place_on_panel(panel, place_on_bike(freed.panel, freed.hole.at))
    middle = shape.representative_point()
    guess = shapely.Point(middle.x if x is None else x * scale, middle.y if y is None else y * scale)
    if shape.contains(guess):
        return guess.x, guess.y
    near = shapely.shortest_line(shape, guess).coords[0]
    return float(near[0]), float(near[1])
