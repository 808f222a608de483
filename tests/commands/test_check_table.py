"""What `check` prints of panels and distances on a file without a mistake."""

from __future__ import annotations

from bikes import bike_text

from boardmaker.command_line import run
from boardmaker.commands.common import demo_folder

PANELS = """
  lid:
    name: Lid
    side: left
    on_bike: [900, 600]
    outline: [[0, 0], [300, 0], [300, 200], [0, 200]]
    holes:
      - { at: [20, 20], fastener: A }
      - { at: [280, 20], fastener: B }
      - { at: [20, 180], fastener: A }
      - { from: { 1: 100, 2: 200.4, 3: 128.4 }, fastener: C }
  twin: { mirrors: lid }
  tank: { name: Tank, side: centre, view: top, on_bike: [700, 900], outline: [[-90, 0], [90, 0], [0, 210]], holes: [] }
  seat: { name: Seat, side: centre, holes: [], fixings: [ { kind: hook } ] }
  cap: { name: Cap, side: right, holes: [ { at: [0, 0], fastener: P } ] }
"""


def printed(capsys, path, *more):
    code = run(["check", str(path), *more])
    return code, capsys.readouterr().out.splitlines()


def test_a_line_for_each_panel(tmp_path, capsys):
    path = tmp_path / "bike.yaml"
    path.write_text(bike_text(PANELS), encoding="utf-8")
    code, lines = printed(capsys, path)
    assert code == 0
    assert [line.split("  ")[0] for line in lines[:6]] == ["panel", "lid", "twin", "tank", "seat", "cap"]
    cells = [[cell.strip() for cell in line.split("  ") if cell.strip()] for line in lines[:6]]
    high = "600 to 800 above the ground"
    assert cells[1] == ["lid", "300 x 200", "4", "2 A, 1 B, 1 C", f"left: 600 to 900 ahead of the rear axle, {high}"]
    assert cells[2] == ["twin", "300 x 200", "4", "2 A, 1 B, 1 C", f"right: 600 to 900 ahead of the rear axle, {high}"]
    place = "centre, top: 700 to 910 ahead of the rear axle, 900 above the ground"
    assert cells[3] == ["tank", "180 x 210", "0", "-", place]
    assert cells[4] == ["seat", "-", "0", "-", "centre, top"]
    assert cells[5] == ["cap", "(50 x 50)", "1", "1 P", "right"]
    residual = [line for line in lines if line.startswith("note: lid/4 by 3 distances: off by ")]
    assert len(residual) == 1  # its mirror image's is the same
    assert " mm in the mean (rms), " in residual[0]


def test_the_table_is_printed_where_there_are_warnings_too(tmp_path, capsys):
    """Who asks for strictness sees it, and who asks for quiet does not."""
    path = tmp_path / "bike.yaml"
    path.write_text(bike_text(PANELS.replace("[700, 900]", "[0.7, 0.9]")), encoding="utf-8")
    code, lines = printed(capsys, path, "--strict")
    assert code == 1
    assert lines[1].startswith("lid ")
    assert printed(capsys, path, "--quiet") == (0, [])


def test_every_panel_of_a_demo_stands_in_the_table(capsys):
    _, lines = printed(capsys, demo_folder() / "murmelo-140-scooter.yaml")
    keys = ["seat-box", "handlebar-cover", "apron", "side-left", "side-right", "floor", "inner-shield"]
    assert [line.split()[0] for line in lines[1:8]] == keys


def test_a_wrong_place_is_said_with_its_slip_where_distances_from_it_fail(tmp_path, capsys):
    """Before its followers, whose distances may be right, and which speak of it."""
    holes = "{ at: [20, 20], fastener: A }, { at: [-180, 20], fastener: A }, { from: { 1: 90, 2: 90 }, fastener: A }"
    panel = (
        f"  lid: {{ name: Lid, side: left, outline: [[0, 0], [200, 0], [200, 120], [0, 120]], holes: [ {holes} ] }}\n"
    )
    path = tmp_path / "bike.yaml"
    path.write_text(bike_text(panel), encoding="utf-8")
    assert run(["check", str(path)]) == 1
    said = capsys.readouterr().err
    slip, follower = said.index("lid/2 lies 180 mm outside"), said.index("the distances from holes 1 and 2 miss")
    assert slip < said.index("is it a slip: x turned round") < follower
    assert "correct first what it is measured from: hole 2, 180 mm outside the outline" in said[follower:]
