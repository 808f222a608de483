"""The form of the board file: one record for each kind of entry, for writing and for reading back.

Lengths in mm on the board, origin at the lower left corner of a board's stock, y up; angles in degrees,
counter-clockwise. What is None or left at its default does not stand in the file, but for the lists that every entry of
its kind has. Users keep these files and `repack` reads them, so names stay as they are.
"""

from __future__ import annotations

from dataclasses import dataclass

from boardmaker.case import CornerCut, InCase
from boardmaker.geometry import Point, Ring
from boardmaker.model import Bike, Setup
from boardmaker.sheets import Sheet
from boardmaker.typeset.label import Box

FORMAT = 1


@dataclass(frozen=True, kw_only=True)
class PocketEntry:
    """One pocket; a parking pocket has no hole, number, fastener and true place.

    `square` is that of the board's grid: "B3" is in the second column from the left and the third row from the top.
    """

    hole: str | None = None
    number: int | None = None
    fastener: str | None = None
    at: Point
    true_at: Point | None = None
    hole_diameter: float
    head_diameter: float
    behind: str | None = None
    must_not: str | None = None
    carries: bool | None = None  # the screw that comes out last, and still holds its panel
    square: str | None = None


@dataclass(frozen=True, kw_only=True)
class LabelEntry:
    """The words of a label and the box that they claim."""

    text: str
    box: Box


@dataclass(frozen=True, kw_only=True)
class GhostEntry:
    """The mark of a screw that has its pocket on another panel."""

    hole: str
    at: Point


@dataclass(frozen=True, kw_only=True)
class FixingEntry:
    """The mark of what holds a panel without a screw."""

    kind: str
    at: Point


@dataclass(frozen=True, kw_only=True)
class ItemEntry:
    """One thing on a board: where its own origin lies, its turn, all the room that it claims; more on a panel."""

    kind: str
    key: str | None = None
    at: Point
    turn: float
    shape: int | None = None  # of a table that comes in several: which
    type: float | None = None  # how many times as large as usual its words are, where they have grown
    outline: Ring | None = None
    zone: Ring
    pockets: tuple[PocketEntry, ...] | None = None
    labels: tuple[LabelEntry, ...] = ()
    leaders: tuple[Ring, ...] | None = None
    ghosts: tuple[GhostEntry, ...] | None = None
    fixings: tuple[FixingEntry, ...] | None = None

    @property
    def name(self) -> tuple[str, str]:
        """By which a thing is known: its kind and its key."""
        return self.kind, self.key or ""


@dataclass(frozen=True, kw_only=True)
class GridEntry:
    """Into how many equal columns and rows the grid at a board's edges divides its stock.

    Columns have letters from the left, without I and O, rows numbers from the top.
    """

    columns: int
    rows: int


@dataclass(frozen=True, kw_only=True)
class BoardEntry:
    """One board: the rectangle that it is cut from, its outline and cuts, where it lies in the case, what is on it.

    `grid` and the squares of its pockets are missing where none is drawn, as on a small board.
    """

    stock: Point
    outline: Ring
    corner_cuts: tuple[CornerCut, ...] = ()
    in_case: InCase | None = None
    grid: GridEntry | None = None
    items: tuple[ItemEntry, ...]


@dataclass(frozen=True, kw_only=True)
class BikeEntry:
    """Which bike file the board was made from, for which jobs, with which equipment; `model` is the bike itself."""

    name: str
    file: str
    sha256: str
    jobs: tuple[str, ...] = ()
    equipment: tuple[str, ...] = ()
    model: Bike | None = None


@dataclass(frozen=True, kw_only=True)
class BoardFile:
    """A whole board file."""

    format: int
    boardmaker: str = ""  # the version that wrote it
    geometry: str = ""  # the library that drew the zones, and its release: another may draw other ones
    bike: BikeEntry
    setup: Setup
    scale: float  # unrounded: figures are laid out anew from it
    reading: dict[str, float] | None = None  # shares from 0 to 1 by name, and their mean; see `packing/reading.py`
    boards: tuple[BoardEntry, ...]
    sheets: tuple[Sheet, ...] = ()
    interrupted: bool | None = None
