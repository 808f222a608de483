"""A line of a plan: what it is, what it says, how loudly, and to which line it belongs.

Apart from the modules that make lines, because those that write them need nothing else. It knows no page, no type and
no marks.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

Kind = Literal[
    "title",  # what this is, whose it is
    "fact",
    "file",  # the bike file and its version
    "record",  # what is filled in by pen
    "heading",
    "how",  # how the rows below it are worked through
    "remark",  # on the rows above it
    "caution",
    "have",  # a tool, a supply or a part to have ready
    "purpose",  # what the lines under it are for: a job, parts to renew
    "fastener",  # a kind that comes out: count and key, size, tool, torque
    "side",  # where to stand from here on
    "step",  # a panel with what is on it: number, tag, name
    "group",  # fasteners one after the other: count and key, tool, torque, pockets, how many are out (in) by now
    "by hand",
    "tightened",  # the screws of a panel, all started by now
    "torque",  # what is tightened, its torque
    "staged",  # what is tightened in stages, or has steps around its torque; each is a line of its own
    "stage",
    "part",  # a part to renew
    "tick",  # what is ticked for the part above it
    "check",  # of the last look
    "note",
]
Weight = Literal["loud", "plain", "quiet"]  # nobody may miss it; what is done; what is good to know


@dataclass(frozen=True)
class Line:
    """One line. `cells` are its parts in order, an empty one where it has nothing to say.

    `level` 1 belongs to the last line of level 0 before it. `boxes`: how often it is ticked, 0 for what is only read.
    """

    kind: Kind
    cells: tuple[str, ...]
    level: int = 0
    weight: Weight = "plain"
    boxes: int = 0

    @property
    def text(self) -> str:
        """All that it says in one run of words."""
        return ", ".join(cell for cell in self.cells if cell)


def ticked(kind: Kind, *cells: str, level: int = 0) -> Line:
    """Return a line that is ticked once."""
    return Line(kind, cells, level, boxes=1)


def said(kind: Kind, texts: Iterable[str], level: int = 0, weight: Weight = "plain") -> Iterator[Line]:
    """Yield a line for each of the texts that is not empty."""
    yield from (Line(kind, (text,), level, weight) for text in texts if text)


def under_heading(title: str, lines: Iterable[Line]) -> Iterator[Line]:
    """Yield the lines below a heading; nothing where there are none."""
    found = tuple(lines)
    if found:
        yield from (Line("heading", (title,)), *found)


def begun_by(lines: Iterable[Line], *kinds: Kind) -> tuple[tuple[Line, ...], ...]:
    """Return the lines in runs that begin with these kinds; the first run begins as it does."""
    return _runs(lines, lambda line: line.kind in kinds)


def bunches(lines: Iterable[Line]) -> tuple[tuple[Line, ...], ...]:
    """Return each line of level 0 with those that belong to it."""
    return _runs(lines, lambda line: not line.level)


def _runs(lines: Iterable[Line], begins: Callable[[Line], bool]) -> tuple[tuple[Line, ...], ...]:
    runs: list[list[Line]] = []
    for line in lines:
        if not runs or begins(line):
            runs.append([])
        runs[-1].append(line)
    return tuple(map(tuple, runs))
