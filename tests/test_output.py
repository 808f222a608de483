"""Files into a folder: all or none, and nothing of the user's is overwritten."""

from __future__ import annotations

import pytest

from boardmaker.output import RECORD, write_set
from boardmaker.problems import ProblemsFound


def names(folder):
    return sorted(path.name for path in folder.iterdir())


def test_a_set_is_written_and_may_be_written_again(tmp_path):
    """What the program wrote it may overwrite."""
    write_set(tmp_path / "out", "board", {"a.txt": b"1", "b.txt": b"2"})
    write_set(tmp_path / "out", "board", {"a.txt": b"3", "b.txt": b"4"})
    assert (tmp_path / "out" / "a.txt").read_bytes() == b"3"
    assert names(tmp_path / "out") == [RECORD, "a.txt", "b.txt"]


def test_a_foreign_file_is_not_overwritten_and_nothing_else_is_written(tmp_path):
    """One file that is not ours stops the whole set."""
    (tmp_path / "b.txt").write_bytes(b"mine")
    with pytest.raises(ProblemsFound, match="not written by boardmaker"):
        write_set(tmp_path, "board", {"a.txt": b"1", "b.txt": b"2"})
    assert names(tmp_path) == ["b.txt"]
    assert (tmp_path / "b.txt").read_bytes() == b"mine"


def test_an_edited_file_is_not_overwritten(tmp_path):
    """A changed file belongs to the one who changed it."""
    write_set(tmp_path, "board", {"a.txt": b"1"})
    (tmp_path / "a.txt").write_bytes(b"edited")
    with pytest.raises(ProblemsFound, match=r"a\.txt"):
        write_set(tmp_path, "board", {"a.txt": b"2"})
    assert (tmp_path / "a.txt").read_bytes() == b"edited"
    write_set(tmp_path, "board", {"a.txt": b"2"}, force=True)
    assert (tmp_path / "a.txt").read_bytes() == b"2"


def test_what_is_no_longer_written_is_taken_away(tmp_path):
    """A second board of an earlier run would mislead; other commands' and edited files stay."""
    write_set(tmp_path, "torque", {"torque.pdf": b"t"})
    write_set(tmp_path, "board", {"board-1.svg": b"1", "board-2.svg": b"2", "board-3.svg": b"3"})
    (tmp_path / "board-3.svg").write_bytes(b"edited")
    write_set(tmp_path, "board", {"board-1.svg": b"1"})
    assert names(tmp_path) == [RECORD, "board-1.svg", "board-3.svg", "torque.pdf"]


def test_a_folder_that_cannot_be_made_is_a_clear_error(tmp_path):
    """A file stands where the folder should be."""
    (tmp_path / "out").write_bytes(b"")
    with pytest.raises(ProblemsFound, match="cannot write"):
        write_set(tmp_path / "out", "board", {"a.txt": b"1"})


def test_a_failure_half_way_leaves_nothing(tmp_path):
    """The second file cannot be written: the first is not there either."""
    with pytest.raises(ProblemsFound, match="cannot write"):
        write_set(tmp_path, "board", {"a.txt": b"1", "no/such/folder.txt": b"2"})
    assert names(tmp_path) == []


@pytest.mark.parametrize("record", [b"not json", b"[1]", b'{"a.txt": 5}', b"\xff"])
def test_a_broken_record_counts_as_none(tmp_path, record):
    """Then every file there is the user's."""
    (tmp_path / RECORD).write_bytes(record)
    (tmp_path / "a.txt").write_bytes(b"mine")
    with pytest.raises(ProblemsFound):
        write_set(tmp_path, "board", {"a.txt": b"1"})
