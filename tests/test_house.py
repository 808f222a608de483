"""The house in order: one name for one thing, and the developers' notes name files that are there."""

from __future__ import annotations

import re
from collections import defaultdict
from pathlib import Path

import boardmaker

ROOT = Path(boardmaker.__file__).parent
NOTES = Path(__file__).parent.parent / "DEVELOPERS.md"


def test_no_two_classes_share_a_name():
    """A private name counts like a public one: a reader searches for the word."""
    homes = defaultdict(list)
    for path in sorted(ROOT.rglob("*.py")):
        for name in re.findall(r"^ *class (\w+)[(:]", path.read_text(encoding="utf-8"), re.MULTILINE):
            homes[name.lstrip("_")].append(str(path.relative_to(ROOT)))
    assert len(homes) > 100
    assert {name: places for name, places in homes.items() if len(places) > 1} == {}


def test_the_notes_name_files_that_are_there():
    """Paths in back quotes, from the top of the tree or from the package."""
    named = re.findall(r"`([\w./]+/[\w.]+\.(?:py|csv|md))`", NOTES.read_text(encoding="utf-8"))
    assert len(named) > 40
    assert [name for name in named if not any((top / name).exists() for top in (NOTES.parent, ROOT))] == []
