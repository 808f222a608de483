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
    """What the user asked for: `scale` is "auto", "standard" or a fixed number; `boards` at most.

    `arrange` is the share of the scale (0 to 0.02) to give up for boards that read better.
    """

    scale: float | str = "auto"
    boards: int = MOST_BOARDS
    effort: Effort = "normal"
    seed: int = 0
    print_as: PrintAs = "tiles"
    arrange: float = 0.0
