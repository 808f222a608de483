"""The bike and the setup as the stages after `inputs` see them: frozen, resolved, checked.

Lengths in mm, torques in N·m, angles in degrees. Mirrors are already carried out, quantities converted, parts looked
up, references known to exist. Equipment is not yet applied: that is a choice of the run, not of the file.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal, TypeVar

from boardmaker.problems import Place
from boardmaker.standards import Thread

Point = tuple[float, float]
Side = Literal["left", "right", "centre"]
View = Literal["side", "top", "front", "rear"]


@dataclass(frozen=True)
class TorqueStage:
    """One step of tightening: a torque (low = high unless a range was given) or an angle, never both."""

    low_nm: float | None = None
    high_nm: float | None = None
    angle_deg: float | None = None


@dataclass(frozen=True)
class Torque:
    """Stages in working order; a plain torque has one."""

    stages: tuple[TorqueStage, ...]


@dataclass(frozen=True)
class Head:
    """A head's shape (a word of the bike file), diameter over everything and height in mm."""

    shape: str
    diameter: float
    height: float
    height_assumed: bool = False
    diameter_assumed: bool = False
    shape_assumed: bool = False


@dataclass(frozen=True)
class Shoulder:
    """The plain part under the head; length and diameter in mm."""

    length: float
    diameter: float


@dataclass(frozen=True)
class Fastener:
    """One kind of fastener, under its key of the bike file."""

    key: str
    kind: str
    length: float
    head: Head
    thread: Thread | None = None
    hole: float | None = None  # the hole that a clip or rivet is pushed into, mm
    length_assumed: bool = False
    shoulder: Shoulder | None = None
    drive: str = ""
    torque: Torque | None = None
    property_class: str = ""
    threadlocker: str = "none"
    with_it: tuple[str, ...] = ()
    renew: str = ""  # "" no, "yes", or what exactly to renew
    note: str = ""
    part: str = ""  # the designation as written, "" if none
    where: Place | None = field(default=None, compare=False)

    @property
    def diameter(self) -> float:
        """What goes through the board: the thread's diameter, else a clip's hole, mm."""
        return self.thread.diameter if self.thread else (self.hole or 6.0)


@dataclass(frozen=True)
class Equipment:
    """What a thing is tied to: it is there only with every key of `present` on and every key of `absent` off."""

    present: tuple[str, ...] = ()
    absent: tuple[str, ...] = ()


@dataclass(frozen=True)
class Hole:
    """One place of one fastener; `at` in the panel's own frame, mm on the bike."""

    id: str
    at: Point
    fastener: str
    also_holds: tuple[str, ...] = ()
    into: str = ""
    stack: float | None = None
    depth: float | None = None
    room: float | None = None  # as written, or `depth` where `behind` is set
    behind: str = ""
    note: str = ""
    equipment: Equipment = Equipment()
    where: Place | None = field(default=None, compare=False)


@dataclass(frozen=True)
class Fixing:
    """What holds a panel without a screw; `at` in the panel's frame, or None where it has no drawn place."""

    kind: str
    at: Point | None = None
    note: str = ""
    equipment: Equipment = Equipment()
    where: Place | None = field(default=None, compare=False)


@dataclass(frozen=True)
class Panel:
    """One part that comes off. `outline` is a simple counter-clockwise ring (not closed); empty if it has no holes."""

    key: str
    name: str
    tag: str
    side: Side
    view: View
    outline: tuple[Point, ...]
    holes: tuple[Hole, ...]
    fixings: tuple[Fixing, ...] = ()
    on_bike: Point | None = None
    after: tuple[str, ...] = ()
    rides_on: str = ""
    mirrors: str = ""  # key of the panel that this one was mirrored from
    outline_drawn: bool = False  # True where the program drew the outline around the holes
    note: str = ""
    equipment: Equipment = Equipment()
    where: Place | None = field(default=None, compare=False)


@dataclass(frozen=True)
class Supply:
    """Something to have at hand for a job; `count` as written (`1`, `4 L`)."""

    what: str
    count: str = "1"


@dataclass(frozen=True)
class TorqueRow:
    """One row of the torque strip; `jobs` are all jobs that it belongs to, empty for the card `general`."""

    key: str
    what: str
    torque: Torque
    where_on_bike: str = ""
    thread: Thread | None = None
    tool: str = ""
    count: int = 1
    order: str = ""
    renew: str = ""  # "" no, "yes", or what exactly to renew
    lubricate: str = ""
    threadlocker: str = "none"
    property_class: str = ""
    note: str = ""
    jobs: tuple[str, ...] = ()
    equipment: Equipment = Equipment()
    where: Place | None = field(default=None, compare=False)


@dataclass(frozen=True)
class Job:
    """One service: the panels that it names for removal, the riders that it takes apart, its supplies."""

    key: str
    name: str
    every: str = ""
    remove: tuple[str, ...] = ()
    apart: tuple[str, ...] = ()
    supplies: tuple[Supply, ...] = ()
    note: str = ""
    where: Place | None = field(default=None, compare=False)


@dataclass(frozen=True)
class Bike:
    """A whole bike file. Tuples keep the order of the file; keys are unique in each."""

    name: str
    file: str  # file name without its folder
    sha256: str
    fasteners: tuple[Fastener, ...]
    panels: tuple[Panel, ...]
    years: str = ""
    source: str = ""
    checked: bool = False
    cautions: tuple[str, ...] = ()
    equipment: tuple[tuple[str, str], ...] = ()  # key, what it is
    jobs: tuple[Job, ...] = ()
    torques: tuple[TorqueRow, ...] = ()

    def fastener(self, key: str) -> Fastener:
        """Return the fastener of this key; KeyError where there is none (inputs has checked them all)."""
        return _by_key(self.fasteners, key)

    def panel(self, key: str) -> Panel:
        """Return the panel of this key; KeyError where there is none."""
        return _by_key(self.panels, key)


K = TypeVar("K", Fastener, Panel)


def _by_key(things: tuple[K, ...], key: str) -> K:
    for thing in things:
        if thing.key == key:
            return thing
    raise KeyError(key)


@dataclass(frozen=True)
class BoardSetup:
    """Board stock. `size` is (long side, short side): the stock lies with its long side along x."""

    size: Point = (762.0, 508.0)
    thickness: float = 5.0
    material: str = "foam board"
    margin: float = 8.0
    clearance: float = 6.0
    finger_room: float = 4.0


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
    inches: bool = False  # the user wrote the board size in inches: lengths to mark are said in inches too


@dataclass(frozen=True)
class BagCount:
    """So many pieces in a bag: of a kind of fastener, or of what is kept with it (`item`, such as washer)."""

    fastener: str
    count: int
    item: str = ""


@dataclass(frozen=True)
class Bag:
    """What somebody counted out of a bag; a kind stands in it once."""

    counts: tuple[BagCount, ...]

    def count_of(self, fastener: str, item: str = "") -> int:
        """Return how many pieces there are; 0 for what was not listed."""
        return sum(one.count for one in self.counts if (one.fastener, one.item) == (fastener, item))

    @property
    def counts_items(self) -> bool:
        """Whether anybody counted washers and the like."""
        return any(one.item for one in self.counts)


Found = Literal["ok", "missing", "other", "wrong"]


@dataclass(frozen=True)
class AuditFind:
    """What somebody found in a hole: `wrong` is the fastener of another key, `other` one that no key stands for."""

    hole_key: str  # panel/hole
    found: Found
    fastener: str = ""  # the key of a wrong one


@dataclass(frozen=True)
class Audit:
    """What a strip-down brought to light; a hole stands in it once, and one that does not was not looked at."""

    finds: tuple[AuditFind, ...]
