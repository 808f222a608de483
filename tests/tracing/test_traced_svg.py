"""Outlines and holes out of SVG drawings against svgpathtools' curves, svgelements' own reading and numpy's matrices.

svgpathtools and svgelements (both MIT) read paths with code of their own; of svgelements the reader uses paths and
matrices, but neither its `use`, nor its frames, nor its groups, which are what is compared here.
"""

from __future__ import annotations

import io
import math
import time

import numpy as np
import pytest
import svgelements
from drawings import A4_MM, HOLES, OUTLINES, PX, STYLES, circles, in_style, moved, samples, svg, upright
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LinearRing, LineString, Polygon

from boardmaker.tracing import read_tracing

OUTLINE, HOLE = 0.05, 0.01  # mm: what is to be reached


def off(ring, curve):
    """How far a ring is from a curve at the most, in both directions."""
    line = LinearRing(ring)
    dense = line.segmentize(0.2)
    return max(line.hausdorff_distance(LineString(curve)), dense.hausdorff_distance(LineString(curve)))


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("outline", OUTLINES)
def test_drawings_of_many_programs_have_their_true_size_and_place(trace, style, outline):
    """Outlines within 0.05 mm of the curve, holes within 0.01 mm from the lower left of its box, whatever the units."""
    given_style, data = STYLES[style], OUTLINES[outline]
    tracing = trace(in_style(given_style, f'<path d="{data}"/>{circles()}'))
    curve = upright(moved(samples(data), given_style.matrix))
    corner = curve.min(axis=0)
    (panel,) = tracing.panels
    assert panel.key is None
    assert off(panel.outline, curve - corner) < OUTLINE
    assert min(x for x, _ in panel.outline) == min(y for _, y in panel.outline) == 0.0
    assert LinearRing(panel.outline).is_ccw
    assert panel.outline[0] != panel.outline[-1]
    true = upright(moved([hole[:2] for hole in HOLES], given_style.matrix)) - corner
    assert [hole.fastener for hole in panel.holes] == ["A", "B", "A"]
    assert np.abs(np.array([hole.at for hole in panel.holes]) - true).max() < HOLE
    scale = math.sqrt(abs(np.linalg.det(np.reshape(given_style.matrix[:4], (2, 2)))))
    assert [hole.diameter for hole in panel.holes] == pytest.approx([6.0 * scale] * 3, abs=1e-3)


@pytest.mark.parametrize("style", STYLES)
def test_another_reader_puts_everything_at_the_same_place(trace, style):
    """svgelements reads the whole file by itself, with frames, groups and transforms, at 96 px to the inch."""
    text = in_style(STYLES[style], f'<path d="{OUTLINES["cubics"]}"/>{circles()}')
    theirs = svgelements.SVG.parse(io.StringIO(text), ppi=96, reify=True)
    rings = [one for one in theirs.elements() if isinstance(one, svgelements.Path)]
    round_ones = [one for one in theirs.elements() if isinstance(one, svgelements.Circle)]
    x0, _, _, y1 = rings[0].bbox()
    boxes = [one.bbox() for one in round_ones]
    centres = [((left + right) / 2 - x0, y1 - (top + low) / 2) for left, top, right, low in boxes]
    (panel,) = trace(text).panels
    assert np.abs(np.array([hole.at for hole in panel.holes]) - PX * np.array(centres)).max() < HOLE


ROUND = {
    "arcs": "M43 50a3 3 0 1 1 -6 0a3 3 0 1 1 6 0z",
    "four cubics": "M43 50c0 1.6569-1.3431 3-3 3s-3-1.3431-3-3 1.3431-3 3-3 3 1.3431 3 3z",
    "a rectangle with round corners": None,
    "a polygon of 24 corners": "M" + "L".join(
        f"{40 + 3 * math.cos(i * math.tau / 24):.5f} {50 + 3 * math.sin(i * math.tau / 24):.5f}" for i in range(24)
    ) + "Z",
    "an ellipse": None,
}  # fmt: skip


@pytest.mark.parametrize("form", ROUND)
def test_whatever_is_round_is_a_hole(trace, form):
    """Programs also write circles as arcs, as curves, as polygons; their centre is a hole's."""
    shapes = {
        "a rectangle with round corners": '<rect x="37" y="47" width="6" height="6" rx="3"/>',
        "an ellipse": '<ellipse cx="40" cy="50" rx="3" ry="2.97"/>',
    }
    shape = shapes.get(form) or f'<path d="{ROUND[form]}"/>'
    (panel,) = trace(svg(f'<path d="{OUTLINES["lines"]}"/><g id="A">{shape}</g>')).panels
    (hole,) = panel.holes
    assert hole.at == pytest.approx((30, 45), abs=HOLE)
    assert hole.diameter == pytest.approx(6.0, abs=0.06)
    assert hole.fastener == "A"


@pytest.mark.parametrize(
    ("shape", "size"),
    [
        ('<ellipse id="e" cx="40" cy="50" rx="6" ry="4.7"/>', "12.0 x 9.4 mm"),
        ('<ellipse id="e" cx="40" cy="50" rx="3" ry="2.92"/>', "6.0 x 5.8 mm"),
        ('<circle id="e" cx="20" cy="50" r="3" transform="scale(2 1)"/>', "12.0 x 6.0 mm"),
        ('<rect id="e" x="37" y="47" width="6" height="6"/>', "6.0 x 6.0 mm"),
        ('<path id="e" d="M40 47L43 50L40 53L37 50Z"/>', "6.0 x 6.0 mm"),
        ('<path id="e" d="M37 47h6a3 3 0 0 1 0 6h-6a3 3 0 0 1 0 -6z"/>', "12.0 x 6.0 mm"),
        ('<polygon id="e" points="43,50 41.5,52.6 38.5,52.6 37,50 38.5,47.4 41.5,47.4"/>', "6.0 x 5.2 mm"),
    ],
)
def test_what_is_not_round_is_ignored_with_its_size(trace, shape, size):
    """Slots, squares and flat ellipses are no holes, and it is said."""
    (panel,) = trace(svg(f'<path d="{OUTLINES["lines"]}"/>{shape}')).panels
    assert panel.holes == ()
    (ignored,) = panel.ignored
    assert ignored.what.endswith("'e'")
    assert ignored.why == f"it is not round: {size}"
    assert ignored.at == pytest.approx((30, 45), abs=0.01)


CIRCLE_WAYS = {
    "use": '<defs><circle id="hole" r="3"/></defs><use id="A-1" xlink:href="#hole" x="40" y="50"/>',
    "use of a group": '<defs><g id="h"><circle r="3"/></g></defs><use d:label="A 1" href="#h" x="40" y="50"/>',
    "symbol": '<symbol id="s" viewBox="0 0 10 10"><circle cx="5" cy="5" r="5"/></symbol>'
    '<use id="A" href="#s" x="37" y="47" width="6" height="6"/>',
    "deep": '<g transform="translate(40)"><g transform="translate(0,50) rotate(77)"><circle id="A" r="3"/></g></g>',
}


@pytest.mark.parametrize("way", CIRCLE_WAYS)
def test_holes_by_use_and_by_groups(trace, way):
    """A hole drawn once and used many times has the name of its use."""
    (panel,) = trace(svg(f'<path d="{OUTLINES["lines"]}"/>{CIRCLE_WAYS[way]}')).panels
    (hole,) = panel.holes
    assert hole.at == pytest.approx((30, 45), abs=1e-6)
    assert (hole.fastener, hole.diameter) == ("A", 6.0)


NUMBER = st.floats(-3, 3).map(lambda number: round(number, 6))
PLAIN = st.one_of(
    st.tuples(NUMBER, NUMBER).map(lambda v: (f"translate({v[0]} {v[1]})", (1, 0, 0, 1, *v))),
    st.floats(-360, 360).map(lambda deg: (f"rotate({deg:.9f})", _turn(round(deg, 9)))),
    st.floats(0.2, 3).map(lambda k: (f"scale({k:.9f})", (round(k, 9), 0, 0, round(k, 9), 0, 0))),
    st.just(("matrix(1 0 0 -1 3 4)", (1, 0, 0, -1, 3, 4))),
)
BENT = st.one_of(
    PLAIN,
    st.tuples(st.floats(0.4, 2), st.floats(0.4, 2)).map(
        lambda v: (f"scale({v[0]:.9f},{v[1]:.9f})", (round(v[0], 9), 0, 0, round(v[1], 9), 0, 0))
    ),
    st.floats(-40, 40).map(lambda deg: (f"skewX({deg:.9f})", (1, 0, math.tan(math.radians(round(deg, 9))), 1, 0, 0))),
)


def _turn(deg):
    cosine, sine = math.cos(math.radians(deg)), math.sin(math.radians(deg))
    return cosine, sine, -sine, cosine, 0, 0


def through_all(transforms, points):
    points = np.array(points, dtype=float)
    for _, matrix in reversed(transforms):
        points = moved(points, matrix)
    return points


def drawn_through(transforms, tmp_path):
    """A drawing of a path and a circle in groups that have the transforms."""
    body = f'<path d="{OUTLINES["cubics"]}"/><circle id="A-1" cx="70" cy="60" r="3"/>'
    for transform, _ in reversed(transforms):
        body = f'<g transform="{transform}">{body}</g>'
    path = tmp_path / "h.svg"
    path.write_text(svg(body), encoding="utf-8")
    return read_tracing(path, (), ("A",), None, None).panels[0]


@pytest.mark.slow
@settings(max_examples=settings.default.max_examples // 3)
@given(st.lists(PLAIN, max_size=6))
def test_any_turns_moves_and_scales(tmp_path_factory, transforms):
    """Random groups within each other: outline and hole lie where numpy puts them."""
    panel = drawn_through(transforms, tmp_path_factory.getbasetemp())
    curve = upright(through_all(transforms, samples(OUTLINES["cubics"], 150)))
    (hole,) = panel.holes
    at = upright(through_all(transforms, [(70, 60)]))[0] - curve.min(axis=0)
    size = max(1.0, np.ptp(curve) / 300)  # a sample every 1/150 of a large curve misses its end by more
    assert np.abs(np.array(hole.at) - at).max() < HOLE * size
    assert off(panel.outline, curve - curve.min(axis=0)) < OUTLINE * size


@pytest.mark.slow
@settings(max_examples=settings.default.max_examples // 2)
@given(st.lists(BENT, max_size=4))
def test_any_skew(tmp_path_factory, transforms):
    """A circle that is drawn out of round by its groups is a hole as long as its axes differ by 2 % (numpy's SVD)."""
    panel = drawn_through(transforms, tmp_path_factory.getbasetemp())
    origin, across, up = through_all(transforms, [(0, 0), (1, 0), (0, 1)])
    large, small = np.linalg.svd(np.array([across - origin, up - origin]), compute_uv=False)
    if (large - small) / large < 0.0199:
        assert panel.holes[0].diameter == pytest.approx(3 * (large + small), abs=1e-3)
    elif (large - small) / large > 0.0201:
        assert panel.holes == ()
        assert panel.ignored[0].why.startswith("it is not round: ")
        written = [float(one) for one in panel.ignored[0].why.split(": ")[1].removesuffix(" mm").split(" x ")]
        assert written == pytest.approx([6 * large, 6 * small], abs=0.0501)


def test_a_line_of_known_length_sets_the_scale(trace):
    """A drawing without units: the line named `known` measures 212 mm, whatever the units are."""
    body = f'<g transform="scale(7.3)"><path d="{OUTLINES["lines"]}"/>{circles()}<line d:label="Known" x2="106"/></g>'
    for head in ('width="900" height="900" viewBox="0 0 900 900"', 'viewBox="0 0 30 30"', 'width="100%"', ""):
        tracing = trace(svg(body, head), known=212.0)
        assert Polygon(tracing.panels[0].outline).bounds == pytest.approx((0, 0, 240, 170), abs=1e-6)
        assert tracing.panels[0].holes[0].at == pytest.approx((60, 90), abs=1e-6)
        assert tracing.scale_said == "known line: 212 mm = 773.8 units"


def test_a_known_line_goes_before_the_files_own_units(trace):
    """Whoever measured knows better than the file; both are said."""
    body = f'<path d="{OUTLINES["lines"]}"/><path id="known" d="M0 0L100 0"/>'
    tracing = trace(svg(body), known=50.0)
    assert Polygon(tracing.panels[0].outline).bounds == pytest.approx((0, 0, 60, 42.5))
    assert tracing.scale_said == "known line: 50 mm = 100.0 units, in place of mm, as the file says"
    assert Polygon(trace(svg(body)).panels[0].outline).bounds == pytest.approx((0, 0, 120, 85))


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("", "no line is named `known`"),
        ('<line id="known" x2="9"/><line id="known" x2="9"/>', "2 lines are named `known`"),
        ('<path id="known" d="M0 0L9 0L9 9"/>', "the line named `known` is not straight"),
        ('<path id="known" d="M0 0L9 0L0 0"/>', "the line named `known` is not straight"),
    ],
)
def test_a_known_line_that_is_none(refused, line, says):
    """One straight line has the name."""
    (problem,) = refused(svg(f'<path d="{OUTLINES["lines"]}"/>{line}'), known=212.0)
    assert says in problem
    assert "`known`" in problem.split("|")[1]


@pytest.mark.parametrize(
    "head", ['viewBox="0 0 210 297"', 'width="800" height="600"', 'width="800" height="600" viewBox="0 0 800 600"',
             'width="100%" height="100%" viewBox="0 0 210 297"', ""],
)  # fmt: skip
def test_a_drawing_without_units_is_refused(refused, trace, head):
    """Nobody knows whether its units are 1/72 or 1/96 in: it says how to set the scale; `--unit` is taken too."""
    body = f'<path d="{OUTLINES["lines"]}"/>'
    (problem,) = refused(svg(body, head))
    assert "does not say its units" in problem
    assert "--known" in problem
    assert Polygon(trace(svg(body, head), unit="mm").panels[0].outline).bounds == pytest.approx((0, 0, 120, 85))
    assert trace(svg(body, head), unit="px").panels[0].outline[1][0] < 120 * PX + 1e-6


@pytest.mark.slow
def test_forty_panels_take_under_five_seconds(tmp_path):
    """A drawing of 40 panels, each of 60 curves, with 15 holes and a text at each."""
    made = []
    for number in range(40):
        curves = "".join(
            f"A{20 + i % 7} 30 {i} 0 1 {60 + 50 * math.cos(i * math.tau / 60):.4f} "
            f"{60 + 50 * math.sin(i * math.tau / 60):.4f}"
            for i in range(1, 60)
        )
        holes = "".join(
            f'<circle cx="{40 + 10 * (i % 5)}" cy="{45 + 12 * (i // 5)}" r="3"/>'
            f'<text x="{40 + 10 * (i % 5)}" y="{51 + 12 * (i // 5)}" font-size="3">A</text>'
            for i in range(15)
        )
        place = f"translate({130 * (number % 8)} {130 * (number // 8)})"
        made.append(f'<g d:label="panel-{number}" transform="{place}"><path d="M110 60{curves}Z"/>{holes}</g>')
    path = tmp_path / "many.svg"
    path.write_text(svg("".join(made)), encoding="utf-8")
    start = time.process_time()
    tracing = read_tracing(path, [f"panel-{number}" for number in range(40)], ["A"], None, None)
    assert time.process_time() - start < 5.0
    assert [panel.key for panel in tracing.panels] == [f"panel-{number}" for number in range(40)]
    assert {len(panel.holes) for panel in tracing.panels} == {15}
    assert {hole.fastener for panel in tracing.panels for hole in panel.holes} == {"A"}
    assert len({panel.holes for panel in tracing.panels}) <= 40


def test_the_same_drawing_gives_the_same(trace):
    """Twice the same, and with nothing of this machine in it."""
    text = in_style(STYLES["turned"], f'<path d="{OUTLINES["arcs"]}"/>{circles()}')
    assert trace(text) == trace(text)


def test_head_is_only_a_head(trace):
    """A4 is as large as it says: the test's own frame is right."""
    (panel,) = trace(svg('<rect x="0" y="0" width="200" height="290"/>', A4_MM)).panels
    assert Polygon(panel.outline).bounds == pytest.approx((0, 0, 200, 290))


def test_only_a_letter_that_was_chosen_goes_before_the_bike_files(trace):
    """Marked as such, and named: not by anything else that stands there, nor where no letter is."""
    marks = ('id="A-1" data-letter="chosen"', 'id="A-2" data-letter="CHOSEN"', 'data-letter="chosen"', 'id="A-3"')
    body = "".join(f'<circle {mark} cx="{40 + 20 * k}" cy="50" r="3"/>' for k, mark in enumerate(marks))
    (panel,) = trace(svg(f'<path d="{OUTLINES["cubics"]}"/>{body}')).panels
    assert [hole.fastener for hole in panel.holes] == ["A", "A", None, "A"]
    assert [hole.decides for hole in panel.holes] == [True, False, False, False]
