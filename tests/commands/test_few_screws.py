"""A board for a few screws: most of it is empty, and the program says which size would do."""

from __future__ import annotations

import re

import pytest
from bikes import bike_text

from boardmaker.command_line import run

pytestmark = pytest.mark.slow
FEW = """  lid:
    name: Lid
    side: left
    outline: [[0, 0], [200, 0], [200, 120], [0, 120]]
    holes: [ { at: [10, 10], fastener: A }, { at: [190, 10], fastener: A } ]
"""


@pytest.fixture
def said(tmp_path, capsys):
    path = tmp_path / "bike.yaml"
    path.write_text(bike_text(FEW), encoding="utf-8")

    def make(*more):
        words = ["board", str(path), "--effort", "quick", "--print", "whole", "--out", str(tmp_path / "out"), *more]
        assert run(words) == 0
        return capsys.readouterr().out

    return make


@pytest.mark.parametrize(("words", "unit"), [((), "mm"), (("--board", "20 x 30 in"), "in")])
def test_a_smaller_board_is_named_and_does(said, words, unit):
    """As it can be typed, in the unit of the board; on it the scale is the same, and nothing more is said."""
    whole = said(*words)
    found = re.search(rf"of the board is empty: --board '([\d.]+ {unit} x [\d.]+ {unit})' would be about enough", whole)
    assert found is not None
    smaller = said("--board", found[1])
    assert re.findall(r"board at 1:[\d.]+", smaller) == re.findall(r"board at 1:[\d.]+", whole) == ["board at 1:1"]
    assert "is empty" not in smaller
