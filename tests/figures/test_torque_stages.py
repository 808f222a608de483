"""Torque cards: the second unit of a stage stands under that stage, and no line ends with a dot between remarks."""

from __future__ import annotations

import itertools

import pytest

from boardmaker.figures import draw_figures
from boardmaker.model import BoardSetup
from boardmaker.service import plan_work


def cards(work):
    figures = (figure for forms in draw_figures(work, 1 / 3.9, BoardSetup()) for figure in forms)
    return [figure for figure in figures if figure.kind == "torque card"]


@pytest.mark.slow
def test_a_second_unit_stands_under_its_own_stage(demo_bike):
    """Never two stages one after the other and their second units after both."""
    found = [label.lines for card in cards(plan_work(demo_bike("fjellvik-820-tourer"))) for label in card.labels]
    staged = [lines for lines in found if sum(words.bold and "N·m" in words.text for words in lines) > 1]
    assert staged
    for lines in staged:
        for one, other in itertools.pairwise(lines):
            if one.bold and "N·m" in one.text:
                assert "lbf" in other.text
                assert not other.bold


@pytest.mark.slow
@pytest.mark.parametrize("stem", ["fjellvik-820-tourer", "kestmark-590-naked", "murmelo-140-scooter"])
def test_no_line_ends_with_a_dot(demo_bike, stem):
    """A line that is `engine ·` alone asks what is missing."""
    lines = [words.text for card in cards(plan_work(demo_bike(stem))) for label in card.labels for words in label.lines]
    assert lines
    assert not [line for line in lines if line.endswith("·")]
