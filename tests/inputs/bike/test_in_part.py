"""A bike file with mistakes, read as far as it goes; and which outline files it names."""

from __future__ import annotations

import pytest
from bikes import HEAD, bike_text
from conftest import DEMOS

from boardmaker.commands.common import demo_folder
from boardmaker.inputs import outline_files, read_bike, read_bike_in_part
from boardmaker.problems import ProblemsFound

PANELS = """
  lid: { name: Lid, side: left, after: [odd], holes: [ { at: [0, 0], fastener: A, also_holds: [odd] } ] }
  odd: { name: Odd, side: middle, holes: [] }
  tail: { name: Tail, side: right, rides_on: odd, holes: [ { at: [0, 0], fastener: Z } ] }
"""
JOBS = "  oil: { name: Oil, remove: [odd, lid] }"


@pytest.fixture
def part(tmp_path):
    def read(text):
        path = tmp_path / "bike.yaml"
        path.write_text(text, encoding="utf-8")
        return read_bike_in_part(path)

    return read


def test_a_panel_with_a_mistake_is_left_out_with_all_that_names_it(part):
    """The others stay as they are written; a hole may name a fastener that is not there."""
    read = part(bike_text(PANELS, JOBS))
    lid, tail = read.bike.panels
    assert (lid.key, lid.after, lid.holes[0].also_holds) == ("lid", (), ())
    assert (tail.key, tail.rides_on, tail.holes[0].fastener) == ("tail", "", "Z")
    assert read.bike.jobs[0].remove == ("lid",)
    assert [one.message for one in read.problems if one.severity == "error"] == [
        '`side`: "middle" is not one of: left, right, centre',
        'there is no fastener "Z"',
    ]


def test_a_panel_keeps_the_holes_that_have_a_place(part):
    """Those without one are said, with what they are measured from; a mirror image of such a panel is left out."""
    lid = """  lid:
    name: Lid
    side: left
    holes: [ { at: [0, 0], fastener: A }, { from: { 1: 60, 3: 40 }, fastener: A }, { at: [160, 0], fastener: A },
             { from: { 2: 60, 3: 40 }, fastener: A } ]
  twin: { mirrors: lid, without_holes: [2] }
"""
    read = part(bike_text(lid))
    (panel,) = read.bike.panels
    assert not read.is_whole
    assert [hole.id for hole in panel.holes] == ["1", "3"]
    two, four = panel.unplaced
    assert (two.id, two.circles) == ("2", (((0, 0), 60), ((160, 0), 40)))
    assert (four.id, four.circles, four.near) == ("4", (), None)
    assert two.near == pytest.approx((90, 0), abs=1e-3)  # half way between the two circles
    assert len(read.problems) == 1


def test_every_entry_of_the_file_has_its_place(part):
    """Also that of a panel that could not be built."""
    read = part(bike_text(PANELS, JOBS))
    places = {(section, key): place.source.strip() for section, key, place in read.entries}
    assert places["panels", "odd"].startswith("odd: {")
    assert places["jobs", "oil"].startswith("oil: {")
    assert places["fasteners", "A"].startswith("A: {")


@pytest.mark.slow
@pytest.mark.parametrize("stem", DEMOS)
def test_a_file_without_mistakes_is_the_bike_itself(stem):
    """Read in part or whole."""
    path = demo_folder() / f"{stem}.yaml"
    whole, warnings = read_bike(path)
    read = read_bike_in_part(path)
    assert (read.bike, read.problems) == (whole, warnings)


@pytest.mark.parametrize("text", ["", "- a list", "panels: [", "format: 9"])
def test_of_what_is_no_bike_file_nothing_is_made(part, text):
    """As before."""
    with pytest.raises(ProblemsFound):
        part(text)


def test_the_outlines_that_a_file_names(tmp_path):
    """Each once, in the file's order, whether they are there or not; none of a file that cannot be read."""
    path = tmp_path / "bike.yaml"
    panels = "\n".join(
        f"  {key}: {{ name: N, side: left, holes: [], outline: {{ file: {name} }} }}"
        for key, name in (("a", "o/b.svg"), ("b", "o/a.svg"), ("c", "o/b.svg"))
    )
    path.write_text(f"{HEAD}panels:\n{panels}\n  d: 3\n", encoding="utf-8")
    assert outline_files(path) == (tmp_path / "o/b.svg", tmp_path / "o/a.svg")
    path.write_text("panels: [", encoding="utf-8")
    assert outline_files(path) == ()
    assert outline_files(tmp_path / "none.yaml") == ()
