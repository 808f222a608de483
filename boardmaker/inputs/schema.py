"""The shape of both files: which keys there are, and what stands under each. pydantic lives here and in `complaints`.

Values arrive as plain data from the YAML reader and leave converted: quantities in mm, N·m and degrees, threads and
parts looked up in the standards' tables. What concerns more than one key is checked where it is built.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Discriminator, Field, Tag

from boardmaker.problems import nearest
from boardmaker.standards import Part, Thread, parse_part, parse_thread
from boardmaker.standards.strength import check_class
from boardmaker.units import TorqueValue, parse_length, parse_size, parse_torque, show_value

PLAIN, MAPPING = "(plain)", "(mapping)"  # the two forms of an outline and of margins
LONGEST = 10_000.0  # mm; nothing on a motorcycle is longer


class Shape(BaseModel):
    """Unknown keys are errors everywhere."""

    model_config = ConfigDict(extra="forbid", frozen=True, arbitrary_types_allowed=True)


def _text(value: object) -> str:
    """A text, or a number as it was written."""
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        hint = ": write it in quotes" if isinstance(value, bool) else ""
        raise ValueError(f"{show_value(value)} is no text{hint}")
    text = " ".join(str(getattr(value, "written", value)).split())
    if not text:
        raise ValueError("this text is empty: write something here, or take the key out")
    return text


def _text_or_empty(value: object) -> str:
    return "" if value == "" else _text(value)


def _length(value: object) -> float:
    return _within(parse_length(value), value)


def _within(length: float, value: object) -> float:
    if abs(length) > LONGEST:
        raise ValueError(f"{show_value(value)} is more than {LONGEST / 1000:g} m")
    return length


def _positive_length(value: object) -> float:
    length = _length(value)
    if length <= 0.0:
        raise ValueError(f"{show_value(value)} is not more than nought")
    return length


def _length_from_nought(value: object) -> float:
    length = _length(value)
    if length < 0.0:
        raise ValueError(f"{show_value(value)} is less than nought")
    return length


def _point(value: object) -> tuple[float, float]:
    if not isinstance(value, list) or len(value) != 2:
        raise ValueError(f"{show_value(value)} is no place: write x and y, such as [220, 90]")
    return _length(value[0]), _length(value[1])


def _size(value: object) -> tuple[float, float]:
    width, height = parse_size(value)
    if min(width, height) <= 0.0:
        raise ValueError(f"{show_value(value)} is not more than nought")
    return _within(width, value), _within(height, value)


def _thread(value: object) -> Thread:
    return parse_thread(_text(value))


def _part(value: object) -> Part:
    return parse_part(_text(value))


def _class(value: object) -> str:
    """A class of ISO 898-1 (or ISO 3506-1) for screws; nuts have classes of their own."""
    text = _text(value)
    try:
        return check_class(text, "screw")
    except ValueError as wrong:
        try:
            return check_class(text, "nut")
        except ValueError:
            raise wrong from None


_DRIVE_FORMS: tuple[tuple[str, str], ...] = (
    (r"TX?\s*(\d+)", "T{}"),
    (r"PH\s*(\d)", "PH{}"),
    (r"PZ\s*(\d)", "PZ{}"),
    (r"hex(?:\s+socket)?\s*(\d+(?:[.,]\d+)?)", "hex {}"),
    (r"hexagon\s*(\d+(?:[.,]\d+)?)", "hexagon {}"),
    (r"JIS\s*(\d)", "JIS {}"),
)


def _drive(value: object) -> str:
    text = _text(value)
    if text.casefold() == "slot":
        return "slot"
    for form, wording in _DRIVE_FORMS:
        if match := re.fullmatch(form, text, re.IGNORECASE):
            return wording.format(match[1].replace(",", "."))
    raise ValueError(f'"{text}" is no drive: write T30, PH2, PZ2, hex 4, hexagon 10, slot or JIS 2')


def _renew(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else ""
    return _text(value)


def _words(value: object) -> tuple[str, ...]:
    """One word or a list of them."""
    if isinstance(value, list):
        return tuple(_text(one) for one in value)
    return (_text(value),)


def _torque(value: object) -> tuple[TorqueValue, ...]:
    return parse_torque(value)


def one_of(*words: str) -> Callable[[object], str]:
    """Return a check that a text is one of these words, with the nearest in the complaint."""

    def check(value: object) -> str:
        text = _text(value)
        for word in words:
            if text.casefold() == word.casefold():
                return word
        near = nearest(text, words)
        raise ValueError(f'"{text}" is not one of: {", ".join(words)}' + (f'; did you mean "{near}"?' if near else ""))

    return check


def _points(value: object) -> tuple[tuple[float, float], ...]:
    if not isinstance(value, list):
        raise ValueError(f"{show_value(value)} is no outline: write a list of points or {{ file: outlines/name.svg }}")
    return tuple(_point(point) for point in value)


def _mapping_or_plain(value: object) -> str:
    return MAPPING if isinstance(value, dict) else PLAIN


def _checked(value: object) -> bool:
    if not isinstance(value, bool):
        raise ValueError(f"{show_value(value)} is neither true nor false")
    return value


def _count(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= 999:
        raise ValueError(f"{show_value(value)} is no count: write a whole number from 1")
    return value


def _scale(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise ValueError(f"{show_value(value)} is no scale: write printed length / true length, such as 1.003")
    if not 0.95 <= value <= 1.05:
        raise ValueError(
            f"{value} is more than 5 % off: write 1.0 and print at 100 %; the print dialog scaled the page"
        )
    return float(value)


def _scales(value: object) -> tuple[float, float]:
    if not isinstance(value, list) or len(value) != 2:
        raise ValueError(f"{show_value(value)} is no scale: write across and along, such as [1.003, 0.998]")
    return _scale(value[0]), _scale(value[1])


Text = Annotated[str, BeforeValidator(_text)]
TextOrEmpty = Annotated[str, BeforeValidator(_text_or_empty)]
Words = Annotated[tuple[str, ...], BeforeValidator(_words)]
Length = Annotated[float, BeforeValidator(_positive_length)]
LengthFromNought = Annotated[float, BeforeValidator(_length_from_nought)]
At = Annotated[tuple[float, float], BeforeValidator(_point)]
Size = Annotated[tuple[float, float], BeforeValidator(_size)]
Torque = Annotated[tuple[TorqueValue, ...], BeforeValidator(_torque)]
Renew = Annotated[str, BeforeValidator(_renew)]
YesOrNo = Annotated[bool, BeforeValidator(_checked)]
Count = Annotated[int, BeforeValidator(_count)]
Side = Annotated[Literal["left", "right", "centre"], BeforeValidator(one_of("left", "right", "centre"))]
View = Annotated[Literal["side", "top", "front", "rear"], BeforeValidator(one_of("top", "front", "rear", "side"))]
KINDS = ("screw", "shoulder screw", "tapping screw", "bolt", "nut", "push clip", "screw rivet", "quarter turn")
HEAD_SHAPES = (
    "button", "flanged button", "pan", "binding", "cylinder", "countersunk", "raised countersunk", "hex",
    "flanged hex", "round",
)  # fmt: skip
INTO = ("metal thread", "threaded insert", "clip nut", "well nut", "plastic boss", "through")
FIXINGS = ("grommet pin", "hook", "tab", "interlocking tape", "clip", "strap", "connector", "hose", "other")
WITH_IT = ("washer", "collar", "nut", "grommet")
LOCKERS = ("none", "light", "medium", "strong")
MATERIALS = ("foam board", "corrugated plastic", "plywood", "hardboard", "cork")


class BikeShape(Shape):
    """`bike`: what it is and how far the file may be trusted."""

    name: Text
    years: TextOrEmpty = ""
    source: TextOrEmpty = ""
    checked: YesOrNo = False
    cautions: Words = ()
    note: TextOrEmpty = ""


class ShoulderShape(Shape):
    """The plain part under a head."""

    length: Length
    diameter: Length


class HeadShape(Shape):
    """A fastener's head."""

    shape: Annotated[str, BeforeValidator(one_of(*HEAD_SHAPES))] | None = None
    diameter: Length | None = None
    height: Length | None = None


class FastenerShape(Shape):
    """One kind of fastener."""

    kind: Annotated[str, BeforeValidator(one_of(*KINDS))] | None = None
    part: Annotated[Part, BeforeValidator(_part)] | None = None
    thread: Annotated[Thread, BeforeValidator(_thread)] | None = None
    hole: Length | None = None
    length: Length | None = None
    shoulder: ShoulderShape | None = None
    head: HeadShape = HeadShape()
    drive: Annotated[str, BeforeValidator(_drive)] | None = None
    torque: Torque | None = None
    property_class: Annotated[str, BeforeValidator(_class)] | None = Field(None, alias="class")
    threadlocker: Annotated[str, BeforeValidator(one_of(*LOCKERS))] = "none"
    with_it: Annotated[
        tuple[str, ...], BeforeValidator(lambda value: tuple(one_of(*WITH_IT)(word) for word in _words(value)))
    ] = ()
    renew: Renew = ""
    note: TextOrEmpty = ""


class HoleShape(Shape):
    """One place of one fastener."""

    id: Text | None = None
    at: At
    fastener: Text
    also_holds: Words = ()
    into: Annotated[str, BeforeValidator(one_of(*INTO))] | None = None
    stack: LengthFromNought | None = None
    depth: LengthFromNought | None = None
    room: LengthFromNought | None = None
    behind: TextOrEmpty = ""
    note: TextOrEmpty = ""
    present: Words = Field((), alias="with")
    absent: Words = Field((), alias="without")


class FixingShape(Shape):
    """What holds a panel without a screw."""

    kind: Annotated[str, BeforeValidator(one_of(*FIXINGS))]
    at: At | None = None
    note: TextOrEmpty = ""
    present: Words = Field((), alias="with")
    absent: Words = Field((), alias="without")


class OutlineFile(Shape):
    """An outline in an SVG file of the bike file's folder."""

    file: Text
    smooth: YesOrNo = False


Points = Annotated[tuple[tuple[float, float], ...], BeforeValidator(_points)]
Outline = Annotated[
    Annotated[Points, Tag(PLAIN)] | Annotated[OutlineFile, Tag(MAPPING)], Discriminator(_mapping_or_plain)
]


class PanelShape(Shape):
    """One part that comes off; with `mirrors` everything else may be left out."""

    mirrors: Text | None = None
    without_holes: Words | None = None
    name: Text | None = None
    tag: Text | None = None
    side: Side | None = None
    view: View | None = None
    on_bike: At | None = None
    outline: Outline | None = None
    smooth: YesOrNo | None = None
    after: Words | None = None
    rides_on: TextOrEmpty | None = None
    holes: list[HoleShape] | None = None
    fixings: list[FixingShape] | None = None
    note: TextOrEmpty | None = None
    present: Words | None = Field(None, alias="with")
    absent: Words | None = Field(None, alias="without")


class SupplyShape(Shape):
    """Something to have at hand."""

    what: Text
    count: Text = "1"


class JobShape(Shape):
    """One service."""

    name: Text
    every: TextOrEmpty = ""
    remove: Words = ()
    apart: Words = ()
    torques: Words = ()
    supplies: list[SupplyShape] = []
    note: TextOrEmpty = ""


class TorqueRowShape(Shape):
    """One row of the torque strip."""

    what: Text
    torque: Torque
    where: TextOrEmpty = ""
    thread: Annotated[Thread, BeforeValidator(_thread)] | None = None
    tool: TextOrEmpty = ""
    count: Count = 1
    order: TextOrEmpty = ""
    renew: Renew = ""
    lubricate: TextOrEmpty = ""
    threadlocker: Annotated[str, BeforeValidator(one_of(*LOCKERS))] = "none"
    property_class: Annotated[str, BeforeValidator(_class)] | None = Field(None, alias="class")
    note: TextOrEmpty = ""
    jobs: Words = ()
    present: Words = Field((), alias="with")
    absent: Words = Field((), alias="without")


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

    size: Size = (762.0, 508.0)
    thickness: Length = 5.0
    material: Annotated[str, BeforeValidator(one_of(*MATERIALS))] = "foam board"
    margin: LengthFromNought = 8.0
    clearance: LengthFromNought = 6.0
    finger_room: LengthFromNought = 4.0


class KeepOutShape(Shape):
    """A lock, a hinge."""

    at: At
    size: Size


class CaseShape(Shape):
    """`case` of the setup file."""

    inside: Size | None = None
    outline: Points | None = None
    corner_radius: LengthFromNought = 0.0
    height: Length | None = None
    floor: Size | None = None
    clearance: LengthFromNought = 0.0
    keep_out: list[KeepOutShape] = []


class MarginsShape(Shape):
    """What a printer cannot print, edge by edge."""

    left: LengthFromNought = 10.0
    right: LengthFromNought = 10.0
    top: LengthFromNought = 10.0
    bottom: LengthFromNought = 10.0


class PrinterShape(Shape):
    """`printer` of the setup file."""

    margins: Annotated[
        Annotated[LengthFromNought, Tag(PLAIN)] | Annotated[MarginsShape, Tag(MAPPING)],
        Discriminator(_mapping_or_plain),
    ] = 10.0
    scale: Annotated[tuple[float, float], BeforeValidator(_scales)] = (1.0, 1.0)


class SetupFileShape(Shape):
    """The whole setup file."""

    format: int
    board: BoardShape = BoardShape()
    case: CaseShape | None = None
    paper: Text | None = None
    printer: PrinterShape = PrinterShape()


AnyShape = type[Shape]


def shape_of(root: AnyShape, path: tuple[str | int, ...]) -> AnyShape | None:
    """Return the shape that stands at a path below `root`, None where none does."""
    found: Any = root
    for step in path:
        if found is None:
            return None
        found = _NESTED.get((found, step)) or _NESTED.get((found, "*"))
    return found if isinstance(found, type) else None


def _nested() -> dict[tuple[Any, Any], Any]:
    """Which shape stands under which key; `*` is any key or place."""
    table: dict[tuple[Any, Any], Any] = {}
    for parent, key, child, many in (
        (BikeFileShape, "bike", BikeShape, False),
        (BikeFileShape, "fasteners", FastenerShape, True),
        (BikeFileShape, "panels", PanelShape, True),
        (BikeFileShape, "jobs", JobShape, True),
        (BikeFileShape, "torques", TorqueRowShape, True),
        (FastenerShape, "head", HeadShape, False),
        (FastenerShape, "shoulder", ShoulderShape, False),
        (PanelShape, "holes", HoleShape, True),
        (PanelShape, "fixings", FixingShape, True),
        (PanelShape, "outline", OutlineFile, False),
        (JobShape, "supplies", SupplyShape, True),
        (SetupFileShape, "board", BoardShape, False),
        (SetupFileShape, "case", CaseShape, False),
        (SetupFileShape, "printer", PrinterShape, False),
        (CaseShape, "keep_out", KeepOutShape, True),
        (PrinterShape, "margins", MarginsShape, False),
    ):
        each = (child, "each")
        table[(parent, key)] = each if many else child
        table[(each, "*")] = child
    return table


_NESTED = _nested()


def keys_of(shape: AnyShape) -> tuple[str, ...]:
    """Return the keys that a shape knows, as they are written in the file."""
    return tuple(info.alias or name for name, info in shape.model_fields.items())
