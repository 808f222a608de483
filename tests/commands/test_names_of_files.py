"""Names that no file can have, links that lead nowhere, folders that nobody may look into: said, and no fault."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from boardmaker.command_line import run


def refused(capsys, *arguments):
    assert run([str(one) for one in arguments]) == 1
    said = capsys.readouterr().err
    assert "internal fault" not in said
    return said


def test_a_name_too_long(capsys, tmp_path):
    """For a bike and for a setup file."""
    path = tmp_path / ("x" * 300)
    assert "name too long" in refused(capsys, "check", path).lower()
    assert "name too long" in refused(capsys, "testpage", "--setup", path).lower()


def test_a_name_that_is_no_text(capsys, tmp_path):
    """The file is there, but its name could not be printed on any sheet."""
    path = tmp_path / os.fsdecode(b"a\xff.yaml")
    path.write_text("format: 1\nbike: { name: T }\npanels: { p: { name: P, side: left, holes: [] } }\n", "utf-8")
    assert "is no file name in UTF-8" in (said := refused(capsys, "check", path))
    assert "hint: rename the file" in said


def test_such_a_name_is_not_suggested(capsys, tmp_path):
    """It cannot be typed either."""
    (tmp_path / os.fsdecode(b"bik\xff.yaml")).touch()
    assert "did you mean" not in refused(capsys, "check", tmp_path / "bike.yaml")


def test_a_link_to_itself(capsys, tmp_path):
    """Its target will never be found."""
    path = tmp_path / "bike.yaml"
    path.symlink_to(path)
    assert "is a link that leads to no file" in (said := refused(capsys, "check", path))
    assert "hint: " in said


def test_a_folder_that_nobody_may_look_into(capsys, tmp_path, monkeypatch):
    """The system's reason for the file, and no suggestion out of the folder."""

    def refuse(*_, **__):
        raise PermissionError(13, "Permission denied")

    with monkeypatch.context() as closed:
        closed.setattr(Path, "iterdir", refuse)
        assert "there is no file" in refused(capsys, "check", tmp_path / "bike.yaml")
    with monkeypatch.context() as closed:
        closed.setattr(Path, "exists", refuse)
        assert "Permission denied" in refused(capsys, "check", tmp_path / "bike.yaml")


@pytest.mark.parametrize("kind", ["folder", "pipe"])
def test_what_is_no_file(capsys, tmp_path, kind):
    """Nothing is waited for."""
    path = tmp_path / kind
    path.mkdir() if kind == "folder" else os.mkfifo(path)
    said = refused(capsys, "check", path)
    words = {"folder": "is a folder, not a file\n  hint: it is empty", "pipe": "is no ordinary file\n  hint: copy what"}
    assert words[kind] in said
    if kind == "folder":
        (path / "bike.yaml").touch()
        assert f"hint: name one of its files, such as {path / 'bike.yaml'}" in refused(capsys, "check", path)
