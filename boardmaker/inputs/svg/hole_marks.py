"""The circles of a drawing that are holes: where they are, and which fastener their id or label names.

In: a file, the keys of the fasteners. Out: a mark for each circle, in mm, y up, from the lower left of the viewBox as
the outline is. Apart from the reader because an outline is read without them.
"""

from __future__ import annotations

import math
import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from pathlib import Path
from xml.etree.ElementTree import Element

from boardmaker.fixed_order import FINEST
from boardmaker.geometry import Point
from boardmaker.inputs.svg.paths import element_name, round_shape
from boardmaker.inputs.svg.reader import DrawnElement, SvgDrawing, names_of, parse_svg, root_matrix

ROUND = 0.02  # of its width by which a circle's diameters may differ
LARGEST_HOLE = 60.0  # mm; a wider circle without a name is no hole, but a lamp or a cap
SAME_CENTRE = 0.1  # mm from a hole to the ring around it
_LABELS = ("label", "aria-label", "data-name", "id")
_NUMBERED = re.compile(r"(.*?)[\s_.:-]+([0-9]{1,6})")
_WITH_UNIT = re.compile(r"\s*[-+0-9.eE]*[0-9.]\s*(mm|cm|in|px|pt|pc)\s*")


@dataclass(frozen=True)
class HoleMark:
    """One circle: its centre and width in mm; the fastener and the number that it is named with, None where it is not.

    `not_round`: its two diameters, where they differ, for messages. `groups`: how the groups around it are called.
    """

    at: Point
    width: float
    fastener: str | None
    number: int | None
    not_round: str = ""
    groups: frozenset[str] = frozenset()


def read_hole_marks(path: Path, fasteners: Collection[str]) -> tuple[HoleMark, ...]:
    """Return the holes by their numbers, those without one after them as they are drawn. Raises OutlineError."""
    drawing = SvgDrawing(parse_svg(path).root)
    marks = [mark for drawn in drawing.elements(root_matrix(drawing.root)) for mark in _marks(drawn, fasteners)]
    named = [mark for mark in marks if mark.fastener is not None]
    others = [mark for mark in marks if mark.fastener is None and _is_hole(mark, named)]
    return tuple(sorted([*named, *others], key=lambda mark: (mark.number is None, mark.number or 0)))


def says_its_units(path: Path) -> bool:
    """Say whether a drawing gives its width or height with a unit. Raises OutlineError."""
    root = parse_svg(path).root
    return any(_WITH_UNIT.fullmatch(root.get(name, "")) for name in ("width", "height"))


def _marks(drawn: DrawnElement, fasteners: Collection[str]) -> Iterator[HoleMark]:
    if element_name(drawn.element) not in ("circle", "ellipse"):
        return
    shape = round_shape(drawn.element, drawn.matrix)
    if shape is None:
        return
    (x, y), wide, narrow = shape
    key, number = _named((drawn.element, *drawn.around), fasteners)
    not_round = f"{wide:.1f} x {narrow:.1f} mm" if wide - narrow > ROUND * wide else ""
    if not_round and key is None:
        return
    at = (round(x, FINEST) + 0.0, round(y, FINEST) + 0.0)
    yield HoleMark(at, wide, key, number, not_round, names_of(drawn.around))


def _is_hole(mark: HoleMark, named: Collection[HoleMark]) -> bool:
    """Whether a circle without a name may be one: no lamp, and no ring around a hole that has a name."""
    return mark.width <= LARGEST_HOLE and all(math.dist(mark.at, other.at) > SAME_CENTRE for other in named)


def _named(elements: tuple[Element, ...], fasteners: Collection[str]) -> tuple[str | None, int | None]:
    """What the innermost element says that names a fastener; its label before its id, which programs make up."""
    for element in elements:
        names = {key.rsplit("}", 1)[-1]: str(value).strip() for key, value in element.attrib.items()}
        for name in (names[one] for one in _LABELS if one in names):
            if name in fasteners:
                return name, None
            numbered = _NUMBERED.fullmatch(name[:100])
            if numbered and numbered[1] in fasteners:
                return numbered[1], int(numbered[2])
    return None, None
