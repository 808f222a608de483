"""What was found in a drawing: panels with their outlines and holes, what was passed over, and why.

Frozen records and nothing else, so that the readers of each kind of drawing, and whoever merges what they found into a
bike file, share them and nothing more.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from boardmaker.geometry import Point
from boardmaker.tracing.curve import Curve


@dataclass(frozen=True)
class FoundHole:
    """A hole of a panel: where it is, and what the source said of it."""

    at: Point  # mm, from the outline's lower left, y up
    fastener: str | None  # key, from id, label or nearest text; None where nothing said it
    keys: tuple[tuple[str, str], ...] = ()  # further keys of a hole as written (columns of a CSV): ("stack", "3 mm")
    where: str = ""  # what it was in the source, for messages: "circle 'A-3'", "row 12"
    diameter: float | None = None  # mm
    line: int = 0  # of the source, from 1; 0 where it has none that anybody would look at
    unread: str = ""  # a name or text of this hole that looks like a fastener's and is none: "text 'Q' in line 4"
    near: str = ""  # the nearest text that is too far away: "text 'B' in line 9, 18.2 mm away"
    decides: bool = False  # somebody laid or chose this letter for this very hole: it goes before the bike file's


@dataclass(frozen=True)
class Ignored:
    """Something in the source that became nothing, and why."""

    what: str  # "circle 'c12'"
    why: str  # "it is not round: 12.0 x 9.4 mm"
    at: Point | None  # mm, in the frame of the panel it would belong to


@dataclass(frozen=True)
class Doubtful:
    """A stretch of the outline, or near to it, that is to be looked at: views disagree, or no panel is cut so."""

    line: tuple[Point, ...]  # mm, in the panel's frame
    why: Literal["apart", "narrow"]
    off: float  # mm between the views at most; mm that a narrow notch or tip is deep


@dataclass(frozen=True)
class FoundPanel:
    """A panel: its outline and holes in its own frame, y up."""

    key: str | None  # the panel's key where the source says it
    outline: tuple[Point, ...]  # mm, the first point not repeated, counter-clockwise, lower left of its box at (0, 0)
    holes: tuple[FoundHole, ...]  # of a CSV without outline, for which `outline` is (), as they were written
    ignored: tuple[Ignored, ...] = ()
    notes: tuple[str, ...] = ()  # what is to be looked at, though it was taken
    proposed: tuple[FoundHole, ...] = ()  # may be holes: nobody has said so, and unasked none is taken
    doubtful: tuple[Doubtful, ...] = ()  # where the outline is to be looked at
    origin: Point | None = None  # the panel's own [0, 0], where the source knows it: what a page saved
    curve: Curve = ()  # the outline in few smooth pieces, where it was found so; `outline` then are points on it


@dataclass(frozen=True)
class Tracing:
    """All that a drawing holds."""

    source: Path
    panels: tuple[FoundPanel, ...]  # in the drawing's order
    scale_said: str  # one line: how the scale came about ("mm, as the file says", "known line: 212 mm = 803.1 units")
    ignored: tuple[Ignored, ...] = ()  # of no panel
    others: tuple[str, ...] = ()  # names of groups with an outline that are no panel's key
