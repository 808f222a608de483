"""Holes by distances in a bike file: what becomes of them, and what is said of those that cannot be found."""

from __future__ import annotations

import math
import random

import pytest
from bikes import bike_text

from boardmaker.inputs import read_bike
from boardmaker.problems import ProblemsFound

SQUARE = "outline: [[0, 0], [200, 0], [200, 120], [0, 120]]"
ROW = ["{ at: [0, 0], fastener: A }", "{ at: [50, 0], fastener: A }"]


def panel_of(holes, outline=SQUARE, more=""):
    lines = "\n".join(f"      - {hole}" for hole in holes)
    return f"  lid:\n    name: Lid\n    side: left\n{f'    {outline}' if outline else ''}\n    holes:\n{lines}\n{more}"


@pytest.fixture
def places(bike_from):
    """Return a function that gives the places of the lid's holes by id."""
    return lambda *given, **keys: {
        hole.id: hole.at for hole in bike_from(bike_text(panel_of(*given, **keys))).panel("lid").holes
    }


@pytest.fixture
def problems(tmp_path):
    """Return a function that gives what is wrong with the lid's holes."""

    def read(*given, **keys):
        path = tmp_path / "bike.yaml"
        path.write_text(bike_text(panel_of(*given, **keys)), encoding="utf-8")
        with pytest.raises(ProblemsFound) as found:
            read_bike(path)
        return found.value.problems

    return read


def test_of_two_answers_the_one_inside_is_taken(places):
    """3-4-5: left of the way lies inside the lid, right of it outside."""
    assert places([*ROW, "{ from: { 1: 30 mm, 2: 40 mm }, fastener: A }"])["3"] == (18, 24)
    assert places([*ROW, "{ from: { 2: 40 mm, 1: 30 mm }, fastener: A }"])["3"] == (18, 24)


@pytest.mark.parametrize(("hand", "at"), [("left", (18, 24)), ("right", (18, -24))])
@pytest.mark.parametrize("outline", [SQUARE, ""])
def test_hand_says_which(places, hand, at, outline):
    """As seen on the way from the first to the second, inside or not."""
    hole = f"{{ from: {{ 1: 3 cm, 2: 40 }}, hand: {hand}, fastener: A }}"
    assert places([*ROW, hole], outline=outline)["3"] == at


def test_the_order_of_the_two_turns_left_and_right(places):
    hole = "{ from: { 2: 40, 1: 30 }, hand: left, fastener: A }"
    assert places([*ROW, hole])["3"] == (18, -24)


@pytest.mark.parametrize(
    ("outline", "why"),
    [
        ("", "there is no outline"),
        ("outline: [[-50, -100], [200, -100], [200, 120], [-50, 120]]", "both lie inside"),
        # within what is measured of the outline: not sure enough
        ("outline: [[0, -22], [200, -22], [200, 120], [0, 120]]", "both lie inside"),
    ],
)
def test_who_cannot_tell_asks_for_hand(problems, outline, why):
    """With both places, and which hand is which."""
    (problem,) = problems([*ROW, "{ from: { 1: 30, 2: 40 }, fastener: A }"], outline=outline)
    assert problem.message == f"this hole may be at [18, 24] or at [18, -24]: {why}" + " the outline" * (
        why == "both lie inside"
    )
    assert "hand: left" in problem.hint
    assert "hand: right for [18, -24]" in problem.hint
    assert problem.where.source[problem.where.column - 1 :].startswith("from:")


def test_where_neither_place_is_inside_a_distance_is_wrong(problems):
    """`hand` would nail down a wrong place: it is asked for only where a place lies but just outside."""
    strip = "outline: [[-10, -2], [200, -2], [200, 5], [-10, 5]]"
    (problem,) = problems([*ROW, "{ from: { 1: 90, 2: 120 }, fastener: A }"], outline=strip)
    assert "outside the outline: [-38, 81.6], 82 mm and [-38, -81.6], 84 mm; a distance is prob" in problem.message
    assert problem.hint == "measure again, or from a third hole too"
    (problem,) = problems([*ROW, "{ from: { 1: 30, 2: 40 }, fastener: A }"], outline=strip)
    assert "[18, 24], 19 mm and [18, -24], 22 mm; a distance is probably wrong" in problem.message
    assert problem.hint.startswith("measure again, or from a third hole too; else write hand: left, as seen")


def test_where_the_holes_that_it_is_measured_from_lie_outside_no_distance_is_blamed(problems):
    outline = "outline: [[0, -150], [200, -150], [200, -60], [0, -60]]"
    (problem,) = problems([*ROW, "{ from: { 1: 30, 2: 40 }, fastener: A }"], outline=outline)
    assert problem.message.endswith("outside the outline: [18, 24], 84 mm and [18, -24], 36 mm")
    assert problem.hint.startswith(
        "correct first what it is measured from: hole 1, 60 mm outside the outline and hole 2"
    )


WIDE = [(0, 0), (240, 0), (150, 260)]


@pytest.mark.parametrize(("wrong", "by"), [(0, -100), (1, 100), (2, 100)])
def test_the_distance_without_which_the_others_meet(problems, wrong, by):
    """Of three any two meet; the one that is whole hundreds off is named, and what it would be."""
    true = (84.0, 248.0)
    written = [math.dist(true, middle) + by * (place == wrong) for place, middle in enumerate(WIDE)]
    far = ", ".join(f"{place + 1}: {one:.0f}" for place, one in enumerate(written))
    holes = [f"{{ at: [{x}, {y}], fastener: A }}" for x, y in WIDE]
    outline = "outline: [[-20, -60], [260, -60], [260, 300], [-20, 300]]"
    (problem,) = problems([*holes, f"{{ from: {{ {far} }}, fastener: A }}"], outline=outline)
    assert f"measure the one from hole {wrong + 1} again" in problem.hint
    off = f"100 mm {'less' if by > 0 else 'more'} than written"
    assert f"where hole {wrong + 1} is {math.dist(true, WIDE[wrong]):.0f} mm away, {off}" in problem.hint


def test_of_four_distances_the_wrong_one_is_named_whatever_it_is_off_by(problems):
    true, middles = (84.0, 148.0), [*WIDE, (10.0, 260.0)]
    written = [math.dist(true, middle) + 37.0 * (place == 3) for place, middle in enumerate(middles)]
    far = ", ".join(f"{place + 1}: {one:.1f}" for place, one in enumerate(written))
    holes = [f"{{ at: [{x}, {y}], fastener: A }}" for x, y in middles]
    (problem,) = problems([*holes, f"{{ from: {{ {far} }}, fastener: A }}"], outline="")
    said = "measure the one from hole 4 again: without it the others meet at [84, 148], where hole 4 is 134 mm away"
    assert problem.hint == f"{said}, 37 mm less than written"


def test_a_wrong_place_is_said_before_what_is_measured_from_it(problems):
    """Its followers' distances may be right."""
    holes = ["{ at: [-150, 20], fastener: A }", "{ at: [50, 20], fastener: A }"]
    (problem,) = problems([*holes, "{ from: { 1: 70, 2: 80 }, fastener: A }"])
    assert "miss each other by 50.0 mm" in problem.message
    first = "correct first what it is measured from: hole 1, 150 mm outside the outline; else measure again"
    assert problem.hint.startswith(first)


def test_a_chain_in_any_order(places):
    """Each is measured from holes that come after it in the file."""
    holes = [
        "{ id: d, from: { c: 50, b: 30 }, fastener: A }",
        "{ id: c, from: { a: 30, b: 40 }, fastener: A }",
        "{ id: a, at: [0, 0], fastener: A }",
        "{ id: b, at: [50, 0], fastener: A }",
    ]
    found = places(holes)
    assert found["c"] == (18, 24)
    assert math.dist(found["d"], found["c"]) == pytest.approx(50)
    assert math.dist(found["d"], found["b"]) == pytest.approx(30)


@pytest.mark.parametrize("seed", range(15))
def test_a_random_panel_measured_with_a_rule(places, seed):
    """Two holes by their places, all others from the two or three before them, to half a millimetre."""
    dice = random.Random(seed)
    true = [(10.0, 10.0), (190.0, 20.0), (100.0, 110.0)]
    true += [(dice.uniform(10, 190), dice.uniform(10, 110)) for _ in range(6)]
    holes = [f"{{ at: [{x}, {y}], fastener: A }}" for x, y in true[:3]]
    for place in true[3:]:
        far = ", ".join(
            f"{number}: {math.dist(place, true[number - 1]) + dice.uniform(-0.5, 0.5):.1f} mm" for number in (1, 2, 3)
        )
        holes.append(f"{{ from: {{ {far} }}, fastener: A }}")
    found = places(holes)
    assert all(math.dist(found[str(index + 1)], place) < 1.5 for index, place in enumerate(true))


def test_three_in_line_are_as_two(places, problems):
    """Inside the outline there is one of the two; where both are inside, it asks."""
    row = [f"{{ at: [{x}, 0], fastener: A }}" for x in (0, 50, 100)]
    far = ", ".join(f"{index + 1}: {math.dist((x, 0), (18, 24)):.3f}" for index, x in enumerate((0, 50, 100)))
    hole = f"{{ from: {{ {far} }}, fastener: A }}"
    assert places([*row, hole])["4"] == pytest.approx((18, 24), abs=1e-2)
    (problem,) = problems([*row, hole], outline="")
    assert "may be at [18, 24] or at [18, -24]" in problem.message


def test_on_the_line_there_is_one_answer(places):
    """A row of holes at a straight edge, a rule's half millimetres off either way."""
    assert places([*ROW, "{ from: { 1: 100, 2: 50 }, fastener: A }"])["3"] == (100, 0)
    short = places([*ROW, "{ from: { 1: 20.4, 2: 29 }, fastener: A }"], outline="")["3"]
    assert short == pytest.approx((20.7, 0), abs=1e-3)


def test_the_mirror_image_has_the_mirrored_places(bike_from):
    """`hand` is said once, at the original; in a list of its own a mirrored panel has its own frame."""
    more = """  twin: { mirrors: lid }
  other:
    mirrors: lid
    holes:
      - { at: [0, 0], fastener: A }
      - { at: [-50, 0], fastener: A }
      - { from: { 1: 30, 2: 40 }, fastener: A }
      - { from: { 1: 30, 2: 40 }, hand: left, fastener: A }
"""
    bike = bike_from(bike_text(panel_of([*ROW, "{ from: { 1: 30, 2: 40 }, fastener: A }"], more=more)))
    assert bike.panel("twin").holes[2].at == (-18, 24)
    assert bike.panel("twin").holes[2].by is None
    assert [hole.at for hole in bike.panel("other").holes[2:]] == [(-18, 24), (-18, -24)]


def test_an_outline_is_drawn_around_what_was_found(bike_from):
    bike = bike_from(bike_text(panel_of([*ROW, "{ from: { 1: 30, 2: 40 }, hand: left, fastener: A }"], outline="")))
    panel = bike.panel("lid")
    assert panel.outline_drawn
    assert max(y for _, y in panel.outline) == pytest.approx(24 + 25, abs=0.1)


def test_a_drawing_tells_which_lies_inside(tmp_path):
    """As an outline of points does; its frame is that of the places."""
    square = '<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="120mm" viewBox="0 0 200 120">'
    (tmp_path / "lid.svg").write_text(f'{square}<rect width="200" height="120"/></svg>', encoding="utf-8")
    holes = [*ROW, "{ from: { 1: 30, 2: 40 }, fastener: A }"]
    text = bike_text(panel_of(holes, outline="outline: { file: lid.svg }"))
    (tmp_path / "bike.yaml").write_text(text, encoding="utf-8")
    assert read_bike(tmp_path / "bike.yaml")[0].panel("lid").holes[2].at == (18, 24)


def test_all_other_keys_go_with_it(bike_from):
    """It is a hole like any other."""
    hole = "{ id: x, from: { 1: 30, 2: 40 }, fastener: C, into: clip nut, stack: 3, note: hidden }"
    found = bike_from(bike_text(panel_of([*ROW, hole]))).panel("lid").holes[2]
    written = bike_from(bike_text(panel_of([*ROW, hole.replace("from: { 1: 30, 2: 40 }", "at: [18, 24]")])))
    assert found == written.panel("lid").holes[2]
    assert found.by is not None


def third(text):
    return [*ROW, f"{{ {text}, fastener: A }}"]


@pytest.mark.parametrize(
    ("holes", "said", "hint"),
    [
        (third("from: { 1: 30 mm, 2: 15 mm }"), "miss each other by 5.0 mm", "a third hole"),
        (third("from: { 1: 130 mm, 2: 15 mm }"), "miss each other by 65.0 mm", "measure again"),
        (third("from: { 1: 30 mm }"), "one distance cannot say", "from two holes"),
        (third("from: {}"), "no distance cannot say", "from two holes"),
        (third("from: { 1: 30, 7: 40 }"), 'there is no hole "7"', "there are: 1, 2, 3"),
        (third("from: { 1: 30, 3: 40 }"), 'hole "3" is measured from itself', "take it out"),
        (third("from: { 1: 30, 2: -40 }"), "-40 is not more than nought", ""),
        (third("from: { 1: 30, 2: 0 mm }"), "is not more than nought", ""),
        (third("from: { 1: 30, 2: '40' }"), "has no unit", "18 mm"),
        (third("from: { 1: 30, 2: 40 lbs }"), "is no unit here", "mm"),
        (third("from: { 1: 30, 2: 40 m }"), "more than 10 m", ""),
        (third("from: 30"), "several values belong here, each with its name", ""),
        (third("from: [1, 30]"), "several values belong here, each with its name", ""),
        (third("from: { 1: 30, 2: 40 }, hand: up"), '"up" is not one of: left, right', ""),
        (third("at: [18, 24], from: { 1: 30, 2: 40 }"), "both `at` and `from`", "keep one"),
        (third("at: [18, 24], hand: left"), "`hand` goes with `from` only", "take it out"),
        (third("into: clip nut"), "lacks the key `at`", "or from: {"),
        ([ROW[0], ROW[0], "{ from: { 1: 30, 2: 30 }, fastener: A }"], "holes 1 and 2 lie on one spot", "apart"),
        (
            [*ROW, "{ at: [50, 50], fastener: A }", "{ from: { 1: 90, 2: 20, 3: 30 }, fastener: A }"],
            "cannot meet: at the place that fits best the one from hole",
            "measure again",
        ),
        (
            [*ROW, "{ at: [50, 50], fastener: A }", "{ from: { 1: 30, 2: 40, 3: 41.2 }, hand: right, fastener: A }"],
            "lies at [18, 24], not right of the way from hole 1 to hole 2",
            "take `hand` out",
        ),
        (
            ["{ id: a, from: { b: 9, c: 9 }, fastener: A }", "{ id: b, from: { c: 9, a: 9 }, fastener: A }",
             "{ id: c, at: [9, 9], fastener: A }"],
            "in a circle: a -> b -> a",
            "with `at`",
        ),
        (
            ["{ id: a, at: [0, 0], fastener: A }", "{ id: x, from: { a: 9, z: 9 }, fastener: A }",
             "{ id: y, from: { x: 9, a: 9 }, fastener: A }", "{ id: z, from: { y: 9, a: 9 }, fastener: A }"],
            "in a circle: x -> z -> y -> x",
            "with `at`",
        ),
    ],
)  # fmt: skip
def test_what_cannot_be(problems, holes, said, hint):
    """One complaint, where the mistake stands, and what to do."""
    found = problems(holes)
    assert len(found) == 1, [one.message for one in found]
    assert said in found[0].message
    assert hint in found[0].hint
    assert "at: [0, 0], fastener: A }" not in found[0].where.source


def test_one_mistake_does_not_hide_the_others(problems):
    """A hole that waits for one with a mistake has none of its own; another panel's are still said."""
    holes = [*ROW, "{ from: { 1: 30, 9: 40 }, fastener: A }", "{ from: { 3: 30, 2: 40 }, fastener: A }"]
    more = "  twin: { mirrors: lid, without_holes: [4] }\n  tail: { name: Tail, side: under, holes: [] }\n"
    found = problems(holes, more=more)
    assert [one.message.split(":")[0] for one in found] == ['there is no hole "9"', "`side`"]


def test_an_outline_with_a_mistake_is_one_mistake(problems):
    """Which of the two lies inside it is not asked."""
    outline = "outline: [[0, 0], [200, 120], [200, 0], [0, 120]]"
    (found,) = problems([*ROW, "{ from: { 1: 30, 2: 40 }, fastener: A }"], outline=outline)
    assert "crosses itself" in found.message


@pytest.mark.slow
def test_a_thousand_holes_in_one_chain_are_read_at_once(tmp_path):
    """Each from the two before it, written backwards; more than Python lets functions call each other."""
    holes = [
        f"{{ id: h{n}, from: {{ h{n - 1}: 10, h{n - 2}: 10 }}, hand: left, fastener: A }}" for n in range(1100, 1, -1)
    ]
    ends = ["{ id: h0, at: [0, 0], fastener: A }", "{ id: h1, at: [10, 0], fastener: A }"]
    path = tmp_path / "bike.yaml"
    path.write_text(bike_text(panel_of([*holes, *ends], outline="")), encoding="utf-8")
    bike, _ = read_bike(path)
    assert len(bike.panel("lid").holes) == 1101
