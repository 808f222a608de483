"""An SVG drawing as shapes and words with their names, in mm, y up.

In: a file, and what was said of its scale. Out: a `SeenDrawing`. Which elements are drawn, and where, `inputs/svg`
knows; here it is read what they are called and what they say. SVG 1.1 (W3C Recommendation, 2011): chapter 5.4 titles,
10 text; labels are attributes of other namespaces and of WAI-ARIA.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import Element

from boardmaker.geometry import Point, bounds
from boardmaker.guarded import read_at_most
from boardmaker.inputs.simple_rings import OutlineError
from boardmaker.inputs.svg.paths import (
    Allowance,
    check_reach,
    closed_pieces,
    drawn_lines,
    element_name,
    moved,
    path_data,
    read_length,
    round_ring,
    round_shape,
)
from boardmaker.inputs.svg.reader import (
    DrawnElement,
    SvgDrawing,
    SvgFile,
    parse_svg,
    root_matrix,
    scaled,
    view_box,
)
from boardmaker.problems import Place, ProblemsFound, error
from boardmaker.tracing.curve import FLATNESS, MOST_PIECES, Curve, is_straight
from boardmaker.tracing.drawn import (
    LARGEST_RING,
    MOST_ELEMENTS,
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

LARGEST_FILE = 20  # MB; a photo to draw over may be in it
MOST_LETTERS = 5_000_000  # of path data
SIMPLER = "save it as plain SVG, with nothing but panels and holes"
FRAMED = "data-frame", "panel"  # on the drawing: the lower left of its page is the panel's [0, 0]
CHOSEN = "data-letter", "chosen"  # on a hole: its letter was chosen on the page to put a tracing right
_LABELS = ("label", "aria-label", "data-name")
_UNIT = re.compile(r"\s*[-+0-9.eE]*[0-9.]\s*(mm|cm|in|px|pt|pc)\s*\Z")
_FONT_SIZE = re.compile(r"(?:^|;)\s*font-size\s*:\s*([^;]{1,40})")
_ANCHOR = re.compile(r"(?:^|;)\s*text-anchor\s*:\s*(start|middle|end)")
_FONT_PX = 16.0  # CSS: medium
_LETTER_WIDTH, _LETTER_HEIGHT = 0.6, 0.7  # of the font's size, in the mean of common faces; from memory
_PICTURES = {"image": "a picture", "foreignObject": "something that is no SVG"}


def read_svg_drawing(source: Path, known: float | None, unit: str | None) -> SeenDrawing:
    """Return all shapes and texts of a drawing, in mm. Raises ProblemsFound."""
    read_at_most(source, LARGEST_FILE, SIMPLER)
    reader = _SvgReader(source)
    try:
        return reader.read(known, unit)
    except OutlineError as wrong:
        raise ProblemsFound([error(f"the drawing {wrong}", reader.place(), wrong.hint)]) from None


@dataclass
class _SvgSeen:
    shapes: list[DrawnShape] = field(default_factory=list)
    texts: list[DrawnWords] = field(default_factory=list)
    ignored: list[Ignored] = field(default_factory=list)


class _SvgReader:
    """Reads one file; `line` is where it is, for messages."""

    def __init__(self, source: Path) -> None:
        self.source = source
        self.line = 1

    def place(self) -> Place:
        return Place(str(self.source), self.line, 1)

    def read(self, known: float | None, unit: str | None) -> SeenDrawing:
        file = parse_svg(self.source, MOST_ELEMENTS)
        self.drawing = SvgDrawing(file.root, MOST_ELEMENTS)
        self.file = file
        self.order = {element: number for number, element in enumerate(file.lines)}
        self.allowance = Allowance(MOST_LETTERS, MOST_POINTS, LARGEST_RING)
        base = root_matrix(file.root, framed=False)
        per_unit = math.sqrt(abs(base.a * base.d - base.b * base.c))
        if not per_unit > 0:
            raise OutlineError("has no size", "check its width, height and viewBox")
        scale = self._scale(base, per_unit, known, unit)
        to_mm = scaled(base, scale.factor / per_unit)
        seen = _SvgSeen()
        for drawn in self._elements(to_mm):
            self._see(drawn, seen)
        page = _page(file, to_mm)
        frame = page[:2] if page is not None and file.root.get(FRAMED[0]) == FRAMED[1] else None
        return SeenDrawing(tuple(seen.shapes), tuple(seen.texts), scale.said, page, tuple(seen.ignored), frame)

    def _elements(self, to_mm: Any) -> Iterator[DrawnElement]:
        for drawn in self.drawing.elements(to_mm):
            self.line = self.file.lines[drawn.element]
            yield drawn
        self.line = 1

    def _scale(self, base: Any, per_unit: float, known: float | None, unit: str | None) -> DrawingScale:
        own = _own_units(self.file.root)
        if known is not None:
            lines = [
                points
                for drawn in self._elements(scaled(base, 1 / per_unit))
                if names_known_line(self._names(drawn))
                for points, _ in drawn_lines(path_data(drawn.element), drawn.matrix, self.allowance)
            ]
            return scale_of_known(known, lines, self.place(), own)
        if unit is not None:
            return scale_asked_for(unit, own)
        if not own:
            hint = "draw a line of known length, give it the id or label `known`, and say its length: --known '212 mm'"
            raise ProblemsFound([error("the drawing does not say its units", self.place(), hint)])
        return DrawingScale(per_unit, f"{own}, as the file says")

    def _see(self, drawn: DrawnElement, seen: _SvgSeen) -> None:
        kind = element_name(drawn.element)
        names = self._names(drawn)
        if names_known_line(names):
            return
        if kind == "text":
            seen.texts += _texts(drawn, names, self.line)
        elif kind in _PICTURES:
            seen.ignored.append(Ignored(self._what(kind, names), f"it is {_PICTURES[kind]}", None))
        else:
            what = self._what(kind, names)
            axes = round_shape(drawn.element, drawn.matrix) if kind in ("circle", "ellipse") else None
            lines = self._ring(drawn) if axes else self._lines(drawn)
            for points, closed in lines:
                shape = RoundShape(*axes) if axes else None
                chosen = drawn.element.get(CHOSEN[0]) == CHOSEN[1]
                curve = self._curve(drawn) if closed and not axes else ()
                seen.shapes.append(DrawnShape(tuple(points), closed, names, what, self.line, shape, chosen, curve))

    def _ring(self, drawn: DrawnElement) -> Iterator[tuple[list[Point], bool]]:
        points = round_ring(drawn.element, drawn.matrix, FLATNESS)
        self.allowance.take_chords(len(points))
        check_reach(points)
        yield points, True

    def _lines(self, drawn: DrawnElement) -> Iterator[tuple[list[Point], bool]]:
        return drawn_lines(path_data(drawn.element), drawn.matrix, self.allowance, FLATNESS)

    def _curve(self, drawn: DrawnElement) -> Curve:
        try:
            curve = closed_pieces(path_data(drawn.element), drawn.matrix, MOST_PIECES)
        except OutlineError:  # its points were read all the same
            return ()
        return () if all(map(is_straight, curve)) else curve

    def _names(self, drawn: DrawnElement) -> tuple[NameLevel, ...]:
        way = (drawn.element, *drawn.around)
        nodes = [self.order[element] for element in way]
        return tuple(_level(element, tuple(nodes[number:])) for number, element in enumerate(way))

    def _what(self, kind: str, names: tuple[NameLevel, ...]) -> str:
        own = [*names[0].by_hand, *names[0].by_program]
        return f"{kind} '{own[0]}'" if own else f"{kind} in line {self.line}"


def _own_units(root: Element) -> str:
    """The unit of the drawing's width or height; "" where there is none, or nothing but numbers and per cent."""
    found = [_UNIT.fullmatch(root.get(name, "")[:100]) for name in ("width", "height")]
    units = [match[1] for match in found if match]
    return "" if not units else {"px": "px at 96 to the inch", "pt": "pt at 72 to the inch"}.get(units[0], units[0])


def _page(file: SvgFile, to_mm: Any) -> tuple[float, float, float, float] | None:
    """The sheet in mm: the viewBox, else width and height."""
    width, height = (read_length(file.root.get(name)) for name in ("width", "height"))
    box = view_box(file.root) or ((0.0, 0.0, width, height) if width and height else None)
    if box is None:
        return None
    return bounds([moved((box[0], box[1]), to_mm), moved((box[0] + box[2], box[1] + box[3]), to_mm)])


def _level(element: Element, node: tuple[int, ...]) -> NameLevel:
    """What an element is called: labels of any namespace and its title by hand, its id by the program."""
    labels = [
        value
        for name, value in element.attrib.items()
        if name.rsplit("}", 1)[-1] in _LABELS or (name.endswith("}id") and "/XML/" not in name)
    ]
    labels += [child.text or "" for child in element if element_name(child) == "title"]
    by_hand = tuple(_shortened(label) for label in labels if label.strip())
    return NameLevel(node, by_hand, tuple(_shortened(value) for value in (element.get("id", ""),) if value))


def _shortened(name: str) -> str:
    return " ".join(name[:LONGEST_NAME].split())


def _texts(drawn: DrawnElement, names: tuple[NameLevel, ...], line: int) -> Iterator[DrawnWords]:
    """Each piece of a text that has a place of its own."""
    for words, x, y, around in _pieces(drawn.element, 0.0, 0.0, ()):
        if words and len(words) <= LONGEST_NAME:
            way = (*around, drawn.element, *drawn.around)
            size = _font_size(way)
            half = _LETTER_WIDTH * size * len(words) / 2
            middle = x + {"start": 1.0, "middle": 0.0, "end": -1.0}[_anchor(way)] * half
            up = y - _LETTER_HEIGHT * size / 2
            at, end = (moved(place, drawn.matrix) for place in ((middle, up), (middle + half, up)))
            yield DrawnWords(at, words, names, (end[0] - at[0], end[1] - at[1]), line)


Piece = tuple[str, float, float, tuple[Element, ...]]


def _pieces(element: Element, x: float, y: float, around: tuple[Element, ...]) -> Iterator[Piece]:
    """The words of a text, cut where one of its spans has a place; spans without one belong to the words before."""
    x, y = _first_length(element, "x", x), _first_length(element, "y", y)
    words = element.text or ""
    for child in element:
        if element_name(child) != "tspan":
            words += child.tail or ""
        elif child.get("x") or child.get("y"):
            yield " ".join(words.split()), x, y, around
            yield from _pieces(child, x, y, (child, *around))
            words = child.tail or ""
        else:
            words += "".join(child.itertext()) + (child.tail or "")
    yield " ".join(words.split()), x, y, around


def _first_length(element: Element, name: str, otherwise: float) -> float:
    """The first of the lengths of a list: a text may have one for each letter."""
    parts = re.split(r"[\s,]+", element.get(name, "")[:1000].strip(), maxsplit=1)
    length = read_length(parts[0])
    return otherwise if length is None else length


def _font_size(way: tuple[Element, ...]) -> float:
    for element in way:
        styled = _FONT_SIZE.search(element.get("style", "")[:10_000])
        size = read_length((styled[1] if styled else element.get("font-size", "")).strip())
        if size:
            return size
    return _FONT_PX


def _anchor(way: tuple[Element, ...]) -> str:
    for element in way:
        styled = _ANCHOR.search(element.get("style", "")[:10_000])
        anchor = styled[1] if styled else element.get("text-anchor", "")
        if anchor in ("start", "middle", "end"):
            return anchor
    return "start"
