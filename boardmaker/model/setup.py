"""The setup: what the user owns, board stock, case, paper and printer, every value resolved. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass

from boardmaker.geometry import Point

LARGEST_BOARD = 10_000.0  # mm
SMALLEST_BOARD = 60.0


@dataclass(frozen=True)
class BoardSetup:
    """Board stock, and what is drawn on it. `size` is (long side, short side): the long side lies along x.

    `ink` "black" leaves colour out; `large` sets all words half as large again.
    """

    size: Point = (762.0, 508.0)
    thickness: float = 5.0
    material: str = "foam board"
    margin: float = 8.0
    clearance: float = 6.0
    finger_room: float = 4.0
    ink: str = "colour"
    large: bool = False


@dataclass(frozen=True)
class KeepOut:
    """A rectangle over the case's full height that no board may enter: lower left corner and size."""

    at: Point
    size: Point


@dataclass(frozen=True)
class CaseSetup:
    """The inside of the box: a rectangle with corner radius, or any outline (then `inside` is its bounding size)."""

    inside: Point
    outline: tuple[Point, ...] = ()  # counter-clockwise, lower left of its bounding box at the origin
    corner_radius: float = 0.0
    height: float | None = None
    floor: Point | None = None
    clearance: float = 0.0
    keep_out: tuple[KeepOut, ...] = ()
    inches: bool = False  # it was written in inches


@dataclass(frozen=True)
class Paper:
    """A sheet, portrait: `width` <= `height`. A roll is as wide as the roll and as long as a sheet needs."""

    name: str
    width: float
    height: float
    roll: bool = False


@dataclass(frozen=True)
class Margins:
    """What a printer cannot print, mm from each edge of the portrait page."""

    left: float = 10.0
    right: float = 10.0
    top: float = 10.0
    bottom: float = 10.0


@dataclass(frozen=True)
class PrinterSetup:
    """Margins and scale: printed length / true length across (x) and along (y) the portrait page."""

    margins: Margins = Margins()
    scale: Point = (1.0, 1.0)


@dataclass(frozen=True)
class Setup:
    """What the user owns: stock, case, paper, printer. Every value resolved."""

    board: BoardSetup = BoardSetup()
    case: CaseSetup | None = None
    paper: Paper = Paper("A4", 210.0, 297.0)
    printer: PrinterSetup = PrinterSetup()
    cases: tuple[tuple[str, CaseSetup], ...] = ()  # further cases by name, for the command line to choose from
    inches: bool = False  # the user wrote the board size in inches: sizes of stock are said in inches too

    @property
    def cuts_in_inches(self) -> bool:
        """Whether lengths to cut off are said in inches: as the case is written, which asks for them."""
        return self.case.inches if self.case else self.inches
