"""What a board that reads like the bike asks of its figures."""

from __future__ import annotations

import pytest
from bikes import bike_text

from boardmaker.boards.homes import middle_on_bike
from boardmaker.boards.relations import relations_of
from boardmaker.service import plan_work

PANELS = """
  seat: { name: Seat, side: centre, view: top, on_bike: [500, 900], holes: [ { at: [0, 0], fastener: A } ] }
  low-left: { name: Low left, side: left, on_bike: [600, 300], outline: [[0, 0], [200, 0], [200, 100], [0, 100]],
              holes: [ { at: [20, 20], fastener: A } ], after: [seat] }
  low-right: { mirrors: low-left, side: right }
  loose: { name: Loose, side: left, holes: [ { at: [0, 0], fastener: A } ] }
"""


def test_halves_heights_ends_and_twins(bike_from):
    """Low below high, mirror images as twins, each in the half of its side, all upright."""
    work = plan_work(bike_from(bike_text(PANELS)))
    items = {key: key for key in ("seat", "low-left", "low-right", "loose")}
    relations = relations_of(work, items)
    assert dict(relations.halves) == {"seat": "middle", "low-left": "left", "low-right": "right", "loose": "left"}
    assert set(relations.below) == {("low-left", "seat"), ("low-right", "seat")}
    assert relations.twins == (("low-left", "low-right"),)
    assert relations.left_of == ()  # one of each side, and one of which nobody knows where it is
    assert set(relations.upright) == set(items)


def side_of(side, *places):
    """Panels of one side, 100 x 100 mm, at places on the bike."""
    return "\n".join(
        f"  {side}-{n}: {{ name: P{n}, side: {side}, on_bike: [{x}, {y}], "
        "outline: [[0, 0], [100, 0], [100, 100], [0, 100]], holes: [ { at: [20, 20], fastener: A } ] }"
        for n, (x, y) in enumerate(places)
    )


@pytest.mark.parametrize(
    ("side", "pairs"),
    [
        ("left", {("1", "0"), ("2", "0"), ("1", "2")}),
        ("right", {("0", "1"), ("0", "2"), ("2", "1")}),
        ("centre", set()),
    ],
)
def test_the_front_is_to_the_left_on_the_left_side(bike_from, side, pairs):
    """0 is rearmost, 2 is 160 mm ahead of it, 1 is 320 mm ahead; 150 mm and less may lie either way."""
    work = plan_work(bike_from(bike_text(side_of(side, (0, 0), (320, 0), (160, 70)))))
    found = relations_of(work, {f"{side}-{n}": str(n) for n in range(3)})
    assert set(found.left_of) == pairs
    assert found.below == ()  # 70 mm higher, and 80 are clear
    near = plan_work(bike_from(bike_text(side_of(side, (0, 0), (150, 81)))))
    found = relations_of(near, {f"{side}-{n}": str(n) for n in range(2)})
    assert found.left_of == ()
    assert found.below == (("0", "1"),)


def test_a_panel_is_taken_by_the_middle_of_its_outline(bike_from):
    """A left panel of 400 mm runs rearwards from its [0, 0]: its middle is 200 mm behind it."""
    text = """
  long: { name: L, side: left, on_bike: [400, 0], outline: [[0, 0], [400, 0], [400, 100], [0, 100]],
          holes: [ { at: [20, 20], fastener: A } ] }
  short: { name: S, side: left, on_bike: [300, 0], outline: [[0, 0], [20, 0], [20, 20], [0, 20]],
           holes: [ { at: [10, 10], fastener: A } ] }"""
    bike = bike_from(bike_text(text))
    assert [middle_on_bike(panel) for panel in bike.panels] == [(200.0, 50.0), (290.0, 10.0)]


def test_panels_without_a_figure_are_left_out(bike_from):
    """A panel without holes is on no board."""
    work = plan_work(bike_from(bike_text(PANELS)))
    relations = relations_of(work, {"seat": "3", "low-left": "1"})
    assert relations.below == (("1", "3"),)
    assert relations.twins == ()
