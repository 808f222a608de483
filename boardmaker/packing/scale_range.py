"""The scales that a search may answer with. Apart because guessing, exploring and refining all ask for it."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class ScaleRange:
    """Scales from `lowest` to `highest`. Raises ValueError if not 0 < lowest <= highest."""

    lowest: float
    highest: float

    def __post_init__(self) -> None:
        """Refuse limits that make no sense."""
        if not 0 < self.lowest <= self.highest:
            raise ValueError(
                f"scales from {self.lowest:g} to {self.highest:g}: the lowest must be above 0 and not above the highest"
            )

    @property
    def middle(self) -> float:
        """The geometric mean."""
        return math.sqrt(self.lowest * self.highest)

    def nearest(self, scale: float) -> float:
        """The scale of the range that is nearest to a given one."""
        return min(self.highest, max(self.lowest, scale))
