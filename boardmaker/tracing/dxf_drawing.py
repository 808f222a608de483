"""A DXF drawing as shapes and words with their names, in mm.

In: a file, and what was said of its scale. Out: a `SeenDrawing` of what its model space shows; layers and blocks are
the names. ezdxf reads the file and flattens the curves, in a process of its own (`guarded`), because nobody has counted
what a stranger's file asks of it. ezdxf is imported here and in the renderer alone.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from typing import Any

from ezdxf import recover
from ezdxf.audit import AuditError
from ezdxf.filemanagement import readfile
from ezdxf.lldxf.const import DXFAttributeError
from ezdxf.math import BSpline
from ezdxf.path import make_path

from boardmaker.geometry import Point
from boardmaker.guarded import Limits, guarded, read_at_most
from boardmaker.problems import Place, ProblemsFound, error
from boardmaker.tracing.curve import FLATNESS
from boardmaker.tracing.drawn import (
    LARGEST_RING,
    MOST_POINTS,
    DrawnShape,
    DrawnWords,
    NameLevel,
    RoundShape,
    SeenDrawing,
)
from boardmaker.tracing.found import Ignored
from boardmaker.tracing.names import LONGEST_NAME, names_known_line
from boardmaker.tracing.scales import DrawingScale, scale_asked_for, scale_of_known

LARGEST_FILE = 10  # MB
LIMITS = Limits(seconds=8.0, megabytes=800)
SIMPLER = "take out of the drawing what is no panel and no hole, and save it as DXF again"
SAVE_AGAIN = "save it as DXF (R2000 or later) from your drawing program"
MOST_ENTITIES = 20_000  # also out of blocks, which takes a second for 10 000; 40 panels have 2000
DEEPEST = 20  # blocks within each other
FURTHEST = 100_000.0  # mm
BEZIERS = 12  # a bulge of half a circle becomes four curves, each off its arc by 4 millionths of the radius
CLOSED = 0.1  # mm between the ends of a closed line
SPLINE_FRAME = 16  # of a vertex's flags: it steers the curve, which has points of its own
FLAT = 1e-6  # by which the normal of a plane may be off the view's
UNITS = {  # $INSUNITS: name, mm
    1: ("in", 25.4), 2: ("ft", 304.8), 4: ("mm", 1.0), 5: ("cm", 10.0), 6: ("m", 1000.0), 9: ("mil", 0.0254),
    10: ("yd", 914.4), 13: ("micron", 0.001), 14: ("dm", 100.0),
}  # fmt: skip
_SPOILT = re.compile(r'"([^"]*)" near line ([0-9]+)')
_LETTER_WIDTH = 0.8  # of a text's height, in the mean of common faces; from memory
_CURVES = ("LINE", "ARC", "ELLIPSE", "SPLINE", "LWPOLYLINE", "POLYLINE")
_MTEXT_SHIFT = {1: 0.5, 2: 0.0, 3: -0.5}  # of its width, from its place to its middle, by column of attachment


def read_dxf_drawing(source: Path, known: float | None, unit: str | None) -> SeenDrawing:
    """Return all shapes and texts of a drawing, in mm. Raises ProblemsFound."""
    read_at_most(source, LARGEST_FILE, SIMPLER)
    return guarded(str(source), SIMPLER, LIMITS, see_dxf, source, known, unit)


def see_dxf(source: Path, known: float | None, unit: str | None) -> SeenDrawing:
    """Do the work of `read_dxf_drawing` without any guard."""
    document, saved = _open(source)
    place = Place(str(source), 1, 1)
    walk = _DxfWalk(document, place)
    drawn = walk.drawn()
    scale = _scale(document, drawn, source, known, unit)
    seen = _DxfSeen(scale.factor, place, ignored=walk.damaged)
    for one in drawn:
        if not names_known_line(one.names):
            seen.see(one)
    counts = Counter(seen.strange)
    ignored = [Ignored(f"{count} x {kind}", "it is no line, circle or text", None) for kind, count in counts.items()]
    if saved:
        ignored.append(Ignored("a part of the file", "the file is damaged; what could be saved is read", None))
    return SeenDrawing(tuple(seen.shapes), tuple(seen.texts), scale.said, None, (*seen.ignored, *ignored))


def _open(source: Path) -> tuple[Any, bool]:
    """The document, and whether it had to be mended. ezdxf raises whatever it stumbles over in a damaged file."""
    try:
        return _with_space(readfile(source)), False
    except MemoryError:
        raise
    except Exception:
        pass
    try:
        document, auditor = recover.readfile(source)
        _with_space(document)
    except MemoryError:
        raise
    except Exception:
        place = Place(str(source), 1, 1)
        raise ProblemsFound([error("this is no DXF drawing, or a damaged one", place, SAVE_AGAIN)]) from None
    _refuse_guesses(auditor.errors, source)
    return document, True


def _with_space(document: Any) -> Any:
    """The document, which has a space to draw in. ezdxf raises whatever where it has none."""
    document.modelspace()
    return document


def _refuse_guesses(errors: Iterable[Any], source: Path) -> None:
    """A number that is spoilt is mended by leaving the rest of it out: 1OO.0 becomes 1.0. Raises ProblemsFound."""
    for one in errors:
        spoilt = _SPOILT.search(one.message) if one.code == AuditError.INVALID_FLOATING_POINT_VALUE else None
        if spoilt:
            message = f'the file is damaged: "{spoilt[1]}" in this line is no number'
            raise ProblemsFound([error(message, Place(str(source), int(spoilt[2]), 1), SAVE_AGAIN)])


@dataclass(frozen=True)
class _DrawnEntity:
    entity: Any
    names: tuple[NameLevel, ...]


class _DxfWalk:
    """Walks through the model space and the blocks in it."""

    def __init__(self, document: Any, place: Place) -> None:
        self.document, self.place = document, place
        self.damaged: list[Ignored] = []
        self.hidden = {layer.dxf.name.casefold() for layer in document.layers if layer.is_off() or layer.is_frozen()}
        self.count = 0

    def drawn(self) -> list[_DrawnEntity]:
        """Every entity that shows, out of its blocks. Raises ProblemsFound where they are too many or too deep."""
        return [*self._walk(self.document.modelspace(), (), 0)]

    def _walk(self, entities: Iterable[Any], around: tuple[NameLevel, ...], depth: int) -> Iterator[_DrawnEntity]:
        for entity in entities:
            self.count += 1
            if self.count > MOST_ENTITIES or depth > DEEPEST:
                message = f"this drawing has more than {MOST_ENTITIES} parts, or {DEEPEST} blocks within each other"
                raise ProblemsFound([error(message, self.place, SIMPLER)])
            layer = str(_attribute(entity, "layer", "0"))
            if layer.casefold() in self.hidden or _attribute(entity, "invisible", 0):
                continue
            names = (*_layer_level(layer), *around)
            if entity.dxftype() == "INSERT":
                yield from self._inserted(entity, names, depth)
            else:
                yield _DrawnEntity(entity, names)

    def _inserted(self, insert: Any, names: tuple[NameLevel, ...], depth: int) -> Iterator[_DrawnEntity]:
        if max(insert.dxf.row_count, 1) * max(insert.dxf.column_count, 1) > MOST_ENTITIES:
            raise ProblemsFound([error("a block is repeated too often in this drawing", self.place, SIMPLER)])
        name = str(insert.dxf.name or "")[:LONGEST_NAME]
        what = f"block '{name}'" if name else "a block without a name"
        for one in self._sound(insert.multi_insert() if insert.mcount > 1 else (insert,), what):
            self.count += 1
            block = NameLevel(f"insert {self.count}", _plain(str(one.dxf.name)))
            yield from self._walk(self._sound(one.virtual_entities(), what), (block, *names), depth + 1)
            yield from self._walk(one.attribs, (block, *names), depth + 1)

    def _sound(self, entities: Iterable[Any], what: str) -> Iterator[Any]:
        """The entities of a block up to where ezdxf stumbles over one, as over a block without a name."""
        try:
            yield from entities
        except (ProblemsFound, MemoryError):
            raise
        except Exception:
            self.damaged.append(Ignored(what, "it is damaged", None))


def _attribute(entity: Any, name: str, otherwise: object) -> object:
    """What an entity says; of a kind that ezdxf does not know it says nothing."""
    try:
        return entity.dxf.get(name, otherwise)
    except DXFAttributeError:
        return otherwise


def _layer_level(layer: str) -> tuple[NameLevel, ...]:
    return (NameLevel(f"layer {layer}", _plain(layer)),) if layer != "0" else ()


def _plain(name: str) -> tuple[str, ...]:
    """A name that somebody gave: programs begin theirs with an asterisk."""
    return (name[:LONGEST_NAME],) if not name.startswith("*") else ()


def _scale(
    document: Any, drawn: Iterable[_DrawnEntity], source: Path, known: float | None, unit: str | None
) -> DrawingScale:
    code = document.header.get("$INSUNITS", 0)
    name, size = UNITS.get(code, ("", 0.0))
    place = Place(str(source), 1, 1)
    if known is not None:
        lines = [_flat(_curve(one.entity, FLATNESS)) for one in drawn if names_known_line(one.names) and _is_line(one)]
        return scale_of_known(known, lines, place, name)
    if unit is not None:
        return scale_asked_for(unit, name)
    if not name:
        said = "does not say its units" if not code else f"has units that nobody draws panels in ($INSUNITS {code})"
        raise ProblemsFound([error(f"the drawing {said}", place, "say them: --unit mm, or --unit in")])
    return DrawingScale(size, f"{name}, as the file says ($INSUNITS {code})")


def _is_line(one: _DrawnEntity) -> bool:
    return one.entity.dxftype() in _CURVES


@dataclass
class _DxfSeen:
    """Makes shapes and words in mm of entities; `factor` is mm per unit of the drawing."""

    factor: float
    place: Place
    shapes: list[DrawnShape] = field(default_factory=list)
    texts: list[DrawnWords] = field(default_factory=list)
    ignored: list[Ignored] = field(default_factory=list)
    strange: list[str] = field(default_factory=list)
    points: int = 0

    def see(self, one: _DrawnEntity) -> None:
        """Add an entity. Raises ProblemsFound where the drawing becomes too large."""
        kind = one.entity.dxftype()
        what = _what(kind, one.names)
        try:
            if kind in ("TEXT", "ATTRIB", "MTEXT"):
                self._see_text(one, kind)
            elif kind == "CIRCLE" or kind in _CURVES:
                self._see_curve(one, kind, what)
            else:
                self.strange.append(kind[:LONGEST_NAME])
        except (ProblemsFound, MemoryError):
            raise
        except Exception:  # whatever ezdxf meets in a curve that is none
            self.ignored.append(Ignored(what, "it is damaged", None))

    def _see_curve(self, one: _DrawnEntity, kind: str, what: str) -> None:
        if kind in ("CIRCLE", "ELLIPSE") and abs(abs(one.entity.dxf.extrusion.normalize().z) - 1) > FLAT:
            self.ignored.append(Ignored(what, "it lies in another plane than the drawing's", None))
            return
        points = tuple(self._moved(place) for place in _flat(_curve(one.entity, FLATNESS / self.factor)))
        self.points += len(points)
        if self.points > MOST_POINTS or len(points) > LARGEST_RING:
            raise ProblemsFound([error(f"{what} has too many points, or the whole drawing has", self.place, SIMPLER)])
        if not all(abs(x) <= FURTHEST and abs(y) <= FURTHEST for x, y in points):
            self.ignored.append(Ignored(what, f"it lies further away than {FURTHEST / 1000:g} m", None))
        elif len(points) >= 2:
            closed = len(points) > 3 and math.dist(points[0], points[-1]) <= CLOSED
            self.shapes.append(DrawnShape(points, closed, one.names, what, round=self._round(one.entity, kind)))

    def _round(self, entity: Any, kind: str) -> RoundShape | None:
        if kind == "CIRCLE":
            width = 2 * abs(entity.dxf.radius) * self.factor
            return RoundShape(self._moved(_xy(entity.ocs().to_wcs(entity.dxf.center))), width, width)
        if kind == "ELLIPSE" and math.isclose(abs(entity.dxf.end_param - entity.dxf.start_param), math.tau):
            width = 2 * entity.dxf.major_axis.magnitude * self.factor
            across = sorted((width, width * abs(entity.dxf.ratio)))
            return RoundShape(self._moved(_xy(entity.dxf.center)), across[1], across[0])
        return None

    def _see_text(self, one: _DrawnEntity, kind: str) -> None:
        words, at, half = _mtext(one.entity) if kind == "MTEXT" else _text(one.entity)
        words = " ".join(words.split())
        if words and len(words) <= LONGEST_NAME:
            self.texts.append(DrawnWords(self._moved(at), words, one.names, self._moved(half)))

    def _moved(self, place: Point) -> Point:
        return place[0] * self.factor, place[1] * self.factor


def _what(kind: str, names: tuple[NameLevel, ...]) -> str:
    """An entity in words: its kind and the innermost layer or block."""
    named = next((level for level in names if level.by_hand), None)
    if named is None:
        return kind.lower()
    holder = "in block" if str(named.node).startswith("insert") else "on layer"
    return f"{kind.lower()} {holder} '{named.by_hand[0]}'"


def _xy(place: Any) -> Point:
    return float(place.x), float(place.y)


def _flat(places: Iterable[Any]) -> list[Point]:
    """Places seen from above; of a curve without end only as many as say that it is too long."""
    return [_xy(place) for place in islice(places, LARGEST_RING + 1)]


def _curve(entity: Any, flatness: float) -> Iterable[Any]:
    """The points of a line or curve, by ezdxf."""
    match entity.dxftype():
        case "LINE":
            return [entity.dxf.start, entity.dxf.end]
        case "ARC" | "CIRCLE":
            return entity.flattening(min(flatness, abs(entity.dxf.radius) / 8))  # type: ignore[no-any-return]
        case "ELLIPSE":
            return entity.flattening(flatness)  # type: ignore[no-any-return]
        case "SPLINE":
            return _InItsDomain(entity.construction_tool()).flattening(flatness)
        case "POLYLINE":
            entity.vertices[:] = [one for one in entity.vertices if not one.dxf.flags & SPLINE_FRAME]
    return make_path(entity, segments=BEZIERS).flattening(flatness)


class _InItsDomain(BSpline):
    """A spline that is flattened between its inner knots alone: on the outer ones of a periodic spline it is none."""

    def __init__(self, spline: Any) -> None:
        super().__init__(spline.control_points, spline.order, spline.knots(), spline.weights() or None)

    def knots(self) -> Any:
        knots = super().knots()
        return knots[self.degree : len(knots) - self.degree]


def _text(entity: Any) -> tuple[str, Point, Point]:
    words = entity.plain_text()
    align, first, second = entity.get_placement()
    height, name = entity.dxf.height, align.name
    width = _LETTER_WIDTH * height * entity.dxf.get("width", 1.0) * len(words)
    across = 0.0 if "CENTER" in name or "MIDDLE" in name else -width / 2 if "RIGHT" in name else width / 2
    up = 0.0 if "MIDDLE" in name else -height / 2 if "TOP" in name else height / 2
    angle = math.radians(entity.dxf.rotation)
    half = _turned(width / 2, 0.0, angle)
    if second is not None:
        half = (second - first) / 2
        first, across = (first + second) / 2, 0.0
    turned = _turned(across, up, angle)
    return words, _xy(entity.ocs().to_wcs(first + turned)), _xy(entity.ocs().to_wcs(half))


def _turned(across: float, up: float, angle: float) -> tuple[float, float, float]:
    cosine, sine = math.cos(angle), math.sin(angle)
    return across * cosine - up * sine, across * sine + up * cosine, 0.0


def _mtext(entity: Any) -> tuple[str, Point, Point]:
    words = entity.plain_text()
    lines = words.split("\n")
    height, point = entity.dxf.char_height, entity.dxf.attachment_point
    width = _LETTER_WIDTH * height * max(len(line) for line in lines)
    across = _MTEXT_SHIFT[(point - 1) % 3 + 1] * width
    up = ((point - 1) // 3 - 1) * height * len(lines) / 2
    angle = math.radians(entity.get_rotation())
    return words, _xy(entity.dxf.insert + _turned(across, up, angle)), _turned(width / 2, 0.0, angle)[:2]
