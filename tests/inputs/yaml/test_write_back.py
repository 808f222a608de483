"""A value written into a setup file: it reads back, and no other letter of the file changes."""

from __future__ import annotations

import difflib
from pathlib import Path

import pytest

from boardmaker.inputs import read_setup, write_setup_value
from boardmaker.inputs.yaml.reader import read_yaml
from boardmaker.problems import ProblemsFound

FULL = Path("fixtures/inputs/full-setup.yaml").read_text(encoding="utf-8")
SCALE = ("printer", "scale")
MEASURED = (1.0027, 0.9981)


@pytest.fixture
def written(tmp_path):
    """Write a file, set a value, and return its lines that went and its lines that came."""

    def write(text, keys=SCALE, value=MEASURED):
        path = tmp_path / "setup.yaml"
        path.write_bytes(text.encode("utf-8"))
        write_setup_value(path, keys, value)
        after = path.read_bytes().decode("utf-8")
        assert list(tmp_path.iterdir()) == [path]
        changed = [one for one in difflib.ndiff(text.splitlines(True), after.splitlines(True)) if one[0] in "-+"]
        return [one[2:] for one in changed if one[0] == "-"], [one[2:] for one in changed if one[0] == "+"], path

    return write


def test_only_the_value_changes(written):
    """Comments, order, quotes and spaces of the example setup file stay."""
    gone, come, path = written(FULL)
    comment = "                # printed length / true length across (x) and along (y) a portrait page\n"
    assert gone == [f"  scale: [1.000, 1.000]{comment}"]
    assert come == [f"  scale: [1.0027, 0.9981]{comment}"]
    assert read_setup(path)[0].printer.scale == MEASURED


def test_windows_line_ends_stay(written):
    """Also for a line that is new."""
    gone, come, _ = written(FULL.replace("\n", "\r\n"))
    assert len(gone) == len(come) == 1
    _, come, path = written("format: 1\r\npaper: A4\r\n")
    assert come == ["printer:\r\n", "  scale: [1.0027, 0.9981]\r\n"]
    assert b"\n" not in path.read_bytes().replace(b"\r\n", b"")


@pytest.mark.parametrize(
    ("text", "gone", "come"),
    [
        ("format: 1\npaper: A4", ["paper: A4"], ["paper: A4\n", "printer:\n", "  scale: [1.0027, 0.9981]\n"]),
        ("format: 1\n# the end\n", [], ["printer:\n", "  scale: [1.0027, 0.9981]\n"]),
        ("format: 1\nprinter:  # mine\npaper: A4\n", [], ["  scale: [1.0027, 0.9981]\n"]),
        ("format: 1\nprinter:\n    margins: 6 mm\n\n# paper\npaper: A4\n", [], ["    scale: [1.0027, 0.9981]\n"]),
        ("format: 1\nprinter:\n  margins:\n    left: 6  # x\n# end\n", [], ["  scale: [1.0027, 0.9981]\n"]),
        ("format: 1\nprinter:\n  scale:  # later\n", ["  scale:  # later\n"], ["  scale: [1.0027, 0.9981]  # later\n"]),
        ("format: 1\nprinter:\n  scale:\n    - 1.0  # x\n    - 1.0  # y\n", ["    - 1.0  # x\n", "    - 1.0  # y\n"],
         ["    - 1.0027  # x\n", "    - 0.9981  # y\n"]),
        ("format: 1\nprinter: { margins: 6 mm }  # x\n", ["printer: { margins: 6 mm }  # x\n"],
         ["printer: { margins: 6 mm, scale: [1.0027, 0.9981] }  # x\n"]),
        ("format: 1\nprinter: {}\n", ["printer: {}\n"], ["printer: { scale: [1.0027, 0.9981] }\n"]),
        ("{ format: 1 }\n", ["{ format: 1 }\n"], ["{ format: 1, printer: { scale: [1.0027, 0.9981] } }\n"]),
        ("format: 1\n'printer': { \"scale\": [ 1,1 ] }\n", ["'printer': { \"scale\": [ 1,1 ] }\n"],
         ["'printer': { \"scale\": [ 1.0027,0.9981 ] }\n"]),
        ("\ufeffformat: 1\npaper: 'A4'\n", [], ["printer:\n", "  scale: [1.0027, 0.9981]\n"]),
        ("%YAML 1.2\n---\nformat: 1\nprinter:\n  margins: 6\n...\n", [], ["  scale: [1.0027, 0.9981]\n"]),
    ],
)  # fmt: skip
def test_the_rest_stays_in_every_layout(written, text, gone, come):
    """A section, a key or a value that is missing is made in the layout of its surroundings."""
    found_gone, found_come, path = written(text)
    assert ([*found_gone], [*found_come]) == (gone, come)
    assert read_setup(path)[0].printer.scale == MEASURED


@pytest.mark.parametrize("value", ["A3", "13 x 19 in", "roll of 610 mm", "no", "1.5", "#3", "it's", "", 6.0, 0.1 + 0.2])
def test_what_is_written_is_what_is_read(written, value):
    """Texts are quoted where YAML would read them as something else; numbers keep all their digits."""
    for text in (FULL, "format: 1\n", "{ format: 1 }\n"):
        path = written(text, ("paper",), value)[2]
        assert read_yaml(path).data["paper"] == value


def test_a_missing_file_is_made(tmp_path):
    """With its format, so that it can be read."""
    path = tmp_path / "new.yaml"
    write_setup_value(path, SCALE, MEASURED)
    assert path.read_text(encoding="utf-8") == "format: 1\nprinter:\n  scale: [1.0027, 0.9981]\n"
    assert read_setup(path)[0].printer.scale == MEASURED


def test_a_link_stays_a_link(tmp_path):
    """The file that it leads to is written."""
    (tmp_path / "real").mkdir()
    real, link = tmp_path / "real" / "setup.yaml", tmp_path / "setup.yaml"
    real.write_text("format: 1\n", encoding="utf-8")
    link.symlink_to(real)
    write_setup_value(link, SCALE, MEASURED)
    assert link.is_symlink()
    assert read_setup(real)[0].printer.scale == MEASURED


def test_permissions_stay(tmp_path):
    """A file that only its owner may read is not opened to others by writing it."""
    path = tmp_path / "setup.yaml"
    path.write_text("format: 1\n", encoding="utf-8")
    path.chmod(0o600)
    write_setup_value(path, SCALE, MEASURED)
    assert path.stat().st_mode & 0o777 == 0o600


@pytest.mark.parametrize("name", [".setup.yaml.partial", ".setup.yaml"])
def test_a_link_beside_the_file_is_not_written_through(tmp_path, name):
    """Somebody guessed what the file is called while it is written."""
    path, victim = tmp_path / "setup.yaml", tmp_path / "victim.txt"
    path.write_text("format: 1\n", encoding="utf-8")
    victim.write_text("precious", encoding="utf-8")
    (tmp_path / name).symlink_to(victim)
    write_setup_value(path, SCALE, MEASURED)
    assert victim.read_text(encoding="utf-8") == "precious"
    assert (tmp_path / name).is_symlink()
    assert not path.is_symlink()
    assert read_setup(path)[0].printer.scale == MEASURED


def test_what_cannot_be_written_whole_leaves_nothing(tmp_path, monkeypatch):
    """The disk is full."""

    def full(_handle):
        raise OSError(28, "No space left on device")

    path = tmp_path / "setup.yaml"
    path.write_text("format: 1\n", encoding="utf-8")
    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(ProblemsFound, match="No space left"):
        write_setup_value(path, SCALE, MEASURED)
    assert [one.name for one in tmp_path.iterdir()] == ["setup.yaml"]
    assert path.read_text(encoding="utf-8") == "format: 1\n"


def test_a_read_only_file_is_left_alone(tmp_path):
    """And the complaint says so."""
    path = tmp_path / "setup.yaml"
    path.write_text("format: 1\n", encoding="utf-8")
    path.chmod(0o444)
    with pytest.raises(ProblemsFound, match="read-only"):
        write_setup_value(path, SCALE, MEASURED)
    assert path.read_text(encoding="utf-8") == "format: 1\n"


@pytest.mark.parametrize(
    "text",
    [
        "format: 1\nx: &a [1.0, 1.0]\nprinter:\n  scale: *a\n",
        "format: 1\nprinter: 6 mm\n",
        "format: 1\nprinter: [",
        "format: 1\nformat: 1\n",
        "- format: 1\n",
        "",
    ],
    ids=["alias", "another kind", "no YAML", "written twice", "list", "empty"],
)
def test_a_file_that_cannot_be_edited_stays_as_it_was(tmp_path, text):
    """Rather no value than a spoiled file; nothing is left lying beside it."""
    path = tmp_path / "setup.yaml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(ProblemsFound):
        write_setup_value(path, SCALE, MEASURED)
    assert path.read_text(encoding="utf-8") == text
    assert list(tmp_path.iterdir()) == [path]


def test_a_folder_that_is_not_there_is_said(tmp_path):
    """No folder is made for it."""
    with pytest.raises(ProblemsFound, match="cannot write"):
        write_setup_value(tmp_path / "nowhere" / "setup.yaml", SCALE, MEASURED)
    assert list(tmp_path.iterdir()) == []
