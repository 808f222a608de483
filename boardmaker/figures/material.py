"""What to punch or drill for a fastener, by board material. One table, in one place.

Foam board and cork give way, so a hole of 0.85 times the thread grips the screw; corrugated plastic holds at the
thread's own diameter; plywood and hardboard do not give, so they take the medium clearance hole of ISO 273. Common
practice, no source, but for ISO 273.
"""

from __future__ import annotations

from boardmaker.model import Fastener
from boardmaker.standards import clearance_hole

PUSH_FIT = 0.85  # of the thread's diameter, in stock that gives way

SOFT = ("foam board", "cork")


def pocket_hole(fastener: Fastener, material: str) -> float:
    """Return the diameter in mm of the hole that holds this fastener in a board of `material`."""
    if fastener.thread is None and material not in SOFT:
        return fastener.diameter  # a clip's hole is the hole that it is made for
    return hole_for_thread(fastener.diameter, material)


def hole_for_thread(diameter: float, material: str) -> float:
    """Return the diameter in mm of the hole that holds a thread of this diameter in a board of `material`."""
    if material in SOFT:
        return PUSH_FIT * diameter
    return diameter if material == "corrugated plastic" else clearance_hole(diameter, "medium")
