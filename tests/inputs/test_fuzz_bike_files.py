"""Whatever stands in a file: a bike, or complaints that a mechanic can use. Never anything else."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from boardmaker.inputs import read_bike, read_setup
from boardmaker.problems import ProblemsFound, format_problem

pytestmark = pytest.mark.slow

BIKE = Path("fixtures/inputs/full-bike.yaml").read_text(encoding="utf-8")
SETUP = Path("fixtures/inputs/full-setup.yaml").read_text(encoding="utf-8")
MACHINE_WORDS = re.compile(
    r"Input should|validation|pydantic|\bNone|Type\b|Shape\b|dict\b|\bstr\b|\bint\b|tuple|Error\b|object at|<class"
)
BOUNDED = settings(
    max_examples=200, deadline=None, derandomize=True, database=None, suppress_health_check=list(HealthCheck)
)
FEWER = settings(BOUNDED, max_examples=100)  # where each is a whole file
ODD_VALUES = st.sampled_from(
    ["", "null", "~", "true", "no", "-1", "0", "1e400", "-.inf", ".NaN", "0x1F", "010", "1_000", "2017-01-01", "1:30",
     "9" * 500, "[]", "{}", "[[]]", "[1, [2, {a: 3}]]", "{a: {b: c}}", "{ file: ../x.svg }", "{ file: 'x' }", "!!int 5",
     "!x y", "&a [*a]", "*a", "<<", "=", "'", '"\\U0010FFFF"', '"\\uD800"', "|", ">", "@", "`", "%", "#10-32", "A, B:",
     "seat", "knee-left", "[seat, seat]", "M6", "M6 x 16", "5 N·m", "20 x 30 in", "left", "x" * 3000, "\t", "- -",
     "1 1/2 in", "1/0 in", "[90 deg]", "9 to 5 N·m", "[[0, 0], [1, 1], [0, 1], [1, 0]]", "[[0, 0], [0, 0], [0, 0]]"]
)  # fmt: skip


def assert_it_reads_or_complains(folder, text, read=read_bike):
    """Read it; every complaint has a place inside the file and speaks no machine's language."""
    path = folder / "some.yaml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode("utf-8", "surrogatepass"))
    lines = len(re.split(r"\r\n?|\n", path.read_bytes().decode("utf-8", "replace")))
    try:
        _, problems = read(path)
    except ProblemsFound as found:
        problems = found.problems
        assert problems
    for problem in problems:
        assert problem.where is not None, problem
        assert 1 <= problem.where.line <= max(1, lines), problem
        assert 1 <= problem.where.column <= len(problem.where.source) + 1 or problem.where.source == "", problem
        said = problem.message.replace(str(path), "")
        assert not MACHINE_WORDS.search(re.sub(r'"[^"]*"|`[^`]*`', "", said)), problem
        assert format_problem(problem)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("fuzz")


@BOUNDED
@given(
    st.text(
        alphabet=st.sampled_from("format: 1bike[]{},#&*!|>'\"%@`-?:\n \t\r\\~=<0.é\x85\u2028\ufeff\x00"), max_size=80
    )
)
def test_any_text(folder, text):
    """Letters that mean something to YAML, in any order."""
    assert_it_reads_or_complains(folder, text)


@BOUNDED
@given(st.binary(max_size=60))
def test_any_bytes(folder, content):
    """Not even text."""
    assert_it_reads_or_complains(folder, content)


def mutations(text):
    """The text with a few of its lines deleted, doubled, moved, or given another value."""
    lines = text.splitlines()
    places = st.integers(0, len(lines) - 1)
    change = st.one_of(
        st.tuples(st.just("delete"), places, st.just("")),
        st.tuples(st.just("double"), places, st.just("")),
        st.tuples(st.just("swap"), places, st.just("")),
        st.tuples(st.just("indent"), places, st.just("")),
        st.tuples(st.just("cut"), places, st.just("")),
        st.tuples(st.sampled_from(["value", "value", "value", "key"]), places, ODD_VALUES),
    )
    return st.builds(
        lambda changes, first: mutate(lines, changes, first), st.lists(change, min_size=1, max_size=4), st.booleans()
    )


def mutate(lines, changes, first):
    lines = list(lines)
    for what, place, value in changes:
        at = min(place, len(lines) - 1)
        line = lines[at]
        pieces = list(re.finditer(r": *([^,{}\[\]:#]+)", line))
        match what:
            case "delete" if len(lines) > 1:
                del lines[at]
            case "double":
                lines.insert(at, line)
            case "swap":
                lines[at], lines[at - 1] = lines[at - 1], line
            case "indent":
                lines[at] = f" {line}"
            case "cut":
                lines[at] = line[: len(line) // 2]
            case "value" if pieces:
                piece = pieces[0 if first else -1]
                lines[at] = f"{line[: piece.start(1)]}{value}{line[piece.end(1) :]}"
            case "key":
                lines[at] = re.sub(r"[\w-]+(?=:)", value.replace("\\", ""), line, count=1)
    return "\n".join(lines)


@FEWER
@given(mutations(BIKE))
def test_the_full_bike_with_slips(folder, text):
    """Lines lost, doubled or cut, and odd values in place of the right ones."""
    assert_it_reads_or_complains(folder, text)


@FEWER
@given(mutations(SETUP))
def test_the_full_setup_with_slips(folder, text):
    """The same for the setup file."""
    assert_it_reads_or_complains(folder, text, read_setup)
