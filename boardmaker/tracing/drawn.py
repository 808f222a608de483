"""What a drawing shows, whatever its format: shapes and words in mm, each with the names around it.

The readers of SVG and DXF make these records, `sorting` makes panels of them. y goes up; where the origin lies does not
matter.
"""

from __future__ import annotations

from dataclasses import dataclass

from boardmaker.geometry import Point
from boardmaker.tracing.curve import Curve
from boardmaker.tracing.found import Ignored

MOST_POINTS = 200_000  # of a drawing, curves flattened, which takes seconds; 40 panels have 50 000
LARGEST_RING = 50_000  # points of one line, curves flattened
MOST_ELEMENTS = 20_000  # of a drawing, also after `use` is carried out; 40 panels have 2000


@dataclass(frozen=True)
class NameLevel:
    """What one element, group, layer or block is called; `node` tells it from another one of the same name."""

    node: tuple[int, ...] | str
    by_hand: tuple[str, ...] = ()  # labels and titles, which nobody writes but the one who draws
    by_program: tuple[str, ...] = ()  # ids, which a program makes up where nobody wrote one


@dataclass(frozen=True)
class RoundShape:
    """The circle or ellipse that a shape is, mm."""

    centre: Point
    width: float  # the larger diameter
    height: float  # the smaller one


@dataclass(frozen=True)
class DrawnShape:
    """One line of the drawing, curves flattened; `round` where it is a circle or an ellipse."""

    points: tuple[Point, ...]
    closed: bool
    names: tuple[NameLevel, ...]  # its own first, then those around it
    what: str  # "circle 'A-3'"
    line: int = 0  # of the file, from 1; 0 where the format has no lines that anybody would look at
    round: RoundShape | None = None
    letter_chosen: bool = False  # a hole's letter that somebody chose on the page, against the bike file's
    curve: Curve = ()  # a closed line in its own few pieces, where it is drawn with curves


@dataclass(frozen=True)
class DrawnWords:
    """A text, and the middle of the room that it takes, as near as can be told without its font."""

    at: Point
    words: str
    names: tuple[NameLevel, ...]
    half: Point = (0.0, 0.0)  # from the middle to the end of the words, mm
    line: int = 0  # of the file, as of a shape

    @property
    def what(self) -> str:
        """The text in words, for messages."""
        return f"text '{self.words}'{f' in line {self.line}' if self.line else ''}"


@dataclass(frozen=True)
class SeenDrawing:
    """All that is seen in a drawing."""

    shapes: tuple[DrawnShape, ...]
    texts: tuple[DrawnWords, ...]
    scale_said: str
    page: tuple[float, float, float, float] | None = None  # x0, y0, x1, y1 of the sheet that it is drawn on
    ignored: tuple[Ignored, ...] = ()
    frame: Point | None = None  # where the panel's [0, 0] lies, in a drawing that says so: one saved on a page
