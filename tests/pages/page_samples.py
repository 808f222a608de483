"""A panel for pages, and fasteners for its holes."""

from __future__ import annotations

from boardmaker.model import Fastener, Head
from boardmaker.pages import PageHole, PagePanel
from boardmaker.standards.threads import Thread

LAPTOP, PHONE = (1366, 768), (390, 844)


def fastener(key: str, across: float = 6.0) -> Fastener:
    """A screw of this key, which may be an awkward one."""
    return Fastener(key, "screw", 20.0, Head("round", 10.0, 3.0), Thread(f"M{across:g}", "metric", across, 1.0))


FASTENERS = tuple(fastener(key) for key in "ABC")
OUTLINE = ((0.0, 0.0), (300.0, 0.0), (320.0, 120.0), (150.0, 180.0), (0.0, 150.0))
HOLES = (PageHole("1", (20.0, 20.0), "A"), PageHole("2", (280.0, 30.0), "B"), PageHole("3", (150.0, 140.0), "A"))
PANEL = PagePanel("knee-left", "Left knee", "as seen from the left", OUTLINE, HOLES)
