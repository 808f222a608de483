"""The list of places that the handbook shows, and the words that it names: as the program reads them."""

from __future__ import annotations

import re
from pathlib import Path
from typing import get_args

from boardmaker.inputs.schema import PanelShape
from boardmaker.tracing import read_tracing
from boardmaker.tracing.point_list import COLUMNS

HANDBOOK = Path("layouts/README.md").read_text(encoding="utf-8")


def test_the_handbooks_list_is_traced(tmp_path):
    shown = re.search(r"```text\n(panel;what;.*?)```", HANDBOOK, re.DOTALL)
    assert shown is not None
    path = tmp_path / "lid.csv"
    path.write_text(shown[1], encoding="utf-8")
    (panel,) = read_tracing(path, ["lid"], ["A"], None, None).panels
    assert panel.key == "lid"
    assert sorted(panel.outline) == [(0, 0), (0, 120.5), (180, 0), (180, 120.5)]
    assert [(hole.at, hole.fastener, dict(hole.keys)) for hole in panel.holes] == [
        ((10, 10), "A", {"into": "clip nut", "stack": "3 mm"}),
        ((170, 10), "A", {"into": "clip nut", "stack": "3 mm"}),
    ]


def test_every_column_is_in_the_handbook():
    part = HANDBOOK[HANDBOOK.index("A CSV has the columns") : HANDBOOK.index("panel;what;")]
    assert [name for name in COLUMNS if f"`{name}`" not in part] == []


def test_the_views_of_the_handbook_are_those_of_the_file():
    """Of a centre panel; `side` is what the others are seen from."""
    row = re.search(r"\| `view` of a centre panel \| (.*?) \|", HANDBOOK)
    assert row is not None
    assert {*row[1].split(", ")} == {*_words("view")} - {"side"}


def _words(key):
    kind, seen = PanelShape.model_fields[key].annotation, []
    while not seen:
        seen = [one for one in get_args(kind) if isinstance(one, str)]
        kind = next((one for one in get_args(kind) if get_args(one)), None)
    return seen
