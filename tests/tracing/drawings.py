"""Drawings as people's programs write them, made here, and where everything in them truly lies.

The truth is worked out without the package: curves are sampled by svgpathtools, moved by numpy.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
import svgpathtools

SPACES = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" xmlns:d="http://example.org/d"'
A4_MM = 'width="210mm" height="297mm" viewBox="0 0 210 297"'
PX, PT = 25.4 / 96, 25.4 / 72  # mm; CSS Values and Units Level 3


def svg(body: str, head: str = A4_MM) -> str:
    """A whole SVG file."""
    return f'<?xml version="1.0" encoding="UTF-8"?>\n<svg {SPACES} {head}>\n{body}\n</svg>\n'


# Outlines in mm, y down as in SVG: lines, cubic and quadratic curves, arcs, and all of them
OUTLINES = {
    "lines": "M10 10H130V70L90 95H30L10 60Z",
    "cubics": "M10 50C10 5 140 5 140 50S100 110 75 95 10 80 10 50Z",
    "quadratics": "M10 50Q75 -20 140 50T75 100Q10 90 10 50Z",
    "arcs": "M30 10H120A25 20 30 0 1 140 60A60 60 0 0 1 30 90A22 40 0 0 1 30 10Z",
    "relative": "m20 20c30-15 60 15 90 0s20 0 25 5l-5 60q-60 20-115 5z",
}
HOLES = ((40.0, 50.0, "A"), (75.0, 40.0, "B"), (100.0, 60.0, "A"))


@dataclass(frozen=True)
class Style:
    """How a program writes a drawing: its head, what stands around the panel, and the matrix of that in mm, y down."""

    head: str
    group: str  # the attributes of the groups around, the outermost first, split at |
    matrix: tuple[float, ...] = (1, 0, 0, 1, 0, 0)


TURN = np.radians(30)
STYLES = {
    "px at 96 with a viewBox": Style(
        'width="793.7007874px" height="1122.519685px" viewBox="0 0 793.7007874 1122.519685"',
        f'id="layer1" d:label="Layer 1"|transform="matrix({1 / PX} 0 0 {1 / PX} 40 30)"',
    ),
    "pt at 72": Style(
        'width="595.2755906pt" height="841.8897638pt" viewBox="0 0 595.2755906 841.8897638"',
        f'id="Ebene_1"|transform="translate(20,30) scale({1 / PT})"',
    ),
    "mm": Style(A4_MM, 'd:label="Layer 1" id="g7" transform="translate(-3.5,12)"|id="g8"'),
    "hundredths of a mm": Style('width="210mm" height="297mm" viewBox="0 0 21000 29700"', 'transform="scale(100)"'),
    "cm, and a moved viewBox": Style('width="21cm" height="29.7cm" viewBox="-5 -8 210 297"', 'id="all"'),
    "inches": Style(
        'width="10in" height="10in" viewBox="0 0 1000 1000"', 'id="x"|transform="scale(3.93700787401574803)"'
    ),
    "y up": Style(A4_MM, 'transform="matrix(1 0 0 -1 0 297)"|transform="translate(4 5)"', (1, 0, 0, -1, 0, 0)),
    "turned": Style(
        A4_MM, 'transform="rotate(30 100 150)"|id="g1"',
        (np.cos(TURN), np.sin(TURN), -np.sin(TURN), np.cos(TURN), 0, 0),
    ),
    "a frame in a frame": Style(A4_MM, 'FRAME x="5" y="7" width="100" height="100" viewBox="0 0 200 200"|id="a"',
                                (0.5, 0, 0, 0.5, 0, 0)),
}  # fmt: skip


def in_style(style: Style, panel: str) -> str:
    """A panel's elements, which are in mm, in a drawing of the style."""
    for attributes in reversed(style.group.split("|")):
        tag = "svg" if attributes.startswith("FRAME ") else "g"
        panel = f"<{tag} {attributes.removeprefix('FRAME ')}>{panel}</{tag}>"
    return svg(panel, style.head)


def circles(holes=HOLES, radius=3.0) -> str:
    """Holes with their letters as ids."""
    return "".join(
        f'<circle id="{letter}-{i}" cx="{x}" cy="{y}" r="{radius}"/>' for i, (x, y, letter) in enumerate(holes)
    )


@cache
def samples(data: str, each: int = 400) -> np.ndarray:
    """Points of a path by svgpathtools, (count, 2), so many of each of its curves."""
    curves = [curve for curve in svgpathtools.parse_path(data) if curve.length() > 0]
    points = [curve.point(t) for curve in curves for t in np.linspace(0, 1, each)]
    return np.array([(point.real, point.imag) for point in points])


def moved(points, matrix) -> np.ndarray:
    """Points through an SVG matrix (a b c d e f)."""
    a, b, c, d, e, f = matrix
    return np.asarray(points, dtype=float) @ np.array([[a, b], [c, d]]) + np.array([e, f])


def upright(points) -> np.ndarray:
    """From y down to y up."""
    return np.asarray(points) * np.array([1.0, -1.0])
