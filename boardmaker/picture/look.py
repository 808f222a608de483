"""How a picture looks: its type, its inks, the widths of its lines.

Red is for danger, as on the boards; what is odd has a yellow ground and a shape of its own, so that it stays apart in
greyscale. Axes and rulers are a dark blue that no outline has. In `black` nothing is coloured.
"""

from __future__ import annotations

from dataclasses import dataclass

from boardmaker.display_list import Ink
from boardmaker.figures.style import BLACK, DANGER_RED, NO_TINT, TINTS

SMALL, TEXT, NAME, TITLE = 2.2, 2.8, 4.2, 6.0  # mm, heights of capitals
FINE, THIN, MEDIUM, BOLD = 0.13, 0.2, 0.35, 0.55  # mm, widths of lines
GREY = 0.35  # of words that are only looked up
PALE = 0.72  # of frames and of lines that help the eye
SHADE = 0.955  # of a panel's own ground
YELLOW = (1.0, 0.84, 0.18)
BLUE = (0.10, 0.28, 0.60)


@dataclass(frozen=True)
class PictureLook:
    """Whether there is colour."""

    coloured: bool = True

    @property
    def danger(self) -> Ink:
        """What danger is written in."""
        return DANGER_RED if self.coloured else BLACK

    @property
    def odd(self) -> Ink:
        """The ground of a mark for what is odd."""
        return YELLOW if self.coloured else 0.85

    @property
    def axes(self) -> Ink:
        """What axes, rulers and sizes are drawn in."""
        return BLUE if self.coloured else 0.25

    def tint(self, side: str) -> Ink:
        """Return the ground of a side's tags."""
        return TINTS.get(side, NO_TINT) if self.coloured else NO_TINT
