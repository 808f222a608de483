"""Where things go on a page: the picture, and around it the test bars, marks and words.

A page is always portrait; a landscape picture is turned by 90 degrees on it. That keeps the printer's across (x) and
along (y) the same for every page.
"""

from __future__ import annotations

from dataclasses import dataclass

from boardmaker.model import Margins, Paper, PrinterSetup, Setup
from boardmaker.problems import Problem, ProblemsFound, error

Box = tuple[float, float, float, float]

LEFT = 9.0  # mm beside the picture for the upright test bar
BOTTOM = 12.4  # mm under the picture for the lying test bar, the names and the page map
MARKS = 3.6  # mm above and to the right of the picture for cut marks
WORDS_LENGTH = 260.0  # mm of a roll for a page of words
LEAST_PICTURE = 64.0  # mm; on a smaller page there is no room for a bar to measure


@dataclass(frozen=True)
class PageLayout:
    """A page's size and the largest picture on it, mm from its lower left corner."""

    width: float
    height: float
    margins: Margins
    picture: Box
    roll: bool = False

    @property
    def picture_size(self) -> tuple[float, float]:
        """Width and height of the largest picture."""
        x0, y0, x1, y1 = self.picture
        return x1 - x0, y1 - y0


def lay_page(setup: Setup, calibrated: bool = True) -> PageLayout:
    """Return the layout for the setup's paper. Raises ProblemsFound where its margins leave no room.

    A calibrated page is drawn with the inverse of the printer's scale, so a printer that shrinks has less room: what is
    drawn at x lands at x / scale before it is printed.
    """
    paper, printer = setup.paper, setup.printer
    margins = _drawn_margins(paper, printer) if calibrated else printer.margins
    layout = _layout(paper.width, paper.height, margins, paper.roll)
    if min(layout.picture_size) < LEAST_PICTURE:
        raise ProblemsFound([_too_small(paper, printer.margins)])
    return layout


def _drawn_margins(paper: Paper, printer: PrinterSetup) -> Margins:
    """The margins within which to draw, so that after calibration nothing lies in what cannot be printed."""
    (across, along), margins = printer.scale, printer.margins
    return Margins(
        left=margins.left * max(1.0, across),
        right=max(margins.right, paper.width - (paper.width - margins.right) * across),
        top=max(margins.top, paper.height - (paper.height - margins.top) * along),
        bottom=margins.bottom * max(1.0, along),
    )


def page_for(layout: PageLayout, width: float, height: float) -> PageLayout:
    """Return a page just large enough for one picture of this size, with the same margins."""
    margins = layout.margins
    page_width = margins.left + LEFT + width + MARKS + margins.right
    page_height = margins.bottom + BOTTOM + height + MARKS + margins.top
    return _layout(page_width, page_height, margins, roll=False)


def shorten_roll(layout: PageLayout, height: float) -> PageLayout:
    """Return a roll's page cut off after a picture of this height; any other page as it is."""
    if not layout.roll:
        return layout
    page_height = layout.margins.bottom + BOTTOM + height + MARKS + layout.margins.top
    return _layout(layout.width, page_height, layout.margins, roll=True)


def _layout(width: float, height: float, margins: Margins, roll: bool) -> PageLayout:
    picture = (
        margins.left + LEFT,
        margins.bottom + BOTTOM,
        width - margins.right - MARKS,
        height - margins.top - MARKS,
    )
    return PageLayout(width, height, margins, picture, roll)


def _too_small(paper: Paper, margins: Margins) -> Problem:
    return error(
        f"paper {paper.name} ({paper.width:g} x {paper.height:g} mm) with printer margins {margins.left:g}, "
        f"{margins.right:g}, {margins.top:g} and {margins.bottom:g} mm leaves no room for a picture",
        hint="take larger paper or check printer: margins in the setup file",
    )
