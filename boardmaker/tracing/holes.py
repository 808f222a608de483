"""Circles of a panel as holes, each with the fastener that its name or the text beside it says.

In: circles and texts of a drawing, the keys of fasteners, the panel's frame. Out: holes in that frame, what is ignored,
and what is wrong. A name goes before a text; two names or two texts that speak of one hole are a problem.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from boardmaker.geometry import Point
from boardmaker.tracing.drawn import DrawnShape, RoundShape, SeenDrawing
from boardmaker.tracing.found import FoundHole, Ignored
from boardmaker.tracing.names import AmbiguousName, Keys
from boardmaker.tracing.panel_frame import PanelFrame

TEXT_REACH = 15.0  # mm from a hole's centre to the middle of a text that speaks of it
EQUALLY_NEAR = 1.0  # mm: where a text stands is known no better
LARGEST_HOLE = 60.0  # mm; no head of a fastener is wider, a round hole for a lamp or a cap is
SAME_CENTRE = 0.1  # mm between the centres of a hole and of the ring around it: its head, a washer

ONE_NAME = "leave one name"
MOVE_IT = "move it into the outline, or take it out of the drawing"


@dataclass(frozen=True)
class FastenerText:
    """A text that is a fastener's key; `panel` is the key of the panel that it is named for, if any."""

    at: Point
    key: str
    panel: str | None


@dataclass(frozen=True)
class Complaint:
    """What is wrong with a shape."""

    message: str
    hint: str
    shape: DrawnShape


@dataclass
class HolesFound:
    """What became of a panel's circles."""

    holes: list[FoundHole] = field(default_factory=list)
    ignored: list[Ignored] = field(default_factory=list)
    complaints: list[Complaint] = field(default_factory=list)


Circle = tuple[DrawnShape, RoundShape]


def fastener_texts(seen: SeenDrawing, keys: Keys) -> tuple[FastenerText, ...]:
    """Return the texts of a drawing that are a fastener's key."""
    return tuple(_fastener_texts(seen, keys))


def _fastener_texts(seen: SeenDrawing, keys: Keys) -> Iterator[FastenerText]:
    for text in seen.texts:
        try:
            key, mark = keys.fastener_named(text.words), keys.panel_of(text.names)
        except AmbiguousName:
            continue
        if key is not None:
            yield FastenerText(text.at, key, mark.key if mark else None)


def read_holes(
    circles: Sequence[Circle], frame: PanelFrame, panel: str | None, texts: Sequence[FastenerText], keys: Keys
) -> HolesFound:
    """Return the holes of a panel in its frame; of circles around one centre the smallest is the hole."""
    found = HolesFound()
    near = [text for text in texts if panel is None or text.panel in (None, panel)]
    for circles_there in _by_centre(circles):
        _read_hole(circles_there, frame, near, keys, found)
    return found


def _by_centre(circles: Sequence[Circle]) -> list[list[Circle]]:
    groups: list[list[Circle]] = []
    for shape, circle in circles:
        for group in groups:
            if math.dist(group[0][1].centre, circle.centre) <= SAME_CENTRE:
                group.append((shape, circle))
                break
        else:
            groups.append([(shape, circle)])
    return groups


def _read_hole(
    circles: Sequence[Circle], frame: PanelFrame, texts: Sequence[FastenerText], keys: Keys, found: HolesFound
) -> None:
    shape, circle = min(circles, key=lambda one: one[1].width)
    try:
        named = _named(circles, keys)
        if named is None and circle.width > LARGEST_HOLE:
            why = f"it is {circle.width:.0f} mm wide; no fastener is"
            found.ignored.append(Ignored(shape.what, why, frame.place(circle.centre)))
            return
        fastener = named or _beside(circle.centre, texts)
    except AmbiguousName as two:
        found.complaints.append(Complaint(f"{shape.what}: {two}", ONE_NAME, shape))
        return
    if (off := frame.outside(circle.centre)) > 0.0:
        message = f"{shape.what} lies {off:.1f} mm outside of the outline"
        found.complaints.append(Complaint(message, MOVE_IT, shape))
        return
    place, diameter = frame.place(circle.centre), (circle.width + circle.height) / 2
    found.holes.append(FoundHole(place, fastener, where=shape.what, diameter=round(diameter, 4)))
    for other, _ in circles:
        if other is not shape:
            found.ignored.append(Ignored(other.what, f"it lies around the same centre as {shape.what}", place))


def _named(circles: Sequence[Circle], keys: Keys) -> str | None:
    """The fastener that the names of circles around one centre say. Raises AmbiguousName."""
    said = {key for shape, _ in circles if (key := keys.fastener_of(shape.names))}
    if len(said) > 1:
        raise AmbiguousName(f"it is named for {_keys(said)}")
    return next(iter(said), None)


def _beside(centre: Point, texts: Sequence[FastenerText]) -> str | None:
    """The fastener that the nearest text says. Raises AmbiguousName where another one is as near."""
    near = sorted((math.dist(text.at, centre), text.key) for text in texts if _within(text.at, centre))
    if not near:
        return None
    equal = {key for away, key in near if away - near[0][0] < EQUALLY_NEAR}
    if len(equal) > 1:
        raise AmbiguousName(f"the texts {_keys(equal)} are equally near to it, {near[0][0]:.1f} mm away")
    return near[0][1]


def _within(at: Point, centre: Point) -> bool:
    return math.dist(at, centre) <= TEXT_REACH


def _keys(keys: set[str]) -> str:
    return " and ".join(f"`{key}`" for key in sorted(keys))
