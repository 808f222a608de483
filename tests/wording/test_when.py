"""What a note says of time: which of its clauses are done before, beside and after the work it belongs to."""

from __future__ import annotations

import pytest

from boardmaker.wording.when import Timed, timed, way_back, way_out


@pytest.mark.parametrize(
    ("note", "found"),
    [
        ("", Timed()),
        ("engine cold - never open", Timed(beside="engine cold - never open")),
        ("by hand first", Timed(before=("by hand first",))),
        ("belt deep first - the face meets it", Timed(before=("belt deep first - the face meets it",))),
        ("front pair first, then the rear", Timed(beside="front pair first, then the rear")),
        ("first a; b; then c; d", Timed(before=("a", "b"), after=("c", "d"))),
        ("First of all: a; only if it was open", Timed("only if it was open", ("a",))),
        ("only when worn; plunger reset first", Timed("only when worn", ("plunger reset first",))),
        ("held by two; then tab bent over", Timed(beside="held by two", after=("tab bent over",))),
        ("after the axle; pump it first", Timed(before=("pump it first",), beside="after the axle")),
        ("firstly this", Timed(beside="firstly this")),
    ],
)
def test_clauses_belong_to_the_time_of_their_words(note, found):
    """What begins with `first` or `then` reaches to the next such word; what ends with `first` stands alone."""
    assert timed(note) == found


@pytest.mark.parametrize(
    ("note", "out", "back"),
    [
        ("", "", ""),
        ("prop it up; mind the hose", "prop it up; mind the hose", ""),
        ("pull it off; refit: home; tap on, wait", "pull it off", "home; tap on, wait"),
        ("refit: clamp on", "", "clamp on"),
        ("a refit: none", "a refit: none", ""),
    ],
)
def test_a_fixing_may_say_how_it_goes_back(note, out, back):
    """From its clause `refit:` on."""
    assert (way_out(note), way_back(note)) == (out, back)
