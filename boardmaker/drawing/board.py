"""One board as a display list: placed figures and the board's outline in, groups of marks out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from boardmaker.display_list import Circle, DisplayItem, Drawing, Path
from boardmaker.drawing.cut_lengths import CutLine, cut_length_marks
from boardmaker.drawing.placed import Placed
from boardmaker.figures.figure import Pocket
from boardmaker.figures.symbols import fixing_marks, ghost_marks, true_place_marks
from boardmaker.geometry import Point, Ring, distance
from boardmaker.typeset.lettering import label_items

# Line widths of the ISO 128 series, mm.
FINE, THIN, MEDIUM, THICK, HEAVY = 0.18, 0.25, 0.35, 0.5, 0.7
BEHIND_GREY = 0.80  # the ring of a screw with a tank behind it is filled, so that it is seen at a glance
HOLE_AIR = 0.6  # mm around a hole that is kept free of the outline, so that the hole can be seen
CROSS = 1.2  # mm from the middle of a hole to the end of its centre mark


def draw_board(
    placed: Sequence[Placed],
    outline: Ring,
    stock: Point,
    cuts: Sequence[CutLine] = (),
    edge_marks: Iterable[DisplayItem] = (),
) -> Drawing:
    """Return the board at true size: outline to cut, holes to punch, everything else to print.

    `edge_marks` are those of the grid.
    """
    holes = tuple(Circle(pocket.at, pocket.hole_diameter, MEDIUM) for one in placed for pocket in one.figure.pockets)
    cut = (Path(outline, closed=True, line_width=MEDIUM),)
    figures = (item for one in placed for item in _figure_items(one))
    return Drawing(stock[0], stock[1], cut, holes, (*cut_length_marks(outline, stock, cuts), *edge_marks, *figures))


def _figure_items(placed: Placed) -> Iterator[DisplayItem]:
    figure = placed.figure
    yield from (_behind_ring(pocket) for pocket in figure.pockets if pocket.behind)
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
        yield Circle(pocket.at, pocket.hole_diameter + 2 * HOLE_AIR, 0.0, fill=BEHIND_GREY if pocket.behind else 1.0)
        yield from _pocket_marks(pocket)
    for label in figure.labels:
        yield from label_items(label, placed.reading_deg)


def _behind_ring(pocket: Pocket) -> Circle:
    return Circle(pocket.at, pocket.head_diameter, 0.0, fill=BEHIND_GREY)


def _shown_leader(leader: Ring, pockets: Sequence[Pocket]) -> Ring:
    """A leader that starts in the middle of a pocket is drawn from the hole's edge."""
    for pocket in pockets:
        if pocket.at == leader[0]:
            length = distance(leader[0], leader[1])
            share = min(1.0, pocket.hole_diameter / 2 / length)
            (x, y), (end_x, end_y) = leader[0], leader[1]
            return (x + (end_x - x) * share, y + (end_y - y) * share), *leader[1:]
    return leader


def _pocket_marks(pocket: Pocket) -> Iterator[DisplayItem]:
    parked = not pocket.hole
    width = HEAVY if pocket.behind else THIN
    yield Circle(pocket.at, pocket.head_diameter, width, dash=(1.5, 1.0) if parked else ())
    yield from _centre_mark(pocket.at)
    if pocket.moved:
        yield from true_place_marks(pocket.true_at)
    if pocket.must_not:
        yield from _crossed_out(pocket)


def _centre_mark(at: Point) -> Iterator[DisplayItem]:
    x, y = at
    yield Path(((x - CROSS, y), (x + CROSS, y)), line_width=FINE)
    yield Path(((x, y - CROSS), (x, y + CROSS)), line_width=FINE)


def _crossed_out(pocket: Pocket) -> Iterator[DisplayItem]:
    (x, y), reach = pocket.at, pocket.head_diameter / 2 * 0.7071
    yield Path(((x - reach, y - reach), (x + reach, y + reach)), line_width=HEAVY)
    yield Path(((x - reach, y + reach), (x + reach, y - reach)), line_width=HEAVY)
