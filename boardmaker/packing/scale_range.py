"""The scales that a search may answer with. Apart because guessing, exploring and refining all ask for it."""

from __future__ import annotations

import math
from dataclasses import dataclass

ROUGH_STEP = 0.985  # from one of the few scales to the next


@dataclass(frozen=True)
class ScaleRange:
    """Scales from `lowest` to `highest`. Raises ValueError if not 0 < lowest <= highest.

    Where only the highest counts (`rough`), a smaller one is no more than a place to go on from: there are few of them,
    so that several searches ask for the same.
    """

    lowest: float
    highest: float
    rough: bool = False

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
        """The scale of the range that is nearest to a given one, or the next smaller one of the few."""
        scale = min(self.highest, max(self.lowest, scale))
        if not self.rough or scale == self.highest:
            return scale
        smaller = self.highest
        while smaller > scale:
            smaller *= ROUGH_STEP
        return max(self.lowest, smaller)
