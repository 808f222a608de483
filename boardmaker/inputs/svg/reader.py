"""An SVG drawing as the elements that are drawn, each with its way to mm; and its largest closed outline.

In: a file. Out: the points of its largest closed outline, y up, from the lower left of the viewBox; for `tracing` every
element that is drawn. What is not drawn (`defs`, symbols that nobody uses, clip paths, hidden groups) does not count;
nothing outside of the file is read, and nothing that grows without end is followed. SVG 1.1 (W3C Recommendation, 2011):
chapter 5 structure, 7 coordinates, 8 paths, 9 shapes. defusedxml is imported here and nowhere else, svgelements here
and in `svg/paths`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import Element, TreeBuilder

from defusedxml import ElementTree
from defusedxml.common import DefusedXmlException
from shapely import Polygon
from svgelements import Matrix

from boardmaker.geometry import Point
from boardmaker.inputs.simple_rings import OutlineError
from boardmaker.inputs.svg.paths import Allowance, closed_rings, element_name, measure, path_data, read_length

MM_PER_PX = 25.4 / 96  # a CSS pixel is 1/96 in (CSS Values and Units Level 3)
MOST_ELEMENTS = 5000  # also after `use` is carried out
DEEPEST = 60
LONGEST_ATTRIBUTE = 10_000  # letters of a style or transform
LONGEST_NAME = 200  # letters
_NAMING = ("id", "label", "aria-label", "data-name")
_GAPS = re.compile(r"[\s_\-]+")
_ARGUMENTS = {"matrix": (6,), "translate": (1, 2), "scale": (1, 2), "rotate": (1, 3), "skewX": (1,), "skewY": (1,)}
_FUNCTION = re.compile(r"([a-zA-Z]++)\s*+\(([^()]*+)\)")
_NUMBER = re.compile(r"[-+]?(?:[0-9]++\.?+[0-9]*+|\.[0-9]++)(?:[eE][-+]?[0-9]++)?")
_SEPARATORS = ", \t\r\n"
_HIDDEN = re.compile(r"(?:^|;)\s*display\s*:\s*none", re.IGNORECASE)


@dataclass(frozen=True)
class NamedRing:
    """A closed line in mm, and how its element and the groups around it are called, as `folded_name` has it."""

    ring: list[Point]
    names: frozenset[str]
    is_circle: bool


def read_rings(path: Path) -> list[NamedRing]:
    """Return the closed lines of a drawing. Raises OutlineError, also where there is none."""
    drawing, allowance = SvgDrawing(parse_svg(path).root), Allowance()
    rings = [
        NamedRing(ring, names_of((drawn.element, *drawn.around)), element_name(drawn.element) == "circle")
        for drawn in drawing.elements(root_matrix(drawing.root))
        for ring in closed_rings(path_data(drawn.element), drawn.matrix, allowance)
    ]
    if not rings:
        raise OutlineError("has no closed path", "draw the outline as one closed path")
    return rings


def largest_ring(rings: Sequence[NamedRing]) -> list[Point]:
    """Return the largest line, circles only where there is nothing else."""
    outlines = [one.ring for one in rings if not one.is_circle] or [one.ring for one in rings]
    return max(outlines, key=lambda ring: Polygon(ring).area)


def read_largest_ring(path: Path) -> list[Point]:
    """Return the largest closed outline of a drawing, circles only where there is nothing else. Raises OutlineError."""
    return largest_ring(read_rings(path))


def folded_name(name: str) -> str:
    """Return a name as it compares: small letters, one dash for blanks and dashes."""
    return _GAPS.sub("-", name[:LONGEST_NAME].casefold()).strip("-")


def names_of(elements: Iterable[Element]) -> frozenset[str]:
    """Return how elements are called, as `folded_name` has it."""
    return frozenset(
        folded_name(str(value))
        for element in elements
        for key, value in element.attrib.items()
        if key.rsplit("}", 1)[-1] in _NAMING
    )


@dataclass(frozen=True)
class SvgFile:
    """The outermost element of a drawing, and the line of the file in which each element begins."""

    root: Element
    lines: Mapping[Element, int]


def parse_svg(path: Path, most_elements: int | None = None) -> SvgFile:
    """Read a file. Raises OutlineError where it is no SVG, asks for more than itself or has too many elements."""
    builder = _NumberingBuilder(most_elements)
    parser = ElementTree.XMLParser(target=builder, forbid_dtd=False)
    parser.parser.AttlistDeclHandler = _refuse_defaults
    builder.expat = parser.parser
    try:
        root: Element = ElementTree.parse(str(path), parser).getroot()
    except DefusedXmlException:
        raise OutlineError("declares entities or points outside of itself", "save it as plain SVG") from None
    except OSError as failure:
        raise OutlineError(f"cannot be read: {failure.strerror or failure}", "check who may read it") from None
    except OutlineError:
        raise
    except (ElementTree.ParseError, ValueError, LookupError) as wrong:
        raise OutlineError(f"is no XML: {wrong}", "save it as plain SVG") from None
    if element_name(root) != "svg":
        raise OutlineError("is no SVG drawing", "save it as plain SVG")
    return SvgFile(root, dict(zip(root.iter(), builder.lines, strict=True)))


class _NumberingBuilder(TreeBuilder):
    """Builds the tree, and notes the line of each element's beginning, in the order of the file."""

    def __init__(self, most_elements: int | None) -> None:
        super().__init__()
        self.most_elements = most_elements
        self.lines: list[int] = []
        self.expat: Any = None

    def start(self, tag: str, attrs: dict[str, str], /) -> Element:
        if self.most_elements is not None and len(self.lines) >= self.most_elements:
            message = f"has more than {self.most_elements} elements"
            raise OutlineError(message, "take out of the drawing what is no panel and no hole")
        self.lines.append(self.expat.CurrentLineNumber)
        return super().start(tag, attrs)


def _refuse_defaults(*_: object) -> None:
    """A default of an attribute is copied to every element: a small file can fill any memory with it."""
    raise OutlineError("declares attributes of its own", "save it as plain SVG")


@dataclass(frozen=True)
class DrawnElement:
    """An element that is no group, the matrix from its own units, and what stands around it, the innermost first."""

    element: Element
    matrix: Matrix
    around: tuple[Element, ...]


class SvgDrawing:
    """Walks through what is drawn, from the outermost coordinates to the innermost."""

    def __init__(self, root: Element, most_elements: int = MOST_ELEMENTS) -> None:
        self.root = root
        self.by_id = {str(element.get("id")): element for element in reversed([*root.iter()])}
        self.most_elements = most_elements
        self.count = 0

    def elements(self, to_mm: Matrix) -> Iterator[DrawnElement]:
        """Yield every element that is drawn. Raises OutlineError."""
        self.count = 0
        for child in self.root:
            yield from self._drawn(child, to_mm, ())

    def _drawn(self, element: Element, outer: Matrix, around: tuple[Element, ...]) -> Iterator[DrawnElement]:
        self.count += 1
        if self.count > self.most_elements or len(around) > DEEPEST:
            message = (
                f"has too many parts to be an outline: more than {self.most_elements}, or {DEEPEST} within each other"
            )
            raise OutlineError(message, "draw the outline as one closed path")
        if element.get("display") == "none" or _HIDDEN.search(_attribute(element, "style")):
            return
        matrix = _transform(element) * outer
        match element_name(element):
            case "g" | "a" | "switch":
                for child in element:
                    yield from self._drawn(child, matrix, (element, *around))
            case "svg":
                yield from self._framed(element, element, matrix, around)
            case "use":
                yield from self._used(element, matrix, around)
            case _:
                yield DrawnElement(element, matrix, around)

    def _framed(
        self, element: Element, frame: Element, outer: Matrix, around: tuple[Element, ...]
    ) -> Iterator[DrawnElement]:
        """An inner `svg`, or a `symbol` in the frame of its `use`."""
        for child in element:
            yield from self._drawn(child, _frame_matrix(element, frame) * outer, (element, *around))

    def _used(self, element: Element, outer: Matrix, around: tuple[Element, ...]) -> Iterator[DrawnElement]:
        links = [str(value) for key, value in element.attrib.items() if key.rsplit("}", 1)[-1] == "href"]
        if links and not links[0].startswith("#"):
            raise OutlineError(f"refers to another file: {links[0][:60]}", "draw everything in one file")
        target = self.by_id.get(links[0][1:]) if links else None
        if target is None:
            return
        moved = Matrix.translate(measure(element, "x"), measure(element, "y")) * outer
        if element_name(target) == "symbol":
            yield from self._framed(target, element, _transform(target) * outer, (element, *around))
        else:
            yield from self._drawn(target, moved, (element, *around))


def _transform(element: Element) -> Matrix:
    """Read here and not by svgelements, which also takes units, and then cannot reckon with them (SVG 1.1, 7.6)."""
    text = _attribute(element, "transform")
    functions = [(name, _numbers(inside)) for name, inside in _FUNCTION.findall(text)]
    plain = not _FUNCTION.sub("", text).strip(_SEPARATORS)
    if not plain or any(len(numbers) not in _ARGUMENTS.get(name, ()) for name, numbers in functions):
        hint = "save it as plain SVG; its numbers have no units"
        raise OutlineError(f"has a transform that cannot be read: {text[:60]}", hint)
    return Matrix(" ".join(f"{name}({', '.join(numbers)})" for name, numbers in functions)) if functions else Matrix()


def _numbers(text: str) -> list[str]:
    """The numbers of a list; none where there is anything else in it."""
    return _NUMBER.findall(text) if not _NUMBER.sub("", text).strip(_SEPARATORS) else []


def _attribute(element: Element, name: str) -> str:
    text = element.get(name, "")
    if len(text) > LONGEST_ATTRIBUTE:
        raise OutlineError(f"has a {name} of more than {LONGEST_ATTRIBUTE} letters", "save it as plain SVG")
    return text


def view_box(element: Element) -> tuple[float, float, float, float] | None:
    """Return the frame in the drawing's own units, None where none is given.

    Raises OutlineError for what cannot be one: it would change the scale.
    """
    text = element.get("viewBox", "").strip()
    if not text:
        return None
    match [read_length(part) for part in re.split(r"[\s,]+", text, maxsplit=4)]:
        case [float() as x, float() as y, float() as width, float() as height] if width > 0 and height > 0:
            return x, y, width, height
    raise OutlineError(f"has a viewBox that cannot be one: {text[:60]}", "save it as plain SVG")


def scaled(matrix: Matrix, factor: float) -> Matrix:
    """Return the matrix with everything larger by a factor."""
    return matrix * Matrix.scale(factor)


def root_matrix(root: Element, framed: bool = True) -> Matrix:
    """From the drawing's own units to mm, y up, with the lower left of the viewBox at [0, 0].

    Raises OutlineError where that cannot be known; if the place does not matter (`framed`), y is only turned up.
    """
    width, height, box = read_length(root.get("width")), read_length(root.get("height")), view_box(root)
    if box is None:
        if not height and not framed:
            return Matrix(MM_PER_PX, 0, 0, -MM_PER_PX, 0, 0)
        if not height:
            raise OutlineError("has neither a viewBox nor a height, so its lower left is unknown", "give it a viewBox")
        return Matrix(MM_PER_PX, 0, 0, -MM_PER_PX, 0, height * MM_PER_PX)
    scale_x, scale_y = _scales(root, box, width, height)
    x, y, _, box_height = box
    across, up = scale_x * MM_PER_PX, scale_y * MM_PER_PX
    return Matrix(across, 0, 0, -up, -x * across, (y + box_height) * up)


def _scales(element: Element, box: Sequence[float], width: float | None, height: float | None) -> tuple[float, float]:
    """Px of the frame per unit of the viewBox, as `preserveAspectRatio` says (SVG 1.1, 7.8)."""
    scale_x = width / box[2] if width else None
    scale_y = height / box[3] if height else None
    both = [scale for scale in (scale_x, scale_y) if scale is not None] or [1.0]
    keep = element.get("preserveAspectRatio", "xMidYMid meet")[:100]
    if "none" in keep:
        return scale_x or both[0], scale_y or both[0]
    scale = max(both) if "slice" in keep else min(both)
    return scale, scale


def _frame_matrix(element: Element, frame: Element) -> Matrix:
    """From the units inside an inner `svg` or `symbol` to those around its frame."""
    x, y, box = measure(frame, "x"), measure(frame, "y"), view_box(element)
    if box is None:
        return Matrix.translate(x, y)
    width, height = (read_length(frame.get(name) or element.get(name)) for name in ("width", "height"))
    scale_x, scale_y = _scales(element, box, width, height)
    keep = element.get("preserveAspectRatio", "xMidYMid")[:100]
    spare_x = ((width or scale_x * box[2]) - scale_x * box[2]) * _share(keep, "x")
    spare_y = ((height or scale_y * box[3]) - scale_y * box[3]) * _share(keep, "Y")
    return Matrix(scale_x, 0, 0, scale_y, x + spare_x - box[0] * scale_x, y + spare_y - box[1] * scale_y)


def _share(keep: str, axis: str) -> float:
    """How much of the room to spare lies before the picture."""
    return 0.0 if f"{axis}Min" in keep or "none" in keep else 1.0 if f"{axis}Max" in keep else 0.5
