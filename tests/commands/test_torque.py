"""`torque`: the second unit, angles in words, a wrench with an adapter."""

from __future__ import annotations

import pytest
from bikes import bike_text
from pypdf import PdfReader

from boardmaker.command_line import run

PANEL = "  p: { name: Cover, side: left, holes: [ { at: [0, 0], fastener: A } ] }"
ROWS = """torques:
  plug: { what: Sump plug, torque: 24 to 28 N·m, thread: M14x1.5, jobs: [oil, air] }
  head: { what: Cylinder head, torque: [20 N·m, 40 N·m, 90 deg], jobs: [oil] }
"""


@pytest.fixture
def strip(tmp_path):
    """Return a function that makes the strip and returns the words of all of its pages."""
    path = tmp_path / "bike.yaml"
    path.write_text(bike_text(PANEL, "  oil: { name: Oil }\n  air: { name: Air }", ROWS), encoding="utf-8")

    def make(*options):
        out = tmp_path / "out"
        code = run(["torque", str(path), "--out", str(out), *options])
        if not (out / "torque.pdf").exists():
            return code, ""
        words = " ".join(page.extract_text() for page in PdfReader(out / "torque.pdf").pages)
        return code, " ".join(words.split())

    return make


def test_the_strip_says_newton_metres_first_then_pound_force_and_the_turn(strip):
    """As the manual, then as the wrench may have it, then as the eye sees it."""
    _, words = strip()
    assert "24–28 N·m" in words
    assert "17.7–20.7 lbf·ft" in words
    assert "then turn 90°" in words
    assert "a quarter turn" in words
    assert "set " not in words.replace("Offset", "")


def test_another_second_unit(strip):
    """For an older wrench; or none."""
    assert "2.45–2.86 kgf·m" in strip("--units", "kgf.m")[1]
    words = strip("--units", "none")[1]
    assert "lbf" not in words
    assert "kgf" not in words


def test_a_torque_in_another_unit_is_printed_as_written_first(strip, tmp_path):
    """1.2 kgf·m are 11.768 N·m (1 kgf = 9.80665 N exactly) and 8.68 lbf·ft, which the strip leaves out."""
    rows = "torques:\n  plug: { what: Sump plug, torque: 1,2 m·kg, jobs: [oil] }\n"
    (tmp_path / "bike.yaml").write_text(bike_text(PANEL, "  oil: { name: Oil }", rows), encoding="utf-8")
    code, words = strip()
    assert code == 0
    assert "Sump plug 1.2 kgf·m 11.77 N·m" in words
    assert "lbf" not in words


def test_an_adapter_adds_what_to_set_and_says_how_to_measure(strip, capsys):
    """20 of 25 parts: 12 in and 3 in (azmanual.top 699226); on paper and on the screen, each row once there."""
    code, words = strip("--wrench", "12 in", "--adapter", "3 in")
    assert code == 0
    assert "set 19.2–22.4 N·m" in words
    assert "set 14.2–16.5 lbf·ft" in words
    assert words.count("a wrench of 304.8 mm with an adapter of 76.2 mm straight on") == 2  # a card is cut out alone
    assert "to the middle of the grip" in words
    said = capsys.readouterr().out
    assert said.count("Sump plug      24–28 N·m") == 1
    assert "20 N·m, then 40 N·m, then turn 90°  set 16 N·m, then 32 N·m" in said
    assert "nothing changes" in said


def test_square_to_the_wrench_nothing_changes(strip):
    """What is set is the torque."""
    assert "set 24–28 N·m" in strip("--wrench", "300", "--adapter", "40", "--adapter-angle", "90")[1]


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--wrench", "300"], "go together"),
        (["--adapter", "40 mm"], "go together"),
        (["--adapter-angle", "90"], "go together"),
        (["--wrench", "-300", "--adapter", "40"], "--wrench"),
        (["--wrench", "1e309", "--adapter", "40"], "not a number"),
        (["--wrench", "300", "--adapter", "40 Nm"], "--adapter"),
        (["--wrench", "300", "--adapter", "300", "--adapter-angle", "180"], "beyond the grip"),
        (["--wrench", "300", "--adapter", "290", "--adapter-angle", "180"], "too long for this wrench"),
        (["--wrench", "30", "--adapter", "300"], "too long for this wrench"),
        (["--wrench", "300", "--adapter", "40", "--adapter-angle", "270"], "--adapter-angle"),
        (["--wrench", "300", "--adapter", "40", "--adapter-angle", "nan"], "--adapter-angle: this is not a number"),
        (["--units", "furlong"], "--units"),
        (["--wrench", "1,500", "--adapter", "40"], '--wrench: "1,500" could be 1500 or 1.500'),
        (["--units", ""], "--units"),
    ],
)
def test_what_cannot_be_is_refused(strip, options, said, capsys):
    """Exit 2, nothing written."""
    assert strip(*options) == (2, "")
    captured = capsys.readouterr()
    assert said in captured.err
    assert "internal fault" not in captured.err
