"""Groups and layers of a drawing: what they are called, and which of them are not the panel that is asked for.

In: shapes with the names around them. Out: names; and for one panel, the lines that another group has for its own.
Apart from the sorting because a drawing of a whole bike holds panels that the bike file does not know yet.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from shapely import Point as Spot
from shapely import Polygon

from boardmaker.tracing.drawn import DrawnShape, NameLevel, RoundShape
from boardmaker.tracing.panel_frame import PanelFrame

NEAR = 15.0  # mm from an outline: what is nearer belongs to the panel
_MADE_UP = re.compile(r"(?:[a-z]|group|layer|svg|path|rect|[0-9])[-_ ]?[0-9]*", re.IGNORECASE)  # by a program

Node = tuple[int, ...] | str


@dataclass(frozen=True)
class ClosedLine:
    """A closed shape with its area, and the circle that it may be."""

    shape: DrawnShape
    area: float  # mm2
    round: RoundShape | None


class DrawnGroups:
    """The groups, layers and blocks that hold more than one shape."""

    def __init__(self, shapes: Sequence[DrawnShape]) -> None:
        self.shapes = shapes
        self.sizes = Counter(node for shape in shapes for node in {level.node for level in shape.names})

    def is_group(self, node: Node) -> bool:
        """Say whether it holds more than one shape."""
        return self.sizes[node] > 1

    def around(self, node: Node) -> frozenset[Node]:
        """Return a group and all that it lies in."""
        found: set[Node] = {node}
        for shape in self.shapes:
            nodes = [level.node for level in shape.names]
            if node in nodes:
                found |= {*nodes[nodes.index(node) :]}
        return frozenset(found)

    def outermost(self, names: Sequence[NameLevel], without: frozenset[Node]) -> Node | None:
        """Return the outermost group around something, leaving out some; None where it lies in no other."""
        return next((one.node for one in reversed(names) if self.is_group(one.node) and one.node not in without), None)

    def names(self, shapes: Sequence[DrawnShape]) -> tuple[str, ...]:
        """Return what the groups of some shapes are called, in their order, each once; not what a program made up."""
        return tuple(dict.fromkeys(name for shape in shapes if (name := self._name(shape))))

    def _name(self, shape: DrawnShape) -> str:
        for level in shape.names:
            name = next(iter((*level.by_hand, *level.by_program)), "")
            if self.is_group(level.node) and name and not _MADE_UP.fullmatch(name):
                return name
        return ""


class OtherGroups:
    """The groups beside one panel's: a line is theirs if it lies in an outline of its own group, or far from the panel.

    An outline here is a closed line, no circle, that neither lies in the panel nor around it.
    """

    def __init__(
        self, groups: DrawnGroups, around: frozenset[Node], frame: PanelFrame, lines: Sequence[ClosedLine]
    ) -> None:
        self.groups, self.without, self.frame = groups, around, frame
        self.outlines: dict[Node, list[Polygon]] = {}
        for line in lines:
            node = self._group(line.shape.names)
            if line.round is None and node is not None and self._is_outline(line.shape):
                self.outlines.setdefault(node, []).append(Polygon(line.shape.points).buffer(0))

    def _group(self, names: Sequence[NameLevel]) -> Node | None:
        return self.groups.outermost(names, self.without)

    def _is_outline(self, shape: DrawnShape) -> bool:
        holds_panel = Polygon(shape.points).buffer(0).covers(self.frame.polygon)
        return not holds_panel and not self.frame.holds_line(shape.points)

    def has(self, line: ClosedLine) -> bool:
        """Say whether a closed line is another group's."""
        node = self._group(line.shape.names)
        if node is None:
            return False
        middle = line.round.centre if line.round else _middle(line.shape)
        own = any(outline.covers(Spot(middle)) for outline in self.outlines.get(node, ()))
        return own or self.frame.outside(middle) > NEAR

    def has_open(self, line: DrawnShape) -> bool:
        """Say whether an open line is another group's."""
        return self._group(line.names) is not None and not self.frame.holds_line(line.points)

    def has_names(self, names: Sequence[NameLevel]) -> bool:
        """Say whether something with these names is in a group that has an outline of its own."""
        return any(level.node in self.outlines for level in names)


def _middle(shape: DrawnShape) -> tuple[float, float]:
    place = Polygon(shape.points).envelope.centroid
    return float(place.x), float(place.y)
