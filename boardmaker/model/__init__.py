"""The domain: a bike, what its owner owns, the lists of a strip-down. What every later stage speaks of.

Frozen records without behaviour beyond look-ups. Apart from `inputs`, which only fills them: no stage needs to know how
a file is read.
"""

from boardmaker.model.bike import (
    Bike,
    ByDistances,
    Equipment,
    Fastener,
    Fixing,
    Head,
    Hole,
    Job,
    Panel,
    Shoulder,
    Side,
    Supply,
    Torque,
    TorqueRow,
    TorqueStage,
    UnplacedHole,
    View,
)
from boardmaker.model.lists import Audit, AuditFind, Bag, BagCount, Found
from boardmaker.model.setup import BoardSetup, CaseSetup, KeepOut, Margins, Paper, PrinterSetup, Setup
from boardmaker.model.sides import other_side, side_words, swap_words

__all__ = [
    "Audit",
    "AuditFind",
    "Bag",
    "BagCount",
    "Bike",
    "BoardSetup",
    "ByDistances",
    "CaseSetup",
    "Equipment",
    "Fastener",
    "Fixing",
    "Found",
    "Head",
    "Hole",
    "Job",
    "KeepOut",
    "Margins",
    "Panel",
    "Paper",
    "PrinterSetup",
    "Setup",
    "Shoulder",
    "Side",
    "Supply",
    "Torque",
    "TorqueRow",
    "TorqueStage",
    "UnplacedHole",
    "View",
    "other_side",
    "side_words",
    "swap_words",
]
