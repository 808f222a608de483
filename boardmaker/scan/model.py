"""What to look for on a scanned test page, and what was measured there."""

from __future__ import annotations

from dataclasses import dataclass

from boardmaker.geometry import Point


@dataclass(frozen=True)
class ScanMarks:
    """The black discs of the test page, mm from the page's lower left corner as drawn.

    `places` are those that every test page has, in any order but with the orientation disc last: it alone tells the
    page from itself turned round, so it must not lie where another disc would come to lie then. A disc at `check_place`
    says that this is the check page. `diameter` in mm.
    """

    places: tuple[Point, ...]
    check_place: Point
    diameter: float


@dataclass(frozen=True)
class ScanMeasurement:
    """By how much the printer stretched the page, as far as the scanner is right.

    `scale` is printed length by true length, across (the page's x) and along (its y). `uncertainty` holds for the same
    two numbers at 95 %, from the fit of the disc centres alone (see `fit.Fit.uncertainty`): a scanner's own error of
    length, often 0.1 to 0.5 % (common practice, no source), is not in it. `dots_per_inch` is the resolution of the
    picture as it was used, across and down the picture. `turn_deg` is how the page lay on the glass, counter-clockwise,
    -180 to 180. `largest_residual` is how far a disc lies from where the fitted page has it, mm on the page; `discs` is
    how many discs the fit uses.
    """

    scale: Point
    uncertainty: Point
    dots_per_inch: Point
    turn_deg: float
    largest_residual: float
    discs: int
    is_check_page: bool
