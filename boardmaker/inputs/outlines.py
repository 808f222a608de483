"""Panel outlines: from points, from SVG files, or drawn around the holes where there is none.

Out comes a simple counter-clockwise ring in panel mm.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from pathlib import Path

from shapely import MultiPoint

from boardmaker.fixed_order import FINEST
from boardmaker.geometry import Point, Ring, bounds, ring_of
from boardmaker.inputs.curves import smooth_ring
from boardmaker.inputs.simple_rings import LARGEST_RING, LEAST_AREA, SIMPLIFY, OutlineError, simple_ring
from boardmaker.inputs.svg.hole_marks import HoleMark, read_hole_marks, says_its_units
from boardmaker.inputs.svg.reader import NamedRing, folded_name, largest_ring, read_largest_ring, read_rings
from boardmaker.problems import nearest

AROUND_HOLES = 25.0  # mm on the bike from a hole to an outline that is drawn around the holes
LARGEST_SVG = 2_000_000  # bytes
SMALLEST = 3.0  # mm; no panel is smaller, and in metres none is larger
MOST_SMOOTHED = 1000  # points; rounding a ring of more takes seconds


def outline_from_points(points: Sequence[Point], smooth: bool) -> Ring:
    """Return the ring through the points.

    Raises OutlineError for one that crosses itself, has no area, or has more points than anybody draws.
    """
    if len(points) > LARGEST_RING:
        raise OutlineError(f"the outline has {len(points)} points, more than {LARGEST_RING}", SIMPLIFY)
    _refuse_tiny(points)
    ring = simple_ring(points)
    if smooth and len(ring) > MOST_SMOOTHED:
        message = f"`smooth` rounds outlines of up to {MOST_SMOOTHED} points; this one has {len(ring)}"
        raise OutlineError(message, "take `smooth` out: so many points are round by themselves")
    return simple_ring(smooth_ring(ring)) if smooth else ring


def _refuse_tiny(points: Sequence[Point]) -> None:
    """Raise OutlineError for an outline without the area that one needs, where it would have that in metres."""
    x0, y0, x1, y1 = bounds(points) if points else (0.0, 0.0, 0.0, 0.0)
    if min(x1 - x0, y1 - y0) > 0.0 and max(x1 - x0, y1 - y0) < SMALLEST and (x1 - x0) * (y1 - y0) < LEAST_AREA:
        size = f"the outline is only {x1 - x0:.3g} x {y1 - y0:.3g} mm"
        raise OutlineError(size, "are these metres written for millimetres? Write mm, or the unit")


def outline_around(holes: Sequence[Point]) -> Ring:
    """Return a rounded outline around the holes."""
    around = ring_of(MultiPoint(holes).convex_hull.buffer(AROUND_HOLES, quad_segs=8))
    return tuple((round(x, FINEST), round(y, FINEST)) for x, y in around)


def points_of_svg(folder: Path, name: str) -> tuple[Point, ...]:
    """Return the largest closed path of an SVG file in the bike file's folder, in mm, y up.

    The origin is the lower left of the viewBox. Raises OutlineError.
    """
    try:
        return tuple(read_largest_ring(_inside(folder, name)))
    except OutlineError as wrong:
        raise OutlineError(f'"{name}" {wrong}', wrong.hint) from None


def rings_of_svg(folder: Path, name: str) -> tuple[NamedRing, ...]:
    """Return all closed lines of such a file, with their names. Raises OutlineError."""
    try:
        return tuple(read_rings(_inside(folder, name)))
    except OutlineError as wrong:
        raise OutlineError(f'"{name}" {wrong}', wrong.hint) from None


def ring_of_panel(rings: Sequence[NamedRing], key: str, panels: Iterable[str]) -> tuple[Ring, tuple[str, ...]]:
    """Return the outline of one panel: the largest line that its name is on or around, else the largest of all.

    With the latter come the keys of the other panels that the drawing names: the line may be one of theirs.
    """
    own = [one for one in rings if folded_name(key) in one.names]
    others = () if own else tuple(one for one in panels if any(folded_name(one) in ring.names for ring in rings))
    return tuple(largest_ring(own or rings)), others


def marks_of_svg(folder: Path, name: str, fasteners: Collection[str]) -> tuple[HoleMark, ...]:
    """Return the circles of such a file that are holes, in the frame of its outline. Raises OutlineError."""
    try:
        return read_hole_marks(_inside(folder, name), fasteners)
    except OutlineError as wrong:
        raise OutlineError(f'"{name}" {wrong}', wrong.hint) from None


def svg_says_its_units(folder: Path, name: str) -> bool:
    """Say whether such a file, which has been read before, gives its size with a unit."""
    return says_its_units(_inside(folder, name))


def _inside(folder: Path, name: str) -> Path:
    """The file's path; it must lie in the folder, also after links are followed."""
    base = folder.resolve()
    try:
        path = (base / name).resolve()
        if not path.is_relative_to(base):
            raise OutlineError("lies outside of the bike file's folder", "copy it beside the bike file")
        if not path.is_file():
            raise OutlineError("is no file in the bike file's folder", _similar_file(path))
        if path.stat().st_size > LARGEST_SVG:
            raise OutlineError(f"is larger than {LARGEST_SVG // 1000} kB", f"{SIMPLIFY}, and take pictures out")
    except OSError as failure:
        raise OutlineError(f"cannot be read: {failure.strerror or failure}", "check its name and folder") from None
    except RuntimeError:  # pathlib's, up to Python 3.12
        raise OutlineError("is a link that leads back to itself", "put the drawing itself there") from None
    return path


def _similar_file(path: Path) -> str:
    if not path.parent.is_dir():
        return f'there is no folder "{path.parent.name}"'
    near = nearest(path.name, sorted(one.name for one in path.parent.glob("*.svg")))
    return f'did you mean "{near}"?' if near else "the name is taken from the folder of the bike file"
