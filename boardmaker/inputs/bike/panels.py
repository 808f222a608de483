"""Panels: outlines read, holes numbered, mirrors carried out, references to what is not there left out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from boardmaker.geometry import Ring
from boardmaker.inputs.bike.amounts import MOST_HOLES, REMEDY, too_many_holes
from boardmaker.inputs.bike.distances import HolePlace, PanelHoles
from boardmaker.inputs.bike.drawn_holes import drawn_holes
from boardmaker.inputs.bike.mirrors import mirror_panel, mirror_ring
from boardmaker.inputs.bike.references import KnownKeys, existing
from boardmaker.inputs.findings import Findings
from boardmaker.inputs.outlines import (
    outline_around,
    outline_from_points,
    ring_of_panel,
    rings_of_svg,
    svg_says_its_units,
)
from boardmaker.inputs.schema import FixingShape, HoleShape, OutlineFile, PanelShape
from boardmaker.inputs.simple_rings import LARGEST_RING, SIMPLIFY, OutlineError
from boardmaker.inputs.svg.reader import NamedRing
from boardmaker.model import Equipment, Fixing, Hole, Panel, View


def build_panels(
    shapes: Mapping[str, PanelShape], folder: Path, known: KnownKeys, findings: Findings
) -> tuple[Panel, ...]:
    """Return the panels that could be built, in the file's order; complaints go to `findings`.

    Some may lack holes, `unplaced`: then there is an error among the complaints.
    """
    builder = _Builder(shapes, folder, known, findings)
    built = []
    holes = 0
    for key in shapes:
        if (panel := builder.panel(key) or builder.in_part.get(key)) is None:
            continue
        built.append(panel)
        holes += len(panel.holes)
        if holes > MOST_HOLES:  # by mirror images; these are not made without end
            findings.error(("panels", key), too_many_holes(holes), REMEDY, key=True)
            break
    return tuple(built)


@dataclass(frozen=True)
class _Corners:
    """An outline before it is rounded; no points where it is to be drawn around the holes."""

    points: Ring = ()
    smooth: bool = False


MOST_DRAWN_POINTS = 100_000  # of all drawings together; forty panels have 2000 at most
_REMEDIES = {
    "name": "such as name: Left knee cover",
    "side": "write side: left, right or centre",
    "holes": "write `holes: []` for a panel without screws",
}


class _Builder:
    """Builds each panel once, its mirror image's original first."""

    def __init__(self, shapes: Mapping[str, PanelShape], folder: Path, known: KnownKeys, findings: Findings) -> None:
        self.shapes, self.folder, self.known, self.findings = shapes, folder, known, findings
        self.built: dict[str, Panel | None] = {}
        self.not_placed: set[str] = set()  # keys of panels that have a hole without a place
        self.in_part: dict[str, Panel] = {}  # these panels, less such holes: nothing can be mirrored from them
        self.corners: dict[str, _Corners] = {}
        self.being_built: list[str] = []
        self.drawings: dict[str, tuple[NamedRing, ...] | OutlineError] = {}
        self.drawn_points = 0

    def panel(self, key: str) -> Panel | None:
        if key not in self.built:
            self.being_built.append(key)
            shape = self.shapes[key]
            built = self._mirrored(key, shape) if shape.mirrors else self._own(key, shape)
            self.built[key] = built if key not in self.not_placed else None
            if built and key in self.not_placed:
                self.in_part[key] = built
            self.being_built.pop()
        return self.built[key]

    def _own(self, key: str, shape: PanelShape) -> Panel | None:
        path = ("panels", key)
        missing = [name for name in ("name", "side") if getattr(shape, name) is None]
        missing += ["holes"] if shape.holes is None else []
        for name in missing:
            self.findings.error(path, f"`{key}` lacks the key `{name}`", _REMEDIES[name], key=True)
        if shape.without_holes is not None:
            self.findings.error(
                (*path, "without_holes"),
                "`without_holes` goes with `mirrors` only",
                "take the hole out from `holes`",
                True,
            )
        if missing or shape.name is None or shape.side is None:
            return None
        blank = Panel(key, shape.name, "", shape.side, "side", (), (), where=self.findings.place(path))
        return self._with_own_keys(blank, shape)

    def _mirrored(self, key: str, shape: PanelShape) -> Panel | None:
        path = ("panels", key, "mirrors")
        original_key = shape.mirrors or ""
        if original_key in self.being_built:
            circle = [*self.being_built[self.being_built.index(original_key) :], original_key]
            self.findings.error(path, f"these panels mirror each other in a circle: {' -> '.join(circle)}")
            return None
        original = self.panel(original_key) if original_key in self.shapes else None
        if original is None:
            return None  # there is none, or it has a mistake of its own: that has been said
        image = mirror_panel(original, key, self.known)
        image = replace(image, where=self.findings.place(("panels", key)))
        return self._with_own_keys(self._without_holes(image, shape), shape)

    def _without_holes(self, panel: Panel, shape: PanelShape) -> Panel:
        if shape.without_holes is None:
            return panel
        path = ("panels", panel.key, "without_holes")
        if shape.holes is not None:
            self.findings.warning(path, "`holes` written here replaces them all, so `without_holes` changes nothing")
        dropped = self.findings.known(path, "hole", shape.without_holes, [hole.id for hole in panel.holes])
        return replace(panel, holes=tuple(hole for hole in panel.holes if hole.id not in dropped))

    def _with_own_keys(self, panel: Panel, shape: PanelShape) -> Panel:
        """The panel with everything that is written at it; what is not written stays."""
        path = ("panels", panel.key)
        panel = replace(
            panel,
            name=shape.name or panel.name,
            tag=self._tag(panel.key, shape),
            side=shape.side or panel.side,
            on_bike=shape.on_bike or panel.on_bike,
            rides_on=self._rides_on(panel, shape),
            after=panel.after if shape.after is None else self._others(panel.key, "after", shape.after),
            note=panel.note if shape.note is None else shape.note,
            equipment=self._equipment(shape, panel.equipment),
        )
        if shape.fixings is not None:
            panel = replace(panel, fixings=tuple(self._fixing(path, i, one) for i, one in enumerate(shape.fixings)))
        return self._with_outline_and_holes(replace(panel, view=self._view(panel, shape)), shape)

    def _tag(self, key: str, shape: PanelShape) -> str:
        if shape.tag is not None and not (len(shape.tag) <= 3 and shape.tag.isalpha()):
            self.findings.error(("panels", key, "tag"), f'the tag "{shape.tag}" is not 1 to 3 letters')
        return shape.tag or ""

    def _view(self, panel: Panel, shape: PanelShape) -> View:
        path = ("panels", panel.key, "view")
        if panel.side != "centre":
            if shape.view not in (None, "side"):
                message = f"a {panel.side} panel is seen from its side; `view` is for centre panels"
                self.findings.error(path, message, "take `view` out")
            return "side"
        if shape.view == "side":
            self.findings.error(path, "a centre panel is seen from the top, the front or the rear", "write view: top")
        own = shape.view if shape.view != "side" else None
        return own or (panel.view if panel.view != "side" else "top")

    def _rides_on(self, panel: Panel, shape: PanelShape) -> str:
        if shape.rides_on is None:
            return panel.rides_on
        found = self._others(panel.key, "rides_on", (shape.rides_on,))
        return found[0] if found else ""

    def _others(self, key: str, name: str, keys: tuple[str, ...]) -> tuple[str, ...]:
        """References to other panels: existing ones, and not to itself."""
        path = ("panels", key, name)
        if key in keys:
            self.findings.error(path, f"`{key}` refers to itself in `{name}`", "take it out")
        return tuple(one for one in existing(keys, self.known.panels) if one != key)

    def _equipment(self, shape: PanelShape | HoleShape | FixingShape, otherwise: Equipment) -> Equipment:
        known = self.known.equipment
        return Equipment(
            otherwise.present if shape.present is None else existing(shape.present, known),
            otherwise.absent if shape.absent is None else existing(shape.absent, known),
        )

    def _written_holes(self, key: str, shape: PanelShape, ring: Ring | None) -> list[HoleShape]:
        """The holes as they are written, or as the outline's drawing has them; none where that fails."""
        if not isinstance(shape.holes, str):
            return shape.holes or []
        path = ("panels", key, "holes")
        if ring is None:  # the drawing has a mistake of its own
            self.not_placed.add(key)
            return []
        try:
            return drawn_holes(shape.outline, self.folder, self.known.fasteners, key, self.shapes)
        except OutlineError as wrong:
            self.findings.error(path, f"holes of `{key}`: {wrong}", wrong.hint)
            self.not_placed.add(key)
            return []

    def _with_holes(self, panel: Panel, shapes: list[HoleShape], ring: Ring | None) -> Panel:
        """The panel with its holes; `ring` is the outline, () without one, None where that has a mistake."""
        key = panel.key
        measured = PanelHoles(("panels", key, "holes"), shapes, ring, self.findings)
        places = measured.places()
        self._complain_of_ids(key, shapes)
        if None in places:
            self.not_placed.add(key)
        holes = [self._hole(key, index, shape, places[index]) for index, shape in enumerate(shapes)]
        return replace(panel, holes=tuple(hole for hole in holes if hole is not None), unplaced=measured.unplaced())

    def _complain_of_ids(self, key: str, shapes: list[HoleShape]) -> None:
        ids: set[str] = set()
        for index, shape in enumerate(shapes):
            id_ = shape.id or str(index + 1)
            if id_ in ids:
                path = ("panels", key, "holes", index)
                self.findings.error(path, f'two holes of `{key}` have the id "{id_}"', "give each its own `id`")
            ids.add(id_)

    def _hole(self, key: str, index: int, shape: HoleShape, place: HolePlace | None) -> Hole | None:
        path = ("panels", key, "holes", index)
        held = existing(shape.also_holds, self.known.panels)
        if key in held:
            self.findings.error((*path, "also_holds"), f"this screw is `{key}`'s own already", "take it out")
        if place is None:
            return None
        return Hole(
            id=shape.id or str(index + 1),
            at=place.at,
            fastener=shape.fastener,
            also_holds=tuple(one for one in held if one != key),
            into=shape.into,
            stack=shape.stack,
            depth=shape.depth,
            room=shape.room,
            base=shape.base,
            behind=shape.behind,
            note=shape.note,
            equipment=self._equipment(shape, Equipment()),
            where=self.findings.document.place(path),
            by=place.by,
        )

    def _fixing(self, path: tuple[str | int, ...], index: int, shape: FixingShape) -> Fixing:
        at = (*path, "fixings", index)
        equipment = self._equipment(shape, Equipment())
        return Fixing(shape.kind, shape.at, shape.note, equipment, self.findings.document.place(at))

    def _with_outline_and_holes(self, panel: Panel, shape: PanelShape) -> Panel:
        """The outline as written; the mirror image's; or one drawn around the holes."""
        corners: _Corners | None = None
        try:
            corners, panel = self._with_outline(panel, shape)
        except OutlineError as wrong:
            self.findings.error(("panels", panel.key, "outline"), f"outline of `{panel.key}`: {wrong}", wrong.hint)
        if shape.holes is not None:
            ring = None if corners is None else panel.outline if corners.points else ()
            panel = self._with_holes(panel, self._written_holes(panel.key, shape, ring), ring)
        if corners is None:
            return panel
        if corners.points:
            return replace(panel, outline_drawn=False)
        drawn = outline_around([hole.at for hole in panel.holes]) if panel.holes else ()
        return replace(panel, outline=drawn, outline_drawn=bool(drawn))

    def _with_outline(self, panel: Panel, shape: PanelShape) -> tuple[_Corners, Panel]:
        original = self.corners.get(panel.mirrors, _Corners())
        corners = self.corners[panel.key] = self._corners(panel.key, shape, original)
        if shape.outline is not None or (corners.points and corners.smooth != original.smooth):
            panel = replace(panel, outline=outline_from_points(corners.points, corners.smooth))
        return corners, panel

    def _drawn(self, key: str, name: str) -> Ring:
        """The points of a drawing, each read once; one that is refused counts as one of the largest."""
        if self.drawn_points > MOST_DRAWN_POINTS:
            message = f'"{name}" is not read: the drawings before it have more than {MOST_DRAWN_POINTS} points'
            raise OutlineError(message, f"{SIMPLIFY}, or mend the drawings before it")
        if name not in self.drawings:
            try:
                self.drawings[name] = rings_of_svg(self.folder, name)
            except OutlineError as wrong:
                self.drawings[name] = wrong
                self.drawn_points += LARGEST_RING
        found = self.drawings[name]
        if isinstance(found, OutlineError):
            raise OutlineError(str(found), found.hint)
        ring, others = ring_of_panel(found, key, self.shapes)
        if others:
            named = ", ".join(f"`{one}`" for one in others)
            message = f'"{name}" draws {named} and says of nothing that it is `{key}`: its largest path is taken'
            hint = f"give the path or group of this panel the id or label {key}"
            self.findings.warning(("panels", key, "outline", "file"), message, hint)
        self.drawn_points += len(ring)
        return ring

    def _warn_of_units(self, key: str, name: str) -> None:
        if not svg_says_its_units(self.folder, name):
            message = f'"{name}" has no units: each of its own is taken for a pixel, 1/96 in'
            hint = 'give its svg element a width and height with a unit, such as width="320mm"; `check` shows the size'
            self.findings.warning(("panels", key, "outline", "file"), message, hint)

    def _corners(self, key: str, shape: PanelShape, original: _Corners) -> _Corners:
        """The points of the outline and whether to round it, each as written here, else as at the original."""
        if isinstance(shape.outline, OutlineFile):
            points = self._drawn(key, shape.outline.file)
            self._warn_of_units(key, shape.outline.file)
            return _Corners(points, shape.outline.smooth or bool(shape.smooth))
        if shape.outline is not None:
            return _Corners(shape.outline, bool(shape.smooth))
        return _Corners(mirror_ring(original.points), original.smooth if shape.smooth is None else shape.smooth)
