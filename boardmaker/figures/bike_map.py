"""A small picture of the bike from both sides and above, each panel's tag where the panel sits.

In: the work, whose panels want tags. Out: cells and figures in several forms at several sizes. Left and right views
stand as one sees them walking round the bike: front to the left, front to the right; the view from above has the front
up, or to the left where it lies below the left view.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import shapely

from boardmaker.display_list import Circle, Ink, Path
from boardmaker.figures.bike_views import VIEWS, BikeView, SeenPanel, ViewName, bike_views
from boardmaker.figures.figure import Figure
from boardmaker.figures.framed import framed
from boardmaker.figures.map_tags import Tagged, TagPlace, place_tags
from boardmaker.figures.style import PLAIN, BoardStyle
from boardmaker.figures.symbols import ARROW_RADIUS, arrow_marks
from boardmaker.geometry import Ring, bounds, box_ring, scale_ring
from boardmaker.service import Work
from boardmaker.typeset.label import Box, Label, Words
from boardmaker.typeset.lettering import lines_size, printable
from boardmaker.typeset.table import Cell, Mark, beside, stacked, words_cell

# Bike mm to a mm of the picture, the smallest picture first: steps of about a twelfth.
REDUCTIONS = (64.0, 58.0, 53.0, 48.0, 44.0, 40.0, 36.0, 33.0, 30.0, 27.0, 25.0, 23.0, 21.0, 19.0, 17.0, 15.0, 13.0)
MOST_CLASHES = 4  # sizes at which tags find no place, before smaller ones are given up
VIEW_GAP = 4.0  # mm between two views
INSET = 1.2  # mm between the frame and what it holds
TAG_PAD = 0.3  # mm between a tag's words and its box, beside the air that words have
TAG_STEP = 0.5  # mm
CAPTION_AIR = 1.2  # mm before and after a view's name and arrow, which are not to read as one with a tag beside them
FINE, THIN, MEDIUM = 0.18, 0.25, 0.35
GREY = 0.6  # of panels that stay on
DOT = 0.7  # mm, at a leader's end
EDGE_ON = "edge on"
EDGE_TICK = 0.8  # mm to each side, at both ends of the line that stands for a panel seen edge on
FINEST_CURVE = 0.05  # mm that a line may be off, which no eye sees
WESTWARD, UPWARD = 180, 90  # degrees: the way to the front in views that stand one below the other; from above
ARROW_ROOM = 2.4  # mm across an arrow


@dataclass(frozen=True)
class MapForm:
    """How the views stand together: rows of views, from the top; `above_deg` turns the view from above."""

    rows: tuple[tuple[ViewName, ...], ...]
    above_deg: int = 0


WHOLE = (
    MapForm((("left", "above", "right"),)),
    MapForm((("left", "right"), ("above",)), 90),
    MapForm((("left",), ("above",), ("right",)), 90),
)

ALONE = tuple(MapForm(((name,),), 90) for name in VIEWS)


def forms_of(views: Sequence[BikeView], forms: Sequence[MapForm]) -> tuple[MapForm, ...]:
    """Return the forms with these views alone, each once."""
    there = {view.name for view in views}
    left = [MapForm(_kept_rows(form.rows, there), form.above_deg) for form in forms]
    return tuple(dict.fromkeys(form for form in left if form.rows))


def _kept_rows(rows: Sequence[tuple[ViewName, ...]], there: Collection[str]) -> tuple[tuple[ViewName, ...], ...]:
    kept = (tuple(name for name in row if name in there) for row in rows)
    return tuple(row for row in kept if row)


def draw_bike_map(work: Work, style: BoardStyle, most: float) -> tuple[Figure, ...]:
    """Return the picture as small as its tags can be read, in each form that takes at most `most` mm2.

    Nothing where the bike file does not say where panels sit.
    """
    views = bike_views(work, {freed.panel.key for freed in work.freed})
    return tuple(figure for figure in _smallest_maps(views, style, WHOLE) if figure and _area(figure) <= most)


def draw_bike_views(work: Work, style: BoardStyle) -> tuple[Figure, ...]:
    """Return each view alone as small as its tags can be read, its name for a key, for places too small for all."""
    views = bike_views(work, {freed.panel.key for freed in work.freed})
    forms = forms_of(views, ALONE)
    drawn = zip(forms, _smallest_maps(views, style, ALONE), strict=True)
    return tuple(replace(figure, key=form.rows[0][0]) for form, figure in drawn if figure)


@lru_cache(maxsize=16)  # asked for with every board
def _smallest_maps(
    views: tuple[BikeView, ...], style: BoardStyle, forms: tuple[MapForm, ...]
) -> tuple[Figure | None, ...]:
    """One for each form, None for those in which tags clash at every size."""
    cells = (_smallest(views, form, style) for form in forms_of(views, forms))
    return tuple(replace(framed("bike map", "", cell, inset=INSET), turns_deg=(0,)) if cell else None for cell in cells)


def _smallest(views: Sequence[BikeView], form: MapForm, style: BoardStyle) -> Cell | None:
    """The picture at the first size at which its tags keep clear; where they do at one, they do at larger ones.

    The small ones, which mostly do, are tried first, and then in steps twice as long each: large ones take long.
    """

    def is_legible(reduction: float) -> bool:
        return picture_of(views, form, reduction, style) is not None

    least, tried = 0, 0
    while tried < len(REDUCTIONS) and not is_legible(REDUCTIONS[tried]):
        least, tried = tried + 1, 2 * tried + 1
    legible = bisect_left(REDUCTIONS, True, least, min(tried, len(REDUCTIONS)), key=is_legible)
    return picture_of(views, form, REDUCTIONS[legible], style) if legible < len(REDUCTIONS) else None


def _area(figure: Figure) -> float:
    x0, y0, x1, y1 = bounds(figure.zone)
    return (x1 - x0) * (y1 - y0)


def picture_of(views: Sequence[BikeView], form: MapForm, reduction: float, style: BoardStyle = PLAIN) -> Cell | None:
    """Return the picture with `reduction` mm of the bike to one of its own; None where tags would clash."""
    rows = []
    for row in _in_rows(views, form):
        drawn = [_view_cell(view, reduction, style) for view in row]
        if any(cell is None for cell in drawn):
            return None
        rows.append([cell for cell in drawn if cell])
    starts = [row[0].axle for row in rows if row[0].front_deg == WESTWARD]
    return stacked([_row_cell(row, max(starts, default=0.0)) for row in rows], VIEW_GAP)


def map_within(views: Sequence[BikeView], room: tuple[float, float], style: BoardStyle) -> Cell | None:
    """Return the whole picture, without a frame, as large as it goes into so many mm of width and height; or None."""

    def goes_in(width: float, height: float) -> bool:
        return width <= room[0] and height <= room[1]

    forms = forms_of(views, WHOLE)
    sizes = ((reduction, form) for reduction in reversed(REDUCTIONS) for form in forms)
    worth = ((one, form) for one, form in sizes if goes_in(*least_size(views, form, one)))
    return next((cell for cell in bike_maps(views, worth, style) if goes_in(cell.width, cell.height)), None)


def bike_maps(views: Sequence[BikeView], sizes: Iterable[tuple[float, MapForm]], style: BoardStyle) -> Iterator[Cell]:
    """Yield the picture at each size and in each form in which its tags keep clear, until they have clashed too often.

    Where they clash at large sizes, they will at small ones.
    """
    clashes = 0
    for reduction, form in sizes:
        if cell := picture_of(views, form, reduction, style):
            yield cell
        elif (clashes := clashes + 1) == MOST_CLASHES:
            return


def _row_cell(row: Sequence[_ViewCell], axle: float) -> Cell:
    """Views side by side; one that looks left with its rear axle below that of the view above it."""
    cells = beside(_level(row), VIEW_GAP)
    if row[0].front_deg != WESTWARD:
        return cells
    aside = axle - row[0].axle
    return cells.at((aside, 0.0)).sized(cells.width + aside)


def least_size(views: Sequence[BikeView], form: MapForm, reduction: float) -> tuple[float, float]:
    """Return a width and a height in mm that the picture has at least: those of its outlines alone."""
    rows = [[_outlines_size(view) for view in row] for row in _in_rows(views, form)]
    wide = max(math.fsum(box[0] for box in row) / reduction + VIEW_GAP * (len(row) - 1) for row in rows)
    high = math.fsum(max(box[1] for box in row) / reduction for row in rows) + VIEW_GAP * (len(rows) - 1)
    return wide, high


@lru_cache(maxsize=64)
def _outlines_size(view: BikeView) -> tuple[float, float]:
    x0, y0, x1, y1 = bounds(point for panel in view.panels for point in panel.ring)
    return x1 - x0, y1 - y0


def _in_rows(views: Sequence[BikeView], form: MapForm) -> list[list[BikeView]]:
    """The views in the rows of a form, the one from above turned as it says."""
    turned = {view.name: _turned(view, form.above_deg if view.name == "above" else 0) for view in views}
    return [[turned[name] for name in row] for row in form.rows]


@lru_cache(maxsize=64)  # asked for at every size
def _turned(view: BikeView, turn_deg: int) -> BikeView:
    return view.turned(turn_deg)


def _level(row: Sequence[_ViewCell]) -> list[Cell]:
    """The cells of a row, those of the two sides on the same ground."""
    sides = [one for one in row if one.front_deg != UPWARD]
    top = max((one.top for one in sides), default=0.0)
    height = max((top - one.top + one.cell.height for one in sides), default=0.0)
    return [
        one.cell if one.front_deg == UPWARD else one.cell.at((0.0, one.top - top)).sized(height=height) for one in row
    ]


@dataclass(frozen=True)
class _ViewCell:
    """A view as a cell; how far the rear axle lies from its left edge, and its top edge from the ground, mm."""

    cell: Cell
    front_deg: int
    axle: float
    top: float


@lru_cache(maxsize=256)  # the same for every form
def _view_cell(view: BikeView, reduction: float, style: BoardStyle) -> _ViewCell | None:
    """One view: fine grey outlines, outlines of tagged panels, leaders, tags, its name and the way to the front."""
    panels = [_reduced(panel, reduction) for panel in view.panels]
    named = [panel for panel in panels if panel.tag]
    caption = _caption(view, style)
    things = [Tagged(panel.ring, _tag_size(panel, style)) for panel in named]
    places = place_tags([*things, Tagged((), (caption.width + 2 * CAPTION_AIR, caption.height))])
    if places is None:
        return None
    *tags, words = places
    drawn = caption.at((words.box[0] + CAPTION_AIR, words.box[3]))
    marks = [*_outlines(panels), *_leaders(tags)]
    labels = []
    for panel, place in zip(named, tags, strict=True):
        marks += _tag_marks(place.box, style.tint(panel.side))
        labels.append(_tag_label(panel, place.box, style))
    x0, y0, x1, y1 = _reach(marks, places)
    everything = Cell(x1 - x0, y1 - y0, (*labels, *drawn.labels), (*marks, *drawn.marks))
    return _ViewCell(everything.at((-x0, -y1)), view.front_deg, -x0, y1)


def _reduced(panel: SeenPanel, reduction: float) -> SeenPanel:
    ring = scale_ring(panel.ring, 1.0 / reduction)
    return replace(panel, ring=ring if panel.edge_on else _simpler(ring))


def _simpler(ring: Ring) -> Ring:
    """The outline with no more corners than an eye sees; a simple polygon, even where it nearly touches itself."""
    shape = shapely.Polygon(ring).simplify(FINEST_CURVE)
    if not shape.is_valid:
        parts = [part for part in shapely.get_parts(shapely.buffer(shape, 0.0)) if part.area]
        shape = max(parts, key=lambda part: part.area) if parts else shapely.box(*shape.bounds).buffer(FINEST_CURVE)
    return tuple((float(x), float(y)) for x, y in shape.exterior.coords[:-1])


def _tag_words(panel: SeenPanel, style: BoardStyle) -> Words:
    return Words(printable(panel.tag, "?"), style.type.small, bold=True)


def _tag_size(panel: SeenPanel, style: BoardStyle) -> tuple[float, float]:
    """Width and height of a tag; widths in steps, so that neighbours are alike and few sizes are looked at."""
    width, height = lines_size([_tag_words(panel, style)])
    return math.ceil((width + 2 * TAG_PAD) / TAG_STEP) * TAG_STEP, height + 2 * TAG_PAD


def _tag_label(panel: SeenPanel, box: Box, style: BoardStyle) -> Label:
    x0, y0, x1, y1 = box
    return Label((_tag_words(panel, style),), (x0 + TAG_PAD, y0 + TAG_PAD, x1 - TAG_PAD, y1 - TAG_PAD))


def _tag_marks(box: Box, tint: Ink) -> tuple[Mark, ...]:
    """The box of a tag in the tint of its side; which side it is the view says, so that no room goes into a point."""
    return (Path(box_ring(*box), closed=True, line_width=FINE, fill=tint),)


def _caption(view: BikeView, style: BoardStyle) -> Cell:
    """The view's name, and the way to the front."""
    words = [Words(view.name, style.type.small)]
    width, height = lines_size(words)
    label = Cell(width, height, (Label(tuple(words), (0.0, -height, width, 0.0)),))
    across, down = (ARROW_ROOM, 2 * ARROW_RADIUS) if view.front_deg == UPWARD else (2 * ARROW_RADIUS, ARROW_ROOM)
    arrow = Cell(across, down, marks=arrow_marks((across / 2, -down / 2), view.front_deg))
    caption = beside([label, arrow] if view.front_deg == 0 else [arrow, label], 0.8)
    seen_edge_on = any(panel.edge_on and panel.tag for panel in view.panels)
    return stacked([caption, _edge_key(style)], TAG_STEP) if seen_edge_on else caption


def _edge_key(style: BoardStyle) -> Cell:
    """What the bar means that stands for a panel of which only the height is seen."""
    words = words_cell([Words(EDGE_ON, style.type.small)])
    half = words.height / 2 - 0.4
    bar = Cell(2 * EDGE_TICK, 2 * half, marks=tuple(_edge_marks(((EDGE_TICK, 0.0), (EDGE_TICK, -2 * half)))))
    return beside([bar, words], 0.4)


def _outlines(panels: Sequence[SeenPanel]) -> Iterator[Mark]:
    for panel in panels:
        if not panel.tag:
            yield Path(panel.ring, closed=True, line_width=FINE, ink=GREY)
    for panel in panels:
        if panel.tag and panel.edge_on:
            yield from _edge_marks(panel.ring)
        elif panel.tag:
            yield Path(panel.ring, closed=True, line_width=THIN)


def _edge_marks(ends: Ring) -> Iterator[Mark]:
    yield Path(ends, line_width=MEDIUM)
    for x, y in ends:
        yield Path(((x - EDGE_TICK, y), (x + EDGE_TICK, y)), line_width=MEDIUM)


def _leaders(tags: Sequence[TagPlace]) -> Iterator[Mark]:
    for tag in tags:
        if tag.leader:
            yield Path(tag.leader, line_width=FINE)
            yield Circle(tag.leader[0], DOT, 0.0, fill=0.0)


def _reach(marks: Sequence[Mark], places: Sequence[TagPlace]) -> Box:
    """The box around all marks and words of a view."""
    corners = [point for mark in marks if isinstance(mark, Path) for point in mark.points]
    return bounds([*corners, *(corner for place in places for corner in box_ring(*place.box))])
