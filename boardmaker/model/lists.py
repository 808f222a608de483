"""The lists that a mechanic fills in: what lay in a bag, what was found in which hole."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True)
class BagCount:
    """So many pieces in a bag: of a kind of fastener, or of what is kept with it (`item`, such as washer)."""

    fastener: str
    count: int
    item: str = ""


@dataclass(frozen=True)
class Bag:
    """What somebody counted out of a bag; a kind stands in it once."""

    counts: tuple[BagCount, ...]

    def count_of(self, fastener: str, item: str = "") -> int:
        """Return how many pieces there are; 0 for what was not listed."""
        return sum(one.count for one in self.counts if (one.fastener, one.item) == (fastener, item))

    @property
    def counts_items(self) -> bool:
        """Whether anybody counted washers and the like."""
        return any(one.item for one in self.counts)


Found = Literal["ok", "missing", "other", "wrong"]


@dataclass(frozen=True)
class AuditFind:
    """What somebody found in a hole: `wrong` is the fastener of another key, `other` one that no key stands for."""

    hole_key: str  # panel/hole
    found: Found
    fastener: str = ""  # the key of a wrong one


@dataclass(frozen=True)
class Audit:
    """What a strip-down brought to light; a hole stands in it once, and one that does not was not looked at."""

    finds: tuple[AuditFind, ...]
