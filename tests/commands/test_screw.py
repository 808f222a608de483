"""`screw` as the mechanic meets it: what it can be, where it goes, whether it does in one hole."""

from __future__ import annotations

from pathlib import Path

import pytest
from bikes import bike_text

from boardmaker.command_line import run

PANELS = """  seat: { name: Seat, side: centre, holes: [] }
  knee: { name: Left knee cover, side: left, tag: KL, after: [seat], on_bike: [600, 500], holes: [
    { at: [0, 0], fastener: A, into: clip nut, stack: 10.5, depth: 10 },
    { at: [200, 90], fastener: B, into: metal thread, stack: 3, depth: 14 },
    { at: [100, 150], fastener: C, into: threaded insert, stack: 3, depth: 9, room: 9.5, behind: fuel tank },
    { at: [100, 190], fastener: P, with: audio } ] }
  vent: { name: Vent, side: left, tag: V, rides_on: knee, on_bike: [500, 500],
          holes: [ { at: [0, 0], fastener: B } ] }"""


@pytest.fixture
def bike(tmp_path):
    path = tmp_path / "bike.yaml"
    jobs = "  oil: { name: Oil, remove: [knee] }\n  lamp: { name: Lamp, remove: [seat] }"
    text = bike_text(PANELS, jobs).replace("fasteners:", "equipment: { audio: Speakers }\nfasteners:", 1)
    path.write_text(text, encoding="utf-8")
    return str(path)


def test_it_says_what_it_can_be_and_where_it_belongs(bike, capsys):
    """Kind, what agrees, how many, the number on the board, the jobs, and one place that stays in."""
    assert run(["screw", bike, "--thread", "M6", "--length", "16", "--head", "13.4", "--shoulder", "none"]) == 0
    said = capsys.readouterr().out
    assert "It can be B:" in said
    assert "agrees in thread, length, shoulder, head; 2 of them" in " ".join(said.split())
    assert "KL  Left knee cover  2  (oil)" in said
    assert "vent/1 stays in" in said


def test_the_worst_danger_comes_first(bike, capsys):
    """A long M5 over the tank before anything else; holes with another thread are only counted."""
    assert run(["screw", bike, "--thread", "M5", "--length", "16 mm"]) == 0
    said = capsys.readouterr().out
    assert "It agrees with no fastener of this file. The nearest:\n  C  screw M5 × 12" in said
    assert "length is 16 mm, there 12 mm" in said
    listed = said[said.index("Must not go into") :].splitlines()
    assert listed[0].startswith("Must not go into KL 3 (fuel tank behind): the tip reaches 13 mm")
    assert "Does not go into 4 holes with another thread: 3 × M6, 1 × push clip" in said


INCHES = {  # 1 in = 25.4 mm by definition: 22.225, 12.7, 9.525, 14.2875 and 7.9375 mm
    "length: 21": "length: 7/8 in",
    "length: 11, diameter: 9 }": "length: 1/2 in, diameter: 3/8 in }",
    "shape: button, diameter: 14": "shape: button, diameter: 9/16 in",
    "hole: 8,": "hole: 5/16 in,",
}


def test_sizes_in_inches_are_said_as_they_were_written(bike, capsys):
    """With mm behind them, which a calliper shows."""
    text = Path(bike).read_text(encoding="utf-8")
    for metric, inches in INCHES.items():
        text = text.replace(metric, inches)
    Path(bike).write_text(text, encoding="utf-8")
    sizes = ["--length", "30", "--shoulder", "5", "--shoulder-diameter", "7", "--head", "20"]
    assert run(["screw", bike, "--thread", "M6", *sizes, "--hole", "knee/1"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    plain = "shoulder 1/2 in (12.7 mm) × ⌀3/8 in (9.53 mm)"
    assert f"takes A, shoulder screw M6 × 7/8 in (22.23 mm), {plain}, head ⌀9/16 in (14.29 mm)" in said
    assert "length is 30 mm, there 7/8 in (22.23 mm); shoulder is 5 mm, there 1/2 in (12.7 mm)" in said
    assert "shoulder diameter is 7 mm, there 3/8 in (9.53 mm); head is 20 mm, there 9/16 in (14.29 mm)" in said
    assert run(["screw", bike, "--thread", "none", "--kind", "push clip", "--clip-hole", "6", "--hole", "knee/4"]) == 0
    assert "hole of the clip is 6 mm, there 5/16 in (7.94 mm)" in " ".join(capsys.readouterr().out.split())


@pytest.mark.parametrize("hole", ["knee/3", "KNEE/3", "KL 3", "kl3"])
def test_one_hole_gets_a_verdict_and_a_reason(bike, hole, capsys):
    """One name: by the file's, or by what the board shows."""
    assert run(["screw", bike, "--thread", "M5", "--length", "0.63 in", "--hole", hole]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "KL 3 (knee/3), Left knee cover: takes C, screw M5 × 12" in said
    assert "must not: the tip reaches 13 mm past the joint and the fuel tank is at 9.5 mm" in said
    assert "It is not C, which belongs here: length is 16 mm, there 12 mm" in said
    assert "maker's manual comes first" in said


def test_quiet_says_only_what_is_wrong(bike, capsys):
    """Nothing where it fits; the verdict where it does not."""
    sizes = ["--thread", "M6", "--length", "16", "--shoulder", "none", "--head", "13.5", "--drive", "hex 4"]
    good = ["screw", bike, "--quiet", *sizes, "--hole"]
    assert run([*good, "knee/2"]) == 0
    assert capsys.readouterr() == ("", "")
    assert run([*good, "knee/1"]) == 0
    assert capsys.readouterr().out.startswith("must not: ")


def test_jobs_and_equipment_narrow_the_answer(bike, capsys):
    """Only what comes out in the job; what this bike does not carry is no place for a clip."""
    assert run(["screw", bike, "--thread", "none", "--job", "lamp"]) == 0
    assert "none of them comes out here" in " ".join(capsys.readouterr().out.split())
    assert run(["screw", bike, "--thread", "none", "--without", "audio"]) == 0
    assert "none of them comes out here" in " ".join(capsys.readouterr().out.split())
    assert run(["screw", bike, "--thread", "none", "--without", "audio", "--hole", "knee/4"]) == 1
    assert "not there with this equipment" in capsys.readouterr().err


def test_a_head_does_not_hide_what_the_tip_may_reach(bike, capsys):
    """Doubtful by its head, and 80 mm too long where nothing is known: both are said."""
    assert run(["screw", bike, "--thread", "M6", "--length", "101", "--hole", "knee/1"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "doubtful: nothing is known of the width of its head also, cannot say: it is 80 mm longer than" in said


@pytest.mark.parametrize(
    ("arguments", "code", "said"),
    [
        ([], 2, "measure what you can"),
        (["--tolerance", "ruler"], 2, "nothing was measured"),
        (["--length", "-20"], 2, "--length: -20 is no length"),
        (["--length", "0"], 2, "is no length"),
        (["--length", "1e309"], 2, "not a number that can be measured"),
        (["--length", "1e300"], 2, "more than 10 m"),
        (["--length", "nan"], 2, "not a number"),
        (["--length", "20 furlong"], 2, "no unit"),
        (["--length", "zwölf"], 2, "no quantity"),
        (["--length", ""], 2, "--length"),
        (["--head", "½"], 2, "--head"),
        (["--thread", "M6x9"], 2, "did you mean M6"),
        (["--thread", "螺丝"], 2, "is not a thread"),
        (["--thread", "1e309"], 2, "--thread"),
        (["--thread", ""], 2, "--thread"),
        (["--drive", "T"], 2, "is no drive"),
        (["--tolerance", "-1", "--length", "20"], 2, "--tolerance"),
        (["--tolerance", "2.1", "--length", "20"], 2, "--tolerance 2.1: sizes that may be more than 2 mm off"),
        (["--tolerance", "20 mm", "--length", "20"], 2, "calliper (0.2 mm), ruler (1 mm)"),
        (["--length", "20", "--shoulder", "20"], 2, "as long as the whole screw"),
        (["--length", "20", "--hole", "kne/3"], 1, 'did you mean "knee/3"?'),
        (["--length", "20", "--hole", "☃"], 1, "write panel/hole"),
        (["--length", "20", "--hole", ""], 1, "no hole"),
        (["--length", "20", "--job", "oli"], 1, 'no job "oli"'),
        (["--length", "20", "--with", "heater"], 1, 'no equipment "heater"'),
    ],
)
def test_what_cannot_be_understood_is_answered_with_a_remedy(bike, arguments, code, said, capsys):
    """Exit 2 for what was typed, 1 for what the file cannot give; no traceback."""
    assert run(["screw", bike, *arguments]) == code
    captured = capsys.readouterr()
    assert said in captured.err
    assert captured.out == ""
    assert "Traceback" not in captured.err
    assert "internal fault" not in captured.err


def test_a_bike_without_fasteners_has_nothing_to_offer(tmp_path, capsys):
    """One plain sentence."""
    path = tmp_path / "bare.yaml"
    path.write_text("format: 1\nbike: { name: Bare }\npanels: { seat: { name: Seat, side: centre, holes: [] } }\n")
    assert run(["screw", str(path), "--length", "20"]) == 0
    assert "this file has no fasteners" in capsys.readouterr().out


@pytest.mark.slow
def test_without_a_file_the_demo_answers(capsys):
    """As every command does."""
    assert run(["screw", "--thread", "M6", "--length", "21", "--shoulder", "11", "--drive", "TX30"]) == 0
    assert "It can be A:" in capsys.readouterr().out
