"""DXF drawings that ezdxf writes in three versions, read back; against circle geometry, scipy's B-splines and numpy.

The points of bulges, arcs and ellipses come from their equations, those of splines from scipy, and where blocks within
blocks lie from matrices multiplied here.
"""

from __future__ import annotations

import math

import ezdxf
import numpy as np
import pytest
import shapely
from scipy.interpolate import BSpline
from shapely import LinearRing, Polygon

from boardmaker.guarded import Limits
from boardmaker.problems import ProblemsFound
from boardmaker.tracing import dxf_drawing, read_tracing

VERSIONS = ("R12", "R2000", "R2018")
PANELS, FASTENERS = ("knee-left", "knee-right", "seat"), ("A", "B", "C")
OUTLINE, HOLE = 0.05, 0.01  # mm
BULGED = ((0, 0, 0.0), (200, 0, 0.5), (200, 100, 0.0), (0, 100, -0.2))  # x, y, bulge to the next


@pytest.fixture
def trace(tmp_path, monkeypatch):
    """Return a function that saves a document and reads it back, in this process if it need not be guarded."""

    def read(document, known=None, unit=None, panels=PANELS, guard=False):
        if not guard:
            monkeypatch.setattr(dxf_drawing, "guarded", lambda _name, _hint, _limits, see, *given: see(*given))
        path = tmp_path / "d.dxf"
        if isinstance(document, bytes):
            path.write_bytes(document)
        else:
            document.saveas(path)
        return read_tracing(path, panels, FASTENERS, known, unit)

    return read


@pytest.fixture
def refused(trace):
    def read(*arguments, **options):
        with pytest.raises(ProblemsFound) as found:
            trace(*arguments, **options)
        assert all(problem.hint for problem in found.value.problems)
        return [problem.message for problem in found.value.problems]

    return read


def drawing(version="R2018", units=4):
    """A document; R12 does not write its units."""
    document = ezdxf.new(version)
    if version != "R12":
        document.header["$INSUNITS"] = units
    return document, document.modelspace()


def unit_of(version):
    return "mm" if version == "R12" else None


def add_outline(space, points=BULGED, **attributes):
    """A closed polyline with bulges, as the version has it."""
    add = space.add_polyline2d if space.doc.dxfversion == "AC1009" else space.add_lwpolyline
    return add(points, format="xyb", close=True, dxfattribs=attributes)


def bulged(points=BULGED, each=2000):
    """Points of the outline: a bulge is the tangent of a quarter of the arc's angle (from chord and sagitta)."""
    for (x0, y0, bulge), (x1, y1, _) in zip(points, (*points[1:], points[0]), strict=True):
        start, chord = np.array([x0, y0]), np.array([x1 - x0, y1 - y0])
        if not bulge:
            yield from (start + chord * t for t in np.linspace(0, 1, each))
            continue
        length, angle = np.hypot(*chord), 4 * math.atan(bulge)
        radius = length / (2 * math.sin(angle / 2))
        left = np.array([-chord[1], chord[0]]) / length
        centre = start + chord / 2 + left * radius * math.cos(angle / 2)
        for t in np.linspace(0, 1, each):
            cosine, sine = math.cos(angle * t), math.sin(angle * t)
            yield centre + np.array([[cosine, -sine], [sine, cosine]]) @ (start - centre)


def off(ring, curve):
    """How far the corners of a curve lie off a ring at most, and places every 0.2 mm on the ring off the curve."""
    places = shapely.get_coordinates(LinearRing(ring).segmentize(0.2))
    return max(farthest(np.array(curve), shapely.get_coordinates(LinearRing(ring))), farthest(places, np.array(curve)))


def farthest(places, corners):
    """How far the places lie off the line through these corners at most."""
    pieces = np.stack([corners[:-1], corners[1:]], axis=1)
    pieces = shapely.linestrings(pieces[(pieces[:, 0] != pieces[:, 1]).any(axis=1)])
    return shapely.STRtree(pieces).query_nearest(shapely.points(places), return_distance=True)[1].max()


@pytest.mark.parametrize("version", VERSIONS)
def test_polylines_with_bulges_and_circles(trace, version):
    """Outline within 0.05 mm of its arcs, holes within 0.01 mm of their places."""
    document, space = drawing(version)
    add_outline(space, [(x + 40, y - 70, bulge) for x, y, bulge in BULGED])
    space.add_circle((90, -20), 3)
    (panel,) = trace(document, unit=unit_of(version)).panels
    curve = np.array([*bulged()])
    corner = curve.min(axis=0)
    assert off(panel.outline, curve - corner) < OUTLINE
    assert np.abs(np.array(panel.holes[0].at) - (np.array([50, 50]) - corner)).max() < HOLE
    assert panel.holes[0].diameter == 6.0


@pytest.mark.slow
def test_large_bulges(trace):
    """Half a circle of 700 mm radius, which one curve for each quarter would miss by 0.2 mm."""
    points = ((0, 0, 0.0), (300, 0, 1.0), (300, 1400, 0.0), (0, 1400, 0.0))
    document, space = drawing()
    add_outline(space, points)
    curve = np.array([*bulged(points, 20_000)])
    assert off(trace(document).panels[0].outline, curve - curve.min(axis=0)) < OUTLINE


@pytest.mark.parametrize("version", VERSIONS)
def test_blocks_within_blocks(trace, version):
    """Letters as blocks in a block that is turned, scaled and mirrored; layers in capitals name the panel."""
    document, space = drawing(version)
    document.layers.add("KNEE-LEFT")
    add_outline(space, layer="KNEE-LEFT")
    hole = document.blocks.new("A")
    hole.add_circle((1, 0), 2)
    row = document.blocks.new("ROW")
    row.add_blockref("A", (10, 0))
    row.add_blockref("A", (30, 5), dxfattribs={"rotation": 90})
    where = {"layer": "KNEE-LEFT", "rotation": 30, "xscale": -1.5, "yscale": 1.5}
    space.add_blockref("ROW", (120, 40), dxfattribs=where)
    (panel,) = trace(document, unit=unit_of(version)).panels
    assert panel.key == "knee-left"
    turn = np.array([[math.cos(math.pi / 6), -math.sin(math.pi / 6)], [math.sin(math.pi / 6), math.cos(math.pi / 6)]])
    inner = np.array([(10 + 1, 0), (30, 5 + 1)])
    corner = np.array([*bulged()]).min(axis=0)
    true = (turn @ np.diag([-1.5, 1.5]) @ inner.T).T + np.array([120, 40]) - corner
    assert np.abs(np.array([one.at for one in panel.holes]) - true).max() < HOLE
    assert [(one.fastener, one.diameter, one.where) for one in panel.holes] == [("A", 6.0, "circle in block 'A'")] * 2


def test_a_block_that_is_repeated_and_one_out_of_round(trace):
    """Rows and columns of one insert; a circle that its block flattens is an ellipse, and no hole."""
    document, space = drawing()
    add_outline(space)
    document.blocks.new("B").add_circle((0, 0), 3)
    space.add_blockref("B", (20, 20), dxfattribs={"row_count": 2, "column_count": 3, "row_spacing": 40,
                                                  "column_spacing": 50})  # fmt: skip
    space.add_blockref("B", (170, 80), dxfattribs={"xscale": 2.0})
    (panel,) = trace(document).panels
    low = -np.array([*bulged()]).min(axis=0)
    places = np.array([(20 + 50 * column, 20 + 40 * row) for column in (0, 1, 2) for row in (0, 1)]) + low
    assert np.abs(np.array(sorted(one.at for one in panel.holes)) - places).max() < HOLE
    assert [one.why for one in panel.ignored] == ["it is not round: 12.0 x 6.0 mm"]


@pytest.mark.parametrize("degree", [2, 3])
def test_closed_splines(trace, degree):
    """Against scipy's B-spline of the same knots."""
    corners = [(0, 0), (60, -20), (150, 10), (170, 90), (80, 120), (-10, 70)]
    control = np.array([*corners, *corners[:degree]], dtype=float)
    knots = np.arange(len(control) + degree + 1, dtype=float)
    document, space = drawing()
    spline = space.add_spline(degree=degree, dxfattribs={"flags": 3})
    spline.control_points, spline.knots = [(x, y, 0) for x, y in control], knots
    (panel,) = trace(document).panels
    inside = np.linspace(knots[degree], knots[-degree - 1], 20_000)
    curve = BSpline(knots, control, degree)(inside)
    assert off(panel.outline, curve - curve.min(axis=0)) < OUTLINE


def test_rational_splines_and_ellipses(trace):
    """A circle as a rational spline is round, a full ellipse an outline."""
    document, space = drawing()
    space.add_ellipse((50, 40), major_axis=(90, 30), ratio=0.6)
    root = math.sqrt(0.5)
    square = [(3, 0), (3, 3), (0, 3), (-3, 3), (-3, 0), (-3, -3), (0, -3), (3, -3), (3, 0)]
    space.add_rational_spline(
        [(60 + x, 45 + y, 0) for x, y in square], [1, root, 1, root, 1, root, 1, root, 1], degree=2,
        knots=[0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4],
    )  # fmt: skip
    (panel,) = trace(document).panels
    ways = np.linspace(0, math.tau, 8000)[:, None]
    curve = (50, 40) + np.cos(ways) * (90, 30) + 0.6 * np.sin(ways) * (-30, 90)
    assert off(panel.outline, curve - curve.min(axis=0)) < OUTLINE
    assert np.abs(np.array(panel.holes[0].at) - ((60, 45) - curve.min(axis=0))).max() < HOLE
    assert panel.holes[0].diameter == pytest.approx(6.0, abs=0.02)


def add_stadium(space, gap):
    """Two lines and two half circles, one by one and whichever way they run; every joint has the gap."""
    space.add_line((50, 0), (150 - gap, 0))
    space.add_line((50, 80), (150 - gap, 80))
    space.add_arc((150, 40), 40, 270, 90)
    space.add_arc((50 - gap, 40), 40, 90, 270)


@pytest.mark.parametrize("version", VERSIONS)
def test_lines_and_arcs_that_meet(trace, version):
    """Gaps of 0.08 mm are closed."""
    document, space = drawing(version)
    add_stadium(space, 0.08)
    (panel,) = trace(document, unit=unit_of(version)).panels
    assert Polygon(panel.outline).area == pytest.approx(100 * 80 + math.pi * 1600, rel=1e-3)
    assert panel.ignored == ()


def test_lines_that_do_not_meet_are_a_problem(refused):
    """Gaps of 0.15 mm are not, and it says which line is open."""
    document, space = drawing()
    add_stadium(space, 0.15)
    (problem,) = refused(document)
    assert "no closed path; the ends of " in problem


@pytest.mark.parametrize(("code", "mm", "name"), [(1, 25.4, "in"), (2, 304.8, "ft"), (4, 1, "mm"), (5, 10, "cm"),
                                                  (6, 1000, "m"), (14, 100, "dm")])  # fmt: skip
def test_units_are_honoured(trace, code, mm, name):
    """$INSUNITS of the DXF reference."""
    document, space = drawing(units=code)
    add_outline(space, [(x / mm, y / mm, bulge) for x, y, bulge in BULGED])
    space.add_circle((50 / mm, 30 / mm), 3 / mm)
    tracing = trace(document)
    curve = np.array([*bulged()])
    assert off(tracing.panels[0].outline, curve - curve.min(axis=0)) < OUTLINE
    assert np.abs(np.array(tracing.panels[0].holes[0].at) - ((50, 30) - curve.min(axis=0))).max() < HOLE
    assert tracing.panels[0].holes[0].diameter == pytest.approx(6)
    assert tracing.scale_said == f"{name}, as the file says ($INSUNITS {code})"


def test_a_drawing_without_units_asks_for_them(trace, refused):
    """With `--unit`, or a line on a layer `known`."""
    document, space = drawing(units=0)
    add_outline(space, [(0, 0, 0), (8, 0, 0), (8, 4, 0), (0, 4, 0)])
    assert refused(document) == ["the drawing does not say its units"]
    assert Polygon(trace(document, unit="in").panels[0].outline).bounds == pytest.approx((0, 0, 203.2, 101.6))
    assert refused(document, unit="inhc") == ['"inhc" is no unit of length']
    space.add_line((0, 9), (4, 12), dxfattribs={"layer": "KNOWN"})
    tracing = trace(document, known=50.0)
    assert Polygon(tracing.panels[0].outline).bounds == pytest.approx((0, 0, 80, 40))
    assert tracing.scale_said == "known line: 50 mm = 5.0 units"
    document.header["$INSUNITS"] = 18
    assert refused(document) == ["the drawing has units that nobody draws panels in ($INSUNITS 18)"]


@pytest.mark.parametrize("version", VERSIONS)
def test_texts_say_the_fastener(trace, version):
    """TEXT aligned and turned, ATTRIB of a block, MTEXT with its codes where the version has it; each beside a hole."""
    document, space = drawing(version)
    add_outline(space)
    for x in (30, 80, 130, 170):
        space.add_circle((x, 50), 3)
    space.add_text("A-1", height=4, dxfattribs={"insert": (36, 48)})
    text = space.add_text("B", height=4, dxfattribs={"rotation": 90})
    text.set_placement((80, 60), align=ezdxf.enums.TextEntityAlignment.MIDDLE_CENTER)
    document.blocks.new("MARK")
    space.add_blockref("MARK", (130, 40)).add_attrib("KEY", "C", (130, 42), dxfattribs={"height": 4})
    if version != "R12":
        space.add_mtext(r"{\fArial|b1;A}", dxfattribs={"insert": (175, 52), "char_height": 4, "attachment_point": 1})
    (panel,) = trace(document, unit=unit_of(version)).panels
    assert [one.fastener for one in panel.holes] == ["A", "B", "C", None if version == "R12" else "A"]


@pytest.mark.parametrize(("point", "at"), [(2, (50, 70)), (8, (50, 30)), (4, (41, 50)), (6, (59, 50)), (5, (50, 50))])
def test_texts_of_several_lines_are_where_their_middle_is(trace, point, at):
    """A letter of 20 mm, held at its top, foot, left, right and middle; 10 mm beside the hole at the most."""
    document, space = drawing()
    add_outline(space)
    space.add_circle((50, 50), 3)
    space.add_mtext("A", dxfattribs={"insert": at, "char_height": 20, "attachment_point": point})
    (panel,) = trace(document).panels
    assert [one.fastener for one in panel.holes] == ["A"]


def test_a_text_far_away_or_hidden_says_nothing(trace):
    """15 mm from the centre of the hole to the nearest letter of the text; those off or frozen do not show."""
    document, space = drawing()
    add_outline(space)
    for layer in (document.layers.add("off"), document.layers.add("ice")):
        space.add_text("A", height=2, dxfattribs={"insert": (56, 50), "layer": layer.dxf.name})
        space.add_circle((90, 50), 3, dxfattribs={"layer": layer.dxf.name})
    document.layers.get("off").off()
    document.layers.get("ice").freeze()
    space.add_circle((50, 50), 3)
    space.add_text("B", height=2, dxfattribs={"insert": (65.3, 49)})
    (panel,) = trace(document).panels
    assert [one.fastener for one in panel.holes] == [None]
    space.add_text("C", height=2, dxfattribs={"insert": (63.8, 49)})
    assert [one.fastener for one in trace(document).panels[0].holes] == ["C"]


def test_panels_by_block_and_layer(trace, refused):
    """A block is one panel, a layer another; the block twice is two panels of one key."""
    document, space = drawing()
    block = document.blocks.new("Knee_Left")
    add_outline(block)
    block.add_circle((40, 40), 3, dxfattribs={"layer": "A"})
    space.add_blockref("Knee_Left", (500, 0))
    add_outline(space, layer="Seat")
    space.add_circle((40, 40), 3, dxfattribs={"layer": "Seat"})
    tracing = trace(document)
    assert [(one.key, [hole.fastener for hole in one.holes]) for one in tracing.panels] == [
        ("knee-left", ["A"]), ("seat", [None]),
    ]  # fmt: skip
    space.add_blockref("Knee_Left", (900, 0))
    assert "two panels are called `knee-left`" in refused(document)[0]


def test_mirrored_planes_and_tilted_ones(trace):
    """A circle whose plane is seen from behind lies at minus x; one in a plane that is tilted is no hole."""
    document, space = drawing()
    add_outline(space)
    space.add_circle((-60, 40), 3, dxfattribs={"extrusion": (0, 0, -1)})
    space.add_circle((60, 80), 3, dxfattribs={"extrusion": (0, 1, 1)})
    tracing = trace(document)
    corner = np.array([*bulged()]).min(axis=0)
    assert np.abs(np.array(tracing.panels[0].holes[0].at) - ((60, 40) - corner)).max() < HOLE
    assert [one.why for one in tracing.ignored] == ["it lies in another plane than the drawing's"]


def test_what_is_no_line_is_counted(trace):
    """Hatches and points are said by their number."""
    document, space = drawing()
    add_outline(space)
    space.add_hatch()
    space.add_point((3, 3))
    space.add_point((4, 3))
    assert [one.what for one in trace(document).ignored] == ["1 x HATCH", "2 x POINT"]


def test_a_spline_frame_is_no_outline(trace):
    """Old files keep the points that steer a curve beside those of the curve."""
    document, space = drawing("R12")
    line = add_outline(space, [(0, 0, 0), (100, 0, 0), (100, 60, 0), (0, 60, 0), (50, 300, 0)])
    line.vertices[-1].dxf.flags = 16
    (panel,) = trace(document, unit="mm").panels
    assert Polygon(panel.outline).bounds == pytest.approx((0, 0, 100, 60))


def test_a_damaged_file_is_read_as_far_as_it_goes(trace, refused, tmp_path):
    """ezdxf saves what there is of a file whose tables are spoilt; garbage is refused."""
    document, space = drawing()
    add_outline(space)
    document.saveas(tmp_path / "d.dxf")
    whole = (tmp_path / "d.dxf").read_bytes()
    tracing = trace(whole[:-3000])
    assert len(tracing.panels) == 1
    assert [one.why for one in tracing.ignored] == ["the file is damaged; what could be saved is read"]
    assert "left out: a part of the file" in refused(whole[: whole.index(b"LWPOLYLINE") + 40])[0]
    for rubbish in (b"", b"\0" * 999, b"AC1015 no drawing", b"  0\nSECTION\n", b"<svg/>", whole[:2000]):
        assert refused(rubbish)


def test_a_spoilt_number_is_not_guessed(trace, tmp_path):
    """Mending would make 2.0 of 2OO.0: the line is named instead."""
    document, space = drawing()
    add_outline(space)
    document.saveas(tmp_path / "d.dxf")
    whole = (tmp_path / "d.dxf").read_bytes()
    spoilt = whole.replace(b"\n200.0\n", b"\n2OO.0\n", 1)
    with pytest.raises(ProblemsFound) as found:
        trace(spoilt)
    (problem,) = found.value.problems
    assert problem.message == 'the file is damaged: "2OO.0" in this line is no number'
    assert abs(problem.where.line - spoilt[: spoilt.index(b"2OO.0")].count(b"\n") - 1) <= 4


@pytest.mark.slow
def test_blocks_without_end(refused, tmp_path):
    """A block in itself, and one that grows: refused in a moment."""
    document, space = drawing()
    document.blocks.new("LOOP").add_blockref("LOOP", (1, 1))
    space.add_blockref("LOOP", (0, 0))
    assert any("blocks within each other" in problem or "circ" in problem for problem in refused(document))
    document, space = drawing()
    document.blocks.new("B0").add_circle((0, 0), 1)
    for level in range(1, 8):
        block = document.blocks.new(f"B{level}")
        for i in range(10):
            block.add_blockref(f"B{level - 1}", (i, 0))
    space.add_blockref("B7", (0, 0))
    (problem,) = refused(document)
    assert "more than 20000 parts" in problem
    document, space = drawing()
    document.blocks.new("C").add_circle((0, 0), 1)
    space.add_blockref("C", (0, 0), dxfattribs={"row_count": 30000, "column_count": 30000, "row_spacing": 1})
    (problem,) = refused(document)
    assert "repeated too often" in problem


def test_numbers_that_are_none(trace):
    """Infinite places, a radius of nought, a spline that is none: passed over and said."""
    document, space = drawing()
    add_outline(space)
    space.add_circle((math.inf, 0), 3)
    space.add_circle((1e300, 0), 3)
    space.add_circle((5, 5), 0)
    space.add_line((math.nan, 0), (1, 1))
    spline = space.add_spline(dxfattribs={"degree": 3})
    spline.control_points = [(0, 0, 0)]
    tracing = trace(document)
    assert len(tracing.panels[0].holes) == 0
    assert len(tracing.ignored) >= 3


@pytest.mark.slow
def test_the_guard_changes_nothing(trace, refused):
    """A process of its own gives the same panels, and the same complaints."""
    document, space = drawing()
    add_outline(space)
    space.add_circle((60, 40), 3)
    assert trace(document, guard=True) == trace(document)
    assert refused(b"rubbish", guard=True) == ["this is no DXF drawing, or a damaged one"]


@pytest.mark.slow
def test_a_drawing_that_takes_too_long_is_given_up(refused, monkeypatch):
    """The guard's limit, here so short that nothing is done within it."""
    monkeypatch.setattr(dxf_drawing, "LIMITS", Limits(0.0, 800))
    document, space = drawing()
    for number in range(4000):
        space.add_spline([(number, 0), (1, 1), (2, number), (9, 9)])
    (problem,) = refused(document, guard=True)
    assert "takes more than 0 s to be read" in problem
