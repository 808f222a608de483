"""Files that are wrong as files: not there, not text, too large, growing without end, or full of mistakes."""

from __future__ import annotations

import time

import pytest

from boardmaker.inputs import read_bike
from boardmaker.inputs.complaints import MOST_PROBLEMS
from boardmaker.inputs.yaml.reader import read_yaml
from boardmaker.problems import ProblemsFound, Severity, format_problem

HEAD = "format: 1\nbike: { name: Test bike }\n"
SEAT = "panels:\n  seat: { name: Seat, side: centre, holes: [] }\n"


@pytest.fixture
def problems_of(tmp_path):
    def read(content):
        path = tmp_path / "bike.yaml"
        path.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8"))
        try:
            return read_bike(path)[1]
        except ProblemsFound as found:
            return found.problems

    return read


def test_a_file_that_is_not_there(tmp_path):
    """Said with its name; a folder is no file either."""
    for path in (tmp_path / "none.yaml", tmp_path):
        with pytest.raises(ProblemsFound, match=f"cannot read {path}"):
            read_bike(path)


@pytest.mark.parametrize(
    ("content", "message", "line"),
    [
        (b"", "empty", 1),
        (b"# only a comment\n", "empty", 1),
        (b"---\n...\n", "mapping", 2),
        (b"\xff\xfef\x00o\x00", "not UTF-8", 1),
        ("name: caf\u00e9\n".encode("latin-1"), "not UTF-8", 1),
        ((HEAD + "x: \x07\n").encode(), "control character", 3),
        ((HEAD + "x: \x9b\n").encode(), "control character", 3),
        ((HEAD + 'jobs: { oil: { name: "\\x07" } }\n' + SEAT).encode(), "not for printing", 3),
        ((HEAD + f"jobs: {{ oil: {{ name: {'x' * 3000} }} }}\n" + SEAT).encode(), "longer than", 3),
        (b'a: "\\UFFFFFFFF"\n', "not YAML", 1),
        (b"[" * 5000, "nested too deeply", 1),
        (b"- " * 5000, "nested too deeply", 1),
        ((HEAD + "x: " + "{ a: " * 40 + "1" + " }" * 40).encode(), "nested too deeply", 3),
        ((HEAD + "x: &a [*a]\n").encode(), "nested too deeply", 3),
    ],
    ids=lambda value: str(value)[:20],
)  # fmt: skip
def test_what_is_no_file_of_ours(problems_of, content, message, line):
    """One complaint, at its line."""
    (problem, *_) = problems_of(content)
    assert message in problem.message
    assert problem.where.line == line
    assert format_problem(problem)


def test_a_file_larger_than_any_bike(problems_of):
    """It is not even read."""
    (problem,) = problems_of(b"#" * 300_001)
    assert "larger than 300 kB" in problem.message


def test_aliases_that_grow_are_refused_quickly(problems_of):
    """Ten lists of ten of the one before: ten thousand million values, if somebody wrote them out."""
    rows = ["x0: &x0 [1, 1, 1, 1, 1, 1, 1, 1, 1, 1]"]
    rows += [f"x{i}: &x{i} [{', '.join([f'*x{i - 1}'] * 10)}]" for i in range(1, 10)]
    start = time.process_time()
    (problem,) = problems_of(HEAD + "\n".join(rows))
    assert "aliases" in problem.message
    assert time.process_time() - start < 5


def test_an_anchor_may_be_given_twice(problems_of):
    """YAML 1.2 lets it; no warning of the YAML library comes out (warnings are errors in these tests)."""
    assert problems_of("format: &a 1\nbike: { name: &a Test bike, years: *a }\n" + SEAT) == ()


def test_an_alias_in_its_place_is_taken(problems_of):
    """One value for several fasteners is no attack."""
    text = (
        HEAD
        + "fasteners:\n  A: { thread: M6, head: &head { diameter: 12 } }\n  B: { thread: M5, head: *head }\n"
        + SEAT
    )
    assert problems_of(text) == ()


def test_many_mistakes_are_cut(problems_of):
    """The first fifty in file order, and how many more there are."""
    rows = "".join(f"  f{number}: {{ thread: M6, torqe: 5 }}\n" for number in range(70))
    problems = problems_of(HEAD + "fasteners:\n" + rows + SEAT)
    assert len(problems) == MOST_PROBLEMS + 1
    assert [one.where.line for one in problems] == list(range(4, 4 + MOST_PROBLEMS + 1))
    assert problems[-1].message == "and 20 more; mend these first"


def test_many_warnings_do_not_become_an_error(problems_of):
    """A file with sixty warnings is still a file that can be used."""
    rows = "".join(f"  f{number}: {{ kind: shoulder screw, thread: M6 }}\n" for number in range(60))
    problems = problems_of(HEAD + "fasteners:\n" + rows + SEAT)
    assert {one.severity for one in problems} == {Severity.WARNING}


def test_a_mark_at_the_start_and_windows_line_ends_are_taken(tmp_path):
    """As some editors save; the columns of complaints do not count the mark."""
    path = tmp_path / "bike.yaml"
    path.write_bytes(("\ufeff" + (HEAD + SEAT).replace("\n", "\r\n")).encode("utf-8"))
    bike, warnings = read_bike(path)
    assert (bike.name, warnings) == ("Test bike", ())
    path.write_bytes("\ufeffformt: 1\r\n".encode())
    with pytest.raises(ProblemsFound) as found:
        read_bike(path)
    assert found.value.problems[0].where.column == 1


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("010", 10), ("0o10", 8), ("0x1F", 31), ("+5", 5), ("1.50", 1.5), ("1e3", 1000.0), ("true", True),
        ("False", False), ("yes", "yes"), ("no", "no"), ("on", "on"), ("1:30", "1:30"), ("1_000", "1_000"),
        ("0b11", "0b11"),
        ("2017-01-01", "2017-01-01"), ("2017-2021", "2017-2021"), ("=", "="), ("'1'", "1"), ("~", None), ("", None),
    ],
)  # fmt: skip
def test_values_are_those_of_yaml_1_2(tmp_path, text, value):
    """YAML 1.2.2, 10.3.2: no sexagesimals, no underscores, no yes; a leading nought is no octal."""
    path = tmp_path / "some.yaml"
    path.write_text(f"format: {text}\n", encoding="utf-8")
    found = read_yaml(path).data["format"]
    assert found == value
    assert isinstance(found, type(value))


def test_an_unknown_key_without_a_value_is_unknown_first(tmp_path):
    """What it was meant to be is more use than that it has no value."""
    path = tmp_path / "bike.yaml"
    path.write_text(HEAD + "fasteners:\n  A:\n    tread:\n" + SEAT, encoding="utf-8")
    with pytest.raises(ProblemsFound) as found:
        read_bike(path)
    assert [(one.message, one.hint) for one in found.value.problems if "tread" in one.message] == [
        ("unknown key `tread`", "did you mean `thread`?")
    ]
