"""mat.json: written, read back, and refused where it is damaged or a trap."""

from __future__ import annotations

import json
import os

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boardmaker.mat import Mat, MatMark, lay_mat, read_mat, write_mat
from boardmaker.model import Setup
from boardmaker.problems import ProblemsFound

pytest_plugins = ("made_mats",)

WHOLE = lay_mat(Setup(), {"A": 8, "Büchse": 3}, "green", 2)
PLAIN = json.loads(write_mat(WHOLE))
LEAST = {  # what the contract asks for, and nothing else
    "format": 1, "columns": 2, "rows": 1, "sheet": [198, 285], "trim": [6, 6, 204, 291], "pages": [1, 2],
    "bars": {"across": 180, "along": 260},
}  # fmt: skip


def written(folder, plain):
    path = folder / "mat.json"
    path.write_bytes(plain if isinstance(plain, bytes) else json.dumps(plain).encode())
    return path


def test_a_mat_is_read_back_as_it_was(tmp_path):
    """Every field, and the file stays the same when it is written again."""
    path = written(tmp_path, write_mat(WHOLE))
    assert read_mat(path) == WHOLE
    assert write_mat(read_mat(path)) == path.read_bytes()


def test_what_the_contract_asks_for_is_enough(tmp_path):
    """Another program's mat: tags and marks may be missing, further keys are passed over."""
    mat = read_mat(written(tmp_path, {**LEAST, "remark": {"anything": [None]}}))
    assert mat == Mat(2, 1, (198.0, 285.0), (6.0, 6.0, 204.0, 291.0), (1, 2), (180.0, 260.0))
    marks = [{"fastener": "A", "page": 3, "box": [1, 2, 21, 22]}]
    assert read_mat(written(tmp_path, {**LEAST, "marks": marks})).marks == (MatMark("A", 3, (1.0, 2.0, 21.0, 22.0)),)


@pytest.mark.parametrize(
    ("tags", "marks"),
    [("apriltag_36h11", "aruco_5x5_50"), ("tag36h11", "5X5_50"), ("DICT_APRILTAG_36H11", "dict 5x5 50")],
)
def test_families_may_be_spelt_as_other_libraries_do(tmp_path, tags, marks):
    mat = read_mat(written(tmp_path, {**PLAIN, "tag_family": tags, "mark_family": marks}))
    assert (mat.tag_family, mat.mark_family) == ("DICT_APRILTAG_36h11", "DICT_5X5_50")


@pytest.mark.parametrize("key", sorted(LEAST))
def test_what_the_contract_asks_for_must_be_there(tmp_path, key):
    with pytest.raises(ProblemsFound):
        read_mat(written(tmp_path, {one: value for one, value in LEAST.items() if one != key}))


TAG, MARK = PLAIN["tags"][0], PLAIN["marks"][0]
WRONG = [
    (b"", "no JSON"),
    (b"{", "no JSON"),
    (b"[]", "no mat file"),
    (b"\xff\xfe{}", "no JSON"),
    (b"[" * 100_000, "no JSON"),
    (b'{"format": 1, "format": 1}', "stands twice"),
    (b"9" * 5000, "no JSON"),
    (b" " * 1_000_001, "larger than 1 MB"),
    ({"format": 2}, "format 1"),
    ({"format": True}, "format 1"),
    ({"format": "1"}, "format 1"),
    ({"columns": 0}, "columns"),
    ({"columns": 4.0}, "columns"),
    ({"columns": 10**30}, "columns"),
    ({"rows": "3"}, "rows"),
    ({"columns": 400, "rows": 400}, "pages"),
    ({"rows": True}, "rows"),
    ({"sheet": [184, 200]}, "different sizes"),
    ({"sheet": [184]}, "sheet"),
    ({"sheet": [184, float("nan")]}, "sheet"),
    ({"trim": [16, 16, 200, float("inf")]}, "trim"),
    ({"trim": [200, 16, 16, 287], "sheet": [1, 271]}, "trim"),
    ({"trim": [-16, 16, 200, 287]}, "trim"),
    ({"trim": {"x": 1}}, "trim"),
    ({"pages": PLAIN["pages"][:-1]}, "pages"),
    ({"pages": [2] * 12}, "two sheets"),
    ({"pages": "2-13"}, "pages"),
    ({"pages": [0, *PLAIN["pages"][1:]]}, "page"),
    ({"bars": {"across": 180}}, "along"),
    ({"bars": {"across": 180, "along": 1e300}}, "along"),
    ({"bars": [1, 2]}, "bars"),
    ({"bars": {"across": 0, "along": 260}}, "across"),
    ({"bars": {"across": 1000, "along": 260}}, "longer than a page"),
    ({"tint": [60, 175]}, "tint"),
    ({"tint": [60, 175, 256]}, "tint"),
    ({"tint": "green"}, "tint"),
    ({"tag_family": "DICT_6X6_50"}, "tag_family"),
    ({"tag_family": "circles"}, "tag_family"),
    ({"tag_family": 36}, "tag_family"),
    ({"mark_family": "dict" * 1000}, "mark_family"),
    ({"mark_family": ["DICT_5X5_50"]}, "mark_family"),
    ({"marks": [{**MARK, "size": -14}]}, "size"),
    ({"marks": [{**MARK, "size": None}]}, "size"),
    ({"printer_scale": [0, 1]}, "printer_scale"),
    ({"printer_scale": 1}, "printer_scale"),
    ({"tags": {}}, "tags"),
    ({"tags": [TAG, TAG]}, "same id"),
    ({"tags": [1]}, "no object"),
    ({"tags": [TAG] * 600}, "tags"),
    ({"tags": [{**TAG, "id": 587}]}, "id"),
    ({"tags": [{**TAG, "page": 1}]}, "no sheet"),
    ({"tags": [{**TAG, "page": [2]}]}, "no sheet"),
    ({"tags": [{**TAG, "centre": [0, 0]}]}, "outside"),
    ({"tags": [{**TAG, "size": 0}]}, "size"),
    ({"tags": [{**TAG, "centre": None}]}, "centre"),
    ({"marks": [{**MARK, "fastener": ""}]}, "no fastener"),
    ({"marks": [{**MARK, "fastener": "A\x1b[2J"}]}, "no fastener"),
    ({"marks": [{**MARK, "fastener": "A" * 101}]}, "no fastener"),
    ({"marks": [{**MARK, "fastener": 7}]}, "no fastener"),
    ({"marks": [MARK, {**MARK, "fastener": "B"}]}, "stands for A and for B"),
    ({"marks": [MARK] * 2001}, "marks"),
    ({"marks": [{**MARK, "box": [10, 10, 10, 30]}]}, "no box"),
    ({"marks": [{**MARK, "page": 0}]}, "page"),
    ({"marks": [{**MARK, "id": 250}]}, "id"),
    ({"marks": [{**MARK, "id": 1.5}]}, "id"),
]


@pytest.mark.parametrize(("change", "said"), WRONG, ids=range(len(WRONG)))
def test_a_damaged_file_is_refused_with_the_reason(tmp_path, change, said):
    """One problem that names the file, what is wrong in it, and what to do."""
    path = written(tmp_path, change if isinstance(change, bytes) else {**PLAIN, **change})
    with pytest.raises(ProblemsFound) as found:
        read_mat(path)
    (problem,) = found.value.problems
    assert str(path) in problem.message
    assert said in problem.message
    assert problem.hint


def test_what_is_no_file_is_refused(tmp_path):
    """Nothing there, a folder, a pipe that nobody writes into."""
    os.mkfifo(tmp_path / "pipe")
    for name in ("nothing", ".", "pipe"):
        with pytest.raises(ProblemsFound):
            read_mat(tmp_path / name)


ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.sampled_from(sorted({*PLAIN, *TAG, *MARK})), inner),
    max_leaves=12,
)


@settings(max_examples=settings.default.max_examples // 2)
@given(st.dictionaries(st.sampled_from(sorted(PLAIN)), ANYTHING))
@pytest.mark.slow
def test_whatever_stands_there_is_read_or_refused(tmp_path_factory, change):
    """Never another fault; what is read has as many pages as sheets."""
    path = written(tmp_path_factory.getbasetemp(), {**PLAIN, **change})
    try:
        mat = read_mat(path)
    except ProblemsFound:
        return
    assert len(mat.pages) == mat.columns * mat.rows
