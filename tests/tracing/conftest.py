"""A drawing written into a file and read back as panels."""

from __future__ import annotations

import pytest

from boardmaker.problems import ProblemsFound
from boardmaker.tracing import read_tracing

PANELS = ("knee-left", "knee-right", "seat", "tail_cover")
FASTENERS = ("A", "B", "C", "D1", "long-1")


@pytest.fixture
def trace(tmp_path):
    """Return a function that reads a text, or bytes, as the file of a name."""

    def read(content, name="d.svg", known=None, unit=None, panels=PANELS, fasteners=FASTENERS):
        path = tmp_path / name
        if isinstance(content, str):
            path.write_text(content, encoding="utf-8", newline="")
        elif content is not None:
            path.write_bytes(content)
        return read_tracing(path, panels, fasteners, known, unit)

    return read


@pytest.fixture
def refused(trace):
    """Return a function that reads as `trace` and returns the messages, each with its hint, of a refusal."""

    def read(*arguments, **options):
        with pytest.raises(ProblemsFound) as found:
            trace(*arguments, **options)
        for problem in found.value.problems:
            assert problem.hint, problem
            assert problem.where is not None or "d." in problem.message, problem
        return [f"{one.where.line if one.where else 0}: {one.message} | {one.hint}" for one in found.value.problems]

    return read
