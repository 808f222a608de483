"""The handbook of the bike file: each of its examples reads, and each key of the reader is in one of them."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from pydantic import ValidationError

from boardmaker.command_line import boardmaker
from boardmaker.inputs import read_bike, read_setup, values
from boardmaker.inputs.json_schema.words import WORDS
from boardmaker.inputs.nesting import annotations_of, is_shape, keys_of, kinds_of
from boardmaker.inputs.schema import BikeFileShape, HoleShape, PanelShape, SetupFileShape
from boardmaker.inputs.yaml.reader import read_yaml

LAYOUTS = Path(__file__).parent.parent / "layouts"
TOLD = (LAYOUTS / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"```yaml\n(.*?)```", TOLD, re.DOTALL)
HOLE = {"at": [0, 0], "fastener": "A"}
BASE = {  # what the examples name and another one shows
    "format": 1,
    "bike": {"name": "My bike"},
    "equipment": {"audio": "Speakers"},
    "fasteners": {key: {"thread": "M6", "length": 16} for key in "ABCPS"},
    "panels": {
        "seat": {"name": "Seat", "side": "centre", "holes": []},
        "cover-left": {"name": "Left cover", "side": "left", "holes": [HOLE]},
    },
    "jobs": {},
    "torques": {},
}


def data_of(block):
    with TemporaryDirectory() as folder:
        path = Path(folder) / "block.yaml"
        path.write_text(block, encoding="utf-8")
        return read_yaml(path).data


def is_setup(block):
    return "board:" in block


def whole_file(block):
    """The example's sections over those of a small bike; JSON is YAML."""
    data = data_of(block)
    return json.dumps(
        {key: {**value, **data.get(key, {})} if key != "format" else value for key, value in BASE.items()}
    )


def knows_holes_from_outlines():
    try:
        PanelShape.model_validate({"holes": "from outline"})
    except ValidationError:
        return False
    return True


def is_known(block):
    """Whether the reader has the ways to place a hole that an example shows."""
    if "holes: from outline" in block:
        return knows_holes_from_outlines()
    return " from: {" not in block or "from" in keys_of(HoleShape)


@pytest.mark.parametrize("block", BLOCKS, ids=lambda block: block.split("\n")[0])
def test_every_example_reads(block, tmp_path):
    """Without an error, beside the drawings that it names."""
    if not is_known(block):
        pytest.skip("this reader has no such key yet")
    shutil.copytree(LAYOUTS / "outlines", tmp_path / "outlines")
    (tmp_path / "outlines" / "cover-left.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="200mm" viewBox="0 0 300 200">'
        '<path d="M0 0H300V200H0Z"/><circle id="A-1" cx="20" cy="20" r="4"/></svg>',
        encoding="utf-8",
    )
    path = tmp_path / "example.yaml"
    path.write_text(block if is_setup(block) else whole_file(block), encoding="utf-8")
    assert (read_setup if is_setup(block) else read_bike)(path)


def keys_in(annotation, data):
    """Every key that is written, with the name of its shape as the schema calls it."""
    for kind, _ in kinds_of(annotation):
        if is_shape(kind) and isinstance(data, dict):
            name = re.sub(r"(?<!^)(?=[A-Z])", "-", kind.__name__.removesuffix("Shape")).lower()
            for key in data.keys() & annotations_of(kind).keys():
                yield name, key
                yield from keys_in(annotations_of(kind)[key], data[key])
        elif getattr(kind, "__origin__", None) in (dict, list) and isinstance(data, dict | list):
            for value in data.values() if isinstance(data, dict) else data:
                yield from keys_in(kind.__args__[-1], value)


def test_every_key_has_an_example():
    """Those of the bike file and of the setup file that the reader knows."""
    shown = {
        pair
        for block in BLOCKS
        for pair in keys_in(SetupFileShape if is_setup(block) else BikeFileShape, data_of(block))
    }
    known = {pair for pair in WORDS if pair != ("bike-file", "format")}
    if "from" not in keys_of(HoleShape):
        known -= {("hole", "from"), ("hole", "hand")}
    assert sorted(known - shown) == []


@pytest.mark.parametrize(
    "words",
    [values.KINDS, values.HEAD_SHAPES, values.INTO, values.BASES, values.WITH_IT, values.LOCKERS, values.FIXINGS,
     values.MATERIALS, values.INKS],
    ids=lambda words: words[0],
)  # fmt: skip
def test_the_lists_of_words_are_whole(words):
    """As the reader has them, in its order."""
    table = TOLD[TOLD.index("## Lists of words") :]
    row = next(line for line in table.split("\n") if line.startswith("|") and f"| {words[0]}" in line)
    cell = re.sub(r" \([^)]*\)", "", row.split("|")[2])
    assert tuple(word.strip() for word in cell.split(",")) == words


def test_the_commands_of_the_handbook_are_commands():
    """With options that they have; the two that draw and trace may not be there yet."""
    lines = re.findall(r"^boardmaker (\w+)(.*?)(?:   |$)", TOLD, re.MULTILINE)
    assert len(lines) > 8
    for name, rest in lines:
        if name not in boardmaker.commands and name in ("trace", "picture"):
            continue
        options = {option for one in boardmaker.commands[name].params for option in one.opts}
        typed = set(re.findall(r"--[a-z]+", rest)) - {"--watch", "--share"}
        assert typed <= options, name


def test_links_lead_somewhere():
    """Each heading that is named is there."""
    headings = {
        re.sub(r"[^a-z -]", "", line.lower()).strip().replace(" ", "-")
        for line in TOLD.split("\n")
        if line.startswith("##")
    }
    named = re.findall(r"\]\(#([a-z-]+)\)", TOLD)
    assert len(named) > 10
    assert set(named) <= headings
