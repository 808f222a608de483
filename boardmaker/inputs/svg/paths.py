"""One shape of an SVG drawing as closed rings of points in mm.

In: an element and the matrix from its units to mm. Out: rings, so fine that no chord is further from its curve than the
flatness. SVG 1.1 (W3C Recommendation, 2011), chapters 8 paths and 9 shapes. Apart from `svg/reader` because that one
only knows which elements are drawn, and where.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from xml.etree.ElementTree import Element

from svgelements import Arc, Close, CubicBezier, Line, Matrix, Move, QuadraticBezier
from svgelements import Path as PathData

from boardmaker.fixed_order import direction
from boardmaker.geometry import Point
from boardmaker.inputs.simple_rings import FLATNESS, LARGEST_RING, SAME_PLACE, SIMPLIFY, OutlineError

CLOSED = 0.5  # mm between the ends of an outline that counts as closed
FURTHEST = 100_000.0  # mm
MOST_STEPS = 500
MOST_LETTERS = 600_000  # of path data in a drawing, also after `use` is carried out; an outline has 1000 to 100 000
MOST_CHORDS = 30_000  # in a drawing; more cost seconds
MOST_CLOSES = 20  # from one start; svgelements goes back to the start of the ring for each
_LENGTH = re.compile(r"\s*([-+]?(?:[0-9]++\.?+[0-9]*+|\.[0-9]++)(?:[eE][-+]?[0-9]++)?)\s*+([a-z%]*)\s*+")
_LONGEST_LENGTH = 100  # letters
_SIZES = ("x", "y", "width", "height", "cx", "cy", "r", "rx", "ry", "x1", "y1", "x2", "y2")
_PX = {"": 1.0, "px": 1.0, "in": 96.0, "mm": 96 / 25.4, "cm": 960 / 25.4, "pt": 96 / 72, "pc": 16.0}


def element_name(element: Element) -> str:
    """Return an element's name without its namespace; "" for a comment."""
    return element.tag.rsplit("}", 1)[-1] if isinstance(element.tag, str) else ""


def read_length(text: str | None) -> float | None:
    """Return an attribute in px; None where it is not given, infinite, in per cent or in a unit of the type."""
    match = _LENGTH.fullmatch(text) if text and len(text) <= _LONGEST_LENGTH else None
    length = float(match[1]) * _PX[match[2]] if match and match[2] in _PX else math.inf
    return length if math.isfinite(length) else None


def measure(element: Element, name: str) -> float:
    """Return an attribute in px, 0 where it is not given."""
    return read_length(element.get(name)) or 0.0


def path_data(element: Element) -> str:
    """Return a shape as path data; "" for what is no shape, or is sized in per cent as backgrounds are."""
    if any("%" in str(element.get(name, "")) for name in _SIZES):
        return ""
    match element_name(element):
        case "path":
            return element.get("d", "")
        case "polygon":
            return f"M{element.get('points', '')}Z"
        case "polyline":
            return f"M{element.get('points', '')}"
        case "line":
            x1, y1, x2, y2 = (measure(element, name) for name in ("x1", "y1", "x2", "y2"))
            return f"M{x1!r} {y1!r}L{x2!r} {y2!r}"
        case "rect":
            return _rectangle(element)
        case "circle" | "ellipse":
            radius = measure(element, "r")
            return _ellipse(element, radius or measure(element, "rx"), radius or measure(element, "ry"))
        case _:
            return ""


def round_shape(element: Element, matrix: Matrix) -> tuple[Point, float, float] | None:
    """Return centre, larger and smaller diameter of a circle or ellipse in mm; None where it has no size.

    The diameters are twice the singular values of the matrix times the radii, whatever way it is turned and skewed.
    """
    radius = measure(element, "r")
    rx, ry = radius or measure(element, "rx"), radius or measure(element, "ry")
    if rx <= 0 or ry <= 0 or not path_data(element):
        return None
    a, b, c, d = matrix.a * rx, matrix.b * rx, matrix.c * ry, matrix.d * ry
    mean, spread = math.hypot(a + d, b - c), math.hypot(a - d, b + c)
    centre = moved((measure(element, "cx"), measure(element, "cy")), matrix)
    return centre, mean + spread, abs(mean - spread)


def round_ring(element: Element, matrix: Matrix, flatness: float) -> list[Point]:
    """Return points on a circle or ellipse in mm; svgelements takes a hundred times as long for each."""
    radius, x, y = measure(element, "r"), measure(element, "cx"), measure(element, "cy")
    rx, ry = radius or measure(element, "rx"), radius or measure(element, "ry")
    reach = math.hypot(matrix.a, matrix.b, matrix.c, matrix.d) * max(rx, ry)
    steps = max(8, _steps(math.tau * math.sqrt(reach / (8 * flatness))))
    ways = [direction(math.tau / steps * step) for step in range(steps)]
    return [moved((x + rx * across, y + ry * down), matrix) for across, down in ways]


def _ellipse(element: Element, rx: float, ry: float) -> str:
    x, y = measure(element, "cx"), measure(element, "cy")
    half = f"a{rx!r} {ry!r} 0 0 1"
    return f"M{x - rx!r} {y!r}{half} {2 * rx!r} 0{half} {-2 * rx!r} 0Z" if rx > 0 and ry > 0 else ""


def _rectangle(element: Element) -> str:
    x, y, width, height = (measure(element, name) for name in ("x", "y", "width", "height"))
    if width <= 0 or height <= 0:
        return ""
    given = [read_length(element.get(name)) for name in ("rx", "ry")]
    rx, ry = (one if one is not None else other or 0.0 for one, other in (given, given[::-1]))
    rx, ry = min(rx, width / 2), min(ry, height / 2)
    if rx <= 0 or ry <= 0:
        return f"M{x!r} {y!r}h{width!r}v{height!r}h{-width!r}Z"
    corner = f"a{rx!r} {ry!r} 0 0 1"
    return (
        f"M{x + rx!r} {y!r}h{width - 2 * rx!r}{corner} {rx!r} {ry!r}v{height - 2 * ry!r}{corner} {-rx!r} {ry!r}"
        f"h{2 * rx - width!r}{corner} {-rx!r} {-ry!r}v{2 * ry - height!r}{corner} {rx!r} {-ry!r}Z"
    )


@dataclass
class Allowance:
    """How much of a drawing may still be read: a small file can ask for any amount by `use`, and by large curves."""

    letters: int = MOST_LETTERS
    chords: int = MOST_CHORDS
    largest_ring: int = LARGEST_RING

    def __post_init__(self) -> None:
        """Nothing is read yet."""
        self.letters_left, self.chords_left = self.letters, self.chords

    def take_path(self, data: str) -> None:
        """Count path data before it is read. Raises OutlineError for too much."""
        self.letters_left -= len(data)
        if self.letters_left < 0:
            raise OutlineError(f"has more than {self.letters // 1000} kB of paths", SIMPLIFY)
        if any(
            len(ring) > MOST_CLOSES and ring.count("z") + ring.count("Z") > MOST_CLOSES
            for ring in re.split("[mM]", data)
        ):
            message = f"has a path that is closed more than {MOST_CLOSES} times from one start"
            raise OutlineError(message, "draw the outline as one closed path")

    def take_chords(self, count: int) -> None:
        """Count points as they come. Raises OutlineError for too many."""
        self.chords_left -= count
        if self.chords_left < 0:
            raise OutlineError(f"has more than {self.chords} points", SIMPLIFY)


def closed_rings(data: str, matrix: Matrix, allowance: Allowance) -> Iterator[list[Point]]:
    """Yield the closed parts of a path as points in mm; closed by a command, or by ending where they began.

    Raises OutlineError for path data that cannot be read, for too much, and for places out of reach.
    """
    return (points for points, closed in drawn_lines(data, matrix, allowance) if closed)


def drawn_lines(
    data: str, matrix: Matrix, allowance: Allowance, flatness: float = FLATNESS
) -> Iterator[tuple[list[Point], bool]]:
    """Yield every part of a path as points in mm, and whether it is closed. Raises OutlineError as `closed_rings`."""
    allowance.take_path(data)
    points: list[Point] = []
    for segment in _segments(data):
        if isinstance(segment, Move):
            yield from _line(points, closed=False)
            points = [moved(segment.end, matrix)]
        elif isinstance(segment, Close):
            yield from _line(points, closed=True)
            points = points[:1]
        else:
            chords = _flatten(segment, matrix, flatness)
            allowance.take_chords(len(chords))
            points += chords
            if len(points) > allowance.largest_ring:
                raise OutlineError(f"has a path of more than {allowance.largest_ring} points", SIMPLIFY)
    yield from _line(points, closed=False)


def closed_pieces(data: str, matrix: Matrix, most: int) -> tuple[tuple[Point, Point, Point, Point], ...]:
    """Return a path as cubic Bézier curves in mm, the inner points of a straight side on its ends.

    () where it is anything but one closed part of lines and Bézier curves with at most so many pieces. It is for paths
    that `drawn_lines` has read. Raises OutlineError for path data that cannot be read.
    """
    first, *segments = _segments(data if len(data) <= most * _LONGEST_LENGTH else "") or [None]
    if not isinstance(first, Move) or not segments or len(segments) > most + 1 or not isinstance(segments[-1], Close):
        return ()
    pieces = []
    for segment in segments:
        match segment:
            case Line() | Close():
                start, end = moved(segment.start, matrix), moved(segment.end, matrix)
                pieces.append((start, start, end, end))
            case CubicBezier():
                start, leaving, arriving, end = (moved(one, matrix) for one in segment)
                pieces.append((start, leaving, arriving, end))
            case QuadraticBezier():
                start, inner, end = (moved(one, matrix) for one in segment)
                pieces.append((start, _two_thirds(start, inner), _two_thirds(end, inner), end))
            case _:
                return ()
    return tuple(piece for piece in pieces if math.dist(piece[0], piece[3]) > SAME_PLACE or piece[0] != piece[1])


def _two_thirds(end: Point, inner: Point) -> Point:
    return end[0] + (inner[0] - end[0]) * 2 / 3, end[1] + (inner[1] - end[1]) * 2 / 3


def _segments(data: str) -> list[object]:
    try:
        segments = list(PathData(data)) if data else []
    except Exception as wrong:  # svgelements raises whatever its parser meets
        raise OutlineError(f"has a path that cannot be read: {wrong}", "save it as plain SVG") from None
    return [one for one in segments if isinstance(one, Close) or one.end is not None]


def check_reach(points: Sequence[Point]) -> None:
    """Raise OutlineError where a place is further away than anybody draws, or no number."""
    if not all(abs(x) <= FURTHEST and abs(y) <= FURTHEST for x, y in points):
        raise OutlineError("has a place that is out of reach", "check its width, height and viewBox")


def _line(points: list[Point], closed: bool) -> Iterator[tuple[list[Point], bool]]:
    check_reach(points)
    if len(points) >= 2:
        yield points, len(points) >= 3 and (closed or math.dist(points[0], points[-1]) < CLOSED)


def moved(point: Point, matrix: Matrix) -> Point:
    """Return where a point lies in mm. Raises OutlineError for one that svgelements could not read."""
    try:
        x, y = float(point[0]), float(point[1])
    except TypeError:  # svgelements leaves out what it could not read
        raise OutlineError("has a path that cannot be read", "save it as plain SVG") from None
    return matrix.a * x + matrix.c * y + matrix.e, matrix.b * x + matrix.d * y + matrix.f


def _flatten(segment: object, matrix: Matrix, flatness: float) -> list[Point]:
    """The points after a segment's start, so many that no chord is further from the curve than the flatness."""
    try:
        match segment:
            case CubicBezier():
                return bezier_points([moved(one, matrix) for one in segment], flatness)
            case QuadraticBezier():
                return bezier_points([moved(one, matrix) for one in segment], flatness)
            case Arc():
                return _arc(segment, matrix, flatness)
            case _:
                return [moved(segment.end, matrix)]  # type: ignore[attr-defined]
    except (ArithmeticError, AttributeError, TypeError):  # numbers beyond all reach, or left out by svgelements
        raise OutlineError("has a path that cannot be read", "save it as plain SVG") from None


def bezier_points(control: Sequence[Point], flatness: float) -> list[Point]:
    """Return the points after a Bézier curve's first one, so many that no chord is further from it than the flatness.

    A chord over 1/n of the curve is off by at most max|B''| / (8 n²); B'' is degree (degree - 1) second differences.
    """
    degree = len(control) - 1
    bend = degree * (degree - 1) / 8 / flatness
    second = max(
        math.hypot(a[0] - 2 * b[0] + c[0], a[1] - 2 * b[1] + c[1])
        for a, b, c in zip(control, control[1:], control[2:], strict=False)
    )
    steps = _steps(math.sqrt(bend * second))
    return [_on_bezier(control, step / steps) for step in range(1, steps)] + [control[-1]]


def _on_bezier(control: Sequence[Point], at: float) -> Point:
    level = list(control)
    while len(level) > 1:
        level = [(a[0] + (b[0] - a[0]) * at, a[1] + (b[1] - a[1]) * at) for a, b in pairwise(level)]
    return level[0]


def _arc(arc: Arc, matrix: Matrix, flatness: float) -> list[Point]:
    """The arc is flattened before it is moved: a skewed ellipse has other axes. A chord is off by r sweep² / (8 n²)."""
    scale = math.hypot(matrix.a, matrix.b, matrix.c, matrix.d)
    radius = scale * max(float(arc.rx), float(arc.ry))
    steps = _steps(abs(float(arc.sweep)) * math.sqrt(radius / (8 * flatness)))
    return [moved(arc.point(step / steps), matrix) for step in range(1, steps)] + [moved(arc.end, matrix)]


def _steps(wanted: float) -> int:
    return max(1, min(MOST_STEPS, math.ceil(wanted))) if math.isfinite(wanted) else 1
