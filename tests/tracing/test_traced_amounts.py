"""Drawings with things without end: answered at once, in few lines."""

from __future__ import annotations

import time

import pytest

from boardmaker.command_line import run
from boardmaker.tracing.matching import drawn_twice

BIKE = """\
format: 1
bike: { name: Wren 300 }
fasteners: { A: { kind: screw, thread: M6, length: 20 } }
panels: {}
"""
HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="200mm" viewBox="0 0 300 200">'
PANEL = '<path d="M0 0H260V160H0z"/>'


@pytest.fixture
def trace(tmp_path, capsys):
    """Trace a text into a new panel; returns the exit code and the lines that are said."""

    def traced(name, text, *more):
        (tmp_path / "b.yaml").write_text(BIKE, encoding="utf-8")
        (tmp_path / name).write_text(text, encoding="utf-8")
        out = str(tmp_path / "out")
        code = run(["trace", str(tmp_path / "b.yaml"), "lid-left", str(tmp_path / name), *more, "--out", out])
        said = capsys.readouterr()
        return code, (said.out + said.err).splitlines()

    return traced


def test_holes_without_end_are_refused(trace):
    """A panel has 30; the picture of thousands takes minutes."""
    code, lines = trace("t.csv", "x,y\n" + "".join(f"{n},{11 * n}\n" for n in range(400)), "--fastener", "A")
    assert code == 1
    assert lines[0] == "error: t.csv: `lid-left` would get 400 holes; at most 200 are taken for one panel"


@pytest.mark.slow
def test_a_line_of_teeth_without_end_is_refused(trace):
    """A saw of 6 000 teeth, which no thinning makes less: refused before anything is laid on the bike's outline."""
    teeth = " ".join(f"L{n * 0.04:.2f},{10 + 3 * (n % 2)}" for n in range(6000))
    code, lines = trace("t.svg", f'{HEAD}<path id="lid-left" d="M0,150 {teeth} L260,150 Z"/></svg>')
    assert code == 1
    assert "points are left of it, and a panel has 5000" in lines[0]
    assert lines[1] == "  hint: simplify the path in your drawing program"


def test_the_picture_of_as_many_holes_as_are_taken_is_drawn_at_once(trace):
    """They stand so close that there is no place for their labels."""
    start = time.process_time()
    code, _ = trace(
        "t.csv", "x,y\n" + "".join(f"{n % 17 * 11},{n // 17 * 11}\n" for n in range(200)), "--fastener", "A"
    )
    assert code == 0
    assert time.process_time() - start < 10.0


def test_what_is_left_out_is_told_in_few_lines(trace):
    """Nine thousand pictures are no nine thousand lines."""
    code, lines = trace("t.svg", HEAD + PANEL + '<image width="5" height="5"/>' * 300 + "</svg>")
    assert code == 0
    assert len(lines) < 60
    assert "ignored: 260 more, of such kinds or others" in lines


def test_complaints_without_end_are_cut_off(trace):
    """Each circle has another unknown name."""
    circles = "".join(f'<circle id="Q{n}" cx="{9 + n % 9 * 9}" cy="{9 + n // 9 * 5}" r="1"/>' for n in range(150))
    code, lines = trace("t.svg", HEAD + PANEL + circles + "</svg>")
    assert code == 1
    assert len(lines) < 130
    assert "error: and there may be more; mend these first" in lines


def test_a_hole_drawn_many_times_is_each_time_that_one():
    """Not every pair of them is told, of which there are half a million."""
    assert drawn_twice([(0.0, 0.0)] * 1000) == tuple((0, n) for n in range(1, 1000))
    assert drawn_twice([(0.0, 0.0), (9.0, 0.0), (9.2, 0.0)]) == ((1, 2),)
