"""Files with one mistake each: the complaint stands as a comment on the wrong line.

`# error: part of the message | hint: part of the hint`; a file is right when its complaints are these and no others.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from boardmaker.inputs import read_bike, read_setup
from boardmaker.problems import ProblemsFound

FOLDER = Path("fixtures/inputs/wrong")
FILES = sorted(FOLDER.glob("*.yaml"))
EXPECTED = re.compile(r"# (error|warning): (.*?)(?: \| hint: (.*))?$")


def problems_of(path):
    read = read_setup if path.stem.startswith("setup-") else read_bike
    try:
        return read(path)[1]
    except ProblemsFound as found:
        return found.problems


def expected_of(path):
    """Line, severity, message and hint of every complaint that the file announces."""
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
        if match := EXPECTED.search(line):
            yield number, match[1], match[2], match[3] or ""


def test_there_are_wrong_files():
    """An empty folder would make every test below pass."""
    assert len(FILES) > 100
    assert all(list(expected_of(path)) for path in FILES)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_wrong_file_gets_its_complaint(path):
    """The complaint is on its line, says what it should, and has a hint where one is expected."""
    found, expected = problems_of(path), list(expected_of(path))
    assert [(one.where.line, str(one.severity)) for one in found] == [(line, kind) for line, kind, _, _ in expected], (
        "\n".join(one.message for one in found)
    )
    for problem, (_, _, message, hint) in zip(found, expected, strict=True):
        assert message in problem.message
        assert hint in problem.hint
        assert (
            problem.where.source.rstrip("\r\n") == path.read_text(encoding="utf-8").splitlines()[problem.where.line - 1]
        )
        assert 1 <= problem.where.column <= len(problem.where.source) + 1
