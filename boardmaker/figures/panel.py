"""The figure of one panel: outline and true places at the common scale, pockets and words true to size."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import islice

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from boardmaker.figures.drawn_outline import drawn_outline
from boardmaker.figures.figure import Figure, FixingMark, Ghost, Pocket
from boardmaker.figures.labels import LabelPlace, Surroundings, WantedLabel, place_labels
from boardmaker.figures.material import pocket_hole
from boardmaker.figures.pockets import WantedPocket, spread_pockets
from boardmaker.figures.small_marks import free_places
from boardmaker.figures.symbols import ARROW_RADIUS, GHOST_RADIUS, RADIUS, arrow_marks
from boardmaker.figures.title_leader import Line, WaysOut, meets, shortest_line
from boardmaker.figures.titles import place_title, taken_by, titles_outside
from boardmaker.figures.zones import claim_zone, rough_shape
from boardmaker.fixed_order import FINEST
from boardmaker.geometry import Point, Ring, scale_ring
from boardmaker.model import BoardSetup, Panel
from boardmaker.service import Freed, Verdict, Work
from boardmaker.service.removal.places import panel_height, place_on_bike, place_on_panel
from boardmaker.typeset.label import Label, Words
from boardmaker.typeset.lettering import SMALL, TEXT, lines_size, printable
from boardmaker.wording.torques import is_in_nm, torque_nm_text, torque_written_lines

# Which way the front of the bike lies in a panel's frame; seen from front or rear the arrow points upwards.
FRONT_DEG = {"left": 180, "right": 0, "top": 90, "front": 90, "rear": 90}
PANEL_TURNS_DEG = (0, 90, 270)
Span = tuple[float, float]  # lowest, highest
BEHIND_SIGN = "▲"
TITLES = 400  # places beside a panel that are looked at where leaders cannot be followed with the title in the best,
TITLE_STEP = 3  # of which every third is,
TITLES_TRIED = 4  # and at most so many with all labels around them
MUST_NOT_SIGN = "✖"


@dataclass(frozen=True)
class _Marks:
    """What stands on a panel before any words do."""

    pockets: tuple[Pocket, ...]
    ghosts: tuple[Ghost, ...]
    fixings: tuple[FixingMark, ...]

    @property
    def leaders(self) -> tuple[tuple[Point, Point], ...]:
        """From each pocket that moved to its true place."""
        return tuple((pocket.at, pocket.true_at) for pocket in self.pockets if pocket.moved)

    @property
    def circles(self) -> tuple[tuple[Point, float], ...]:
        """Heads and small marks, which no word may cover."""
        return (
            *((pocket.at, pocket.head_diameter / 2) for pocket in self.pockets),
            *((ghost.at, GHOST_RADIUS) for ghost in self.ghosts),
            *((fixing.at, RADIUS) for fixing in self.fixings),
        )


@dataclass(frozen=True)
class _Worded:
    """A panel's words: its title, whose leader is `()` where it needs none, a label for each pocket and ghost."""

    title: Label
    title_leader: Line
    arrow: Point | None
    spots: tuple[LabelPlace, ...]
    labels: tuple[Label, ...]
    faults: int  # leaders that run under or across something


def draw_panel(work: Work, panel: Panel, scale: float, board: BoardSetup, heights: Span) -> Figure:
    """Return the figure of a panel that frees at least one fastener; `heights` are those of all panels, mm."""
    outline = drawn_outline(scale_ring(panel.outline, scale))
    shape = rough_shape(outline)
    marks = _marks(work, panel, shape, scale, board)
    words = _words(work, panel, marks, shape, outline)
    leaders = (*marks.leaders, *(spot.leader for spot in words.spots), words.title_leader)
    figure = Figure(
        "panel",
        panel.key,
        (),
        outline,
        marks.pockets,
        (words.title, *words.labels),
        tuple(leader for leader in leaders if leader),
        marks.ghosts,
        marks.fixings,
        marks=arrow_marks(words.arrow, FRONT_DEG[_seen_from(panel)]) if words.arrow else (),
        turns_deg=PANEL_TURNS_DEG,
        wish=_wish(panel, heights),
    )
    return replace(figure, zone=claim_zone(figure, shape, board.clearance))


def _words(work: Work, panel: Panel, marks: _Marks, shape: Polygon, outline: Ring) -> _Worded:
    """The words where there is most room for the title, if its leader can be followed from there; else elsewhere."""
    tag, name = printable(panel.tag, "?"), printable(panel.name, panel.key)
    title = place_title(tag, name, shape, _taken(marks))
    found = [_worded(work, marks, title, (), shape, outline)]
    if found[0].faults:
        ways = WaysOut(shape, _surroundings(marks, None, None, outline))
        for other in islice(titles_outside(tag, name, shape, _taken(marks)), 0, TITLES, TITLE_STEP):
            if not found[-1].faults or len(found) > TITLES_TRIED:
                break
            if line := ways.line_to(other.box):
                found.append(_worded(work, marks, other, line, shape, outline))
    best = min(found, key=lambda words: words.faults)
    return best if best.title_leader else replace(best, title_leader=shortest_line(best.title.box, shape))


def _worded(work: Work, marks: _Marks, title: Label, leader: Line, shape: Polygon, outline: Ring) -> _Worded:
    """All other words around a title. Without a `leader`, the title gets one that meets none of theirs, if there is."""
    arrow = _arrow_place(marks, title, shape)
    around = _surroundings(marks, title, arrow, outline)
    around = replace(around, leaders=(*around.leaders, leader)) if leader else around
    spots, labels = _pocket_labels(work, marks, around)
    drawn = tuple(spot.leader for spot in spots if spot.leader)
    around = replace(around, leaders=(*around.leaders, *drawn), boxes=tuple(label.box for label in labels))
    leader = leader or _title_leader(title, shape, around)
    faults = sum(not spot.can_be_followed for spot in spots) + (not leader and bool(shortest_line(title.box, shape)))
    return _Worded(title, leader, arrow, spots, labels, faults)


def _title_leader(title: Label, shape: Polygon, around: Surroundings) -> Line:
    """The shortest line where it meets no head and no leader, else one that also meets no words; () for none."""
    line = shortest_line(title.box, shape)
    if not line or not meets(line, around):
        return line
    return WaysOut(shape, around).line_to(title.box) or ()


def _seen_from(panel: Panel) -> str:
    return panel.side if panel.side != "centre" else panel.view


def _arrow_place(marks: _Marks, title: Label, shape: Polygon) -> Point | None:
    """The free place nearest to the title, inside the outline; None where there is no room for an arrow."""
    x0, y0, x1, y1 = title.box
    keep_off = [*marks.circles, *((pocket.true_at, 0.5) for pocket in marks.pockets if pocket.moved)]
    box = shapely.box(x0, y0, x1, y1)
    centres, radii = shapely.points([at for at, _ in keep_off]), np.array([radius for _, radius in keep_off])
    taken = [box.buffer(ARROW_RADIUS + 0.5, quad_segs=4)]
    taken += shapely.buffer(centres, radii + ARROW_RADIUS + 4.0, quad_segs=8).tolist()  # heads and their labels
    taken += [shapely.LineString(leader).buffer(ARROW_RADIUS, quad_segs=4) for leader in marks.leaders]
    room = shape.buffer(-ARROW_RADIUS, quad_segs=4).difference(shapely.union_all(taken))
    if room.is_empty:
        return None
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


def _marks(work: Work, panel: Panel, shape: Polygon, scale: float, board: BoardSetup) -> _Marks:
    pockets = _Marks(_pockets(work.freed_of(panel.key), shape, scale, board), (), ())
    ghosts, fixings = _small_marks(work, panel, shape, scale, pockets)
    return replace(pockets, ghosts=ghosts, fixings=fixings)


def _pockets(freed: Sequence[Freed], shape: Polygon, scale: float, board: BoardSetup) -> tuple[Pocket, ...]:
    true_places = scale_ring((one.hole.at for one in freed), scale)
    spots = [WantedPocket(at, one.fastener.head.diameter / 2) for at, one in zip(true_places, freed, strict=True)]
    places = spread_pockets(spots, board.finger_room, shape)
    return tuple(
        Pocket(
            one.hole_key,
            one.number,
            one.fastener.key,
            at,
            true_at,
            pocket_hole(one.fastener, board.material),
            one.fastener.head.diameter,
            one.hole.behind,
            one.fit.reason if one.fit.verdict is Verdict.MUST_NOT else "",
        )
        for one, at, true_at in zip(freed, places, true_places, strict=True)
    )


def _small_marks(
    work: Work, panel: Panel, shape: Polygon, scale: float, marks: _Marks
) -> tuple[tuple[Ghost, ...], tuple[FixingMark, ...]]:
    """Ghosts and fixings at the free places nearest to where they belong."""
    through = [one for one in work.freed if panel.key in one.hole.also_holds]
    fixings = [(fixing.kind, fixing.at) for fixing in panel.fixings if fixing.at is not None]
    wishes = [(_ghost_place(one, panel, shape, scale), GHOST_RADIUS) for one in through]
    wishes += [((at[0] * scale, at[1] * scale), RADIUS) for _, at in fixings]
    keep_off = [*marks.circles, *((pocket.true_at, 0.5) for pocket in marks.pockets if pocket.moved)]
    places = free_places(wishes, keep_off, marks.leaders)
    return (
        tuple(Ghost(one.hole_key, at) for one, at in zip(through, places, strict=False)),
        tuple(FixingMark(kind, at) for (kind, _), at in zip(fixings, places[len(through) :], strict=True)),
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


def _taken(marks: _Marks) -> BaseGeometry:
    """What the title keeps off."""
    return taken_by(marks.circles, marks.leaders)


def _pocket_labels(work: Work, marks: _Marks, around: Surroundings) -> tuple[tuple[LabelPlace, ...], tuple[Label, ...]]:
    """A spot and a label for each pocket and then for each ghost."""
    labelled = [(pocket.at, pocket.head_diameter / 2, _pocket_words(work, pocket)) for pocket in marks.pockets]
    labelled += [(ghost.at, GHOST_RADIUS, _ghost_words(work, ghost)) for ghost in marks.ghosts]
    wanted = [WantedLabel(at, radius, lines_size(words)) for at, radius, words in labelled]
    spots = place_labels(wanted, around)
    return spots, tuple(Label(words, spot.box) for (_, _, words), spot in zip(labelled, spots, strict=True))


def _surroundings(marks: _Marks, title: Label | None, arrow: Point | None, outline: Ring) -> Surroundings:
    return Surroundings(
        (*marks.circles, (arrow, ARROW_RADIUS)) if arrow else marks.circles,
        tuple(pocket.true_at for pocket in marks.pockets if pocket.moved),
        (title.box,) if title else (),
        marks.leaders,
        shapely.linearrings(outline),
    )


def _pocket_words(work: Work, pocket: Pocket) -> tuple[Words, ...]:
    """`3 C`, with a sign and the torque where the thread has something behind it, and where the screw is wrong."""
    key = printable(pocket.fastener, "?")
    signs = f" {BEHIND_SIGN}" * bool(pocket.behind) + f" {MUST_NOT_SIGN}" * bool(pocket.must_not)
    first = Words(f"{pocket.number} {key}{signs}", TEXT, bold=True)
    torque = work.bike.fastener(pocket.fastener).torque
    if not pocket.behind or torque is None:
        return (first,)
    in_nm = () if is_in_nm(torque) else (Words(torque_nm_text(torque), SMALL),)
    return first, Words(", ".join(torque_written_lines(torque)), SMALL), *in_nm


def _ghost_words(work: Work, ghost: Ghost) -> tuple[Words, ...]:
    """The tag and number of the pocket that holds this screw."""
    freed = next(one for one in work.freed if one.hole_key == ghost.hole)
    return (Words(f"{printable(freed.panel.tag, '?')} {freed.number}", SMALL),)
