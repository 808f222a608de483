"""`holes: from outline`: circles of the outline's drawing that name a fastener are the holes."""

from __future__ import annotations

import pytest
from bikes import bike_text

from boardmaker.inputs import read_bike
from boardmaker.problems import ProblemsFound, Severity

MM = 'width="200mm" height="120mm" viewBox="0 0 200 120"'
PLATE = '<rect x="0" y="0" width="200" height="120"/>'
LABEL = 'xmlns:k="http://example.org/k"'


@pytest.fixture
def read(tmp_path):
    """Return a function that reads a bike whose lid has such a drawing; its warnings come too."""

    def bike_of(drawn, size=MM, panel="holes: from outline", more=""):
        (tmp_path / "lid.svg").write_text(
            f'<svg xmlns="http://www.w3.org/2000/svg" {LABEL} {size}>{PLATE}{drawn}</svg>', encoding="utf-8"
        )
        lid = f"  lid: {{ name: Lid, side: left, outline: {{ file: lid.svg }}, {panel} }}\n{more}"
        (tmp_path / "bike.yaml").write_text(bike_text(lid), encoding="utf-8")
        return read_bike(tmp_path / "bike.yaml")

    return bike_of


def holes_of(bike, key="lid"):
    return [(hole.id, hole.at, hole.fastener) for hole in bike.panel(key).holes]


def circle(x, y, name="", radius=3):
    return f'<circle cx="{x}" cy="{y}" r="{radius}" {name}/>'


def test_in_the_order_of_their_numbers(read):
    """y runs upwards, from the lower left as the outline's does; the number of the name is the id."""
    drawn = circle(10, 20, 'id="B-4"') + circle(50, 30, 'id="A_1"') + circle(90, 110, 'id="C 2"')
    bike, warnings = read(drawn)
    assert holes_of(bike) == [("1", (50, 90), "A"), ("2", (90, 10), "C"), ("4", (10, 100), "B")]
    assert warnings == ()


def test_as_drawn_where_there_are_no_numbers(read):
    """A label goes before an id, which programs make up; a group may say it for all that are in it."""
    drawn = circle(10, 20, 'id="circle7" k:label="B"') + f'<g k:label="A">{circle(50, 30)}{circle(60, 30)}</g>'
    assert holes_of(read(drawn)[0]) == [("1", (10, 100), "B"), ("2", (50, 90), "A"), ("3", (60, 90), "A")]


def test_numbers_that_are_given_twice_are_no_ids(read):
    """A-1 and B-1 are the first of each; they come first, in the order of the drawing."""
    drawn = circle(10, 20, 'id="A-2"') + circle(30, 20, 'id="A-1"') + circle(50, 20, 'id="B-1"')
    assert holes_of(read(drawn)[0]) == [("1", (30, 100), "A"), ("2", (50, 100), "B"), ("3", (10, 100), "A")]


@pytest.mark.parametrize("move", ["translate(40 30) rotate(90)", "matrix(0 1 -1 0 40 30)"])
def test_transforms_move_them(read, move):
    drawn = f'<g transform="{move}"><ellipse id="A" cx="10" cy="0" rx="3" ry="3.02"/></g>'
    ((_, at, _),) = holes_of(read(drawn)[0])
    assert at == pytest.approx((40, 80))


def test_rings_around_a_hole_and_lamps_are_no_holes(read):
    """A head drawn around its hole, a wide circle without a name, an oval without one, what is hidden."""
    drawn = circle(10, 20, 'id="A"') + circle(10, 20, radius=8) + circle(100, 60, radius=40)
    drawn += '<ellipse cx="5" cy="5" rx="2" ry="4"/>' + circle(1, 1, 'style="display:none"')
    assert len(holes_of(read(drawn)[0])) == 1


def test_the_mirror_image_has_them_too(read):
    bike, _ = read(circle(10, 20, 'id="A"'), more="  twin: { mirrors: lid }\n")
    assert holes_of(bike, "twin") == [("1", (-10, 100), "A")]


@pytest.mark.parametrize(
    ("drawn", "panel", "said", "hint"),
    [
        (circle(10, 20) + circle(30, 20, 'id="A"') + circle(50, 25, 'id="X-1"'), "holes: from outline",
         'circles of "lid.svg" do not say their fastener: [10.0, 100.0], [50.0, 95.0]', "fasteners here: A, B, C, P"),
        ("", "holes: from outline", "has no circles", "A-3"),
        ('<ellipse id="A-1" cx="50" cy="50" rx="6" ry="4"/>', "holes: from outline",
         "not round: 12.0 x 8.0 mm at [50.0, 70.0]", "as a circle"),
        ("", "holes: from outlines", '"from outlines" is not one of: from outline', "did you mean"),
    ],
)  # fmt: skip
def test_what_cannot_be_taken(read, drawn, panel, said, hint):
    with pytest.raises(ProblemsFound) as found:
        read(drawn, panel=panel)
    (problem,) = found.value.problems
    assert said in problem.message
    assert hint in problem.hint
    assert problem.where.source[problem.where.column - 1 :].startswith("from")


@pytest.mark.parametrize(
    "lid",
    ["  lid: { name: Lid, side: left, outline: [[0, 0], [9, 0], [9, 9]], holes: from outline }\n",
     "  lid: { name: Lid, side: left, holes: from outline }\n"],
)  # fmt: skip
def test_without_a_drawing_there_are_none(tmp_path, lid):
    (tmp_path / "bike.yaml").write_text(bike_text(lid), encoding="utf-8")
    with pytest.raises(ProblemsFound, match="this panel's outline is in none"):
        read_bike(tmp_path / "bike.yaml")


def test_a_drawing_that_cannot_be_read_is_one_mistake(read):
    with pytest.raises(ProblemsFound) as found:
        read("<path d='M0 0' transform='tilt(3)'/>")
    assert len(found.value.problems) == 1


@pytest.mark.parametrize(
    ("size", "count"),
    [
        (MM, 0),
        ('width="200" height="120"', 1),
        ('viewBox="0 0 200 120"', 1),
        ('width="200px" viewBox="0 0 200 120"', 0),
    ],
)
def test_a_drawing_without_units_is_doubtful(read, size, count):
    """It is read as before, and the place and the remedy are said."""
    bike, warnings = read("", size=size, panel="holes: []")
    assert bike.panel("lid").outline
    assert [one.severity for one in warnings] == [Severity.WARNING] * count
    assert all('"lid.svg" has no units' in one.message and "width=" in one.hint for one in warnings)


def test_holes_in_the_group_of_another_panel_are_that_panels(read):
    """A drawing of several panels: what stands in no panel's group is everybody's, a fastener's group is no panel's."""
    seat = "  seat: { name: Seat, side: centre, holes: [] }\n  a: { name: A, side: centre, holes: [] }\n"
    theirs, ours, other = (circle(*one) for one in ((90, 20, 'id="B-7"'), (10, 20, 'id="B-4"'), (60, 30, 'id="A-2"')))
    drawn = f'<g id="seat">{theirs}</g><g k:label="Lid">{ours}</g>' + circle(50, 30, 'id="A-1"')
    drawn += f'<g k:label="A">{other}</g>'
    bike, _ = read(drawn, more=seat)
    assert holes_of(bike) == [("1", (50, 90), "A"), ("2", (60, 90), "A"), ("4", (10, 100), "B")]
