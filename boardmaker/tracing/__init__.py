"""Reading a drawing of a panel (SVG, DXF, CSV) into outlines and holes in mm."""

from boardmaker.tracing.found import FoundHole, FoundPanel, Ignored, Tracing
from boardmaker.tracing.reading import read_tracing

__all__ = ["FoundHole", "FoundPanel", "Ignored", "Tracing", "read_tracing"]
