"""What is not the same about another fastener, and does not forbid it."""

from __future__ import annotations

from dataclasses import replace

from screws import hole, screw

from boardmaker.service.fit.differences import differences


def test_differences_that_do_not_forbid_are_named():
    """Class, head, drive, washer, threadlocker."""
    proper = screw(property_class="10.9", drive="T30", with_it=("washer",), threadlocker="medium")
    told = differences(screw(20.0, property_class="8.8", drive="hex 4", across=10.0), proper, hole())
    assert told == (
        "4 mm longer",
        "class 8.8 for 10.9", "head 10 mm for 14 mm", "another drive", "take over what is kept with A",
        "medium threadlocker",
    )  # fmt: skip
    assert differences(proper, proper, hole()) == ()


def test_a_head_that_stands_much_higher_is_named():
    """A panel may lie over it (common practice, no source)."""
    high = replace(screw(), head=replace(screw().head, height=6.0))
    assert differences(high, screw(), hole()) == ("head 6 mm high for 3.3 mm",)
    assert differences(screw(), high, hole()) == ()


def test_notes_of_the_file_are_shown():
    """Whoever wrote "never longer than this one" is heard, though the program cannot read it."""
    told = differences(screw(10.0), screw(note="never longer"), hole(note="C and no other"))
    assert told == ("6 mm shorter", 'the file notes "never longer"', 'the file notes "C and no other"')


def test_a_length_that_is_assumed_is_no_difference():
    """Nobody knows it."""
    other = screw(30.0, length_assumed=True)
    assert differences(other, screw(), hole()) == differences(screw(), other, hole()) == ()
