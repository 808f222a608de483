"""Circles of a panel as holes, each with the fastener that its name or the text beside it says.

In: circles and texts of a drawing, the keys of fasteners, the panel's frame. Out: holes in that frame, what is ignored,
and what is wrong. A name goes before a text; two names or two texts that speak of one hole are a problem. What looks
like a key and is none is kept with its hole, so that nothing else is taken for it unseen.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from boardmaker.geometry import Point
from boardmaker.tracing.drawn import DrawnShape, DrawnWords, RoundShape, SeenDrawing
from boardmaker.tracing.found import FoundHole, Ignored
from boardmaker.tracing.names import AmbiguousName, Keys
from boardmaker.tracing.panel_frame import PanelFrame

TEXT_REACH = 15.0  # mm from a hole's centre to the nearest letter of a text that speaks of it
FARTHEST_SAID = 100.0  # mm; a text further off has nothing to do with a hole
EQUALLY_NEAR = 1.0  # mm: where a text stands is known no better
LARGEST_HOLE = 60.0  # mm; no head of a fastener is wider, a round hole for a lamp or a cap is
SAME_CENTRE = 0.1  # mm between the centres of a hole and of the ring around it: its head, a washer

ONE_NAME = "leave one name"
MOVE_IT = "move it into the outline, name the panel that it is of, or take it out"


@dataclass(frozen=True)
class HoleText:
    """A text that is a fastener's key, or looks like one and is none (None).

    `panel` is the key of the panel that it is named for, if any.
    """

    drawn: DrawnWords
    key: str | None
    panel: str | None

    def away(self, centre: Point) -> float:
        """Return how far a place is from the line through the middle of the letters, mm."""
        (x, y), (u, v) = self.drawn.at, self.drawn.half
        across, up = centre[0] - x, centre[1] - y
        share = (across * u + up * v) / (u * u + v * v) if u or v else 0.0
        share = max(-1.0, min(1.0, share))
        return math.hypot(across - share * u, up - share * v)


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
    read: list[tuple[HoleText, FoundHole]] = field(default_factory=list)

    def notes(self) -> tuple[str, ...]:
        """Each text that speaks for more than one hole."""
        texts = {id(text): text for text, _ in self.read}
        holes = {name: [hole.where for text, hole in self.read if id(text) == name] for name in texts}
        return tuple(
            f"{texts[name].drawn.what} is taken for {len(where)} holes: {', '.join(where)}"
            for name, where in holes.items()
            if len(where) > 1
        )


Circle = tuple[DrawnShape, RoundShape]


def hole_texts(seen: SeenDrawing, keys: Keys) -> tuple[HoleText, ...]:
    """Return the texts of a drawing that are a fastener's key, or look like one."""
    return tuple(_hole_texts(seen, keys))


def _hole_texts(seen: SeenDrawing, keys: Keys) -> Iterator[HoleText]:
    for text in seen.texts:
        try:
            key, mark = keys.fastener_named(text.words), keys.panel_of(text.names)
        except AmbiguousName:
            continue
        if key is not None or keys.like_fastener(text.words):
            yield HoleText(text, key, mark.key if mark else None)


def read_holes(
    circles: Sequence[Circle], frame: PanelFrame, panel: str | None, texts: Sequence[HoleText], keys: Keys
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
    circles: Sequence[Circle], frame: PanelFrame, texts: Sequence[HoleText], keys: Keys, found: HolesFound
) -> None:
    shape, circle = min(circles, key=lambda one: one[1].width)
    try:
        named = _named(circles, keys)
        if named is None and circle.width > LARGEST_HOLE:
            why = f"it is {circle.width:.0f} mm wide; no fastener is"
            found.ignored.append(Ignored(shape.what, why, frame.place(circle.centre)))
            return
        text = None if named else _beside(circle.centre, texts)
    except AmbiguousName as two:
        found.complaints.append(Complaint(f"{shape.what}: {two}", ONE_NAME, shape))
        return
    if (off := frame.outside(circle.centre)) > 0.0:
        message = f"{shape.what} lies {off:.1f} mm outside of the outline"
        found.complaints.append(Complaint(message, MOVE_IT, shape))
        return
    place, diameter = frame.place(circle.centre), (circle.width + circle.height) / 2
    decides = shape.letter_chosen and named is not None
    hole = FoundHole(place, named, where=shape.what, diameter=round(diameter, 4), line=shape.line, decides=decides)
    found.holes.append(hole if named else _by_text(hole, text, circles, circle.centre, texts, keys))
    if text is not None and text.key is not None:
        found.read.append((text, hole))
    for other, _ in circles:
        if other is not shape:
            found.ignored.append(Ignored(other.what, f"it lies around the same centre as {shape.what}", place))


def _named(circles: Sequence[Circle], keys: Keys) -> str | None:
    """The fastener that the names of circles around one centre say. Raises AmbiguousName."""
    said = {key for shape, _ in circles if (key := keys.fastener_of(shape.names))}
    if len(said) > 1:
        raise AmbiguousName(f"it is named for {_keys(said)}")
    return next(iter(said), None)


def _beside(centre: Point, texts: Sequence[HoleText]) -> HoleText | None:
    """The nearest text within reach. Raises AmbiguousName where another one is as near."""
    near = sorted(((text.away(centre), number) for number, text in enumerate(texts)))
    near = [(away, number) for away, number in near if away <= TEXT_REACH]
    if not near:
        return None
    equal = [texts[number] for away, number in near if away - near[0][0] < EQUALLY_NEAR]
    keys = {text.key or text.drawn.words for text in equal}
    if len(keys) > 1:
        raise AmbiguousName(f"the texts {_keys(keys)} are equally near to it, {near[0][0]:.1f} mm away")
    return equal[0]


def _by_text(
    hole: FoundHole,
    text: HoleText | None,
    circles: Sequence[Circle],
    centre: Point,
    texts: Sequence[HoleText],
    keys: Keys,
) -> FoundHole:
    """A hole that no name speaks for, with what the text beside it says; or what looks as if it should say it."""
    if text is not None:
        return replace(hole, fastener=text.key, unread="" if text.key else text.drawn.what)
    unread = next((one for shape, _ in circles if (one := _unread_name(shape, keys))), "")
    nearest = min(texts, key=lambda one: one.away(centre), default=None)
    away = nearest.away(centre) if nearest else FARTHEST_SAID
    near = f"{nearest.drawn.what}, {away:.1f} mm away" if nearest and away < FARTHEST_SAID else ""
    return replace(hole, unread=unread, near=near)


def _unread_name(shape: DrawnShape, keys: Keys) -> str:
    own = shape.names[:1]
    by_hand = [name for level in own for name in level.by_hand if keys.like_fastener(name)]
    by_program = [name for level in own for name in level.by_program if keys.like_fastener(name, by_hand=False)]
    return next((f"name '{name}'" for name in (*by_hand, *by_program)), "")


def _keys(keys: set[str]) -> str:
    return " and ".join(f"`{key}`" for key in sorted(keys))
