"""Each problem at the thing that it is about."""

from __future__ import annotations

import pytest
from conftest import DEMOS
from wrong_bikes import WRONG

from boardmaker.commands.common import demo_folder
from boardmaker.commands.doubts import look_at
from boardmaker.picture import find_oddities, lost_panels


def read(tmp_path, text=WRONG):
    path = tmp_path / "bike.yaml"
    path.write_text(text, encoding="utf-8")
    return look_at(path)


def about(tmp_path, text=WRONG):
    seen = read(tmp_path, text)
    return {one.message: one.about for one in find_oddities(seen.bike, seen.problems, seen.entries)}


def of(found, word):
    (one,) = (told for message, told in found.items() if word in message)
    return one


def test_a_problem_that_names_holes_is_about_these(tmp_path):
    """Whatever else it names; also where the message says the pocket beside it."""
    found = about(tmp_path)
    assert of(found, "60 mm outside") == (("knee-left", "2"),)
    assert of(found, "lies on") == (("knee-left", "4"), ("knee-left", "3"))


def test_any_other_is_about_what_stands_before_it(tmp_path):
    """A hole, a panel that could not be read, or nothing that can be drawn."""
    found = about(tmp_path)
    assert of(found, 'no fastener "Z"') == (("lid", "1"),)
    assert of(found, '"middle"') == (("tail", ""),)
    assert of(found, 'no panel "knee-lef"') == ()


def test_a_mistake_in_the_next_section_is_not_the_last_panels(tmp_path):
    """Nor one in the head of the file that of the first."""
    found = about(tmp_path, WRONG.replace("name: Oil", "nme: Oil").replace("source:", "sorce:"))
    assert of(found, "`nme`") == of(found, "`sorce`") == ()


def test_panels_that_could_not_be_built_are_known(tmp_path):
    """By their keys."""
    seen = read(tmp_path)
    assert lost_panels(seen.bike, seen.entries) == ("tail",)


@pytest.mark.slow
def test_the_demos_have_nothing_odd():
    """And nothing lost."""
    for stem in DEMOS:
        seen = look_at(demo_folder() / f"{stem}.yaml")
        assert find_oddities(seen.bike, seen.problems, seen.entries) == ()
        assert lost_panels(seen.bike, seen.entries) == ()


def test_numbers_run_through_the_file(tmp_path):
    """As the messages on the screen do."""
    seen = read(tmp_path)
    found = find_oddities(seen.bike, seen.problems, seen.entries)
    assert [one.mark for one in found] == [f"!{number}" for number in range(1, len(seen.problems) + 1)]
    assert [one.message for one in found] == [one.message for one in seen.problems]
