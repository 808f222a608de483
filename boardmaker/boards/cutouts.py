"""Each figure on its own, to be cut out and glued where it likes: figures packed onto pages instead of boards.

Needs the packing engine and the sheets, so it stands beside `build`. A figure that is larger than a page gets tiles of
its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from shapely import Polygon

from boardmaker.boards.poses import item_of, placed_at
from boardmaker.display_list import Path
from boardmaker.drawing import Placed, draw_board, place_figure
from boardmaker.figures import Figure
from boardmaker.figures.style import PLAIN, BoardStyle
from boardmaker.geometry import Point, Ring, bounds, box_ring, filled, ring_of
from boardmaker.packing import pack
from boardmaker.packing.problem import Item, Placement, Pose, Region
from boardmaker.sheets import BoardOnPaper

CUT_OFF = 1.5  # mm from a figure's zone to the line to cut along
AROUND = 2.0  # mm between a figure's zone and the picture's edge
BETWEEN = 4.0  # mm between two zones, to pass with scissors
CUT_GREY = 0.6
TRY = 1.5e8  # work of trying one more figure on a page, a fraction of a second
DENSEST = 0.92  # of a page: what would fill more need not be tried


@dataclass(frozen=True)
class _Thing:
    """One figure's alternatives as the packing engine sees them."""

    alternatives: tuple[Figure, ...]
    item: Item


def spread_on_pages(
    things: Sequence[tuple[Figure, ...]], picture: Point, seed: int = 0, style: BoardStyle = PLAIN
) -> tuple[BoardOnPaper, ...]:
    """Return drawings of at most `picture` size (or larger for a figure that is) that show every figure once."""
    region = Region(box_ring(0.0, 0.0, *picture), AROUND)
    waiting = [_Thing(figures, item_of(str(index), figures)) for index, figures in enumerate(things)]
    waiting.sort(key=lambda thing: -_area(thing.item.poses[0]))
    pages: list[BoardOnPaper] = []
    while waiting:
        chosen, placements = _fill_page(waiting, region, seed)
        if chosen:
            placed = [
                placed_at(thing.alternatives, placement) for thing, placement in zip(chosen, placements, strict=True)
            ]
            pages.append(_drawn(placed, picture, style))
        else:
            chosen = waiting[:1]
            pages.append(_on_its_own(chosen[0], style))
        waiting = [thing for thing in waiting if thing not in chosen]
    return tuple(pages)


def _area(pose: Pose) -> float:
    x0, y0, x1, y1 = bounds(pose.zone)
    return (x1 - x0) * (y1 - y0)


def _fill_page(waiting: Sequence[_Thing], region: Region, seed: int) -> tuple[list[_Thing], tuple[Placement, ...]]:
    """As many of the waiting, largest first, as go onto one page together."""
    chosen: list[_Thing] = []
    placements: tuple[Placement, ...] = ()
    left = DENSEST * Polygon(region.outline).area
    for thing in waiting:
        if (claimed := _claimed(thing.item)) > left:
            continue
        items = [*(one.item for one in chosen), thing.item]
        found = pack(items, [region], clearance=BETWEEN, effort=TRY, seed=seed)
        if found is not None:
            chosen.append(thing)
            placements = found
            left -= claimed
    return chosen, placements


def _claimed(item: Item) -> float:
    """The area (mm2) that an item takes at least, with its share of the way for the scissors."""
    zone = Polygon(item.poses[0].zone)
    return float(zone.area + zone.length * BETWEEN / 2)


def _on_its_own(thing: _Thing, style: BoardStyle) -> BoardOnPaper:
    """A figure too large for a page, as a board of its own size that will be cut into tiles."""
    figure = thing.alternatives[0]
    x0, y0, x1, y1 = bounds(figure.zone)
    placed = place_figure(figure, (AROUND - x0, AROUND - y0), 0)
    return _drawn([placed], (x1 - x0 + 2 * AROUND, y1 - y0 + 2 * AROUND), style)


def _drawn(placed: Sequence[Placed], size: Point, style: BoardStyle) -> BoardOnPaper:
    """The figures with a fine line around each zone, along which to cut."""
    drawing = draw_board(placed, (), size, style=style)
    lines = tuple(Path(_around(one), closed=True, line_width=0.18, ink=CUT_GREY, dash=(2.0, 1.5)) for one in placed)
    return BoardOnPaper(
        type(drawing)(size[0], size[1], lines, drawing.holes, drawing.print), box_ring(0.0, 0.0, *size), tuple(placed)
    )


def _around(placed: Placed) -> Ring:
    """The line to cut along: clear of the figure's own outline, and of its neighbours'."""
    return ring_of(filled(Polygon(placed.figure.zone).buffer(CUT_OFF, join_style="mitre")))
