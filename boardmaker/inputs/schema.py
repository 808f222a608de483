"""The shape of both files: which keys there are, and what stands under each.

Values arrive as plain data from the YAML reader and leave converted: quantities in mm, N·m and degrees, threads and
parts looked up in the standards' tables. What concerns more than one key is checked where it is built. A key that is
left out has the default of the model's own field; another None or empty value here only says that nothing is written.
pydantic lives here, in `nesting`, which reads the shapes, in `complaints`, and where board files are read back.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, get_args

from pydantic import BaseModel, BeforeValidator, ConfigDict, Discriminator, Field, Tag

from boardmaker import model
from boardmaker.inputs import values
from boardmaker.inputs.values import one_of
from boardmaker.standards import Part, Thread
from boardmaker.units import TorqueValue, parse_torque

_PLAIN, _MAPPING = "plain", "mapping"  # the two forms of an outline and of margins
_LIST = "list"  # of holes, or plain words


@dataclass(frozen=True)
class KeyOf:
    """Marks a value that names entries of a section; `what` is one of them in the words of a complaint."""

    section: str
    what: str


class Shape(BaseModel):
    """Unknown keys are errors everywhere."""

    model_config = ConfigDict(extra="forbid", frozen=True, arbitrary_types_allowed=True)


def _mapping_or_plain(value: object) -> str:
    return _MAPPING if isinstance(value, dict) else _PLAIN


def _list_or_plain(value: object) -> str:
    return _PLAIN if isinstance(value, str) else _LIST


Text = Annotated[str, BeforeValidator(values.read_text)]
TextOrEmpty = Annotated[str, BeforeValidator(values.read_text_or_empty)]
Words = Annotated[tuple[str, ...], BeforeValidator(values.read_words)]
Length = Annotated[float, BeforeValidator(values.read_length)]
LengthFromNought = Annotated[float, BeforeValidator(values.read_length_from_nought)]
At = Annotated[tuple[float, float], BeforeValidator(values.read_point)]
Size = Annotated[tuple[float, float], BeforeValidator(values.read_size)]
Torque = Annotated[tuple[TorqueValue, ...], BeforeValidator(parse_torque)]
Renew = Annotated[str, BeforeValidator(values.read_renew)]
YesOrNo = Annotated[bool, BeforeValidator(values.read_yes_or_no)]
Count = Annotated[int, BeforeValidator(values.read_count)]
Side = Annotated[model.Side, BeforeValidator(one_of(*get_args(model.Side)))]
View = Annotated[model.View, BeforeValidator(one_of(*get_args(model.View)))]

FastenerKey = Annotated[Text, KeyOf("fasteners", "fastener")]
PanelKey = Annotated[Text, KeyOf("panels", "panel")]
PanelKeys = Annotated[Words, KeyOf("panels", "panel")]
JobKeys = Annotated[Words, KeyOf("jobs", "job")]
RowKeys = Annotated[Words, KeyOf("torques", "torque row")]
EquipmentKeys = Annotated[Words, KeyOf("equipment", "equipment")]


class BikeShape(Shape):
    """`bike`: what it is and how far the file may be trusted."""

    name: Text
    years: TextOrEmpty = model.Bike.years
    source: TextOrEmpty = model.Bike.source
    checked: YesOrNo = model.Bike.checked
    cautions: Words = model.Bike.cautions
    note: TextOrEmpty = ""


class ShoulderShape(Shape):
    """The plain part under a head."""

    length: Length
    diameter: Length


class HeadShape(Shape):
    """A fastener's head."""

    shape: Annotated[str, BeforeValidator(one_of(*values.HEAD_SHAPES))] | None = None
    diameter: Length | None = None
    height: Length | None = None


class FastenerShape(Shape):
    """One kind of fastener."""

    kind: Annotated[str, BeforeValidator(one_of(*values.KINDS))] | None = None
    part: Annotated[Part, BeforeValidator(values.read_part)] | None = None
    thread: Annotated[Thread, BeforeValidator(values.read_thread)] | None = None
    hole: Length | None = model.Fastener.hole
    length: Length | None = None
    shoulder: ShoulderShape | None = None
    head: HeadShape = HeadShape()
    drive: Annotated[str, BeforeValidator(values.read_drive)] = model.Fastener.drive
    torque: Torque | None = None
    property_class: Annotated[str, BeforeValidator(values.read_class)] = Field(
        model.Fastener.property_class, alias="class"
    )
    threadlocker: Annotated[str, BeforeValidator(one_of(*values.LOCKERS))] = model.Fastener.threadlocker
    with_it: Annotated[tuple[str, ...], BeforeValidator(values.read_with_it)] = model.Fastener.with_it
    renew: Renew = model.Fastener.renew
    note: TextOrEmpty = model.Fastener.note


class HoleShape(Shape):
    """One place of one fastener."""

    id: Text | None = None
    at: At | None = None
    distances: dict[str, Length] | None = Field(None, alias="from")  # by the ids of holes of the same panel
    hand: Annotated[str, BeforeValidator(one_of("left", "right"))] | None = None
    fastener: FastenerKey
    also_holds: PanelKeys = model.Hole.also_holds
    into: Annotated[str, BeforeValidator(values.read_into)] = model.Hole.into
    stack: LengthFromNought | None = model.Hole.stack
    depth: LengthFromNought | None = model.Hole.depth
    room: LengthFromNought | None = model.Hole.room
    base: Annotated[str, BeforeValidator(one_of(*values.BASES))] = model.Hole.base
    behind: TextOrEmpty = model.Hole.behind
    note: TextOrEmpty = model.Hole.note
    present: EquipmentKeys = Field(model.Equipment.present, alias="with")
    absent: EquipmentKeys = Field(model.Equipment.absent, alias="without")


class FixingShape(Shape):
    """What holds a panel without a screw."""

    kind: Annotated[str, BeforeValidator(one_of(*values.FIXINGS))]
    at: At | None = model.Fixing.at
    note: TextOrEmpty = model.Fixing.note
    present: EquipmentKeys = Field(model.Equipment.present, alias="with")
    absent: EquipmentKeys = Field(model.Equipment.absent, alias="without")


class OutlineFile(Shape):
    """An outline in an SVG file of the bike file's folder."""

    file: Text
    smooth: YesOrNo = False


Points = Annotated[tuple[tuple[float, float], ...], BeforeValidator(values.read_points)]
Outline = Annotated[
    Annotated[Points, Tag(_PLAIN)] | Annotated[OutlineFile, Tag(_MAPPING)], Discriminator(_mapping_or_plain)
]


FromOutline = Annotated[str, BeforeValidator(one_of(values.FROM_OUTLINE))]
Holes = Annotated[
    Annotated[list[HoleShape], Tag(_LIST)] | Annotated[FromOutline, Tag(_PLAIN)], Discriminator(_list_or_plain)
]


class PanelShape(Shape):
    """One part that comes off; with `mirrors` everything else may be left out."""

    mirrors: PanelKey | None = None
    without_holes: Words | None = None
    name: Text | None = None
    tag: Text | None = None
    side: Side | None = None
    view: View | None = None
    on_bike: At | None = None
    outline: Outline | None = None
    smooth: YesOrNo | None = None
    after: PanelKeys | None = None
    rides_on: PanelKey | None = None
    holes: Holes | None = None
    fixings: list[FixingShape] | None = None
    note: TextOrEmpty | None = None
    present: EquipmentKeys | None = Field(None, alias="with")
    absent: EquipmentKeys | None = Field(None, alias="without")


class SupplyShape(Shape):
    """Something to have at hand."""

    what: Text
    count: Text = model.Supply.count


class JobShape(Shape):
    """One service."""

    name: Text
    every: TextOrEmpty = model.Job.every
    remove: PanelKeys = model.Job.remove
    apart: PanelKeys = model.Job.apart
    torques: RowKeys = ()
    supplies: list[SupplyShape] = []
    note: TextOrEmpty = model.Job.note


class TorqueRowShape(Shape):
    """One row of the torque strip."""

    what: Text
    torque: Torque
    where: TextOrEmpty = model.TorqueRow.where_on_bike
    thread: Annotated[Thread, BeforeValidator(values.read_thread)] | None = model.TorqueRow.thread
    tool: TextOrEmpty = model.TorqueRow.tool
    count: Count = model.TorqueRow.count
    order: TextOrEmpty = model.TorqueRow.order
    renew: Renew = model.TorqueRow.renew
    lubricate: TextOrEmpty = model.TorqueRow.lubricate
    threadlocker: Annotated[str, BeforeValidator(one_of(*values.LOCKERS))] = model.TorqueRow.threadlocker
    property_class: Annotated[str, BeforeValidator(values.read_class)] = Field(
        model.TorqueRow.property_class, alias="class"
    )
    note: TextOrEmpty = model.TorqueRow.note
    jobs: JobKeys = model.TorqueRow.jobs
    present: EquipmentKeys = Field(model.Equipment.present, alias="with")
    absent: EquipmentKeys = Field(model.Equipment.absent, alias="without")


class BikeFileShape(Shape):
    """The whole bike file."""

    format: int
    bike: BikeShape
    equipment: dict[str, Text] = {}
    fasteners: dict[str, FastenerShape] = {}
    panels: dict[str, PanelShape]
    jobs: dict[str, JobShape] = {}
    torques: dict[str, TorqueRowShape] = {}


class BoardShape(Shape):
    """`board` of the setup file."""

    size: Size = model.BoardSetup.size
    thickness: Length = model.BoardSetup.thickness
    material: Annotated[str, BeforeValidator(one_of(*values.MATERIALS))] = model.BoardSetup.material
    margin: LengthFromNought = model.BoardSetup.margin
    clearance: LengthFromNought = model.BoardSetup.clearance
    finger_room: LengthFromNought = model.BoardSetup.finger_room
    ink: Annotated[str, BeforeValidator(one_of(*values.INKS))] = model.BoardSetup.ink
    large: YesOrNo = model.BoardSetup.large


class KeepOutShape(Shape):
    """A lock, a hinge."""

    at: At
    size: Size


class CaseShape(Shape):
    """`case` of the setup file, and each of `cases`."""

    inside: Size | None = None
    outline: Points | None = None
    corner_radius: LengthFromNought = model.CaseSetup.corner_radius
    height: Length | None = model.CaseSetup.height
    floor: Size | None = model.CaseSetup.floor
    clearance: LengthFromNought = model.CaseSetup.clearance
    keep_out: list[KeepOutShape] = []


class MarginsShape(Shape):
    """What a printer cannot print, edge by edge."""

    left: LengthFromNought = model.Margins.left
    right: LengthFromNought = model.Margins.right
    top: LengthFromNought = model.Margins.top
    bottom: LengthFromNought = model.Margins.bottom


class PrinterShape(Shape):
    """`printer` of the setup file."""

    margins: Annotated[
        Annotated[LengthFromNought, Tag(_PLAIN)] | Annotated[MarginsShape, Tag(_MAPPING)],
        Discriminator(_mapping_or_plain),
    ] = MarginsShape()
    scale: Annotated[tuple[float, float], BeforeValidator(values.read_scales)] = model.PrinterSetup.scale


class SetupFileShape(Shape):
    """The whole setup file."""

    format: int
    board: BoardShape = BoardShape()
    case: CaseShape | None = None
    cases: dict[str, CaseShape] = {}  # further cases under names of the user's own
    paper: Text | None = None
    printer: PrinterShape = PrinterShape()
