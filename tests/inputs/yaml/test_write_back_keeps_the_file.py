"""A value written back changes its own line and nothing else."""

import difflib
from pathlib import Path

import pytest

from boardmaker.inputs import read_setup, write_setup_value

FIXTURES = Path(__file__).resolve().parents[3] / "fixtures" / "inputs"
SCALE = (1.0012, 0.9987)
LAYOUTS = {
    "comments in flow": "format: 1\ncase:\n  outline: [[0, 0],   # rim\n   [560, 0],\n   [560, 400], [0, 400]]\n",
    "wide indent": "format: 1\n\n# mine\nprinter:\n    margins: 6\n    # mine\n    scale: [1, 1]\n\npaper: A4 # here\n",
    "lists at the key": "format: 1\ncase:\n  inside: 56 x 40 cm\n  keep_out:\n  - {at: [0, 9], size: [3, 6]}  # a\n",
    "spaces in braces": "format: 1\nboard: { size: 20 x 30 in,  margin: 8 mm }   # stock\nprinter: { margins: 6 mm }\n",
    "no last line end": "format: 1\npaper: 'A4'",
    "windows line ends": "format: 1\r\npaper: A4\r\n",
    "byte order mark": "\ufeffformat: 1\npaper: A4\n",
    "empty printer": "format: 1\nprinter:\npaper: A4\n",
}


@pytest.mark.parametrize("name", LAYOUTS)
def test_only_the_lines_of_the_value_change(tmp_path, name):
    """Every other line, its comment and its spaces stay as they were, byte for byte."""
    before = LAYOUTS[name]
    path = tmp_path / "setup.yaml"
    path.write_bytes(before.encode())
    write_setup_value(path, ("printer", "scale"), SCALE)
    after = path.read_bytes().decode()
    assert read_setup(path)[0].printer.scale == SCALE
    changed = [
        line
        for line in difflib.ndiff(before.splitlines(keepends=True), after.splitlines(keepends=True))
        if line[0] == "-"
    ]
    assert len(changed) <= 2
    assert all("printer" in line or "scale" in line or "A4'" in line for line in changed), changed


def test_the_full_setup_file_changes_in_one_line(tmp_path):
    """A setup file with every key, comments and all, differs in the scale alone."""
    before = (FIXTURES / "full-setup.yaml").read_text(encoding="utf-8")
    path = tmp_path / "setup.yaml"
    path.write_text(before, encoding="utf-8")
    write_setup_value(path, ("printer", "scale"), SCALE)
    after = path.read_text(encoding="utf-8")
    lines = [(a, b) for a, b in zip(before.splitlines(), after.splitlines(), strict=True) if a != b]
    assert len(lines) == 1
    assert "1.0012" in lines[0][1]
    assert "printed length / true length" in lines[0][1]


def test_a_linked_file_stays_a_link(tmp_path):
    """A setup file that is a symbolic link is written where it leads to."""
    true = tmp_path / "true.yaml"
    true.write_text("format: 1\n", encoding="utf-8")
    link = tmp_path / "setup.yaml"
    link.symlink_to(true)
    write_setup_value(link, ("paper",), "A3")
    assert link.is_symlink()
    assert read_setup(true)[0].paper.name == "A3"
