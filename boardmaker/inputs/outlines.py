"""Panel outlines: from points, from SVG files, or drawn around the holes where there is none.

Out comes a simple counter-clockwise ring in panel mm. svgelements and defusedxml are imported here and nowhere else.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from pathlib import Path

import shapely
from shapely import LinearRing, MultiPoint, Polygon
from shapely.validation import explain_validity

from boardmaker.geometry import Point, Ring, ring_of
from boardmaker.inputs.curves import smooth_ring
from boardmaker.problems import nearest

AROUND_HOLES = 25.0  # mm on the bike from a hole to an outline that is drawn around the holes
LARGEST_SVG = 2_000_000  # bytes
MM_PER_PX = 25.4 / 96  # a CSS pixel is 1/96 in (CSS Values and Units Level 3)
FLATNESS = 0.1  # mm by which a curve may be off
MOST_POINTS = 2000
LEAST_AREA = 1.0  # mm2


class OutlineError(ValueError):
    """An outline that cannot be used: the message says what is wrong, `hint` how to mend it."""

    def __init__(self, message: str, hint: str = "") -> None:
        super().__init__(message)
        self.hint = hint


def outline_from_points(points: Sequence[Point], smooth: bool) -> Ring:
    """Return the ring through the points. Raises OutlineError for one that crosses itself or has no area."""
    ring = _simple_ring(points)
    return _simple_ring(smooth_ring(ring)) if smooth else ring


def outline_around(holes: Sequence[Point]) -> Ring:
    """Return a rounded outline around the holes."""
    return ring_of(MultiPoint(holes).convex_hull.buffer(AROUND_HOLES, quad_segs=8))


def outline_from_svg(folder: Path, name: str, smooth: bool) -> Ring:
    """Return the largest closed path of an SVG file in the bike file's folder, in mm, y up.

    The origin is the lower left of the viewBox. Raises OutlineError.
    """
    path = _inside(folder, name)
    return outline_from_points(_largest_path(path, name), smooth)


def _inside(folder: Path, name: str) -> Path:
    """The file's path; it must lie in the folder, also after links are followed."""
    base = folder.resolve()
    try:
        path = (base / name).resolve()
    except (OSError, ValueError, RuntimeError):
        raise OutlineError(f'"{name}" is no file name') from None
    if not path.is_relative_to(base):
        raise OutlineError(f'"{name}" lies outside of the bike file\'s folder', "copy it beside the bike file")
    if not path.is_file():
        near = nearest(path.name, sorted(one.name for one in path.parent.glob("*.svg"))) if path.parent.is_dir() else ""
        raise OutlineError(f'there is no file "{name}"', f'did you mean "{near}"?' if near else "")
    if path.stat().st_size > LARGEST_SVG:
        raise OutlineError(f'"{name}" is larger than {LARGEST_SVG // 1000} kB', "simplify the drawing")
    return path


def _largest_path(path: Path, name: str) -> list[Point]:
    from svgelements import SVG, SVGElement  # noqa: PLC0415 - slow to import, and most bikes have no SVG

    _refuse_unsafe(path, name)
    try:
        drawing: SVGElement = SVG.parse(str(path), ppi=96.0)
        height = float(drawing.height) * MM_PER_PX
        rings = list(_closed_rings(drawing))
    except Exception as wrong:  # svgelements raises whatever its parser meets
        raise OutlineError(f'"{name}" cannot be read as SVG: {wrong}', "save it as plain SVG") from None
    if not rings:
        raise OutlineError(f'"{name}" has no closed path', "draw the outline as one closed path")
    largest = max(rings, key=lambda ring: Polygon(ring).area)
    return [(x * MM_PER_PX, height - y * MM_PER_PX) for x, y in largest]


def _refuse_unsafe(path: Path, name: str) -> None:
    from defusedxml import ElementTree  # noqa: PLC0415
    from defusedxml.common import DefusedXmlException  # noqa: PLC0415

    try:
        root = ElementTree.parse(str(path), forbid_dtd=False).getroot()
    except DefusedXmlException:
        raise OutlineError(f'"{name}" declares entities or points outside of itself', "save it as plain SVG") from None
    except Exception as wrong:
        raise OutlineError(f'"{name}" is no XML: {wrong}', "save it as plain SVG") from None
    for element in root.iter():
        for key, value in element.attrib.items():
            if key.rsplit("}", 1)[-1] == "href" and not str(value).startswith(("#", "data:")):
                raise OutlineError(f'"{name}" refers to another file: {value}', "draw everything in one file")


def _closed_rings(drawing: object) -> Iterator[list[Point]]:
    """Closed outlines in px: paths first; circles only where there is nothing else, for they mark holes."""
    from svgelements import Circle, Shape  # noqa: PLC0415
    from svgelements import Path as SvgPath  # noqa: PLC0415

    shapes = [element for element in drawing.elements() if isinstance(element, Shape)]  # type: ignore[attr-defined]
    for group in ([s for s in shapes if not isinstance(s, Circle)], [s for s in shapes if isinstance(s, Circle)]):
        found = False
        for shape in group:
            for part in SvgPath(shape).as_subpaths():
                ring = _flattened(SvgPath(part))
                if len(ring) >= 3 and _is_closed(SvgPath(part), ring):
                    found = True
                    yield ring
        if found:
            return


def _is_closed(path: object, ring: Sequence[Point]) -> bool:
    """Closed by a command, or by ending where it began."""
    from svgelements import Close  # noqa: PLC0415

    ends = any(isinstance(segment, Close) for segment in path)  # type: ignore[attr-defined]
    return ends or math.dist(ring[0], ring[-1]) < 0.5 / MM_PER_PX


def _flattened(path: object) -> list[Point]:
    """A path's points in px; curves in steps fine enough for the flatness."""
    from svgelements import Close, Line, Move  # noqa: PLC0415

    points: list[Point] = []
    for segment in path:  # type: ignore[attr-defined]
        if isinstance(segment, Move | Line | Close):
            ends = [segment.end] if segment.end is not None else []
        else:
            length = segment.length(error=1e-3)
            steps = max(4, min(400, math.ceil(math.sqrt(length / (8 * FLATNESS / MM_PER_PX)) * 4)))
            ends = [segment.point(step / steps) for step in range(1, steps + 1)]
        points += [(float(end.x), float(end.y)) for end in ends]
    return points


def _simple_ring(points: Sequence[Point]) -> Ring:
    """The points as a counter-clockwise ring without repeats. Raises OutlineError."""
    if not all(math.isfinite(x) and math.isfinite(y) for x, y in points):
        raise OutlineError("the outline has a place that is no number")
    ring = [point for i, point in enumerate(points) if math.dist(point, points[i - 1]) > 1e-9 or len(points) == 1]
    if len(ring) < 3:
        raise OutlineError("an outline needs three different points at least")
    polygon = Polygon(ring)
    if not polygon.is_valid:
        raise OutlineError(*_crossing(ring, polygon))
    if polygon.area < LEAST_AREA:
        raise OutlineError("the outline has no area", "its points lie on one line")
    if len(ring) > MOST_POINTS:
        polygon = polygon.simplify(FLATNESS)
    return ring_of(polygon)


def _crossing(ring: Sequence[Point], polygon: Polygon) -> tuple[str, str]:
    places = _crossing_points(ring)
    if not places:
        return f"the outline is not simple: {explain_validity(polygon)}", "go round the panel once, in order"
    at = " and ".join(f"[{x:.4g}, {y:.4g}]" for x, y in places[:3])
    return f"the outline crosses itself at {at}", "go round the panel once: two points may be in the wrong order"


def _crossing_points(ring: Sequence[Point]) -> list[Point]:
    """Where two sides that are no neighbours meet."""
    noded = shapely.unary_union(LinearRing(ring))
    corners = {(round(x, 6), round(y, 6)) for x, y in ring}
    nodes: dict[Point, int] = {}
    for line in getattr(noded, "geoms", [noded]):
        for x, y in (line.coords[0], line.coords[-1]):
            nodes[(x, y)] = nodes.get((x, y), 0) + 1
    return sorted(
        place for place, count in nodes.items() if count > 2 or (round(place[0], 6), round(place[1], 6)) not in corners
    )
