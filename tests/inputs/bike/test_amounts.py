"""Bike files that hold more than any bike: refused with the amount and the limit, before anything is built."""

from __future__ import annotations

import pytest

from boardmaker.inputs import findings, read_bike
from boardmaker.inputs.bike import circles, panels, reading
from boardmaker.inputs.bike.amounts import MOST_ENTRIES, MOST_HOLES, MOST_TIES, REMEDY
from boardmaker.inputs.complaints import MOST_PROBLEMS
from boardmaker.problems import ProblemsFound, nearest

HEAD = "format: 1\nbike: { name: Test bike }\nfasteners: { A: { thread: M6 } }\n"
SEAT = "  seat: { name: Seat, side: left, holes: [] }\n"
ROWS = {
    "fasteners": "{ thread: M6 }",
    "panels": "{ name: P, side: left, holes: [] }",
    "jobs": "{ name: Oil }",
    "torques": "{ what: Plug, torque: 20 N·m }",
    "equipment": "Rack",
}


@pytest.fixture
def problems_of(tmp_path):
    def read(text):
        path = tmp_path / "bike.yaml"
        path.write_text(text, encoding="utf-8")
        with pytest.raises(ProblemsFound) as found:
            read_bike(path)
        return found.value.problems

    return read


def holes(count):
    return ", ".join(["{at: [1, 1], fastener: A}"] * count)


@pytest.mark.parametrize("section", ROWS)
def test_a_section_has_a_largest_number_of_entries(problems_of, monkeypatch, section):
    """Said at the section, without a look at its entries."""
    monkeypatch.setattr(reading, "check_shape", None)
    rows = "".join(f"  e{number}: {ROWS[section]}\n" for number in range(MOST_ENTRIES + 1))
    (problem,) = problems_of(f"format: 1\nbike: {{ name: Test bike }}\n{section}:\n{rows}")
    assert problem.message == f"`{section}` has {MOST_ENTRIES + 1} entries, more than {MOST_ENTRIES}"
    assert (problem.where.line, problem.hint) == (3, REMEDY)


def test_all_panels_together_have_a_largest_number_of_holes(problems_of, monkeypatch):
    """Counted over all of them."""
    monkeypatch.setattr(reading, "check_shape", None)
    half = MOST_HOLES // 2
    text = f"  p: {{ holes: [{'1, ' * half}] }}\n  q: {{ holes: [{'1, ' * (half + 1)}] }}\n"
    (problem,) = problems_of(HEAD + "panels:\n" + text)
    assert problem.message == f"the panels have {MOST_HOLES + 1} holes, more than {MOST_HOLES}"


@pytest.mark.slow
def test_all_jobs_together_have_a_largest_number_of_torque_rows(problems_of, monkeypatch):
    """Each is a row on a card, whichever of the two names the other; just as many are taken."""
    monkeypatch.setattr(reading, "check_shape", None)
    jobs = "".join(f"  j{number}: {{ torques: [{'t, ' * 100}] }}\n" for number in range(MOST_TIES // 100))
    text = HEAD + f"torques: {{ t: {{ jobs: [{{}}] }} }}\njobs:\n{jobs}"
    (problem,) = problems_of(text.replace("{}", "j0"))
    assert problem.message == f"the jobs have {MOST_TIES + 1} torque rows together, more than {MOST_TIES}"
    with pytest.raises(TypeError, match="NoneType"):  # goes on to the shapes
        problems_of(text.replace("{}", ""))


def test_mirror_images_are_not_made_without_end(problems_of, monkeypatch):
    """Each has the holes of its original; the file itself stays small."""
    made = []
    mirror = panels.mirror_panel
    monkeypatch.setattr(panels, "mirror_panel", lambda *given: made.append(1) or mirror(*given))
    images = "".join(f"  m{number}: {{ mirrors: p }}\n" for number in range(100))
    found = problems_of(HEAD + f"panels:\n  p: {{ name: P, side: left, holes: [{holes(500)}] }}\n" + images)
    assert [one.message for one in found] == ["the panels have 2500 holes, more than 2000"]
    assert len(made) == 4


def test_words_beyond_reading_are_not_all_held_against_each_other(problems_of, monkeypatch):
    """A suggestion for the first ones; all are counted."""
    asked = []
    monkeypatch.setattr(findings, "nearest", lambda *given: asked.append(1) or nearest(*given))
    names = ", ".join(f"none{number}" for number in range(600))
    found = problems_of(HEAD + "panels:\n" + SEAT + f"  p: {{ name: P, side: left, holes: [], after: [{names}] }}\n")
    assert len(found) == MOST_PROBLEMS + 1
    assert found[-1].message == "and 550 more; mend these first"
    assert len(asked) == findings.MOST_SUGGESTED


def test_of_very_many_circles_only_some_are_looked_for(problems_of, monkeypatch):
    """Thirty panels that all wait for each other."""
    asked = []
    find = circles._find_circle
    monkeypatch.setattr(circles, "_find_circle", lambda graph: asked.append(1) or find(graph))
    names = [f"p{number}" for number in range(30)]
    rows = [
        f"  {one}: {{ name: P, side: left, holes: [], after: [{', '.join(n for n in names if n != one)}] }}\n"
        for one in names
    ]
    found = problems_of(HEAD + "panels:\n" + "".join(rows))
    assert "wait for each other in a circle" in found[0].message
    assert len(asked) <= circles.MOST_CIRCLES + 1


@pytest.mark.slow
def test_very_many_missing_values_and_wrong_keys(problems_of):
    """Each is held against the others once, and fifty of them are said."""
    rows = ", ".join(["~"] * 1500)
    found = problems_of(HEAD + f"panels:\n  p: {{ name: P, side: left, holes: [{rows}] }}\n")
    assert found[-1].message == "and 1450 more; mend these first"
    keys = "".join(f"wrong{number}: 1\n" for number in range(1500))
    found = problems_of(HEAD + "panels:\n" + SEAT + keys)
    assert found[-1].message == "and 1450 more; mend these first"
