"""The bike: fasteners, panels, jobs and torque rows, frozen, resolved, checked.

Lengths in mm, torques in N·m, angles in degrees. Mirrors are already carried out, quantities converted, parts looked
up, references known to exist. Equipment is not yet applied: that is a choice of the run, not of the file.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal, TypeVar

from boardmaker.geometry import Point
from boardmaker.problems import Place
from boardmaker.standards import Thread

Side = Literal["left", "right", "centre"]
LONGEST_STANDING = 45.0  # mm below the shoulder: a board stands on spacers for its longest tip (no source)
View = Literal["top", "front", "rear", "side"]


@dataclass(frozen=True)
class TorqueStage:
    """One step of tightening: a torque (low = high unless a range was given) or an angle, never both."""

    low_nm: float | None = None
    high_nm: float | None = None
    angle_deg: float | None = None
    written: str = ""  # the torque as written, where that is in another unit: `44 lbf·in`


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
    diameter_written: str = ""  # here and below: as written, where that is in inches


@dataclass(frozen=True)
class Shoulder:
    """The plain part under the head; length and diameter in mm."""

    length: float
    diameter: float
    length_written: str = ""
    diameter_written: str = ""


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
    length_written: str = ""
    hole_written: str = ""
    where: Place | None = field(default=None, compare=False)

    @property
    def diameter(self) -> float:
        """What goes through the board: the thread's diameter, else a clip's hole, mm."""
        return self.thread.diameter if self.thread else (self.hole or 6.0)

    @property
    def lies_flat(self) -> bool:
        """Whether it is too long to stand in a board that rides in a case: then it lies on the board, by its pocket."""
        return self.length - (self.shoulder.length if self.shoulder else 0.0) > LONGEST_STANDING

    @property
    def standard(self) -> str:
        """The standard of its part, such as `ISO 7380-2`, "" for none."""
        return self.part.split(" - ")[0].strip()


@dataclass(frozen=True)
class Equipment:
    """What a thing is tied to: it is there only with every key of `present` on and every key of `absent` off."""

    present: tuple[str, ...] = ()
    absent: tuple[str, ...] = ()


@dataclass(frozen=True)
class ByDistances:
    """How a hole's place came from distances to other holes.

    `off`: by the id of each hole, by how many mm the distance to it is longer than it was measured. `spread`: by how
    many mm the place moves, at worst, where the distances are off by 1 mm.
    """

    off: tuple[tuple[str, float], ...]
    spread: float


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
    room: float | None = None
    base: str = ""  # what a metal thread is cut into; "" where nothing is said
    behind: str = ""
    note: str = ""
    equipment: Equipment = Equipment()
    where: Place | None = field(default=None, compare=False)
    by: ByDistances | None = field(default=None, compare=False)  # None: its place was written, or mirrored


@dataclass(frozen=True)
class UnplacedHole:
    """A hole of a file with mistakes whose distances do not say where it is.

    `circles`: the places that it is measured from, and how far it is from each, mm; () where one of these has no place
    either. `near`: the place that fits best, by which it is drawn.
    """

    id: str
    fastener: str
    circles: tuple[tuple[Point, float], ...]
    near: Point | None
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
    """One part that comes off.

    `outline` is a simple counter-clockwise ring (not closed); empty where none is written and there are no holes.
    `unplaced` is empty but where the file has mistakes.
    """

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
    unplaced: tuple[UnplacedHole, ...] = ()


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
