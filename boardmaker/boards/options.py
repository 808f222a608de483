"""What the user asks of a board set, and how a long search reports."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from boardmaker.packing.problem import Effort, Progress

Report = Callable[[str, Progress], None]  # what is being done, how far it is
PrintAs = Literal["tiles", "cutouts", "whole"]

MOST_BOARDS = 4


@dataclass(frozen=True)
class BoardOptions:
    """What the user asked for: `scale` is "auto", "standard" or a fixed number.

    `boards`: so many, None for as few as keep a good scale, at most `most`.
    `arrange` is the share of the largest scale (0 to 0.25) to give up for boards that read like the bike; None for what
    `share_given_up` says.
    """

    scale: float | str = "auto"
    boards: int | None = None
    effort: Effort = "normal"
    seed: int = 0
    print_as: PrintAs = "tiles"
    arrange: float | None = None
    most: int = MOST_BOARDS


# What a larger drawing is worth falls as it grows: scale and share to give up there, evenly in between.
GIVEN_UP = ((0.25, 0.04), (0.5, 0.12))


def share_given_up(options: BoardOptions, scale: float) -> float:
    """Return the share of a largest scale that may be given up for boards that read like the bike."""
    if options.scale != "auto":
        return 0.0
    if options.arrange is not None:
        return options.arrange
    (low, least), (high, most) = GIVEN_UP
    return least + (most - least) * min(1.0, max(0.0, (scale - low) / (high - low)))
