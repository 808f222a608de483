"""What a board that reads like the bike asks of its figures."""

from __future__ import annotations

from itertools import pairwise

from bikes import bike_text

from boardmaker.boards.relations import relations_of
from boardmaker.service import plan_work

PANELS = """
  seat: { name: Seat, side: centre, view: top, on_bike: [500, 900], holes: [ { at: [0, 0], fastener: A } ] }
  low-left: { name: Low left, side: left, on_bike: [600, 300], outline: [[0, 0], [200, 0], [200, 100], [0, 100]],
              holes: [ { at: [20, 20], fastener: A } ], after: [seat] }
  low-right: { mirrors: low-left, side: right }
  loose: { name: Loose, side: left, holes: [ { at: [0, 0], fastener: A } ] }
"""


def test_sides_heights_twins_and_order(bike_from):
    """Left of centre of right, low below high, mirror images as twins, one removal near the next."""
    work = plan_work(bike_from(bike_text(PANELS)))
    items = {key: key for key in ("seat", "low-left", "low-right", "loose")}
    relations = relations_of(work, items)
    left, right = ("low-left", "loose"), "low-right"
    assert set(relations.left_of) == {
        *((one, "seat") for one in left),
        *((one, right) for one in left),
        ("seat", right),
    }
    assert set(relations.below) == {("low-left", "seat"), ("low-right", "seat")}
    assert relations.twins == (("low-left", "low-right"),)
    order = [step.carrier.key for step in work.steps]
    assert relations.near == tuple(pairwise(order))


def test_panels_without_a_figure_are_left_out(bike_from):
    """A panel without holes is on no board."""
    work = plan_work(bike_from(bike_text(PANELS)))
    relations = relations_of(work, {"seat": "3", "low-left": "1"})
    assert relations.left_of == (("1", "3"),)
    assert relations.twins == ()
