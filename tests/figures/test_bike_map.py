"""The small picture of the bike: every tag where its panel sits, nothing over anything else.

An independent check: outlines are put on the bike here once more, from the words of the handbook alone, and found again
in the drawing by their form.
"""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest
import shapely
from bikes import bike_text, dense_bike_text, random_bike_text
from conftest import DEMOS
from shapely import LineString, Point, Polygon

from boardmaker.display_list import Circle, Path
from boardmaker.figures import bike_map
from boardmaker.figures.bike_map import EDGE_ON, INSET, REDUCTIONS, WHOLE, forms_of, picture_of
from boardmaker.figures.bike_views import bike_views
from boardmaker.figures.framed import framed
from boardmaker.figures.style import PLAIN
from boardmaker.service import plan_work

ROUNDING = 0.11  # mm: lines are drawn to 0.05 mm, and found again by their bounds
COMMON, LEAST_BOX = 0.4, 2.5  # mm: between tags at least; the height of a tag's capitals


def picture(work, form=WHOLE[0], reduction=40.0, tagged=None):
    tagged = {freed.panel.key for freed in work.freed} if tagged is None else tagged
    views = bike_views(work, tagged)
    forms = forms_of(views, (form,))
    cell = picture_of(views, forms[0], reduction) if forms else None
    return cell and framed("bike map", "", cell, inset=INSET)


def smallest(work, form=WHOLE[0]):
    return next(figure for reduction in REDUCTIONS if (figure := picture(work, form, reduction)))


def captions(figure):
    """The middle of each view's name, by the name."""
    return {label.text: label.box for label in figure.labels if label.text in ("left", "right", "above")}


def tags(figure):
    return [label for label in figure.labels if label.text not in ("left", "right", "above", EDGE_ON)]


def leaders(figure):
    """Fine lines from a dot to a tag."""
    dots = {mark.centre for mark in figure.marks if isinstance(mark, Circle)}
    return [mark.points for mark in figure.marks if isinstance(mark, Path) and mark.points[0] in dots]


def named_place(figure, label):
    """Where a tag points: the far end of the leader that ends at its box, else its own middle."""
    box = shapely.box(*label.box).buffer(0.31, join_style="mitre")
    ends = [line[0] for line in leaders(figure) if box.distance(Point(line[-1])) < 1e-6]
    assert len(ends) <= 1
    return Point(ends[0]) if ends else box.centroid


def ring_on_bike(panel, above_deg):
    """A panel's outline as it is seen, mm on the bike, from the words of the bike file.

    A left panel's x runs to the rear and is drawn to the right; a right panel's x runs to the front.
    """
    x, y = panel.on_bike
    if panel.side == "left":
        return [(-x + at[0], y + at[1]) for at in panel.outline]
    if panel.side == "right":
        return [(x + at[0], y + at[1]) for at in panel.outline]
    middle = (min(at[0] for at in panel.outline) + max(at[0] for at in panel.outline)) / 2
    seen = [(at[0] - middle, x + at[1]) for at in panel.outline]
    return seen if above_deg == 0 else [(-b, a) for a, b in seen]


def views_in(figure, work, reduction, above_deg):
    """Where each view's origin (rear axle, ground, middle) is in the figure, from the outlines that are found in it."""
    drawn = [Polygon(mark.points) for mark in figure.marks if isinstance(mark, Path) and mark.closed]
    origins = {}
    for panel in work.bike.panels:
        view = panel.side if panel.side != "centre" else "above" if panel.view == "top" else ""
        if view and view not in origins and panel.on_bike and panel.key in {f.panel.key for f in work.freed}:
            ring = Polygon([(x / reduction, y / reduction) for x, y in ring_on_bike(panel, above_deg)])
            origins[view] = _origin(ring, drawn)
    return origins


def _origin(ring, drawn):
    """By how much the ring was moved to where it is drawn."""
    for other in drawn:
        by = other.bounds[0] - ring.bounds[0], other.bounds[1] - ring.bounds[1]
        if shapely.affinity.translate(ring, *by).hausdorff_distance(other) < ROUNDING:
            return by
    raise AssertionError("an outline is not in the picture")


def places_of(panel, view, reduction, origin, above_deg):
    """What a tag of the panel may point at in a view."""
    if panel.side == "centre" and panel.view != "top":
        heights = [panel.on_bike[1] + at[1] for at in panel.outline]
        ahead = panel.on_bike[0] * (-1 if view == "left" else 1)
        shape = LineString([(ahead, min(heights)), (ahead, max(heights))])
    else:
        shape = Polygon(ring_on_bike(panel, above_deg))
    smaller = shapely.affinity.scale(shape, 1 / reduction, 1 / reduction, origin=(0, 0))
    return shapely.affinity.translate(smaller, *origin).buffer(ROUNDING)


def astray(figure, work, reduction, above_deg=0):
    """Tags that do not point at their panel."""
    panels = {panel.tag: panel for panel in work.bike.panels}
    origins = views_in(figure, work, reduction, above_deg)
    faults = []
    for label in tags(figure):
        panel, at = panels[label.text], named_place(figure, label)
        seen_from = [panel.side] if panel.side != "centre" else ["above"] if panel.view == "top" else ["left", "right"]
        shapes = [places_of(panel, view, reduction, origins[view], above_deg) for view in seen_from if view in origins]
        if not any(shape.covers(at) for shape in shapes):
            faults.append(label.text)
    return faults


def clashes(figure):
    """Tags over tags, and leaders over other tags or across each other."""
    boxes = [(label.text, shapely.box(*label.box)) for label in figure.labels]
    lines = [LineString(line) for line in leaders(figure)]
    faults = [(one, other) for (one, a), (other, b) in itertools.combinations(boxes, 2) if a.distance(b) < COMMON]
    for line in lines:
        others = [(text, box) for text, box in boxes if Point(line.coords[-1]).distance(box) > 0.5]
        faults += [("leader", text) for text, box in others if line.distance(box) < COMMON]
    return faults + [("leaders", "cross") for a, b in itertools.combinations(lines, 2) if a.distance(b) < COMMON]


@pytest.fixture(scope="module", params=DEMOS)
def demo_work(request, demo_bike):
    return plan_work(demo_bike(request.param))


@pytest.mark.slow
@pytest.mark.parametrize("form", WHOLE, ids=["in a row", "in two rows", "in a column"])
def test_each_tag_points_at_its_panel_and_clashes_with_nothing(demo_work, form):
    """At the smallest size and at a pleasant one."""
    for reduction in (next(one for one in REDUCTIONS if picture(demo_work, form, one)), 36.0):
        figure = picture(demo_work, form, reduction)
        assert astray(figure, demo_work, reduction, form.above_deg) == []
        assert clashes(figure) == []


def test_every_panel_of_the_work_that_says_where_it_sits_has_a_tag(demo_work):
    """Front and rear ones in both side views."""
    expected = []
    for panel in {freed.panel.key: freed.panel for freed in demo_work.freed}.values():
        expected += [panel.tag] * (2 if panel.side == "centre" and panel.view != "top" else 1) * bool(panel.on_bike)
    assert sorted(label.text for label in tags(smallest(demo_work))) == sorted(expected)


@pytest.mark.slow
def test_tags_are_large_enough_and_everything_is_in_the_frame(demo_work):
    """2.5 mm of capitals at every size."""
    for figure in (smallest(demo_work), picture(demo_work, reduction=27.0)):
        frame = Polygon(figure.zone)
        assert {words.height for label in figure.labels for words in label.lines} == {LEAST_BOX}
        shapes = [shapely.box(*label.box) for label in figure.labels]
        shapes += [LineString(mark.points) for mark in figure.marks if isinstance(mark, Path)]
        assert all(frame.buffer(1e-6).covers(shape) for shape in shapes)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(6))
def test_random_bikes(bike_from, seed):
    """Panels anywhere, over each other; where tags find no place at a size, there is no picture of it."""
    work = plan_work(bike_from(random_bike_text(seed, 4 + 2 * seed)))
    figures = [(one, picture(work, reduction=one)) for one in (53.0, 36.0, 23.0)]
    assert any(figure for _, figure in figures)
    for reduction, figure in figures:
        if figure:
            assert clashes(figure) == []
            assert astray(figure, work, reduction) == []


SIDES = """
  nose: { name: Nose, side: left, on_bike: [1400, 500], outline: [[0, 0], [300, 0], [300, 200], [0, 80]],
          holes: [ { at: [20, 20], fastener: A } ] }
  nose-right: { mirrors: nose, side: right }
  tail: { name: Tail, side: left, on_bike: [300, 600], outline: [[0, 0], [300, 0], [300, 200], [0, 80]],
          holes: [ { at: [20, 20], fastener: A } ] }
  lid: { name: Lid, side: centre, on_bike: [500, 900], outline: [[0, 0], [200, 0], [160, 300], [0, 300]],
         holes: [ { at: [20, 20], fastener: A } ] }
  rest: { name: Rest, side: centre, on_bike: [100, 800], outline: [[0, 0], [200, 0], [160, 100], [0, 100]],
          holes: [ { at: [20, 20], fastener: A } ] }
"""


def middle(figure, tag):
    return named_place(figure, next(label for label in tags(figure) if label.text == tag))


def test_the_front_is_to_the_left_on_the_left_and_to_the_right_on_the_right(bike_from):
    """As one sees the bike walking round it: common practice, no source."""
    work = plan_work(bike_from(bike_text(SIDES)))
    by_key = {panel.key: panel.tag for panel in work.bike.panels}
    figure = picture(work, reduction=20.0)
    nose, tail = middle(figure, by_key["nose"]), middle(figure, by_key["tail"])
    lid, rest = middle(figure, by_key["lid"]), middle(figure, by_key["rest"])
    assert nose.x < tail.x
    assert lid.y > rest.y
    assert tail.x < lid.x < middle(figure, by_key["nose-right"]).x
    names = captions(figure)
    assert names["left"][0] < names["above"][0] < names["right"][0]


def test_a_mirrored_panel_is_the_mirror_image(bike_from):
    """Its outline as drawn, turned over, is that of the other side."""
    work = plan_work(bike_from(bike_text(SIDES)))
    left, right, _ = bike_views(work, {"nose", "nose-right", "lid"})
    rings = {one.key: Polygon(one.ring) for view in (left, right) for one in view.panels}
    over = shapely.affinity.scale(rings["nose-right"], -1.0, 1.0, origin=(0, 0))
    assert over.equals(rings["nose"])


def test_below_the_left_view_the_view_from_above_is_in_line_with_it(bike_from):
    """What lies one below the other lies as far ahead."""
    work = plan_work(bike_from(bike_text(SIDES)))
    figure = picture(work, WHOLE[2], 20.0)
    origins = views_in(figure, work, 20.0, 90)
    assert origins["left"][0] == pytest.approx(origins["above"][0], abs=ROUNDING)
    assert middle(figure, work.bike.panel("lid").tag).y < middle(figure, work.bike.panel("tail").tag).y


@pytest.mark.slow
def test_both_sides_stand_on_the_same_ground(demo_work):
    """In a row, whatever their tags take up."""
    origins = views_in(picture(demo_work, reduction=40.0), demo_work, 40.0, 0)
    assert origins["left"][1] == pytest.approx(origins["right"][1], abs=ROUNDING)


def test_without_on_bike_there_is_none(bike_from):
    """Nothing is guessed."""
    work = plan_work(bike_from(bike_text("  lid: { name: Lid, side: left, holes: [ { at: [0, 0], fastener: A } ] }")))
    assert picture(work) is None


def test_a_panel_that_stays_on_is_grey_and_has_no_tag(bike_from):
    """A job that takes the nose alone off."""
    work = plan_work(bike_from(bike_text(SIDES, "  look: { name: Look, remove: [nose] }")), ["look"])
    figure = picture(work, reduction=20.0)
    assert [label.text for label in tags(figure)] == [work.bike.panel("nose").tag]
    greys = [mark for mark in figure.marks if isinstance(mark, Path) and mark.ink not in (0.0, 1.0)]
    assert len(greys) == 1  # the tail: nothing else is seen from the left
    assert set(captions(figure)) == {"left"}


def test_the_checks_see_what_is_wrong(demo_work):
    """A tag moved onto another, and all outlines turned over."""
    figure = smallest(demo_work)
    one, other = tags(figure)[:2]
    assert clashes(_with_labels(figure, {one: other.box}))
    turned = picture(demo_work, reduction=36.0)
    far = {label: tuple(side + 400.0 for side in label.box) for label in tags(turned)}
    assert astray(_with_labels(turned, far), demo_work, 36.0)


def test_the_checks_see_a_picture_the_wrong_way_round(demo_work):
    """All of it turned over: an outline is not there, or a tag is on the other side's panel."""
    figure = picture(demo_work, reduction=36.0)
    boxes = {label: (-label.box[2], label.box[1], -label.box[0], label.box[3]) for label in figure.labels}
    turned = replace(_with_labels(figure, boxes), marks=tuple(_turned_over(mark) for mark in figure.marks))
    try:
        faults = astray(turned, demo_work, 36.0)
    except AssertionError as missing:
        faults = [str(missing)]
    assert faults


def _turned_over(mark):
    if isinstance(mark, Circle):
        return replace(mark, centre=(-mark.centre[0], mark.centre[1]))
    return replace(mark, points=tuple((-x, y) for x, y in mark.points))


def _with_labels(figure, boxes):
    labels = tuple(replace(label, box=boxes[label]) if label in boxes else label for label in figure.labels)
    return replace(figure, labels=labels)


@pytest.mark.parametrize("first", [0, 1, 2, 3, 6, 7, 15, 16, len(REDUCTIONS)])
def test_the_smallest_picture_is_found_wherever_it_is(monkeypatch, demo_bike, first):
    """Sizes are tried in ever longer steps; what they skip is gone back to."""
    asked, work = [], plan_work(demo_bike("murmelo-140-scooter"))

    def pictured(views, form, reduction, style):
        asked.append(reduction)
        return picture_of(views, form, reduction, style) if reduction in REDUCTIONS[first:] else None

    monkeypatch.setattr(bike_map, "picture_of", pictured)
    views = bike_views(work, {freed.panel.key for freed in work.freed})
    found = bike_map._smallest(views, WHOLE[0], PLAIN)
    expected = picture_of(views, WHOLE[0], REDUCTIONS[first], PLAIN) if first < len(REDUCTIONS) else None
    assert found == expected
    assert len(asked) <= 10


@pytest.mark.parametrize(
    "outline",
    [
        [[0, 0], [300, 0], [300, 200], [150.001, 0.001], [0, 200]],
        [[0, 0], [2, 0], [2, 1], [0, 1]],
        [[0, 0], [500, 0], [500, 0.01], [0, 0.01]],
    ],
    ids=["nearly touches itself", "a speck", "a hair"],
)
def test_strange_outlines(bike_from, outline):
    """What is drawn is a simple polygon, or there is no picture."""
    panel = f"  odd: {{ name: Odd, side: left, on_bike: [900, 500], outline: {outline}"
    work = plan_work(bike_from(bike_text(f"{panel}, holes: [ {{ at: [1, 0], fastener: A }} ] }}")))
    for reduction in REDUCTIONS:
        if figure := picture(work, reduction=reduction):
            drawn = [Polygon(mark.points) for mark in figure.marks if isinstance(mark, Path) and mark.closed]
            assert all(shape.is_valid and shape.area > 0 for shape in drawn)


@pytest.mark.slow
def test_more_tags_than_anybody_reads_are_not_looked_for(bike_from):
    """A view of more than forty panels."""
    assert picture(plan_work(bike_from(dense_bike_text(3, 60)))) is None
