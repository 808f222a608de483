"""What to punch or drill for a fastener, by board material. One table, in one place.

Foam board and cork give way, so a hole of 0.85 times the thread grips the screw; corrugated plastic holds at the
thread's own diameter; plywood and hardboard do not give, so they take the medium clearance hole of ISO 273. Common
practice, no source, but for ISO 273.
"""

from __future__ import annotations

from boardmaker.inputs.model import Fastener
from boardmaker.standards import clearance_hole

PUSH_FIT = 0.85  # of the thread's diameter, in stock that gives way

MATERIALS = ("foam board", "corrugated plastic", "plywood", "hardboard", "cork")


def pocket_hole(fastener: Fastener, material: str) -> float:
    """Return the diameter in mm of the hole that holds this fastener in a board of `material`."""
    if material in ("foam board", "cork"):
        return PUSH_FIT * fastener.diameter
    if material == "corrugated plastic" or fastener.thread is None:
        return fastener.diameter  # a clip's hole is the hole that it is made for
    return clearance_hole(fastener.diameter, "medium")
