"""A cell of type in a frame as a figure of its own: the form of every table on a board."""

from __future__ import annotations

from boardmaker.display_list import Path
from boardmaker.figures.figure import Figure, FigureKind, Pocket
from boardmaker.geometry import Point, box_ring
from boardmaker.typeset.table import Cell

INSET = 1.2  # mm between the frame and what it holds
FRAME = 0.35


def framed(kind: FigureKind, key: str, cell: Cell, wish: Point | None = None, inset: float = INSET) -> Figure:
    """Return the cell as a figure in a frame, `inset` mm off it; its origin is the frame's lower left corner."""
    width, height = cell.width + 2 * inset, cell.height + 2 * inset
    inner = cell.at((inset, height - inset))
    frame = Path(box_ring(0.0, 0.0, width, height), closed=True, line_width=FRAME)
    half = FRAME / 2
    return Figure(
        kind,
        key,
        box_ring(-half, -half, width + half, height + half),
        pockets=tuple(one for one in inner.carried if isinstance(one, Pocket)),
        labels=inner.labels,
        marks=(frame, *inner.marks),
        wish=wish,
    )
