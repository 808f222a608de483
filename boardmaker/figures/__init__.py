"""What each thing on the board looks like, and the room that it claims.

In: `Work`, the common scale, the board stock. Out: for each thing to be placed one `Figure`, or several that say the
same in different shapes. Apart from packing because packing only needs zones; apart from drawing because a figure
does not know where it will lie. The reduction to the panel scale happens here and nowhere else.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import replace

from boardmaker.figures.bike_map import draw_bike_map, draw_bike_views
from boardmaker.figures.figure import Figure, FigureKind, FixingMark, Ghost, Pocket
from boardmaker.figures.panel import draw_panel, panel_heights
from boardmaker.figures.parking import draw_parking
from boardmaker.figures.screw_key import draw_screw_key
from boardmaker.figures.style import board_style
from boardmaker.figures.title_block import draw_board_mark, draw_title
from boardmaker.figures.torque_card import draw_torque_card
from boardmaker.model import BoardSetup
from boardmaker.service import Work
from boardmaker.typeset.label import Label, Words

MAP_SHARE = 0.03  # of the stock
TABLES: tuple[FigureKind, ...] = ("screw key", "torque card", "bike map", "parking", "title")  # in their order

Things = tuple[tuple[Figure, ...], ...]  # for each thing its alternatives

__all__ = [
    "Figure",
    "FigureKind",
    "FixingMark",
    "Ghost",
    "Label",
    "Pocket",
    "Things",
    "Words",
    "draw_board_mark",
    "draw_figures",
    "draw_panels",
    "draw_pictures",
    "draw_tables",
    "each_panel",
]


def draw_figures(work: Work, scale: float, board: BoardSetup, grown: float = 1.0) -> Things:
    """Return the figures of a board set: for each thing its alternatives, the most pleasant first.

    `scale` is board mm per mm on the bike; words are `grown` times the usual size, but for those in the bike's picture.
    Panels come in removal order, then the tables.
    """
    panels = draw_panels(work, scale, board, grown)
    return panels + draw_tables(work, scale, board, panels, grown)


def draw_panels(work: Work, scale: float, board: BoardSetup, grown: float = 1.0) -> Things:
    """Return the figures of the panels alone, in removal order."""
    return tuple(each_panel(work, scale, board, grown))


def each_panel(
    work: Work,
    scale: float,
    board: BoardSetup,
    grown: float = 1.0,
    level_at_deg: Mapping[str, int] | None = None,
    keys: Collection[str] | None = None,
) -> Iterator[tuple[Figure, ...]]:
    """Give the same one by one, each drawn when it is asked for; of some `keys` alone if they are named.

    `level_at_deg` says for panels that lie turned at which turn their words are to run level.
    """
    style, heights = board_style(board, grown), panel_heights(work)
    wanted = {freed.panel.key for freed in work.freed if keys is None or freed.panel.key in keys}
    panels = [panel for step in work.steps for panel in (step.carrier, *step.riders) if panel.key in wanted]
    for panel in panels:
        level = (level_at_deg or {}).get(panel.key, 0)
        figure = draw_panel(work, panel, scale, board, heights, style, level_at_deg=level)
        yield from _numbered([(figure,)], grown)


def draw_tables(
    work: Work,
    scale: float,
    board: BoardSetup,
    panels: Things,
    grown: float = 1.0,
    kinds: Collection[FigureKind] = TABLES,
) -> Things:
    """Return key, cards, the picture of the bike, parking and title, whose legend tells of what the panels show.

    Of these the `kinds` that are asked for: a key in a new size of type takes long.
    """
    style = board_style(board, grown)
    drawn: dict[FigureKind, Callable[[], list[tuple[Figure, ...]]]] = {
        "screw key": lambda: [draw_screw_key(work, board.material, style.type)],
        "torque card": lambda: [draw_torque_card(card, style.type) for card in work.cards],
        "bike map": lambda: [draw_bike_map(work, board_style(board), _largest_map(board))],
        "parking": lambda: [draw_parking(work, board, style.type)],
        "title": lambda: [draw_title(work, scale, style, [one for one, *_ in panels])],
    }
    return _numbered([table for kind in TABLES if kind in kinds for table in drawn[kind]()], grown)


def _numbered(things: Sequence[tuple[Figure, ...]], grown: float) -> Things:
    return tuple(
        tuple(replace(figure, times=grown, shape=shape) for shape, figure in enumerate(alternatives))
        for alternatives in things
        if alternatives
    )


def draw_pictures(work: Work, board: BoardSetup) -> Things:
    """Return what the picture of the bike may be made of where room is short, the best first: one figure or several.

    Nothing where the bike file does not say where panels sit.
    """
    style = board_style(board)
    wholes = draw_bike_map(work, style, _largest_map(board))
    views = draw_bike_views(work, style)
    sides = tuple(view for view in views if view.key != "above")
    forms = [(replace(whole, shape=shape),) for shape, whole in enumerate(wholes)]
    return tuple(dict.fromkeys(form for form in (*forms, views, sides) if form))


def _largest_map(board: BoardSetup) -> float:
    """The area in mm2 that the picture of the bike may take, which helps to find things but holds nothing."""
    return MAP_SHARE * board.size[0] * board.size[1]
