"""What was found in a finished PDF: frozen records, lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass

from boardmaker.problems import Problem, Severity

Point = tuple[float, float]
Box = tuple[float, float, float, float]  # x0, y0, x1, y1

TRUE_TO = 0.01  # mm, what is said to be true to size is, in the file, to this
ROUNDING = 1e-4  # mm, for the numbers in a PDF: written with six decimals, read in single precision
TOLERANCE = TRUE_TO + ROUNDING


@dataclass(frozen=True)
class Bar:
    """A test bar: the length written at it and the length that the printer will make of it, end line to end line."""

    upright: bool
    stated: float
    printed: float

    @property
    def name(self) -> str:
        """What a message calls it."""
        return "the bar along" if self.upright else "the bar across"

    @property
    def true(self) -> bool:
        """Whether it is as long as is written at it."""
        return abs(self.printed - self.stated) <= TOLERANCE


@dataclass(frozen=True)
class PageReport:
    """A page (numbered from 1) with its width and height and its test bars."""

    number: int
    width: float
    height: float
    bars: tuple[Bar, ...]


@dataclass(frozen=True)
class Proof:
    """All that was read, and the problems: an error is something that makes the print untrue.

    `fonts` tells of each font whether the file brings it; `boxes_plain`: every page begins at 0, 0, is neither cropped
    nor turned, and has no unit of its own; `printer_scale` is the scale that the file records (printed length by true
    length), None where it records none.
    """

    pages: tuple[PageReport, ...]
    fonts: dict[str, bool]
    boxes_plain: bool
    print_scaling: str
    printer_scale: Point | None
    problems: tuple[Problem, ...]
    measured: bool = True

    @property
    def errors(self) -> tuple[Problem, ...]:
        """The problems that make the print untrue."""
        return tuple(problem for problem in self.problems if problem.severity is Severity.ERROR)
