"""Lines of type in a box, and how they become the texts of a display list.

Apart from lines and circles, because words may not be turned freely: on a board they run at 0 or 90 degrees.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from boardmaker.display_list import Ink

Box = tuple[float, float, float, float]  # x0, y0, x1, y1


@dataclass(frozen=True)
class Words:
    """One line of a label: text, capital height, weight, ink."""

    text: str
    height: float = 2.5
    bold: bool = False
    ink: Ink = 0.0


@dataclass(frozen=True)
class Label:
    """Lines of type in a box. They read from the box's top line down, set to its left edge or its middle.

    `ticked`: behind the first line stands a small box to tick, for which the label's own box has room.
    """

    lines: tuple[Words, ...]
    box: Box
    align: Literal["start", "middle", "end"] = "middle"
    ticked: bool = False

    @property
    def text(self) -> str:
        """All lines as one."""
        return " ".join(line.text for line in self.lines)
