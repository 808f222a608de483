"""Files as large as they may be: nothing is wrong with them, and each is answered within the limits of `one_run`.

Random slips never make such a file, and just these once took minutes.
"""

from __future__ import annotations

import json
import math
import os
import random

import pytest
from kinds import SMALL
from one_run import faults, run_apart

from boardmaker.boards.board_file.reading import LARGEST_FILE
from boardmaker.command_line import run
from boardmaker.inputs.bike.amounts import MOST_ENTRIES, MOST_HOLES, MOST_TIES

pytestmark = [pytest.mark.slow, pytest.mark.skipif(not hasattr(os, "fork"), reason="runs are forked")]

HEAD = "format: 1\nbike: { name: Large }\n"
SCREW = "fasteners: { A: { thread: M6, length: 16 } }\n"
SIDES = ("left", "right", "centre")
PLACES = range(MOST_HOLES // MOST_ENTRIES)  # of holes on each panel
KINDS = "fasteners:\n" + "".join(
    f"  f{n}: {{ kind: screw, thread: M6, length: {16 + n / 100}, head: {{ shape: pan, diameter: 12, height: 4 }} }}\n"
    for n in range(MOST_ENTRIES)
)


def panel(number, after, fasteners):
    holes = ", ".join(
        f"{{ at: [{9 * n}, 0], fastener: {one}, stack: 3, depth: 14 }}" for n, one in enumerate(fasteners)
    )
    return (
        f"  p{number}: {{ name: P{number}, side: {SIDES[number % 3]}, on_bike: [{number % 70}, {number * 7 % 900}], "
        f"after: [{', '.join(f'p{other}' for other in after)}], holes: [{holes}] }}\n"
    )


def waiting_bike():
    """Panels that wait for each other all over."""
    dice = random.Random(1)
    panels = (panel(n, {dice.randrange(n) for _ in range(8)} if n else (), "A") for n in range(MOST_ENTRIES))
    return HEAD + SCREW + "panels:\n" + "".join(panels)


def bike_of_many_kinds():
    """As many holes as may be, each with another kind of screw than its neighbours."""
    kinds = ([f"f{(7 * place + 4 * n) % MOST_ENTRIES}" for place in PLACES] for n in range(MOST_ENTRIES))
    return HEAD + KINDS + "panels:\n" + "".join(panel(n, (), one) for n, one in enumerate(kinds))


def bike_of_many_rows():
    """Every job has the same torque rows."""
    rows = MOST_TIES // MOST_ENTRIES
    torques = "".join(f"  t{n}: {{ what: W{n}, torque: 5 }}\n" for n in range(MOST_ENTRIES))
    named = ", ".join(f"t{n}" for n in range(rows))
    jobs = "".join(f"  j{n}: {{ name: J{n}, remove: [p0], torques: [{named}] }}\n" for n in range(MOST_ENTRIES))
    return HEAD + SCREW + "panels:\n" + panel(0, (), "A") + f"jobs:\n{jobs}torques:\n{torques}"


def audit_of_wrong_screws():
    """Another kind in every hole."""
    found = (f"p{n // len(PLACES)}/{n % len(PLACES) + 1},f{11 * n % MOST_ENTRIES}" for n in range(MOST_HOLES))
    return "hole,found\n" + "\n".join(found)


@pytest.mark.parametrize(
    ("bike", "arguments"),
    [
        (waiting_bike, ["tally"]),
        (bike_of_many_rows, ["torque"]),
        (bike_of_many_kinds, ["tally", "--audit", "audit.csv"]),
    ],
    ids=["waiting", "rows", "audit"],
)
def test_the_largest_bike_is_answered_in_time(tmp_path, bike, arguments):
    """By the processor's time, with files written."""
    (tmp_path / "b.yaml").write_text(bike(), encoding="utf-8")
    (tmp_path / "audit.csv").write_text(audit_of_wrong_screws(), encoding="utf-8")
    command, *more = arguments
    ended = run_apart([command, "b.yaml", *more, "--quiet", "--out", "out"], tmp_path)
    assert (ended.code, [*faults(ended, tmp_path / "out")]) == (0, []), ended


def test_the_largest_board_file_is_refused_in_time(tmp_path):
    """As many bytes as are read, all of them the corners of one thing; run apart, since it takes what memory it may."""
    (tmp_path / "small.yaml").write_text(SMALL, encoding="utf-8")
    out = str(tmp_path / "made")
    brief = ["--effort", "quick", "--boards", "1", "--arrange", "0", "--print", "whole", "--board", "600 x 400 mm"]
    assert run(["board", str(tmp_path / "small.yaml"), *brief, "--quiet", "--out", out]) == 0
    kept = json.loads((tmp_path / "made" / "board.json").read_bytes())
    kept["boards"][0]["items"][0]["zone"] = "corners"
    corners = "[1,2]," * math.floor(LARGEST_FILE / len("[1,2],") - 20_000)
    text = json.dumps(kept, separators=(",", ":")).replace('"corners"', f"[{corners[:-1]}]")
    assert 0.98 * LARGEST_FILE < len(text) <= LARGEST_FILE
    (tmp_path / "b.json").write_text(text, encoding="utf-8")
    ended = run_apart(["repack", "b.json", "--out", "out"], tmp_path, fresh=True)
    assert (ended.code, [*faults(ended, tmp_path / "out", "b.json")]) == (1, []), ended.complained
    assert "points around one thing" in ended.complained
    (tmp_path / "b.json").write_text(text + " " * LARGEST_FILE, encoding="utf-8")
    assert "too large for a board file" in run_apart(["repack", "b.json", "--out", "out"], tmp_path).complained
