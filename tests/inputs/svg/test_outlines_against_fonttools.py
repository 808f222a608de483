"""Outlines read from SVG files against fontTools' own path reader and the coordinate systems of SVG 1.1, chapter 7."""

import math
from itertools import pairwise

import pytest
from fontTools.pens.areaPen import AreaPen
from fontTools.pens.boundsPen import BoundsPen
from fontTools.pens.recordingPen import RecordingPen
from fontTools.pens.transformPen import TransformPen
from fontTools.svgLib.path import parse_path
from shapely import LinearRing, Point, Polygon

from boardmaker.inputs import read_bike
from boardmaker.problems import ProblemsFound

PX = 25.4 / 96  # mm; CSS Values and Units Level 3: 1 px = 1/96 in
FLATNESS = 0.1  # mm
BIKE = """format: 1
bike: {{ name: Bench }}
fasteners: {{ A: {{ thread: M6 }} }}
panels: {{ a: {{ name: Cover, side: left, outline: {{ file: {file} }}, holes: [ {{ at: [1, 1], fastener: A }} ] }} }}
"""
MM_HEAD = 'width="100mm" height="50mm" viewBox="0 0 100 50"'
RECTANGLE = "M10 10H60V40H10Z"
PATHS = {
    "lines": RECTANGLE,
    "cubics": "M5 25C5 2 95 2 95 25S5 48 5 25Z",
    "quadratics": "M5 25Q50 -20 95 25T5 25Z",
    "arcs": "M25 25A25 20 30 1 1 75 25A25 20 30 0 1 25 25Z",
    "relative": "m10 10c10-5 20 5 30 0s20 0 25 5l-5 20q-20 10-40 0z",
}


@pytest.fixture
def outline(tmp_path):
    """Write an SVG file beside a bike file and return the outline that is read from it."""

    def read(body, head=MM_HEAD, file="o.svg"):
        spaces = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
        (tmp_path / "o.svg").write_text(f"<svg {spaces} {head}>{body}</svg>")
        (tmp_path / "bike.yaml").write_text(BIKE.format(file=file))
        return read_bike(tmp_path / "bike.yaml")[0].panels[0].outline

    return read


@pytest.mark.parametrize("name", PATHS)
def test_paths_have_the_area_and_bounds_that_fonttools_computes(outline, name):
    """Area and bounds of the flattened outline are those of the true curve, within the flatness."""
    true_area, true_bounds = AreaPen(), BoundsPen(None)
    for pen in (true_area, true_bounds):
        parse_path(PATHS[name], TransformPen(pen, (1, 0, 0, -1, 0, 50)))
    ring = Polygon(outline(f'<path d="{PATHS[name]}"/>'))
    assert ring.area == pytest.approx(abs(true_area.value), abs=FLATNESS * ring.length)
    assert ring.bounds == pytest.approx(true_bounds.bounds, abs=FLATNESS + 1e-9)
    assert ring.exterior.is_ccw


@pytest.mark.parametrize("name", PATHS)
def test_no_point_of_the_true_curve_is_off_by_more_than_the_flatness(outline, name):
    """Every point that fontTools puts on the curve lies within 0.1 mm of the outline."""
    drawn = LinearRing(outline(f'<path d="{PATHS[name]}"/>'))
    assert max(drawn.distance(Point(x, 50 - y)) for x, y in _points_on(PATHS[name])) < FLATNESS + 1e-9


def _points_on(data):
    pen = RecordingPen()
    parse_path(data, pen)
    at = (0.0, 0.0)
    for name, points in pen.value:
        if name == "curveTo" or name == "qCurveTo":
            yield from (_bezier([at, *points], step / 40) for step in range(41))
        at = points[-1] if points else at
        yield at


def _bezier(points, share):
    while len(points) > 1:
        points = [tuple(p + (q - p) * share for p, q in zip(a, b, strict=True)) for a, b in pairwise(points)]
    return points[0]


# Head, and where the rectangle must lie in mm (SVG 1.1, 7.7 and 7.8; origin: lower left of the viewBox).
FRAMES = {
    "millimetres": (MM_HEAD, (10, 10, 60, 40)),
    "viewBox moved": ('width="100mm" height="50mm" viewBox="5 5 100 50"', (5, 15, 55, 45)),
    "viewBox alone": ('viewBox="0 0 100 50"', (10 * PX, 10 * PX, 60 * PX, 40 * PX)),
    "size alone": ('width="100" height="50"', (10 * PX, 10 * PX, 60 * PX, 40 * PX)),
    "inches": ('width="10in" height="5in" viewBox="0 0 100 50"', (25.4, 25.4, 152.4, 101.6)),
    "per cent": ('width="100%" height="100%" viewBox="0 0 100 50"', (10 * PX, 10 * PX, 60 * PX, 40 * PX)),
    "width alone": ('width="200mm" viewBox="0 0 100 50"', (20, 20, 120, 80)),
    "taller page": ('width="100mm" height="100mm" viewBox="0 0 100 50"', (10, 10, 60, 40)),
    "stretched": ('width="100mm" height="100mm" viewBox="0 0 100 50" preserveAspectRatio="none"', (10, 20, 60, 80)),
}


@pytest.mark.parametrize("name", FRAMES)
def test_size_and_place_follow_the_drawings_own_units(outline, name):
    """The file's own units hold, a unitless one is 1/96 in, y is flipped, the viewBox's lower left is the origin."""
    head, bounds = FRAMES[name]
    assert Polygon(outline(f'<path d="{RECTANGLE}"/>', head)).bounds == pytest.approx(bounds, abs=1e-3)


# body, and the bounds of what is the largest closed path in it
BODIES = {
    "nested transforms": (
        f'<g transform="translate(10 0)"><g transform="scale(.5)"><path d="{RECTANGLE}"/></g></g>',
        (15, 30, 40, 45),
    ),
    "rotated": ('<path transform="rotate(90)" d="M10 -60H40V-10H10Z"/>', (10, 10, 60, 40)),
    "use": (f'<defs><path id="p" d="{RECTANGLE}"/></defs><use href="#p" x="10" y="5"/>', (20, 5, 70, 35)),
    "use of old": (f'<defs><path id="p" d="{RECTANGLE}"/></defs><use xlink:href="#p" x="10"/>', (20, 10, 70, 40)),
    "smaller inside": (f'<path d="{RECTANGLE}M15 15h5v5h-5z"/>', (10, 10, 60, 40)),
    "circles are holes": (f'<circle cx="50" cy="25" r="25"/><path d="{RECTANGLE}"/>', (10, 10, 60, 40)),
    "a circle alone": ('<circle cx="50" cy="25" r="20"/>', (30, 5, 70, 45)),
    "units inside": ('<rect x="10" y="10" width="50" height="30"/>', (10, 10, 60, 40)),
    "hidden": (f'<path style="display:none" d="M0 0H99V49H0Z"/><path d="{RECTANGLE}"/>', (10, 10, 60, 40)),
    "symbol": (f'<symbol><path d="M0 0H99V49H0Z"/></symbol><path d="{RECTANGLE}"/>', (10, 10, 60, 40)),
    "mask": (f'<mask><path d="M0 0H99V49H0Z"/></mask><path d="{RECTANGLE}"/>', (10, 10, 60, 40)),
    "clip path": (f'<clipPath><path d="M0 0H99V49H0Z"/></clipPath><path d="{RECTANGLE}"/>', (10, 10, 60, 40)),
    "hyperlink": (f'<a href="https://example.org/"><path d="{RECTANGLE}"/></a>', (10, 10, 60, 40)),
    "ends that all but meet": ("<path d='M10 10H60V40H10.0000001V10.0000002H10Z'/>", (10, 10, 60, 40)),
}


@pytest.mark.parametrize("name", BODIES)
def test_the_largest_closed_path_that_is_drawn_is_the_outline(outline, name):
    """Transforms and `use` are carried out; what is not drawn, and circles beside a path, are passed over."""
    body, bounds = BODIES[name]
    assert Polygon(outline(body)).bounds == pytest.approx(bounds, abs=1e-3 if "circle" not in name else FLATNESS)


USE_BOMB = (
    f'<defs><g id="g0"><path d="{RECTANGLE}"/></g>'
    + "".join(f'<g id="g{i + 1}">' + f'<use href="#g{i}"/>' * 10 + "</g>" for i in range(8))
    + '</defs><use href="#g8"/>'
)
REFUSED = {
    "open": ('<path d="M10 10H60V40"/>', MM_HEAD),
    "crossing itself": ('<path d="M10 10L60 40V10L10 40Z"/>', MM_HEAD),
    "another file": ('<use href="other.svg#p"/>', MM_HEAD),
    "in a circle": ('<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>', MM_HEAD),
    "growing": (USE_BOMB, MM_HEAD),
    "deep": ("<g>" * 3000 + "</g>" * 3000, MM_HEAD),
    "no frame": (f'<path d="{RECTANGLE}"/>', ""),
    "ninety metres": ('<path d="M0 0h90000v90000z"/>', MM_HEAD),
    "no number": ('<path d="M0 0L1e999 0L5 5Z"/>', MM_HEAD),
}


@pytest.mark.parametrize("name", REFUSED)
def test_drawings_that_give_no_outline_are_refused_at_the_bike_files_line(outline, name):
    """One complaint at the panel's line, quickly, never another exception."""
    body, head = REFUSED[name]
    with pytest.raises(ProblemsFound) as found:
        outline(body, head)
    assert [problem.where.line for problem in found.value.problems] == [4]


@pytest.mark.parametrize("file", ["../o.svg", "/etc/hostname", "p.svg", "."])
def test_files_outside_the_folder_or_missing_are_refused(outline, file):
    """No file outside the bike file's own folder is read."""
    with pytest.raises(ProblemsFound):
        outline(f'<path d="{RECTANGLE}"/>', file=file)


def test_a_link_out_of_the_folder_is_refused(outline, tmp_path):
    """A symbolic link does not lead out of the folder either."""
    folder = tmp_path / "else"
    folder.mkdir()
    (folder / "o.svg").write_text(f'<svg xmlns="http://www.w3.org/2000/svg" {MM_HEAD}><path d="{RECTANGLE}"/></svg>')
    inside = tmp_path / "bikes"
    inside.mkdir()
    (inside / "l.svg").symlink_to(folder / "o.svg")
    (inside / "bike.yaml").write_text(BIKE.format(file="l.svg"))
    with pytest.raises(ProblemsFound, match="outside"):
        read_bike(inside / "bike.yaml")


SMOOTHED = {
    "knee cover": [(0, 0), (420, 20), (455, 190), (300, 240), (60, 210)],
    "square": [(0, 0), (100, 0), (100, 100), (0, 100)],
    "small tab": [(0, 0), (30, 0), (30, 8), (22, 8), (22, 30), (0, 30)],
}


@pytest.mark.parametrize("name", SMOOTHED)
def test_a_smooth_outline_is_the_centripetal_curve_through_its_points(tmp_path, name):
    """Within 0.2 mm of Yuksel et al. (2011): the curve as Bezier segments, an arithmetic of its own here."""
    points = SMOOTHED[name]
    written = ", ".join(f"[{x}, {y}]" for x, y in points)
    text = BIKE.format(file="o.svg").replace("{ file: o.svg }", f"[{written}], smooth: true")
    (tmp_path / "bike.yaml").write_text(text)
    drawn = LinearRing(read_bike(tmp_path / "bike.yaml")[0].panels[0].outline)
    assert max(drawn.distance(Point(p)) for p in points) < 1e-6
    assert max(drawn.distance(Point(p)) for p in _catmull_rom(points)) < 0.2


def _catmull_rom(points):
    """Points on the centripetal curve (alpha 1/2), each span as a cubic Bezier."""
    count = len(points)
    for i in range(count):
        p0, p1, p2, p3 = (points[(i + step) % count] for step in range(4))
        d1, d2, d3 = math.dist(p0, p1), math.dist(p1, p2), math.dist(p2, p3)
        a, b, c = math.sqrt(d1), math.sqrt(d2), math.sqrt(d3)
        first, second = [], []
        for q, r, s, t in zip(p0, p1, p2, p3, strict=True):
            first.append((d1 * s - d2 * q + (2 * d1 + 3 * a * b + d2) * r) / (3 * a * (a + b)))
            second.append((d3 * r - d2 * t + (2 * d3 + 3 * c * b + d2) * s) / (3 * c * (c + b)))
        yield from (_bezier([p1, tuple(first), tuple(second), p2], step / 60) for step in range(60))
