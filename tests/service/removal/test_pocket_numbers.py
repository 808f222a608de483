"""Hole 1 of the file may be pocket 3 of the board: messages say both."""

from __future__ import annotations

from dataclasses import replace

import pytest
from bikes import bike_text
from conftest import DEMOS

from boardmaker.problems import warning
from boardmaker.service import holes_on_board, pocket_numbers, with_pockets

UPSIDE_DOWN = """
  lid:
    name: Lid
    tag: L
    side: left
    holes: [ { at: [0, 90], fastener: A }, { at: [0, 50], fastener: C }, { at: [0, 10], fastener: B, id: low } ]
"""


@pytest.mark.slow
@pytest.mark.parametrize("stem", DEMOS)
def test_numbers_are_those_of_the_board(demo_bike, stem):
    """As `screw` and the boards have them."""
    bike = demo_bike(stem)
    assert pocket_numbers(bike) == {one.key: one.number for one in holes_on_board(bike) if one.number}


def test_they_do_not_depend_on_a_fastener_that_could_not_be_read(bike_from):
    """A file with a mistake has the pockets that it will have."""
    bike = bike_from(bike_text(UPSIDE_DOWN))
    less = replace(bike, fasteners=bike.fasteners[1:])
    assert pocket_numbers(less) == pocket_numbers(bike) == {"lid/1": 3, "lid/2": 2, "lid/low": 1}


def test_panels_that_wait_for_each_other_have_no_numbers(bike_from):
    """A circle that came about after reading."""
    bike = bike_from(bike_text(UPSIDE_DOWN + "  tail: { name: Tail, side: left, after: [lid], holes: [] }\n"))
    lid, tail = bike.panels
    assert pocket_numbers(replace(bike, panels=(replace(lid, after=("tail",)), tail))) == {}


@pytest.mark.parametrize(
    ("said", "now"),
    [
        ("lid/1 lies 9 mm outside", "lid/1 (pocket L 3) lies 9 mm outside"),
        ("lid/2 lies 9 mm outside", "lid/2 lies 9 mm outside"),
        ("lid/1 and lid/low: no", "lid/1 (pocket L 3) and lid/low (pocket L 1): no"),
        ("see lid/11, other-lid/1 and lid/1-b", "see lid/11, other-lid/1 and lid/1-b"),
        ('"lid/1" is a word', '"lid/1 (pocket L 3)" is a word'),
    ],
)
def test_a_message_says_both_names_where_they_differ(bike_from, said, now):
    """And never of another hole whose name begins or ends alike."""
    (problem,) = with_pockets([warning(said, None, "a hint")], bike_from(bike_text(UPSIDE_DOWN)))
    assert problem == warning(now, None, "a hint")
