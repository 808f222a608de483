"""Small files made by hand to do harm (`fixtures/hostile`), and spoilt ones, through the real commands.

Each runs in a process of its own, which is held against the limits of `one_run`. `campaign.py` does the same with as
many thousands as are asked for; here a few of each kind show that it still works, and that what it judges can fail.
"""

from __future__ import annotations

import os
import shutil
import signal
import sys
from pathlib import Path
from random import Random

import pytest
from campaign import try_case
from kinds import Case, kinds, make_case, make_good_files
from one_run import SECONDS, Ended, changes, contents, faults, run_apart
from spoil_tree import spoil
from traced_kinds import HAS_PHOTOS

pytestmark = [pytest.mark.slow, pytest.mark.skipif(not hasattr(os, "fork"), reason="runs are forked")]

SAMPLES = Path(__file__).parents[2] / "fixtures" / "hostile"
NAMES = {  # what a sample is called where a command reads it
    "bike": "b.yaml", "setup": "s.yaml", "svg": "outlines/o.svg", "bag": "bag.csv", "audit": "audit.csv",
    "board": "b.json", "pdf": "f.pdf", "scan": "f.png", "drawing": "t.svg", "saved": "knee-left.svg", "dxf": "t.dxf",
    "list": "t.csv", "holes": "outlines/h.svg", "schema": "bike.schema.json", "record": "out/.boardmaker.json",
    **({"mat": "mat.json", "photo": "photo.jpg"} if HAS_PHOTOS else {}),
}  # fmt: skip
READ = {  # samples that some command takes as they are; all others are refused by every command
    "bike/bidi-and-zero-width.yaml", "bike/combining-marks.yaml", "bike/mark-twice.yaml", "scan/two-headers.png",
    "svg/utf-16.svg", "setup/keep-out-of-everything.yaml",
    "dxf/block-that-is-not-there.dxf", "dxf/block-without-a-name.dxf", "dxf/kind-that-nobody-knows.dxf",
    "dxf/kind-without-end.dxf", "dxf/says-what-acts.dxf",
}  # fmt: skip
OF_A_KIND = 1


@pytest.fixture(scope="module")
def good(tmp_path_factory, once):
    """A folder with all good files, made once for all workers."""

    def made():
        folder = tmp_path_factory.mktemp("made")
        make_good_files(folder)
        return contents(folder)

    folder = tmp_path_factory.mktemp("good")
    for name, content in once("good-files", made).items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(content)
    return folder


def kind_of(good, name):
    (kind,) = [kind for kind in kinds(good) if kind.name == name]
    return kind


@pytest.mark.parametrize("sample", sorted(str(path.relative_to(SAMPLES)) for path in SAMPLES.rglob("*.*")))
def test_a_sample_does_no_harm(good, tmp_path, sample):
    """Refused with a reason and a place, or read; quickly, and nothing on the screen acts."""
    kind = kind_of(good, NAMES[sample.split("/")[0]])
    of_kind = kind.commands[: 2 if sample in READ else 1]  # all of them begin with the same reader, and end with it
    for number, arguments in enumerate(of_kind):
        case = Case(kind.name, (SAMPLES / sample).read_bytes(), arguments, sample, kind.beside)
        ended, wrong = try_case(case, good, tmp_path / str(number))
        assert wrong == [], (arguments, ended)
        assert ended.code == 1 or sample in READ, (arguments, ended)


@pytest.mark.parametrize("name", NAMES.values())
def test_good_files_are_taken(good, tmp_path, name):
    """What is spoilt was good before: at least one command says so of each."""
    kind = kind_of(good, name)
    for number, one in enumerate(dict.fromkeys(kind.good)):
        case = Case(name, (good / one).read_bytes(), kind.commands[0], "as it is", kind.beside)
        ended, wrong = try_case(case, good, tmp_path / str(number))
        assert (ended.code, wrong) == (0, []), ended


@pytest.mark.parametrize("number", range(OF_A_KIND))
@pytest.mark.parametrize("name", NAMES.values())
def test_a_spoilt_file_does_no_harm(good, tmp_path, name, number):
    """The first of the campaign."""
    ended, wrong = try_case(make_case(kind_of(good, name), good, 1, number), good, tmp_path / "case")
    assert wrong == [], ended


def test_a_case_is_the_same_each_time(good):
    """By its kind, seed and number alone."""
    for kind in kinds(good):
        assert make_case(kind, good, 7, 3).content == make_case(kind, good, 7, 3).content
        tried = range(8 // min(kind.every, 4))  # photos take their time to be made
        contents = {make_case(kind, good, 7, number).content for number in tried}
        assert len(contents) > len(tried) // 2


@pytest.mark.parametrize("fresh", [False, True])
def test_a_run_apart_is_what_a_user_would_see(good, tmp_path, fresh):
    """Forked or new: what is said, where, and the exit code."""
    shutil.copy(good / "small.yaml", tmp_path / "b.yaml")
    ended = run_apart(["check", "b.yaml"], tmp_path, fresh)
    assert (ended.code, ended.complained) == (0, "")
    assert ended.said.splitlines()[-1].startswith("b.yaml: 3 panels, 4 fasteners of 2 kinds: ")
    ended = run_apart(["check", "none.yaml"], tmp_path, fresh)
    assert (ended.code, ended.said) == (1, "")
    assert ended.complained.startswith("error: there is no file none.yaml")


REFUSED = "b.yaml:1:1: error: this is no bike\n"


@pytest.mark.parametrize(
    ("ended", "wrong"),
    [
        (Ended(0, "fine\n", "", 1.0, 100), ""),
        (Ended(1, "", REFUSED, 1.0, 100), ""),
        (Ended(None, "", "", 1.0, 100), "no answer"),
        (Ended(-11, "", "", 1.0, 100), "ended with -11"),
        (Ended(99, "", REFUSED, 1.0, 100), "ended with 99"),
        (Ended(1, "", REFUSED + "Traceback (most recent call last):\n", 1.0, 100), "machine's words"),
        (Ended(0, "", "a.py:3: RuntimeWarning: overflow\n", 1.0, 100), "machine's words"),
        (Ended(0, "a\x1b[31mb\n", "", 1.0, 100), "acts on the screen"),
        (Ended(1, "", REFUSED + "\u202e\n", 1.0, 100), "acts on the screen"),
        (Ended(1, "", REFUSED * 500, 1.0, 100), "500 lines"),
        (Ended(0, "", "", SECONDS + 1.0, 100), f"took {SECONDS + 1.0:.1f} s"),
        (Ended(0, "", "", 1.0, 1100), "took 1100 MB"),
        (Ended(1, "", "", 1.0, 100), "without a reason"),
        (Ended(1, "", "error: no\n", 1.0, 100), "without a place"),
        (Ended(0, "", REFUSED, 1.0, 100), "exit code is 0"),
    ],
)
def test_what_is_judged_can_fail(tmp_path, ended, wrong):
    """Each fault is found alone."""
    found = [*faults(ended, tmp_path / "out", "b.yaml")]
    assert len(found) <= 2
    assert wrong in found[0] if wrong else found == []


def test_a_warning_is_a_reason_under_strict_alone(tmp_path):
    """As `check` has it."""
    ended = Ended(1, "", REFUSED.replace("error", "warning"), 1.0, 100)
    assert [*faults(ended, tmp_path, "b.yaml", strict=True)] == []
    assert [*faults(ended, tmp_path, "b.yaml")] == ["refused without a reason"]


def test_a_refusal_that_writes_is_a_fault(tmp_path):
    """The folder is looked into."""
    (tmp_path / "plan.md").write_bytes(b"")
    assert [*faults(Ended(1, "", REFUSED, 1.0, 100), tmp_path)] == ["refused, and files were written"]


def test_a_refusal_that_changes_a_file_is_a_fault():
    """Also one that takes a file away; what is done is none."""
    ended = Ended(1, "", REFUSED, 1.0, 100)
    before, after = {"b.yaml": b"a", "c": b"c", "d": b"d"}, {"b.yaml": b"b", "d": b"d", "said": b"x"}
    assert [*changes(ended, before, after)] == ["refused, and b.yaml was changed", "refused, and c was changed"]
    assert [*changes(Ended(0, "", "", 1.0, 100), before, after)] == []


def test_a_hang_and_a_crash_are_noticed(tmp_path, monkeypatch):
    """In the forked process alone."""
    monkeypatch.setattr("one_run.PATIENCE", 0.5)
    monkeypatch.setattr("one_run.run", lambda _: __import__("time").sleep(60))
    assert run_apart([], tmp_path).code is None
    monkeypatch.setattr("one_run.run", lambda _: os.kill(os.getpid(), signal.SIGKILL))
    assert run_apart([], tmp_path).code == -signal.SIGKILL
    monkeypatch.setattr("one_run.run", lambda _: sys.exit(3))
    assert run_apart([], tmp_path).code == 99


def test_a_tree_that_an_alias_made_endless_is_not_spoilt_for_ever():
    """`&a [*a]`, as a case of its own may leave it: the case falls back on spoiling the words."""
    endless: list = []
    endless.append(endless)
    with pytest.raises(ValueError, match="without end"):
        spoil({"a": endless}, Random(1))
