"""Torques and sizes in two units on the figures of a board: at a pocket, in the screw key, on a torque card."""

from __future__ import annotations

import pytest
from bikes import bike_text

from boardmaker.figures import draw_figures
from boardmaker.model import BoardSetup
from boardmaker.service import plan_work

LID = """  lid:
    name: Lid
    side: left
    holes: [ { at: [0, 0], fastener: A, behind: fuel tank, room: 12, stack: 10.5, depth: 10 } ]"""
ROWS = "torques: { plug: { what: Sump plug, torque: TORQUE, jobs: [oil] } }\n"


@pytest.fixture
def words(bike_from):
    def of(torque):
        text = bike_text(LID, "  oil: { name: Oil, remove: [lid] }", ROWS.replace("TORQUE", torque))
        work = plan_work(bike_from(text.replace("torque: 5 N·m", f"torque: {torque}")), ["oil"])
        figures = [alternatives[0] for alternatives in draw_figures(work, 0.5, BoardSetup())]
        return {figure.kind: [[line.text for line in one.lines] for one in figure.labels] for figure in figures}

    return of


def test_what_was_written_stands_above_newton_metres(words):
    """A torque that an M6 bears: 5 lbf·ft are 6.78 N·m (NIST SP 811: 1 lbf·ft = 1.355 818 N·m)."""
    said = words("5 ft-lb")
    assert ["1 A", "FUEL TANK", "5 lbf·ft", "6.78 N·m"] in said["panel"]
    assert ["5 lbf·ft", "6.78 N·m"] in said["torque card"]
    assert ["× 1", "5 lbf·ft", "(6.78", "N·m)", "punch 5.1 mm"] in said["screw key"], said["screw key"][-1]


def test_newton_metres_stand_alone_at_a_pocket(words):
    """As ever; the card has the second unit: 7 N·m are 61.96 lbf·in."""
    said = words("7 N·m")
    assert ["1 A", "FUEL TANK", "7 N·m"] in said["panel"]
    assert ["7 N·m", "62 lbf·in"] in said["torque card"]
