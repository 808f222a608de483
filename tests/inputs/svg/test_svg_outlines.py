"""Outlines from SVG files against SVG 1.1 worked out by hand, and against the picture that resvg draws.

resvg (PyPI resvg-py) is an SVG renderer of its own: what it fills with ink is where the outline must be.
"""

from __future__ import annotations

import io
import math

import numpy as np
import pytest
import resvg_py
from PIL import Image
from shapely import LineString, Point, Polygon

from boardmaker.inputs import read_bike
from boardmaker.inputs.outlines import outline_from_points, points_of_svg
from boardmaker.inputs.simple_rings import FLATNESS, OutlineError

PX = 25.4 / 96  # mm; CSS Values and Units Level 3: 1 in is 96 px
BOX = '<path d="M10 10H30V20H10Z"/>'
FRAME = 'width="100mm" height="50mm" viewBox="0 0 100 50"'
NAMES = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'


@pytest.fixture
def outline_of(tmp_path):
    def read(attributes, content, smooth=False):
        (tmp_path / "outline.svg").write_text(f"<svg {NAMES} {attributes}>{content}</svg>", encoding="utf-8")
        return outline_from_points(points_of_svg(tmp_path, "outline.svg"), smooth)

    return read


def bounds_of(ring):
    return [round(value, 6) for value in Polygon(ring).bounds]


@pytest.mark.parametrize(
    ("attributes", "content", "expected"),
    [
        (FRAME, BOX, (10, 30, 30, 40)),
        ('width="50mm" height="25mm" viewBox="0 0 100 50"', BOX, (5, 15, 15, 20)),
        ('width="10cm" height="5cm" viewBox="0 0 100 50"', BOX, (10, 30, 30, 40)),
        ('width="4in" height="2in" viewBox="0 0 40 20"', BOX, (25.4, 0, 76.2, 25.4)),
        ('width="72pt" height="72pt" viewBox="0 0 72 72"', '<path d="M0 36H72V72H0Z"/>', (0, 0, 25.4, 12.7)),
        ('width="6pc" height="6pc" viewBox="0 0 6 6"', '<path d="M0 3H6V6H0Z"/>', (0, 0, 25.4, 12.7)),
        ('width="96" height="96"', '<path d="M0 48H96V96H0Z"/>', (0, 0, 25.4, 12.7)),
        ('width="96px" height="96px"', '<path d="M0 48H96V96H0Z"/>', (0, 0, 25.4, 12.7)),
        ('viewBox="0 0 96 96"', '<path d="M0 48H96V96H0Z"/>', (0, 0, 25.4, 12.7)),
        ('width="100%" height="100%" viewBox="0 0 96 96"', '<path d="M0 48H96V96H0Z"/>', (0, 0, 25.4, 12.7)),
        ('width="50mm" viewBox="0 0 100 50"', BOX, (5, 15, 15, 20)),
        ('height="25mm" viewBox="0 0 100 50"', BOX, (5, 15, 15, 20)),
        ('width="100mm" height="50mm" viewBox="10 5 100 50"', BOX, (0, 35, 20, 45)),
        ('width="100mm" height="50mm" viewBox="-10,-20,100,50"', BOX, (20, 10, 40, 20)),
    ],
)
def test_units_and_view_box(outline_of, attributes, content, expected):
    """The file's own units, unitless 1/96 in; y up from the lower left of the viewBox."""
    assert bounds_of(outline_of(attributes, content)) == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize(
    ("keep", "expected"),
    [
        ("", (10, 30, 30, 40)),
        ('preserveAspectRatio="xMidYMid meet"', (10, 30, 30, 40)),
        ('preserveAspectRatio="xMinYMax meet"', (10, 30, 30, 40)),
        ('preserveAspectRatio="xMidYMid slice"', (20, 60, 60, 80)),
        ('preserveAspectRatio="none"', (20, 30, 60, 40)),
    ],
)
def test_a_frame_of_another_shape(outline_of, keep, expected):
    """`meet`, which is the default, takes the smaller scale, `slice` the larger, `none` both (SVG 1.1, 7.8)."""
    ring = outline_of(f'width="200mm" height="50mm" viewBox="0 0 100 50" {keep}', BOX)
    assert bounds_of(ring) == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        ('<g transform="translate(5 2)"><g transform="scale(2)"><path d="M1 1H3V2H1Z"/></g></g>', (7, 44, 11, 46)),
        ('<g transform="translate(5 2) scale(2)"><path d="M1 1H3V2H1Z"/></g>', (7, 44, 11, 46)),
        ('<path transform="rotate(90 20 15)" d="M10 10H30V20H10Z"/>', (15, 25, 25, 45)),
        ('<path transform="matrix(0 1 -1 0 40 0)" d="M10 10H30V20H10Z"/>', (20, 20, 30, 40)),
        ('<path transform="skewX(45)" d="M10 10H30V20H10Z"/>', (20, 30, 50, 40)),
        ('<g id="a" display="none"><path d="M0 0H90V40H0Z"/></g>' + BOX, (10, 30, 30, 40)),
        ('<g style="fill:red;display:none"><path d="M0 0H90V40H0Z"/></g>' + BOX, (10, 30, 30, 40)),
        ('<defs><path id="a" d="M0 0H20V10H0Z"/></defs><use xlink:href="#a" x="10" y="10"/>', (10, 30, 30, 40)),
        ('<use href="#a" x="5" y="5" transform="scale(2)"/><defs><path id="a" d="M0 0H10V5H0Z"/></defs>',
         (10, 30, 30, 40)),
        ('<symbol id="a" viewBox="0 0 10 5"><path d="M0 0H10V5H0Z"/></symbol>'
         '<use href="#a" x="10" y="10" width="20" height="10"/>', (10, 30, 30, 40)),
        ('<svg x="10" y="10" width="20" height="10" viewBox="0 0 40 20"><path d="M0 0H40V20H0Z"/></svg>',
         (10, 30, 30, 40)),
        ('<svg x="10" y="0" width="20" height="30" viewBox="0 0 40 20"><path d="M0 0H40V20H0Z"/></svg>',
         (10, 30, 30, 40)),
        ('<clipPath id="c"><path d="M0 0H90V40H0Z"/></clipPath>' + BOX, (10, 30, 30, 40)),
        ('<symbol id="s"><path d="M0 0H90V40H0Z"/></symbol>' + BOX, (10, 30, 30, 40)),
        ('<rect x="10" y="10" width="20" height="10"/>', (10, 30, 30, 40)),
        ('<rect x="10" y="10" width="20" height="10" rx="4" ry="2"/>', (10, 30, 30, 40)),
        ('<polygon points="10,10 30,10 30,20"/>', (10, 30, 30, 40)),
        ('<polyline points="10,10 30,10 30,20 10,10"/>', (10, 30, 30, 40)),
        ('<path d="m10 10h20v10h-20z"/>', (10, 30, 30, 40)),
        ('<path d="M0 0h1v1zm10 10h20v10h-20z"/>', (10, 30, 30, 40)),
        ('<path d="M0 0h1v1zl40 0 0 20-40 0z"/>', (0, 30, 40, 50)),
        ('<a href="https://example.org"><path d="M10 10H30V20H10Z"/></a>', (10, 30, 30, 40)),
        ('<image href="photo.jpg" width="90" height="40"/>' + BOX, (10, 30, 30, 40)),
        ('<circle cx="50" cy="25" r="24"/>' + BOX, (10, 30, 30, 40)),
        ('<rect width="100%" height="100%"/>' + BOX, (10, 30, 30, 40)),
    ],
)  # fmt: skip
def test_what_is_drawn_where(outline_of, content, expected):
    """Transforms, `use`, inner frames and shapes; hidden things, holes, photos and backgrounds do not count."""
    ring = outline_of(FRAME, content)
    assert bounds_of(ring) == pytest.approx(expected, abs=1e-6)
    assert Polygon(ring).area <= resvg_area(FRAME, content) * 1.02 + 1


CURVES = {
    "cubic": '<path d="M10 40C20 -10 60 -10 90 40Z"/>',
    "smooth cubic": '<path d="M10 25C10 5 40 5 50 25S90 45 90 25V48H10Z"/>',
    "quadratic": '<path d="M5 25Q25 -20 45 25T85 25V48H5Z"/>',
    "arc": '<path d="M10 25A20 20 0 0 1 50 25A20 20 0 0 1 10 25Z"/>',
    "turned ellipse": '<path d="M20 30A30 10 30 1 1 60 30Z"/>',
    "large arc": '<path d="M40 20A15 15 0 1 0 60 20Z"/>',
    "radius too small": '<path d="M10 25A1 1 0 0 1 60 25Z"/>',
    "flags without spaces": '<path d="M10 25a20 20 0 01 40 0z"/>',
    "skewed ellipse": '<ellipse transform="skewX(30) rotate(20)" cx="30" cy="10" rx="20" ry="8"/>',
    "round corners": '<rect x="10" y="5" width="80" height="40" rx="15"/>',
    "round corners from one radius": '<rect x="10" y="5" width="80" height="40" ry="12"/>',
    "circle": '<circle cx="50" cy="25" r="20"/>',
    "mirrored arc": '<g transform="translate(100 0) scale(-1 1)"><path d="M20 30A30 10 30 1 1 60 30Z"/></g>',
}


def resvg_ink(attributes, content, dots_per_mm=10):
    """The pixels that are black in the picture, as an array with rows from the top."""
    svg = f"<svg {NAMES} {attributes}>{content}</svg>"
    picture = bytes(resvg_py.svg_to_bytes(svg_string=svg, background="white", dpi=25.4 * dots_per_mm))
    return np.asarray(Image.open(io.BytesIO(picture)).convert("L")) < 128


def resvg_area(attributes, content):
    return resvg_ink(attributes, content).sum() / 100


@pytest.mark.parametrize("content", CURVES.values(), ids=CURVES.keys())
def test_curves_against_another_engine(outline_of, content):
    """The ring covers the ink: the same bounds, the same area, but for half a pixel and the flatness."""
    ring = outline_of(FRAME, content)
    ink = resvg_ink(FRAME, content)
    rows, columns = np.nonzero(ink)
    drawn = (columns.min() / 10, 50 - (rows.max() + 1) / 10, (columns.max() + 1) / 10, 50 - rows.min() / 10)
    assert Polygon(ring).bounds == pytest.approx(drawn, abs=FLATNESS + 0.06)
    polygon = Polygon(ring)
    assert polygon.area == pytest.approx(ink.sum() / 100, abs=polygon.length * (FLATNESS * 0.67 + 0.01))


def test_the_other_engine_can_disagree(outline_of):
    """The comparison above is no formality: an outline 1 % too large fails it."""
    polygon = Polygon([(x * 1.01, y * 1.01) for x, y in outline_of(FRAME, CURVES["round corners"])])
    area = resvg_area(FRAME, CURVES["round corners"])
    assert abs(polygon.area - area) > polygon.length * (FLATNESS * 0.67 + 0.01)


def test_a_cubic_curve_is_flattened_within_the_flatness(outline_of):
    """Against Bernstein's form of the curve, B(t) = Σ binomial(3, i) t^i (1 - t)^(3 - i) P_i, at 1000 places."""
    ring = outline_of(FRAME, '<path d="M10 40C20 -10 60 -10 90 40Z"/>')
    control = [(10, 10), (20, 60), (60, 60), (90, 10)]  # y up: 50 - y
    weights = [(1, 3, 3, 1)[i] for i in range(4)]
    curve = [
        tuple(
            sum(w * t**i * (1 - t) ** (3 - i) * p[axis] for i, (w, p) in enumerate(zip(weights, control, strict=True)))
            for axis in (0, 1)
        )
        for t in (step / 1000 for step in range(1001))
    ]
    boundary = LineString([*ring, ring[0]])
    assert max(boundary.distance(Point(place)) for place in curve) <= FLATNESS
    assert max(LineString(curve).distance(Point(corner)) for corner in ring) <= 0.001
    assert len(ring) < 60


def test_an_arc_is_flattened_within_the_flatness(outline_of):
    """Every corner lies on the circle of radius 400, no side is further inside than the flatness."""
    ring = outline_of('width="1000mm" height="1000mm" viewBox="0 0 1000 1000"', '<circle cx="500" cy="500" r="400"/>')
    assert [math.dist(corner, (500, 500)) for corner in ring] == pytest.approx([400] * len(ring), abs=1e-6)
    sides = zip(ring, ring[1:] + ring[:1], strict=True)
    assert min(math.dist(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), (500, 500)) for a, b in sides) >= 400 - FLATNESS


def test_a_scaled_curve_is_flattened_after_scaling(outline_of):
    """A drawing in small units is as smooth as one in mm."""
    fine = outline_of('width="1000mm" height="1000mm" viewBox="0 0 1 1"', '<circle cx="0.5" cy="0.5" r="0.4"/>')
    same = outline_of('width="1000mm" height="1000mm" viewBox="0 0 1000 1000"', '<circle cx="500" cy="500" r="400"/>')
    assert len(fine) == len(same)


def test_the_ring_runs_counter_clockwise(outline_of):
    """Whichever way it was drawn."""
    for content in (BOX, '<path d="M10 10V20H30V10Z"/>'):
        ring = outline_of(FRAME, content)
        assert sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, ring[1:] + ring[:1], strict=True)) > 0


def test_a_file_with_a_document_type_is_read(tmp_path):
    """As drawing programs write it; the address in it is not visited."""
    text = (
        '<?xml version="1.0"?><!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" '
        f'"http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd"><svg {NAMES} {FRAME}>{BOX}</svg>'
    )
    (tmp_path / "a.svg").write_text(text, encoding="utf-8")
    assert bounds_of(points_of_svg(tmp_path, "a.svg")) == pytest.approx((10, 30, 30, 40))


def test_a_link_out_of_the_folder_is_not_followed(tmp_path):
    """A symbolic link in the folder that leads outside is as much outside as `..`."""
    folder = tmp_path / "bike"
    folder.mkdir()
    (tmp_path / "a.svg").write_text(f"<svg {NAMES} {FRAME}>{BOX}</svg>", encoding="utf-8")
    (folder / "a.svg").symlink_to(tmp_path / "a.svg")
    with pytest.raises(OutlineError, match="lies outside"):
        points_of_svg(folder, "a.svg")
    (folder / "b.svg").write_text(f"<svg {NAMES} {FRAME}>{BOX}</svg>", encoding="utf-8")
    (folder / "c.svg").symlink_to(folder / "b.svg")
    assert len(points_of_svg(folder, "c.svg")) == 4


@pytest.mark.slow
@pytest.mark.parametrize(
    "content",
    [
        "".join(f'<g id="g{i}">' + f'<use href="#g{i + 1}"/>' * 10 + "</g>" for i in range(12))
        + f'<g id="g12">{BOX}</g>',
        '<use id="a" href="#b"/><use id="b" href="#a"/>',
        "<g>" * 3000 + BOX + "</g>" * 3000,
        BOX * 6000,
    ],
    ids=["tenfold twelve times", "a circle of use", "nested too deeply", "too many shapes"],
)
def test_a_drawing_that_grows_without_end_is_refused(outline_of, content):
    """Quickly, and not by running out of memory."""
    with pytest.raises(OutlineError, match="too many parts"):
        outline_of(FRAME, content)


@pytest.mark.parametrize(
    "content",
    [
        '<path d="M10 10HnanV20H10Z"/>',
        '<path d="M0 0H1e300V1e300H0Z"/>',
        '<path d="M0 0C1e308 1e308 -1e308 1e308 0 50Z"/>',
        '<path transform="scale(0)" d="M10 10H30V20H10Z"/>',
        '<path transform="matrix(1 2 3)" d="M10 10H30V20H10Z"/>',
        '<path d="M10 10 30 20"/>',
        '<path d=""/>',
        '<circle cx="50" cy="25" r="0"/>',
        '<rect width="20"/>',
        "<use/>",
    ],
)
def test_a_drawing_without_a_usable_outline_says_so(outline_of, content):
    """Whatever is wrong with the path, it is an OutlineError with a hint."""
    with pytest.raises(OutlineError) as found:
        outline_of(FRAME, content)
    assert found.value.hint


SEVERAL = (
    f'<svg {NAMES} {FRAME}><g id="Knee_left"><path d="M0 0H10V10H0Z"/><circle cx="5" cy="5" r="2"/></g>'
    '<g aria-label="seat"><path d="M20 0H90V40H20Z"/></g></svg>'
)
TWO_PANELS = """format: 1
bike: {{ name: T }}
panels:
  knee-left: {{ name: K, side: left, holes: [], outline: {{ file: p.svg }} }}
  seat: {{ name: S, side: centre, holes: [], outline: {{ file: p.svg }} }}
  {third}: {{ name: T, side: centre, holes: [], outline: {{ file: p.svg }} }}
"""


def test_of_several_panels_the_one_with_the_panels_key_is_taken(tmp_path):
    """However a program spells it; where the drawing names others and not this one, the largest, with a warning."""
    (tmp_path / "p.svg").write_text(SEVERAL, encoding="utf-8")
    (tmp_path / "b.yaml").write_text(TWO_PANELS.format(third="tail"), encoding="utf-8")
    bike, warnings = read_bike(tmp_path / "b.yaml")
    assert {panel.key: bounds_of(panel.outline) for panel in bike.panels} == {
        "knee-left": [0, 40, 10, 50],
        "seat": [20, 10, 90, 50],
        "tail": [20, 10, 90, 50],
    }
    (warning,) = [one for one in warnings if "largest path" in one.message]
    assert warning.message.startswith('"p.svg" draws `knee-left`, `seat` and says of nothing that it is `tail`')
    assert warning.where.line == 6
