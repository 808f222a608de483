"""What to set on a torque wrench that works through an adapter: a crowfoot or an extension at its end.

In: the lengths of wrench and adapter. Out: the share of the true torque to set. Apart because it depends on the tools
alone, not on the bike.
"""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class Adapter:
    """A wrench with an adapter on; lengths in mm.

    `wrench` is L, from the middle of its square drive to the middle of the grip, where the hand pulls; `length` is E,
    from the middle of the drive to the middle of the nut; `angle_deg` is 0 where the adapter runs straight on from the
    wrench, 90 square to it, 180 back towards the hand.
    """

    wrench: float
    length: float
    angle_deg: float = 0.0

    @property
    def share(self) -> float:
        """The torque to set over the torque at the nut: L / (L + E cos a); above 1 where the adapter points back.

        Source: tool makers' sheets (azmanual.top 699226; torqwrench.com; Performance Tool M199, page 7: straight on
        and square), any other angle by the balance of moments. Raises ValueError where the nut would lie under the
        hand or beyond it.
        """
        across = math.cos(math.radians(self.angle_deg)) if self.angle_deg % 180.0 != 90.0 else 0.0  # exactly nothing
        lever = self.wrench + self.length * across
        if lever <= 0.0:
            raise ValueError("the adapter points back beyond the grip: nothing can be tightened so")
        return self.wrench / lever
