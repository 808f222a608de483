"""The mat as photos are read by it: the view of mat.json's data, and what must be in it."""

from __future__ import annotations

import json

import numpy as np
import photo_samples as samples
import pytest
from hypothesis import given
from hypothesis import strategies as st

from boardmaker.mat import lay_mat, read_mat, standard_mat, write_mat
from boardmaker.model import Setup
from boardmaker.photo.known_mat import known_mat, unread_marks
from boardmaker.problems import ProblemsFound


def read(folder, said):
    path = folder / "mat.json"
    path.write_text(json.dumps(said), encoding="utf-8")
    return read_mat(path)


def without(*keys):
    return {key: value for key, value in samples.mat_said().items() if key not in keys}


def test_the_view_says_what_the_file_says(tmp_path):
    """Places from the middle of a sheet, marks by their codes, families as the reader of photos calls them."""
    mat = known_mat(read(tmp_path, samples.mat_said()), "mat.json")
    assert (mat.columns, mat.rows, mat.sheet, mat.bars) == (2, 1, samples.SHEET, (180.0, 260.0))
    assert (mat.tag_family, mat.mark_family, mat.tint) == ("apriltag_36h11", "aruco_4x4_50", samples.TINT)
    (x, y), page = samples.tag_places()[0], samples.PAGE
    assert mat.tags[0].centre == pytest.approx((x - page[0] / 2, y - page[1] / 2))
    assert [mat.tags[number].sheet for number in (0, 11, 12, 23)] == [0, 0, 1, 1]
    assert {number: mark.fastener for number, mark in mat.marks.items()} == {n: "AB"[n // 8] for n in range(16)}
    assert mat.middle(1) == pytest.approx(np.array([1.5 * 198, -142.5]))


@pytest.mark.parametrize(
    ("said", "words"),
    [
        (without("tags"), "`tags`"),
        (without("tags", "tag_family", "mark_family", "marks"), "`tags`"),
        (without("tint"), "`tint`"),
        ({**without(), "tags": []}, "`tags`"),
        ({**without(), "tint": [120, 130, 125]}, "is a grey"),
        ({**without(), "tint": [0, 0, 0]}, "is a grey"),
    ],
)
def test_what_photos_need_and_the_file_lacks_is_said(tmp_path, said, words):
    """The file is a mat file all the same; the message names it, and the hint says how to mend it."""
    with pytest.raises(ProblemsFound) as refused:
        known_mat(read(tmp_path, said), "my/mat.json")
    (problem,) = refused.value.problems
    assert problem.message.startswith("my/mat.json does not say ")
    assert words in problem.message
    assert "`boardmaker mat` writes a mat.json with all of them" in problem.hint


def test_both_are_told_at_once(tmp_path):
    with pytest.raises(ProblemsFound, match=r"`tags`\) and the colour of its sheets \(`tint`\)"):
        known_mat(read(tmp_path, without("tags", "tint")), "mat.json")


@pytest.mark.parametrize(
    ("said", "words"),
    [
        (without("mark_family"), "`mark_family`"),
        ({**without(), "marks": [{"fastener": "A", "page": 3, "box": [0, 0, 20, 20]}]}, "`id`"),
        (without("marks"), ""),
        (without(), ""),
    ],
)
def test_marks_that_cannot_be_read_are_said(tmp_path, said, words):
    """They are no reason to refuse: outline and through holes need none."""
    mat = read(tmp_path, said)
    line = unread_marks(mat, "mat.json")
    assert (words in line) if words else line == ""
    assert bool(known_mat(mat, "mat.json").marks) == (not words and "marks" in said)


def test_the_tag_family_goes_without_saying(tmp_path):
    """Only one is read."""
    assert known_mat(read(tmp_path, without("tag_family")), "mat.json").tag_family == "apriltag_36h11"


@pytest.mark.parametrize("keys", ["ABCDEF", "XKA", ["M6 x 20", "B", "Clip"]])
def test_the_standard_mat_has_the_sheets_of_any_mat_and_all_letters(tmp_path, keys):
    """Sheets and tags are those of every mat for the same setup; so are the codes of each letter."""
    path = tmp_path / "mat.json"
    path.write_bytes(write_mat(lay_mat(Setup(), dict.fromkeys(keys, 11), "green", 3)))
    printed = known_mat(read_mat(path), "mat.json")
    standard = known_mat(standard_mat(Setup(), keys, "green"), "standard")
    assert (standard.sheet, standard.bars, standard.tint) == (printed.sheet, printed.bars, printed.tint)
    assert standard.tags == printed.tags
    assert {number: standard.marks[number] for number in printed.marks} == printed.marks
    letters = {mark.fastener for mark in standard.marks.values()}
    assert letters == {*"ABCDEFGHIJKLMNOPQRSTUVWXYZ", *keys}


ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers(-5, 700) | st.floats() | st.text(max_size=8),
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.sampled_from(["id", "page", "centre", "size"]), inner)
    ),
    max_leaves=8,
)


@given(st.dictionaries(st.sampled_from(sorted(samples.mat_said())), ANYTHING, min_size=1, max_size=3))
def test_whatever_is_read_can_be_viewed_or_is_refused(tmp_path_factory, change):
    """Never another fault than a problem that is told; every tag lies on a sheet that there is."""
    try:
        mat = known_mat(read(tmp_path_factory.getbasetemp(), samples.mat_said() | change), "mat.json")
    except ProblemsFound:
        return
    assert all(0 <= tag.sheet < mat.columns * mat.rows for tag in mat.tags.values())
    assert max(mat.tint) > 0
