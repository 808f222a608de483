"""One board as a display list: placed figures and the board's outline in, groups of marks out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import shapely

from boardmaker.display_list import Circle, DisplayItem, Drawing, Ink, Path
from boardmaker.drawing.cut_lengths import CutLine, cut_length_marks
from boardmaker.drawing.placed import Placed
from boardmaker.figures.figure import COLLAR, Figure, Pocket
from boardmaker.figures.side_tag import side_tag_marks
from boardmaker.figures.style import PLAIN, BoardStyle
from boardmaker.figures.symbols import collar_marks, fixing_marks, ghost_marks, true_place_marks
from boardmaker.geometry import Point, Ring, box_ring, distance
from boardmaker.typeset.lettering import label_items, tick_marks

# Line widths of the ISO 128 series, mm.
FINE, THIN, MEDIUM, THICK, HEAVY = 0.18, 0.25, 0.35, 0.5, 0.7
HOLE_AIR = 0.6  # mm around a hole that is kept free of the outline, so that the hole can be seen
PARKED_GREY = 0.5  # rings of no panel; a dashed ring is a screw of another one
CROSS = 1.2  # mm from the middle of a hole to the end of its centre mark


def draw_board(
    placed: Sequence[Placed],
    outline: Ring,
    stock: Point,
    cuts: Sequence[CutLine] = (),
    edge_marks: Iterable[DisplayItem] = (),
    style: BoardStyle = PLAIN,
) -> Drawing:
    """Return the board at true size: outline to cut, holes to punch, everything else to print.

    `edge_marks` are those of the grid.
    """
    holes = tuple(Circle(pocket.at, pocket.hole_diameter, MEDIUM) for one in placed for pocket in one.figure.pockets)
    cut = (Path(outline, closed=True, line_width=MEDIUM),)
    figures = (item for one in placed for item in _figure_items(one, style))
    return Drawing(stock[0], stock[1], cut, holes, (*cut_length_marks(outline, stock, cuts), *edge_marks, *figures))


def _figure_items(placed: Placed, style: BoardStyle) -> Iterator[DisplayItem]:
    figure = placed.figure
    for pocket in figure.pockets:
        if pocket.behind:
            yield from collar_marks(pocket.at, pocket.head_diameter / 2, COLLAR, style.danger)
    yield from figure.marks
    if figure.outline:
        yield Path(figure.outline, closed=True, line_width=THICK)
    for ghost in figure.ghosts:
        yield from ghost_marks(ghost.at)
    for fixing in figure.fixings:
        yield from fixing_marks(fixing.kind, fixing.at)
    for leader in figure.leaders:
        yield Path(_shown_leader(leader, figure.pockets), line_width=FINE)
    for pocket in figure.pockets:
        yield Circle(pocket.at, pocket.hole_diameter + 2 * HOLE_AIR, 0.0, fill=1.0)
        yield from _pocket_marks(pocket, style)
    yield from _grounds(figure)
    if figure.side:
        yield from side_tag_marks(figure.labels[0], figure.side, style.tint(figure.side), placed.reading_deg)
    for label in figure.labels:
        yield from label_items(label, placed.reading_deg)
        yield from tick_marks(label, placed.reading_deg)


def _grounds(figure: Figure) -> Iterator[Path]:
    """White under a label that had to be put over its panel's outline."""
    line = shapely.linearrings(figure.outline) if figure.outline else None
    for label in figure.labels:
        if line is not None and line.intersects(shapely.box(*label.box)):
            yield Path(box_ring(*label.box), closed=True, line_width=0.0, fill=1.0)


def _shown_leader(leader: Ring, pockets: Sequence[Pocket]) -> Ring:
    """A leader that starts in the middle of a pocket is drawn from the hole's edge."""
    for pocket in pockets:
        if pocket.at == leader[0]:
            length = distance(leader[0], leader[1])
            share = min(1.0, pocket.hole_diameter / 2 / length)
            (x, y), (end_x, end_y) = leader[0], leader[1]
            return (x + (end_x - x) * share, y + (end_y - y) * share), *leader[1:]
    return leader


def _pocket_marks(pocket: Pocket, style: BoardStyle) -> Iterator[DisplayItem]:
    parked = not pocket.hole
    yield Circle(pocket.at, pocket.head_diameter, THIN, ink=PARKED_GREY if parked else 0.0)
    if pocket.carries:
        yield Circle(pocket.at, 2 * pocket.rim, THICK)
    yield from _centre_mark(pocket.at)
    if pocket.moved:
        yield from true_place_marks(pocket.true_at)
    if pocket.must_not:
        yield from _crossed_out(pocket, style.danger)


def _centre_mark(at: Point) -> Iterator[DisplayItem]:
    x, y = at
    yield Path(((x - CROSS, y), (x + CROSS, y)), line_width=FINE)
    yield Path(((x, y - CROSS), (x, y + CROSS)), line_width=FINE)


def _crossed_out(pocket: Pocket, ink: Ink) -> Iterator[DisplayItem]:
    (x, y), reach = pocket.at, pocket.head_diameter / 2 * 0.7071
    yield Path(((x - reach, y - reach), (x + reach, y + reach)), line_width=HEAVY, ink=ink)
    yield Path(((x - reach, y + reach), (x + reach, y - reach)), line_width=HEAVY, ink=ink)
