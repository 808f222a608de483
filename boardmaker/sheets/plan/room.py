"""What the lines of a plan have on paper: the width of a column, the height of a page (both mm), the type."""

from __future__ import annotations

from dataclasses import dataclass

from boardmaker.typeset.cells import Sizes


@dataclass(frozen=True)
class Room:
    """Width and height in mm that a block may take, and its type."""

    width: float
    height: float
    sizes: Sizes
