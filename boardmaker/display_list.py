"""The display list: all that a renderer ever sees.

Millimetres, origin lower left, y up, angles counter-clockwise. Ink is a grey from 0.0 (black) to 1.0 (white), or a
colour: red, green and blue from 0.0 to 1.0. Later items lie over earlier ones. Circles stay
circles; nothing is rounded.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

Point = tuple[float, float]
Ink = float | tuple[float, float, float]


@dataclass(frozen=True)
class Path:
    """A run of straight lines; `line_width` 0 draws no line, `fill` None no area; `dash` is on, off, on … in mm."""

    points: tuple[Point, ...]
    closed: bool = False
    line_width: float = 0.25
    ink: Ink = 0.0
    fill: Ink | None = None
    dash: tuple[float, ...] = ()


@dataclass(frozen=True)
class Circle:
    """A true circle; line and fill as for `Path`."""

    centre: Point
    diameter: float
    line_width: float = 0.25
    ink: Ink = 0.0
    fill: Ink | None = None
    dash: tuple[float, ...] = ()


@dataclass(frozen=True)
class Text:
    """One line of type. `at` is on the baseline; `height` is that of the capitals; `angle_deg` 0 or 90."""

    at: Point
    text: str
    height: float = 2.5
    anchor: Literal["start", "middle", "end"] = "start"
    angle_deg: int = 0
    bold: bool = False
    ink: Ink = 0.0


@dataclass(frozen=True)
class Window:
    """A part of another drawing, shown through a rectangle of this one.

    `source` [x0, y0, x1, y1] of the inner items appears in the rectangle whose lower left corner is `at`, after a
    turn by `turn_deg` (0, 90 or 270), at 90 and 270 as wide as the source is high. Everything outside `source` is
    clipped.
    """

    items: tuple[DisplayItem, ...]
    source: tuple[float, float, float, float]
    at: Point
    turn_deg: int = 0

    @property
    def size(self) -> Point:
        """Width and height of the rectangle on this drawing, mm."""
        x0, y0, x1, y1 = self.source
        return (x1 - x0, y1 - y0) if self.turn_deg == 0 else (y1 - y0, x1 - x0)


DisplayItem = Path | Circle | Text | Window


@dataclass(frozen=True)
class Drawing:
    """One board at true size, in the groups that a cutter tells apart.

    `cut`: outline and corner cuts (closed paths). `holes`: one circle a pocket. `print`: everything else.
    """

    width: float
    height: float
    cut: tuple[Path, ...]
    holes: tuple[Circle, ...]
    print: tuple[DisplayItem, ...]

    def groups(self) -> Iterator[tuple[str, tuple[DisplayItem, ...]]]:
        """Yield (group name, items) from the lowest layer to the highest."""
        yield "print", self.print
        yield "holes", self.holes
        yield "cut", self.cut

    @property
    def items(self) -> tuple[DisplayItem, ...]:
        """All items, lowest first."""
        return tuple(item for _, items in self.groups() for item in items)


@dataclass(frozen=True)
class Page:
    """One page of a PDF: its size in mm, what is on it, its page label and its bookmark."""

    width: float
    height: float
    items: tuple[DisplayItem, ...]
    label: str = ""
    bookmark: str = ""
