"""What is seen in a drawing sorted into panels: which line is an outline, which circle a hole, and of which fastener.

In: shapes and words with their names, and the keys that these may be. Out: a `Tracing`, or every problem at once. The
largest closed line of a panel is its outline; what is round is a hole, everything else is ignored and said. What could
mean two things is a problem, never a guess.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from shapely import LinearRing, MultiPoint, Polygon
from shapely import Point as Spot

from boardmaker.geometry import Point, bounds
from boardmaker.inputs.complaints import in_file_order
from boardmaker.inputs.simple_rings import LARGEST_RING as MOST_LEFT
from boardmaker.inputs.simple_rings import SIMPLIFY, OutlineError, simple_ring
from boardmaker.plain_text import shown
from boardmaker.problems import Place, Problem, ProblemsFound, error
from boardmaker.tracing.curve import moved_curve, oriented
from boardmaker.tracing.drawn import LARGEST_RING, DrawnShape, SeenDrawing
from boardmaker.tracing.found import FoundPanel, Ignored, Tracing
from boardmaker.tracing.groups import NEAR, ClosedLine, DrawnGroups, OtherGroups
from boardmaker.tracing.holes import MOVE_IT, hole_texts, read_holes
from boardmaker.tracing.lines import gap, joined, round_of
from boardmaker.tracing.names import AmbiguousName, Keys, PanelMark
from boardmaker.tracing.panel_frame import PanelFrame, size_of
from boardmaker.units import counted

COMPARABLE = 0.25  # of the outline's area, from which another line beside it could be the panel just as well
MOST_HOLES = 2000  # of a drawing; 40 panels have 600
PAGE_SHARE = 0.98  # of the sheet in both directions: a frame, or a ground
CLOSE_IT = "draw the outline as one closed path; ends may be 0.1 mm apart"
MOST_SAID = 20  # open lines of a panel that are said one by one
WHICH = "give the panel's path, its group or its layer the panel's key as its label"


@dataclass
class PanelParts:
    """What belongs to one panel, as it is gathered."""

    mark: PanelMark | None
    closed: list[ClosedLine] = field(default_factory=list)
    open: list[DrawnShape] = field(default_factory=list)

    @property
    def key(self) -> str | None:
        """The panel's key, None where nothing names it."""
        return self.mark.key if self.mark else None

    @property
    def has_outline(self) -> bool:
        """Whether there is a closed line that is no circle."""
        return any(line.round is None for line in self.closed)


@dataclass(frozen=True)
class _Outlined:
    """A panel whose outline is known."""

    parts: PanelParts
    frame: PanelFrame
    outline: ClosedLine


def sort_out(seen: SeenDrawing, keys: Keys, source: Path, wanted: str | None = None) -> Tracing:
    """Return the panels of a drawing; of one that has a group called `wanted`, that alone. Raises ProblemsFound."""
    return _Sorting(seen, keys, source, wanted).tracing()


class _Sorting:
    def __init__(self, seen: SeenDrawing, keys: Keys, source: Path, wanted: str | None) -> None:
        self.seen, self.keys, self.source, self.wanted = seen, keys, source, wanted
        self.groups = DrawnGroups(seen.shapes)
        self.problems: list[Problem] = []
        self.texts = hole_texts(seen, keys)
        self.ignored = [*seen.ignored]

    def tracing(self) -> Tracing:
        parts = self._alone(self._one_of_each_key(self._gathered()))
        loose = next((one for one in parts if one.mark is None), PanelParts(None))
        named = [one for one in parts if one.mark is not None]
        outlined = [self._outlined(one) for one in named or [loose]]
        whole = [one for one in outlined if one is not None]
        if named and not self.problems:
            self._leave_aside(loose, whole)
            self._share_out(loose, whole)
        self._stop_at_problems()
        panels = tuple(self._panel(one) for one in whole)
        self._stop_at_problems()
        return Tracing(self.source, panels, self.seen.scale_said, tuple(self.ignored), self._others())

    def _others(self) -> tuple[str, ...]:
        """Names of groups with an outline that are not in the bike file."""
        outlines = [shape for shape in self.seen.shapes if shape.closed and round_of(shape) is None]
        return self.groups.names([shape for shape in outlines if not self._names_panel(shape)])

    def _names_panel(self, shape: DrawnShape) -> bool:
        try:
            return self.keys.panel_of(shape.names) is not None
        except AmbiguousName:
            return True

    def _alone(self, parts: list[PanelParts]) -> list[PanelParts]:
        """All parts; where the one that is asked for is a group, without the other panels."""
        own = next((one for one in parts if self.wanted is not None and one.key == self.wanted), None)
        if own is None or own.mark is None or not self.groups.is_group(own.mark.node):
            return parts
        if left := [f"`{one.key}`" for one in parts if one.key not in (None, self.wanted)]:
            self.ignored.append(Ignored(", ".join(left), f"`{self.wanted}` alone is asked for", None))
        return [one for one in parts if one.key in (None, self.wanted)]

    def _leave_aside(self, loose: PanelParts, panels: Sequence[_Outlined]) -> None:
        """Take out of what names no panel the groups that are other panels, where one panel is asked for."""
        panel = next((one for one in panels if one.parts.key == self.wanted), None)
        if panel is None or panel.parts.mark is None:
            return
        around = self.groups.around(panel.parts.mark.node)
        others = OtherGroups(self.groups, around, panel.frame, loose.closed)
        aside = [line for line in loose.closed if others.has(line)]
        loose.closed = [line for line in loose.closed if not others.has(line)]
        open_ones = [line for line in loose.open if others.has_open(line)]
        loose.open = [line for line in loose.open if not others.has_open(line)]
        self.texts = tuple(text for text in self.texts if not others.has_names(text.drawn.names))
        if shapes := [*(line.shape for line in aside), *open_ones]:
            names = ", ".join(f"'{name}'" for name in self.groups.names(shapes)) or "groups without a name"
            what = f"{counted(len(shapes), 'line')} of {names}"
            self.ignored.append(Ignored(what, f"another group than `{self.wanted}`", None))

    def _stop_at_problems(self) -> None:
        if self.problems:
            raise ProblemsFound(in_file_order(self.problems))

    def _complain(self, message: str, hint: str, shape: DrawnShape | None = None) -> None:
        place = Place(str(self.source), shape.line, 1) if shape is not None and shape.line else None
        self.problems.append(error(message if place else f"{self.source}: {message}", place, hint))

    def _gathered(self) -> list[PanelParts]:
        """All shapes by the panel that they name, in the order of the drawing, open lines put together."""
        by_mark: dict[PanelMark | None, list[DrawnShape]] = {}
        for shape in self.seen.shapes:
            try:
                by_mark.setdefault(self.keys.panel_of(shape.names), []).append(shape)
            except AmbiguousName as two:
                self._complain(f"{shape.what} names two panels: {two}", "leave one name", shape)
        self._stop_at_problems()
        parts = [_parts(mark, shapes) for mark, shapes in by_mark.items()]
        count = sum(line.round is not None for one in parts for line in one.closed)
        if max(count, len(self.texts)) > MOST_HOLES:
            message = f"the drawing has {count} circles and {len(self.texts)} texts for them; taken are {MOST_HOLES}"
            self._complain(message, "take out what is no hole")
        self._stop_at_problems()
        return parts

    def _one_of_each_key(self, parts: Sequence[PanelParts]) -> list[PanelParts]:
        """Panels of one key put together where only one of them has an outline; two outlines are a problem."""
        kept: dict[str | None, PanelParts] = {}
        for one in parts:
            key = one.key
            first = kept.setdefault(key, one)
            if first is one:
                continue
            if first.has_outline and one.has_outline:
                shape = next(line.shape for line in one.closed if line.round is None)
                self._complain(f"two panels are called `{key}`; the second is {shape.what}", "name one of them", shape)
            first.closed += one.closed
            first.open += one.open
        self._stop_at_problems()
        return [*kept.values()]

    def _outlined(self, parts: PanelParts) -> _Outlined | None:
        line = self._outline(parts)
        if line is None:
            return None
        try:
            ring = simple_ring(line.shape.points, LARGEST_RING)
        except OutlineError as wrong:
            self._complain(f"{line.shape.what}: {wrong}", wrong.hint, line.shape)
            return None
        made = _Outlined(parts, PanelFrame(ring), line)
        if len(made.frame.outline) > MOST_LEFT:
            message = f"{line.shape.what}: {len(made.frame.outline)} points are left of it, and a panel has {MOST_LEFT}"
            self._complain(message, SIMPLIFY, line.shape)
            return None
        self._refuse_rivals(made)
        return made

    def _outline(self, parts: PanelParts) -> ClosedLine | None:
        """The largest closed line; a circle only where the other circles lie in it."""
        of = f"panel `{parts.key}`" if parts.mark else "the drawing"
        if not parts.closed:
            message = f"{of} has no closed path{_longest_gap(parts.open)}{self._passed_over()}"
            self._complain(message, CLOSE_IT, _first(parts))
            return None
        largest = max(parts.closed, key=lambda line: line.area)
        if largest.round is not None and not _holds_all(largest, parts.closed):
            message = f"{of} has circles, but no closed path around them{_longest_gap(parts.open)}{self._passed_over()}"
            self._complain(message, CLOSE_IT, largest.shape)
            return None
        return largest

    def _passed_over(self) -> str:
        """What the reader left out of the drawing, for whoever misses it."""
        said = [f"{one.what}: {one.why}" for one in self.seen.ignored[:3]]
        return f" (left out: {'; '.join(said)})" if said else ""

    def _refuse_rivals(self, panel: _Outlined) -> None:
        """Another line that could be the outline just as well."""
        outline = panel.outline
        if panel.parts.mark is None and len(names := self._others()) > 1:
            self.problems.append(no_panel_named(self.source, names))
            return
        others = [line for line in panel.parts.closed if line is not outline and line.round is None]
        large = [line for line in others if line.area >= COMPARABLE * outline.area]
        if large and self._is_page(outline):
            message = f"{outline.shape.what} is as large as the sheet, and {large[0].shape.what} lies in it"
            self._complain(
                f"{message}: which is the panel?", f"take the frame or ground out, or {WHICH}", outline.shape
            )
            return
        for line in large:
            if not panel.frame.holds_line(line.shape.points):
                sizes = f"{size_of(outline.shape.points)} and {size_of(line.shape.points)}"
                message = f"{outline.shape.what} and {line.shape.what} lie beside each other ({sizes})"
                self._complain(f"{message}: which is the panel?", WHICH, line.shape)

    def _is_page(self, line: ClosedLine) -> bool:
        if self.seen.page is None:
            return False
        x0, y0, x1, y1 = self.seen.page
        left, low, right, high = bounds(line.shape.points)
        fills = line.area >= PAGE_SHARE * (right - left) * (high - low)
        return fills and right - left >= PAGE_SHARE * (x1 - x0) and high - low >= PAGE_SHARE * (y1 - y0)

    def _share_out(self, loose: PanelParts, panels: Sequence[_Outlined]) -> None:
        """Give what names no panel to the panel in whose outline it lies."""
        for line in loose.closed:
            around = [one for one in panels if _lies_in(line, one.frame)]
            if len(around) == 1:
                around[0].parts.closed.append(line)
            elif around:
                keys = " and ".join(f"`{one.parts.key}`" for one in around)
                self._complain(f"{line.shape.what} lies in the outlines of {keys}", WHICH, line.shape)
            else:
                self._of_no_panel(line, panels)
        nowhere = [shape for shape in loose.open if not self._goes_to_one(shape, panels)]
        self.ignored += [Ignored(shape.what, "it is open, and of no panel", None) for shape in nowhere[:MOST_SAID]]
        if len(nowhere) > MOST_SAID:
            self.ignored.append(
                Ignored(f"{len(nowhere) - MOST_SAID} more lines", "they are open, and of no panel", None)
            )

    def _goes_to_one(self, shape: DrawnShape, panels: Sequence[_Outlined]) -> bool:
        around = [one for one in panels if one.frame.holds_line(shape.points)]
        if len(around) == 1:
            around[0].parts.open.append(shape)
        return len(around) == 1

    def _of_no_panel(self, line: ClosedLine, panels: Sequence[_Outlined]) -> None:
        """A circle beside all panels is a hole out of place if it names a fastener or lies near; else it is ignored."""
        middle = line.round.centre if line.round else _middle(line.shape)
        nearest = min(panels, key=lambda one: one.frame.outside(middle))
        off = nearest.frame.outside(middle)
        if line.round is not None and (off <= NEAR or self._names_fastener(line.shape)):
            message = f"{line.shape.what} lies {off:.1f} mm outside of the outline of panel `{nearest.parts.key}`"
            self._complain(message, MOVE_IT, line.shape)
            return
        near = self.keys.nearest_panel(line.shape.names)
        why = f"it lies in no panel{f'; was `{near}` meant by its name?' if near else ''}"
        self.ignored.append(Ignored(line.shape.what, why, None))

    def _names_fastener(self, shape: DrawnShape) -> bool:
        try:
            return self.keys.fastener_of(shape.names) is not None
        except AmbiguousName:
            return True

    def _panel(self, panel: _Outlined) -> FoundPanel:
        frame, parts, key = panel.frame, panel.parts, panel.parts.key
        rest = [line for line in parts.closed if line is not panel.outline]
        circles = [(line.shape, line.round) for line in rest if line.round is not None]
        found = read_holes(circles, frame, key, self.texts, self.keys)
        for one in found.complaints:
            self._complain(one.message, one.hint, one.shape)
        ignored = [*found.ignored, *(_not_round(line, frame) for line in rest if line.round is None)]
        ignored += _open_lines(parts.open, frame)
        curve = oriented(moved_curve(panel.outline.shape.curve, frame.place))
        return FoundPanel(
            key,
            frame.outline,
            tuple(found.holes),
            tuple(ignored),
            notes=found.notes(),
            curve=curve,
            origin=None if self.seen.frame is None else frame.place(self.seen.frame),
        )


def no_panel_named(source: Path, names: Sequence[str]) -> Problem:
    """Return the problem of a drawing whose groups are called otherwise than the panels of the bike file."""
    listed = ", ".join(shown(name) for name in names)
    hint = "write these keys under `panels`, or trace them one by one"
    return error(
        f"{source} names no panel of the bike file; its groups are {listed}",
        hint=f"{hint}: boardmaker trace BIKE {shown(names[0])} {source.name}",
    )


def _parts(mark: PanelMark | None, shapes: Sequence[DrawnShape]) -> PanelParts:
    parts = PanelParts(mark)
    for shape in joined(shapes):
        if shape.closed and len(shape.points) >= 3:
            parts.closed.append(ClosedLine(shape, float(Polygon(shape.points).area), round_of(shape)))
        else:
            parts.open.append(shape)
    return parts


def _first(parts: PanelParts) -> DrawnShape | None:
    return next(iter([*parts.open, *(line.shape for line in parts.closed)]), None)


def _longest_gap(lines: Sequence[DrawnShape]) -> str:
    """How far the ends of the longest open line are apart, for whoever meant it to be the outline."""
    if not lines:
        return ""
    longest = max(lines, key=lambda line: float(MultiPoint(line.points).envelope.length))
    return f"; the ends of {longest.what} are {gap(longest):.1f} mm apart"


def _holds_all(circle: ClosedLine, lines: Sequence[ClosedLine]) -> bool:
    area = Polygon(circle.shape.points)
    return all(area.covers(Spot(line.round.centre if line.round else _middle(line.shape))) for line in lines)


def _lies_in(line: ClosedLine, frame: PanelFrame) -> bool:
    """A circle where its centre does: a hole may reach over the edge."""
    return frame.outside(line.round.centre) <= 0.0 if line.round else frame.holds_line(line.shape.points)


def _middle(shape: DrawnShape) -> Point:
    place = LinearRing(shape.points).envelope.centroid
    return float(place.x), float(place.y)


def _not_round(line: ClosedLine, frame: PanelFrame) -> Ignored:
    axes = line.shape.round
    size = f"{axes.width:.1f} x {axes.height:.1f} mm" if axes else size_of(line.shape.points)
    beside = "" if frame.holds_line(line.shape.points) else ", and not within the outline"
    return Ignored(line.shape.what, f"it is not round: {size}{beside}", frame.place(_middle(line.shape)))


def _open_lines(lines: Sequence[DrawnShape], frame: PanelFrame) -> list[Ignored]:
    said = [
        Ignored(line.what, f"it is open: its ends are {gap(line):.1f} mm apart", frame.place(line.points[0]))
        for line in lines[:MOST_SAID]
    ]
    rest = len(lines) - MOST_SAID
    return [*said, Ignored(f"{rest} more lines", "they are open", None)] if rest > 0 else said
