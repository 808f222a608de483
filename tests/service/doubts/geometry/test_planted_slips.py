"""Forty usual slips in the demo bikes: nearly all are pointed at, with the right hint; without one nothing is said."""

from __future__ import annotations

import json
import random
import shutil
from copy import deepcopy

import pytest
from bikes import dense_bike_text, noted_bike_text, random_bike_text
from conftest import DEMOS
from planted import KINDS, demo_data, nodes_of

from boardmaker.commands.common import demo_folder
from boardmaker.inputs import read_bike
from boardmaker.inputs.yaml import reader
from boardmaker.problems import ProblemsFound
from boardmaker.service import loose_ends, misplaced, strays

SLIPS = 40


def said_of(path):
    """All that `check` says of geometry."""
    try:
        bike, warnings = read_bike(path)
    except ProblemsFound as found:
        return found.problems
    return (*warnings, *misplaced(bike), *strays(bike), *loose_ends(bike))


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A folder with the drawings of all demos."""
    folder = tmp_path_factory.mktemp("planted")
    shutil.copytree(demo_folder() / "outlines", folder / "outlines")
    return folder


@pytest.fixture(scope="module")
def demos():
    return {stem: demo_data(stem) for stem in DEMOS}


@pytest.fixture(scope="module")
def planted(folder, demos):
    """Each slip's kind, panel, words that are wanted, and what was said."""
    found = []
    for seed in range(SLIPS):
        dice, kind = random.Random(seed), KINDS[seed % len(KINDS)]
        done = None
        while done is None:  # where a bike has nothing of the kind, another one is drawn
            data, rings = deepcopy(demos[dice.choice(DEMOS)])
            done = kind(data, rings, dice)
        path = folder / f"slip-{seed}.yaml"
        path.write_text(json.dumps(data, indent=0, ensure_ascii=False), encoding="utf-8")
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(reader, "compose", lambda text: nodes_of(json.loads(text)))
            found.append((kind.__name__, *done, said_of(path)))
    return found


def is_right(panel, words, said):
    """Whether one of the problems is about this panel, has a place in the file, and says what to do."""
    return any(
        panel in problem.message and problem.where and problem.hint and any(
            word in f"{problem.message} {problem.hint}" for word in words
        )
        for problem in said
    )  # fmt: skip


@pytest.mark.slow
def test_slips_are_pointed_at_with_the_right_hint(planted):
    """At least 36 of 40, and of each kind most."""
    missed = [(kind, panel) for kind, panel, words, said in planted if not is_right(panel, words, said)]
    assert len(planted) == SLIPS
    assert len({panel for _, panel, _, _ in planted}) > 15
    assert len(missed) <= 4, missed
    for kind in KINDS:
        assert sum(one == kind.__name__ for one, _ in missed) <= 2, missed


@pytest.mark.parametrize("stem", DEMOS)
def test_nothing_is_said_of_a_demo(stem):
    """Nor of one that is written as data."""
    assert said_of(demo_folder() / f"{stem}.yaml") == ()


@pytest.mark.parametrize("make", [random_bike_text, noted_bike_text, dense_bike_text])
def test_random_bikes_have_nothing_but_what_is_random_in_them(make, tmp_path):
    """Ties between any two panels, which do not touch; holes on each other, and outside of wavy outlines."""
    path = tmp_path / "bike.yaml"
    for seed in range(6):
        path.write_text(make(seed, 10), encoding="utf-8")
        bike, _ = read_bike(path)
        allowed = ("also holds", "waits for", "rides on", "have no room", "lie", "at one place of the bike")
        assert [one.message for one in misplaced(bike) if not any(words in one.message for words in allowed)] == []


@pytest.mark.parametrize("seed", range(5))
def test_a_random_bike_without_ties_is_silent(seed, tmp_path):
    """But for screws without room between them, of which the test counts."""
    path = tmp_path / "bike.yaml"
    text = random_bike_text(seed, 12)
    for tie in ("also_holds", "after"):
        text = "\n".join(
            line.split(f", {tie}:")[0] + " }" if f", {tie}:" in line else line
            for line in text.splitlines()
            if not line.startswith(f"    {tie}:")
        )
    path.write_text(text, encoding="utf-8")
    bike, _ = read_bike(path)
    assert "also_holds" not in text
    assert [one.message for one in (*misplaced(bike), *strays(bike)) if "have no room" not in one.message] == []
