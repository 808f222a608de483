"""Files from strangers: each is refused or read within bounds, with a reason and a remedy, and never a fault."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from boardmaker.inputs import read_bag, read_bike, read_setup
from boardmaker.inputs.yaml.reader import LARGEST_FILE, decode_text
from boardmaker.problems import ProblemsFound

HEAD = "format: 1\nbike: { name: Test bike }\n"
SEAT = "panels:\n  seat: { name: Seat, side: centre, holes: [] }\n"


def written(folder, name, content):
    path = folder / name
    path.write_text(content, encoding="utf-8")
    return path


def only_problem(read, *arguments):
    with pytest.raises(ProblemsFound) as found:
        read(*arguments)
    (problem,) = found.value.problems
    return problem


def test_blank_lines_at_the_start_are_read_once_each(tmp_path, bike_from):
    """A pattern over all of them at once doubled its time with every line."""
    blank = "\n" * 200 + " \n# note\n" * 200
    bike = bike_from(blank + HEAD + "fasteners: { A: { thread: M6 } }\n" + SEAT)
    assert bike.name == "Test bike"
    assert read_setup(written(tmp_path, "setup.yaml", blank + "format: 1\n"))
    assert read_bag(written(tmp_path, "bag.csv", "\n" * 400 + "key,count\nA,3\n"), bike).counts[0].count == 3


@pytest.mark.parametrize("start", ["", "\n" * 50, "# note\n\n \n" * 50])
def test_another_yaml_is_refused_at_its_line(start):
    """Also below many blank lines; 1.2 is taken, and a text that only looks so further down."""
    with pytest.raises(ProblemsFound, match="another YAML") as found:
        decode_text((start + "%YAML 1.1\n---\n").encode(), "bike.yaml")
    assert found.value.problems[0].where.line == start.count("\n") + 1
    decode_text((start + "%YAML 1.2\n---\n").encode(), "bike.yaml")
    decode_text((start + "a: 1\n%YAML 1.1\n").encode(), "bike.yaml")


def test_every_text_has_a_largest_size(tmp_path, bike_from):
    """Bike, setup and list alike; the remedy stands with it."""
    bike = bike_from(HEAD + SEAT)
    path = written(tmp_path, "large", "#" * (LARGEST_FILE + 1))
    for read in (read_bike, read_setup, lambda one: read_bag(one, bike)):
        problem = only_problem(read, path)
        assert f"larger than {LARGEST_FILE // 1000} kB" in problem.message
        assert problem.hint


def test_a_device_without_end_is_read_no_further_than_a_file():
    """It says that it has no bytes at all."""
    device = only_problem(read_bike, Path("/dev/zero"))
    assert "larger than" in device.message


def test_names_that_no_system_takes(tmp_path):
    """Too long, or bytes that are no text: a reason, and what can be printed of the name."""
    assert "name too long" in only_problem(read_bike, tmp_path / ("x" * 300)).message.lower()
    odd = only_problem(read_bike, tmp_path / os.fsdecode(b"\xff.yaml"))
    assert "UTF-8" in odd.message
    assert odd.message.isascii()
    assert odd.hint == "rename the file"
