"""Each geometry check by itself: what it says, and where it must be silent."""

from __future__ import annotations

import pytest
from bikes import bike_text

from boardmaker.service import left_over, misplaced, strays

BOX = "outline: [[0, 0], [300, 0], [300, 200], [0, 200]]"


@pytest.fixture
def said(bike_from):
    """Return a function that gives what is said of some panels: message and hint in one."""

    def judge(panels):
        bike = bike_from(bike_text(panels))
        return [f"{one.message} | {one.hint}" for one in (*misplaced(bike), *strays(bike)) if one.where]

    return judge


def panel(key, side, more="", holes="{ at: [20, 20], fastener: A }", on_bike="[900, 600]", outline=BOX):
    name = key.replace("-", " ").capitalize()
    place = f", on_bike: {on_bike}" if on_bike else ""
    return f"  {key}: {{ name: {name}, side: {side}{place}, {outline}, holes: [ {holes} ]{more} }}\n"


@pytest.mark.parametrize(
    ("on_bike", "words"),
    [
        ("[900, 600]", None),
        ("[0.9, 0.6]", "metres"),
        ("[0, 0]", "metres"),
        ("[-1200, 600]", "up to 1500 mm behind its axle | `on_bike`: is it a slip: x turned round"),
        ("[900, -600]", "reach down to -600 mm above the ground | `on_bike`: is it a slip: y turned round"),
        ("[2600, 600]", "in front of the front wheel"),
        ("[600, 2600]", "reach up to 2800 mm above the ground | correct `on_bike`"),
        ("[35, 24]", "inches written for millimetres"),
        ("[300, 100]", None),
        ("[2390, 300]", None),
    ],
)  # fmt: skip
def test_on_bike(said, on_bike, words):
    found = said(panel("lid", "left", on_bike=on_bike))
    assert len(found) == (words is not None), found
    assert all(words in one for one in found)


@pytest.mark.parametrize(
    ("size", "words"),
    [((300, 200), None), ((1600, 900), "pixels"), ((9, 7), "centimetres"), ((1490, 20), None),
     ((8000, 90), "another unit")],
)  # fmt: skip
def test_sizes(said, size, words):
    """A panel alone: in pixels it is larger than any, in inches or centimetres smaller."""
    wide, high = size
    outline = f"outline: [[0, 0], [{wide}, 0], [{wide}, {high}], [0, {high}]]"
    found = said(panel("lid", "left", outline=outline, holes="{ at: [2, 2], fastener: A }", on_bike=""))
    assert len(found) == (words is not None), found
    assert all(words in one for one in found)


@pytest.mark.parametrize(
    ("key", "side", "count"),
    [("knee-left", "left", 0), ("knee-left", "right", 1), ("knee-left", "centre", 1), ("left-right", "left", 0),
     ("leftover", "right", 0), ("knee", "right", 0)],
)  # fmt: skip
def test_a_name_says_its_side(said, key, side, count):
    found = said(panel(key, side, on_bike=""))
    assert len(found) == count
    assert all("says left, but its side is" in one and "write side: left" in one for one in found)


def test_a_mirror_image_of_the_same_side(said):
    (found,) = said(panel("one", "left") + "  two: { mirrors: one, name: Two, side: left }\n")
    assert "`two` is the mirror image of `one`, but both are of the left side" in found
    assert said(panel("one", "left") + "  two: { mirrors: one, name: Two }\n") == []


CORNER = [[0, 0], [300, 0], [300, 60], [120, 200], [0, 200]]  # not like its mirror image
INSIDE = "{ at: [20, 20], fastener: A }, { at: [270, 30], fastener: A }, { at: [20, 180], fastener: A }"
OUTSIDE = INSIDE.replace("[20, 20]", "[-20, 20]").replace("[270,", "[-270,").replace("[20, 180]", "[-20, 180]")


def test_a_panel_drawn_from_inside_is_its_twin_as_it_is(said):
    """With the outline of the left one for the right one, up to what a hand does."""
    left = panel("knee-left", "left", holes=INSIDE, outline=f"outline: {CORNER}")
    right = [[-x - 1, y + 1] for x, y in CORNER]
    assert said(left + panel("knee-right", "right", holes=OUTSIDE, outline=f"outline: {right}")) == []
    alike = [[x + 1, y - 1] for x, y in CORNER]
    found = said(left + panel("knee-right", "right", holes=INSIDE, outline=f"outline: {alike}", on_bike="[600, 600]"))
    assert len(found) == 1
    assert "`knee-right` is like `knee-left` as it is drawn" in found[0]
    assert "from the other side" in found[0]


def test_twins_sit_across_from_each_other(said):
    left = panel("knee-left", "left", holes=INSIDE, outline=f"outline: {CORNER}")
    right = panel("knee-right", "right", holes=OUTSIDE, outline=f"outline: {[[-x, y] for x, y in CORNER]}")
    assert said(left + right.replace("[900, 600]", "[940, 560]")) == []
    (found,) = said(left + right.replace("[900, 600]", "[1300, 600]"))
    assert "its twin `knee-left` at 750 ahead" in found


def test_a_left_panel_at_minus_x(said):
    outline = "outline: [[-300, 0], [0, 0], [0, 200], [-300, 200]]"
    holes = "{ at: [-20, 20], fastener: A }"
    (found,) = said(panel("lid", "left", outline=outline, holes=holes))
    assert "lies from x -300 to 0" in found
    assert "from the other side" in found
    assert said(panel("lid", "right", outline=outline, holes=holes)) == []
    left, right = panel("knee-left", "left", outline=outline, holes=holes), panel("knee-right", "right")
    assert said(right + left) == []  # written out as the mirror image of the right one


@pytest.mark.parametrize(
    ("tie", "words"),
    [
        ("also_holds: [knee-left]", ""),
        ("also_holds: [knee-right]", 'knee-right`, on the other side of the bike | did you mean "knee-left"?'),
        ("also_holds: [tail]", "tail`, on the other side of the bike | correct the reference"),
        ("also_holds: [far]", "also holds `far`, but lies 720 mm away from it"),
    ],
)
def test_a_screw_holds_what_lies_under_its_head(said, tie, words):
    panels = panel("lid", "left", holes=f"{{ at: [20, 20], fastener: A, {tie} }}")
    panels += panel("knee-left", "left", holes="") + panel("knee-right", "right", holes="", on_bike="[600, 600]")
    panels += panel("tail", "right", holes="", on_bike="") + panel("far", "left", holes="", on_bike="[160, 600]")
    found = said(panels)
    assert len(found) == bool(words), found
    assert words in "".join(found)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ("rides_on: knee-left", ""),
        ("rides_on: knee-right", 'did you mean "knee-left"?'),
        ("rides_on: far", "sits 440 mm away from it"),
        ("after: [knee-right]", 'waits for `knee-right`, on the other side of the bike | did you mean "knee-left"?'),
        ("after: [tail]", ""),  # a panel of the other side may reach over
        ("after: [far]", "but sits 440 mm away"),
    ],
)
def test_riders_and_those_that_wait(said, more, words):
    panels = panel("lid", "left", more=f", {more}")
    panels += panel("knee-left", "left", holes="") + panel("knee-right", "right", holes="", on_bike="[600, 600]")
    panels += panel("tail", "right", holes="", on_bike="") + panel("far", "left", holes="", on_bike="[160, 600]")
    found = said(panels)
    assert len(found) == bool(words), found
    assert words in "".join(found)


def test_halves_may_share_a_screw(said):
    """Two halves of a mudguard, joined over the wheel."""
    left = panel("half-left", "left", holes="{ at: [20, 20], fastener: A, also_holds: [half-right] }", on_bike="")
    assert said(left + panel("half-right", "right", holes="", on_bike="")) == []


@pytest.mark.parametrize(
    ("holes", "words"),
    [
        ("{ at: [50, 50], fastener: A }, { at: [54, 50], fastener: A }", "4.0 mm away"),
        ("{ at: [50, 50], fastener: A }, { at: [63.5, 50], fastener: A }", "13.5 mm away"),  # heads of 14 mm
        ("{ at: [50, 50], fastener: A }, { at: [64.5, 50], fastener: A }", ""),
        ("{ at: [50, 50], fastener: A }, { at: [61.9, 50], fastener: C }", "11.9 mm away"),  # heads of 14 and 10 mm
        ("{ at: [50, 50], fastener: A }, { at: [62.1, 50], fastener: C }", ""),
        ("{ at: [50, 50], fastener: P }, { at: [67, 50], fastener: P }", "17.0 mm away"),  # clips' heads of 18 mm
        ("{ at: [50, 50], fastener: A }, { at: [50.3, 50], fastener: A }", ""),  # told by `loose_ends`
        (
            "{ at: [290, 190], fastener: A }, { at: [54, 50], fastener: A }, { at: [50, 50], fastener: A }",
            "4.0 mm away",
        ),
    ],
)
def test_screws_need_room(said, holes, words):
    found = said(panel("lid", "left", holes=holes))
    assert len(found) == bool(words), found
    assert words in "".join(found)
    assert all("is one of them the other, moved?" in one for one in found)


def test_one_screw_at_two_panels(said):
    """At one place of the bike, and neither says that it holds the other."""
    two = panel("knee", "left", on_bike="[950, 600]", holes="{ at: [72, 21], fastener: A }")
    (found,) = said(panel("lid", "left") + two)
    assert "lid/1 and knee/1 are at one place of the bike" in found
    assert said(panel("lid", "left") + two.replace("fastener: A", "fastener: B")) == []
    assert said(panel("lid", "left") + two.replace("fastener: A", "fastener: A, also_holds: [lid]")) == []


@pytest.mark.parametrize(
    ("factor", "words"),
    [(1 / 25.4, "inches"), (0.1, "centimetres"), (0.001, "metres"), (25.4 / 96, "pixels"), (96 / 25.4, "pixels")],
)
def test_all_holes_in_another_unit(said, factor, words):
    """Near [0, 0], or far outside: one warning for all of them."""
    holes = ", ".join(
        f"{{ at: [{x * factor:.4f}, {y * factor:.4f}], fastener: A }}" for x, y in ((70, 90), (260, 60), (120, 180))
    )
    found = said(panel("lid", "left", holes=holes))
    mine = [one for one in found if "two screws" not in one]
    assert len(mine) == 1, found
    assert words in mine[0]


@pytest.mark.parametrize("factor", [25.4 / 96])
def test_holes_of_a_corner_are_no_slip_where_they_would_not_fit(said, factor):
    """Three screws of a hinge at the lower left: as pixels one would lie outside."""
    holes = "{ at: [10, 10], fastener: A }, { at: [70, 10], fastener: A }, { at: [20, 58], fastener: A }"
    assert said(panel("lid", "left", holes=holes, outline=f"outline: {CORNER}")) == []


def test_a_centre_panel_that_is_not_symmetric_any_more(said):
    """Three pairs; of one of them x and y of a hole are swapped, inside all the same."""
    pairs = [(20, 20), (280, 20), (60, 130), (240, 130), (100, 60), (200, 60)]
    holes = ", ".join(f"{{ at: [{x}, {y}], fastener: A }}" for x, y in pairs)
    lid = panel("lid", "centre", on_bike="")
    good = lid.replace("{ at: [20, 20], fastener: A }", holes)
    assert said(good) == []
    (found,) = said(good.replace("[60, 130]", "[130, 60]"))
    assert "lid/3 alone has no counterpart across" in found
    assert "x and y swapped" in found


@pytest.mark.parametrize(
    ("behind", "hint"),
    [("fuel tank", ""), ("Radiator", ""), ("a bunch of wires", ""), ("wires", ""), ("brake pipe", ""),
     ("lamps", ""), ("tire", ""), ("oil hose", ""), ("raditor", 'did you mean "radiator"?'),
     ("fuel tnak", 'did you mean "fuel tank"?'),
     ("12 mm", "under `room`"), ("12", "under `room`"), ("nothing", "take `behind` out"), ("knee", "also_holds")],
)  # fmt: skip
def test_behind(said, behind, hint):
    panels = panel("lid", "left", holes=f"{{ at: [20, 20], fastener: A, behind: {behind} }}", on_bike="")
    found = said(panels + panel("knee", "left", holes="", on_bike=""))
    assert len(found) == bool(hint), found
    assert hint in "".join(found)


def test_what_distances_leave_over(bike_from):
    """A sentence for three or more; a warning where they do not agree, or where two hardly say where it is."""
    holes = "{ at: [0, 0], fastener: A }, { at: [200, 0], fastener: A }, { at: [0, 150], fastener: A }, "
    holes += "{ from: { 1: 100.5, 2: 161, 3: 92 }, fastener: A }, { from: { 1: 100.5, 2: 161, 3: 100 }, fastener: A }, "
    holes += "{ from: { 1: 120, 2: 81 }, fastener: A }"
    bike = bike_from(bike_text(panel("lid", "left", holes=holes)))
    sentences = left_over(bike)
    assert [one.split(" by ")[0] for one in sentences] == ["lid/4", "lid/5"]
    assert "by 3 distances: off by" in sentences[0]
    assert "mm from hole" in sentences[0]
    said = [one.message for one in misplaced(bike)]
    assert [one for one in said if "do not agree" in one and "lid/5" in one]
    assert [one for one in said if "lid/6 nearly lies in line" in one]
    assert not [one for one in said if one.startswith("the distances of lid/4")]


INSIDE_EDGE = "{ at: [10, 150], fastener: A }"
LOW_EDGE = "{ at: [120, 20], fastener: A }"
DOWNWARDS = "{ from: { 1: 80, 2: 80 }, hand: right, fastener: A }"


def test_a_measured_hole_outside_has_no_sign_that_could_be_wrong(said):
    """What it is measured from may have one; else a distance is wrong."""
    follower = "{ from: { 1: 100, 2: 100 }, hand: left, fastener: A }"
    slip, followed = said(panel("lid", "left", holes=f"{{ at: [-120, 20], fastener: A }}, {INSIDE_EDGE}, {follower}"))
    assert "lid/1 lies 120 mm outside" in slip
    assert "x turned round" in slip
    assert followed.endswith("correct first what it is measured from and lies outside too: hole 1")
    (lone,) = said(panel("lid", "left", holes=f"{{ at: [20, 20], fastener: A }}, {LOW_EDGE}, {DOWNWARDS}"))
    assert lone.endswith("measure its distances from holes 1 and 2 again, or correct the outline")
