"""The packing engine: items and regions in, placements out. It has never heard of motorcycles.

Public: `largest_scale`, `pack`, `arrange`, `read_packing`, `drawn_home`, `violations`, `items_too_large`,
`crowding`.
"""

from boardmaker.packing.alone import TooLarge, crowding, items_too_large
from boardmaker.packing.arrange import arrange, read_packing
from boardmaker.packing.engine import largest_scale, pack
from boardmaker.packing.homeward import drawn_home
from boardmaker.packing.judge import violations

__all__ = [
    "TooLarge",
    "arrange",
    "crowding",
    "drawn_home",
    "items_too_large",
    "largest_scale",
    "pack",
    "read_packing",
    "violations",
]
