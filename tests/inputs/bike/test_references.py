"""What names what: every such key is looked at, once, wherever it stands."""

from __future__ import annotations

import dataclasses

import pytest

from boardmaker.inputs import read_bike
from boardmaker.inputs.bike.references import KnownKeys, check_references, existing, known_keys
from boardmaker.inputs.findings import Findings
from boardmaker.inputs.nesting import sections_of
from boardmaker.inputs.schema import BikeFileShape
from boardmaker.inputs.yaml.reader import read_yaml
from boardmaker.problems import ProblemsFound

# Every place of a bike file that names something, each with a name of nothing: a letter and the line's own number.
NOBODY = """format: 1
bike: { name: Test bike }
equipment: { audio: Speakers }
fasteners: { A: { thread: M6, length: 16 } }
panels:
  image:
    mirrors: p7
  lid:
    name: Lid
    side: left
    after: [lid-2, p11]
    rides_on: p12
    with: e13
    without: [e14]
    holes:
      - at: [0, 0]
        fastener: f17
        also_holds: [p18, lid-2]
        with: [audio, e19]
        without: e20
    fixings:
      - kind: hook
        with: e23
        without: e24
  lid-2: { name: Second lid, side: left, holes: [] }
jobs:
  oil:
    name: Oil
    remove: [lid, p29]
    apart: p30
    torques: [plug, r31]
torques:
  plug:
    what: Plug
    torque: 5 N·m
    jobs: [j36, oil]
    with: e37
    without: e38
"""
WORDS = {"p": "panel", "e": "equipment", "f": "fastener", "r": "torque row", "j": "job"}


@pytest.fixture
def written(tmp_path):
    def write(text):
        path = tmp_path / "bike.yaml"
        path.write_text(text, encoding="utf-8")
        return path

    return write


def expected(text):
    """Line and message of the complaint about each name of nothing."""
    for line, source in enumerate(text.splitlines(), 1):
        for letter, word in WORDS.items():
            if f"{letter}{line}" in source:
                yield line, f'there is no {word} "{letter}{line}"'


def test_every_reference_is_looked_at(written):
    """Seventeen places; each is complained of once, on its line, and nothing else is wrong."""
    with pytest.raises(ProblemsFound) as found:
        read_bike(written(NOBODY))
    said = [(one.where.line, one.message) for one in found.value.problems]
    assert said == list(expected(NOBODY))
    assert len(said) == 17


@pytest.mark.parametrize("spoilt", ["side: left\n    after", "kind: hook", "at: [0, 0]", "name: Oil", "what: Plug"])
def test_also_in_an_entry_with_another_mistake(written, spoilt):
    """An entry that cannot be built names things all the same."""
    key = spoilt.split(":")[0]
    with pytest.raises(ProblemsFound) as found:
        read_bike(written(NOBODY.replace(spoilt, f"wrong-{spoilt}")))
    said = [one.message for one in found.value.problems]
    assert set(said) >= {message for _, message in expected(NOBODY)}
    assert f"unknown key `wrong-{key}`" in said


def test_nobody_looks_twice(written, monkeypatch):
    """Only one place complains: before they are sorted, no two complaints are the same."""
    said = []
    monkeypatch.setattr("boardmaker.inputs.bike.reading.in_file_order", lambda found: said.extend(found) or said)
    with pytest.raises(ProblemsFound):
        read_bike(written(NOBODY))
    assert len(said) == len(set(said)) == 17


def test_the_check_needs_no_entry_to_be_built(written):
    """It sees the plain data alone, and takes what is no name for no reference."""
    document = read_yaml(
        written("panels: { a: { after: [[b], c], mirrors: {}, holes: { x: { fastener: q } } }, b: 5 }")
    )
    findings = Findings(document)
    check_references(document, known_keys(document), findings)
    assert [one.message for one in findings.problems] == ['there is no fastener "q"']


def test_known_keys_are_those_of_every_section(written):
    """Also of entries with a mistake, and of none where a section is no mapping."""
    assert tuple(field.name for field in dataclasses.fields(KnownKeys)) == sections_of(BikeFileShape)
    known = known_keys(read_yaml(written("panels: { b: 1, a: ~ }\njobs: [oil]\nequipment: { audio: Speakers }")))
    assert known == KnownKeys(("audio",), (), ("b", "a"), (), ())
    assert known.of("panels") == ("b", "a")


def test_names_that_exist():
    """In the order in which they were written, each once."""
    assert existing(["b", "x", "a", "b"], ("a", "b")) == ("b", "a")
