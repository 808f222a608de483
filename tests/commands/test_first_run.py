"""What a newcomer reads who runs the commands on the bundled demo, and the same commands on a bike file of theirs."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from bikes import EQUIPMENT, LID_AND_TAIL, LID_AND_TAIL_JOBS, bike_text

from boardmaker.command_line import run
from boardmaker.commands.common import DEMO, demo_folder

UNCHECKED = "this bike file is not checked"
INVENTED = "a demo: motorcycle and numbers are invented"


def test_the_first_board_comes_without_a_warning(made_demo, monkeypatch, tmp_path, capsys):
    """Nothing on the error stream; no “not checked”, which the title block has; seams as a count.

    The boards are those that other tests look at; the search for them is run by other commands' tests.
    """
    built = made_demo(Path(DEMO).stem).built
    monkeypatch.setattr("boardmaker.commands.board.build_boards", lambda work, *_: replace(built, work=work))
    assert run(["board", "--effort", "quick", "--arrange", "0", "--out", str(tmp_path / "out")]) == 0
    said, errors = capsys.readouterr()
    assert INVENTED in said
    assert not [word for word in (UNCHECKED, "with care", "(s)", "site-packages", str(demo_folder())) if word in said]
    assert "warning" not in errors
    assert "\n1 board at 1:" in said


@pytest.mark.slow
@pytest.mark.parametrize("command", ["plan", "tally", "torque"])
def test_no_command_on_the_demo_warns(tmp_path, capsys, command):
    """Nor shows where the package lies."""
    assert run([command, "--out", str(tmp_path / "out")]) == 0
    said, errors = capsys.readouterr()
    assert "warning" not in errors
    assert UNCHECKED not in said
    assert str(demo_folder()) not in said + errors


def test_a_file_of_ones_own_is_said_to_be_unchecked(tmp_path, capsys):
    """Also one that is named like the demo, and a copy of the demo that was changed."""
    for name, text in (
        ("mine.yaml", bike_text(LID_AND_TAIL, LID_AND_TAIL_JOBS, EQUIPMENT)),
        (DEMO, bike_text(LID_AND_TAIL, LID_AND_TAIL_JOBS, EQUIPMENT)),
    ):
        (tmp_path / name).write_text(text, encoding="utf-8")
        assert run(["plan", str(tmp_path / name), "--out", str(tmp_path / "out")]) == 0
        said = capsys.readouterr().out
        assert UNCHECKED in said
        assert INVENTED not in said
