"""Torques in the words that are printed."""

from __future__ import annotations

import pytest

from boardmaker.model import Torque, TorqueRow, TorqueStage
from boardmaker.service.torque.adapter import Adapter
from boardmaker.units import read_torque_unit
from boardmaker.wording.torque_rows import is_for_safety, marked_name, row_details, safety_caution, stage_notes
from boardmaker.wording.torques import (
    TorqueStyle,
    is_in_nm,
    torque_line,
    torque_lines,
    torque_nm_lines,
    torque_nm_text,
    torque_second_lines,
    torque_second_text,
    torque_set_lines,
    torque_written_lines,
)

HEAD = Torque((TorqueStage(20.0, 20.0), TorqueStage(38.0, 42.0), TorqueStage(angle_deg=90.0)))
SMALL = Torque((TorqueStage(5.0, 6.0),))


@pytest.mark.parametrize(
    ("torque", "style", "lines"),
    [
        (HEAD, TorqueStyle(), ("14.8 lbf·ft", "28–31 lbf·ft")),
        (HEAD, TorqueStyle(in_words=True), ("14.8 lbf·ft", "28–31 lbf·ft", "a quarter turn")),
        (HEAD, TorqueStyle("none", in_words=True), ("a quarter turn",)),
        (SMALL, TorqueStyle(), ("44.3–53.1 lbf·in",)),
        (SMALL, TorqueStyle("lbf·ft"), ("3.69–4.43 lbf·ft",)),
        (SMALL, TorqueStyle("kgf·m"), ("0.51–0.612 kgf·m",)),
        (SMALL, TorqueStyle("kgf·cm"), ("51–61.2 kgf·cm",)),
        (SMALL, TorqueStyle("none"), ()),
    ],
)
def test_the_second_unit(torque, style, lines):
    """1 lbf·ft = 1.3558179483314004 N·m, 1 lbf·in = 0.1129848290276167 N·m (pint, scipy.constants; SP 811), 1 kgf·m =
    9.80665 N·m, exact: 5 N·m are 3.6878 lbf·ft, 44.254 lbf·in, 0.50986 kgf·m."""
    assert torque_second_lines(torque, style) == lines


@pytest.mark.parametrize(
    ("angle", "words"),
    [(30.0, "a twelfth of a turn"), (45.0, "an eighth of a turn"), (180.0, "half a turn"), (75.0, None)],
)
def test_an_angle_in_a_mechanic_s_words(angle, words):
    """Where there are such words."""
    torque = Torque((TorqueStage(20.0, 20.0), TorqueStage(angle_deg=angle)))
    assert torque_second_lines(torque, TorqueStyle("none", in_words=True)) == ((words,) if words else ())
    assert torque_nm_lines(torque)[1] == f"then turn {angle:g}°"


# 44 lbf·in = 4.9713 N·m, 15 lbf·ft = 20.337 N·m (NIST SP 811: 1 lbf·in = 0.112 984 8 N·m, 1 lbf·ft = 1.355 818 N·m)
IN_POUNDS = Torque((TorqueStage(4.97133248, 4.97133248, written="44 lbf·in"),))
IN_STAGES = Torque((TorqueStage(20.33726922, 20.33726922, written="15 lbf·ft"), TorqueStage(angle_deg=90.0)))


def test_what_was_written_comes_first_and_newton_metres_behind_it():
    """Where a torque is written in N·m, that is all."""
    assert torque_line(IN_POUNDS) == "44 lbf·in (4.97 N·m)"
    assert torque_lines(IN_STAGES) == ("15 lbf·ft (20.34 N·m)", "then turn 90°")
    assert torque_lines(HEAD) == torque_written_lines(HEAD) == torque_nm_lines(HEAD)
    assert torque_written_lines(IN_STAGES) == ("15 lbf·ft", "then turn 90°")
    assert torque_nm_text(IN_STAGES) == "20.34 N·m, then turn 90°"
    assert (is_in_nm(HEAD), is_in_nm(IN_STAGES)) == (True, False)


@pytest.mark.parametrize(
    ("style", "line"),
    [
        (TorqueStyle(), "4.97 N·m"),
        (TorqueStyle("none"), "4.97 N·m"),
        (TorqueStyle("lbf·in"), "4.97 N·m"),
        (TorqueStyle("kgf·cm"), "4.97 N·m, 50.7 kgf·cm"),
    ],
)
def test_newton_metres_are_the_second_unit_of_another(style, line):
    """And the chosen unit stands behind them, but for the one that was written: 4.9713 / 0.0980665 = 50.69."""
    assert torque_second_lines(IN_POUNDS, style) == (line,)
    assert torque_second_text(IN_POUNDS, style) == line.removeprefix("4.97 N·m").removeprefix(", ")


def test_what_to_set_is_said_for_each_stage_but_the_angle():
    """A wrench of 12 in with 3 in on it: four fifths (azmanual.top 699226: 16 for 20)."""
    adapter = Adapter(304.8, 76.2)
    assert torque_set_lines(HEAD, adapter) == ("set 16 N·m", "then 30.4–33.6 N·m")
    assert torque_set_lines(HEAD, adapter, "") == ("set 11.8 lbf·ft", "then 22.4–24.8 lbf·ft")
    assert torque_set_lines(SMALL, adapter, "") == ("set 35.4–42.5 lbf·in",)
    in_kilograms = Torque((TorqueStage(11.76798, 11.76798, written="1.2 kgf·m"),))
    assert torque_set_lines(in_kilograms, adapter, "") == ("set 0.96 kgf·m",)


@pytest.mark.parametrize(
    ("text", "unit"),
    [("ft-lb", "lbf·ft"), ("lbf.ft", "lbf·ft"), ("IN LB", "lbf·in"), ("kgf m", "kgf·m"), ("Nm", "N·m")],
)
def test_a_unit_is_read_however_it_is_written(text, unit):
    """And comes back as it is printed."""
    assert read_torque_unit(text) == unit


@pytest.mark.parametrize("text", ["", "furlong", "mm", "☃", "lbf·ft·m"])
def test_another_word_is_no_unit_of_torque(text):
    """The message lists them."""
    with pytest.raises(ValueError, match="is no unit here"):
        read_torque_unit(text)


@pytest.mark.parametrize(
    ("count", "renew", "said"),
    [(4, "yes", "renew all 4"), (1, "yes", "renew"), (4, "gasket", "renew gasket"), (4, "if worn", "renew if worn")],
)
def test_of_several_screws_it_is_they_that_are_new(count, renew, said):
    """`renew` alone, behind a brake caliper and its four bolts, would read as a new caliper."""
    row = TorqueRow("caliper", "Brake caliper", SMALL, count=count, renew=renew)
    assert [*row_details(row)][-1] == said


@pytest.mark.parametrize(
    ("torque", "count", "said"),
    [
        (HEAD, 6, ["each stage on all 6, crosswise, before the next", "mark the heads before the turn"]),
        (HEAD, 1, ["each stage on all of them, crosswise, before the next", "mark the head before the turn"]),
        (SMALL, 6, []),
    ],
)
def test_stages_of_several_screws_go_round_by_round(torque, count, said):
    """Common practice, no source: who takes one bolt through all stages warps the head."""
    row = TorqueRow("head", "Cylinder head", torque, count=count, order="crosswise")
    assert [*stage_notes(row)] == said
    one_go = len(torque.stages) == 1
    assert [*row_details(row)] == ["6 of them"] * (count > 1) + ["crosswise"] * one_go  # of stages the note says it
    assert torque_nm_lines(HEAD) == ("20 N·m", "then 38–42 N·m", "then turn 90°")


def staged(*values):
    return Torque(tuple(TorqueStage(*value) if isinstance(value, tuple) else value for value in values))


@pytest.mark.parametrize(
    ("torque", "said"),
    [
        (staged((40.0, 40.0), (25.0, 25.0)), "40 N·m, slacken, 25 N·m"),
        (staged((40.0, 45.0), (40.0, 44.0)), "40–45 N·m, then 40–44 N·m"),
        (staged((40.0, 45.0), (35.0, 42.0)), "40–45 N·m, then 35–42 N·m"),
        (staged((40.0, 45.0), (30.0, 39.9)), "40–45 N·m, slacken, 30–39.9 N·m"),
        (staged((40.0, 40.0), (40.0, 40.0)), "40 N·m, then 40 N·m"),
        (staged((50.0, 50.0), (15.0, 15.0), (30.0, 30.0)), "50 N·m, slacken, 15 N·m, then 30 N·m"),
        (
            staged((50.0, 50.0), TorqueStage(angle_deg=90.0), (20.0, 20.0)),
            "50 N·m, then turn 90°, slacken, 20 N·m",
        ),
        (staged((20.0, 20.0), TorqueStage(angle_deg=90.0)), "20 N·m, then turn 90°"),
    ],
)
def test_a_lower_stage_is_reached_from_slack(torque, said):
    """A wrench set lower clicks at once and does nothing: whoever reads "then" thinks that he has tightened it."""
    assert torque_nm_text(torque) == said


def test_slack_is_said_in_every_unit_and_on_the_wrench():
    """40 N·m are 29.5 lbf·ft, 25 N·m are 18.4 (scipy.constants)."""
    torque = staged((40.0, 40.0), (25.0, 25.0))
    assert torque_second_lines(torque, TorqueStyle()) == ("29.5 lbf·ft", "18.4 lbf·ft")  # under its stage
    assert torque_second_text(torque, TorqueStyle()) == "29.5 lbf·ft, slacken, 18.4 lbf·ft"
    assert torque_second_text(HEAD, TorqueStyle(in_words=True)) == "14.8 lbf·ft, then 28–31 lbf·ft, then a quarter turn"
    assert torque_second_text(HEAD, TorqueStyle("none", in_words=True)) == "a quarter turn"
    assert torque_set_lines(torque, Adapter(300.0, 100.0)) == ("set 30 N·m", "slacken, 18.8 N·m")


def test_slack_is_said_of_what_was_written_too():
    """30 lbf·ft = 40.675 N·m, 18 lbf·ft = 24.405 N·m (NIST SP 811); 24.405 / 9.80665 = 2.4886 kgf·m."""
    torque = staged((40.67454, 40.67454, None, "30 lbf·ft"), (24.40472, 24.40472, None, "18 lbf·ft"))
    assert torque_lines(torque) == ("30 lbf·ft (40.67 N·m)", "slacken, 18 lbf·ft (24.4 N·m)")
    assert torque_line(torque) == "30 lbf·ft (40.67 N·m), slacken, 18 lbf·ft (24.4 N·m)"
    assert torque_written_lines(torque) == ("30 lbf·ft", "slacken, 18 lbf·ft")
    assert torque_second_lines(torque, TorqueStyle()) == ("40.67 N·m", "24.4 N·m")
    assert torque_second_text(torque, TorqueStyle()) == ""
    assert torque_second_text(torque, TorqueStyle("kgf·m")) == "4.15 kgf·m, slacken, 2.49 kgf·m"
    assert torque_set_lines(torque, Adapter(300.0, 100.0), "") == ("set 22.5 lbf·ft", "slacken, 13.5 lbf·ft")


@pytest.mark.parametrize(
    "what",
    [
        "Front axle", "Axle pinch bolts", "Front brake caliper", "Calliper pin", "Brake discs", "Disk bolts",
        "Handlebar clamps", "Handle bar end", "Bar clamps", "Fork bridge", "Top yoke", "Triple clamp", "Swingarm pivot",
        "Swing arm bolt", "Side stand pivot", "Centre stand", "Steering stem nut", "Wheel bearing cap", "Shock, upper",
    ],
)  # fmt: skip
def test_what_brakes_and_steering_hang_on(what):
    """Common practice, no source."""
    row = TorqueRow("row", what, SMALL)
    assert is_for_safety(row)
    assert is_for_safety(TorqueRow("row", "Pinch bolts", SMALL, where_on_bike=what.lower()))
    assert marked_name(row, what) == f"⚠ {what}"
    assert safety_caution([TorqueRow("plug", "Sump plug", SMALL), row]).startswith("⚠ Brakes and steering: if in doubt")


@pytest.mark.parametrize(
    "what",
    [
        "Sump plug",
        "Flywheel",
        "Clutch discs",
        "Shift fork shaft",
        "Crash bars",
        "Standard plug",
        "Barrel",
        "Valve cover",
    ],
)
def test_what_they_do_not_hang_on(what):
    """Words that only look like it."""
    row = TorqueRow("row", what, SMALL)
    assert not is_for_safety(row)
    assert marked_name(row, what) == what
    assert safety_caution([row]) == ""
