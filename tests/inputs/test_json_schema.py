"""The shipped schemas: what the models give now, and no stricter than the reader; `jsonschema` judges."""

from __future__ import annotations

import copy
import json
from importlib.resources import files
from pathlib import Path

import jsonschema
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from pydantic import BeforeValidator, ValidationError

from boardmaker.commands.common import demo_folder
from boardmaker.inputs import values
from boardmaker.inputs.json_schema import SCHEMAS, schema_text
from boardmaker.inputs.json_schema.forms import form_read_by
from boardmaker.inputs.nesting import annotations_of, is_shape, kinds_of
from boardmaker.inputs.schema import BikeFileShape
from boardmaker.inputs.values import OneOf
from boardmaker.inputs.yaml.reader import entries_of, read_yaml
from boardmaker.units import parse_torque

BOUNDED = settings(
    max_examples=150, deadline=None, derandomize=True, database=None, suppress_health_check=list(HealthCheck)
)
LENGTHS = [
    5,
    0.5,
    "18 mm",
    "3/4 in",
    "0,75 in",
    '1 1/2"',
    "2 CM",
    "+ 4 mm",
    "1ft",
    "0 mm",
    0,
    -3,
    "-3 mm",
    "6",
    "5 mmm",
    2e4,
]
TEXTS = ["Seat", 12, 1.5, "a b", "", " ", True, "ﬁn"]
POOLS = {  # what may stand where a reader reads: good, odd and wrong
    values.read_text: TEXTS,
    values.read_text_or_empty: TEXTS,
    values.read_words: [["seat"], "seat", [], [3], [""], [True], {"a": 1}],
    values.read_length: LENGTHS,
    values.read_length_from_nought: LENGTHS,
    values.read_point: [[0, 0], ["3 in", -5], [1], [1, 2, 3], "0 0", ["-1 1/2 in", "5 mm"]],
    values.read_points: [[[0, 0], [9, 0], [0, "9 mm"]], [], [[1]], "round", [[0, 0], 4]],
    values.read_size: [
        "20 x 30 in",
        "560×400 mm",
        [20, "3 in"],
        "2 in x 30 mm",
        "20 x 30",
        [0, 3],
        '20" x 30"',
        "1 1/2 x 3 ft",
    ],
    values.read_renew: [True, False, "ring", "", 3],
    values.read_yes_or_no: [True, False, "yes", 1],
    values.read_count: [1, 999, 0, 2.5, "2", True],
    values.read_part: ["ISO 7380-2 - M6 x 16 - 10.9", "EN 1662 - M6 x 16 - 8.8", "nothing"],
    values.read_thread: [
        "M6",
        "m6x0.75",
        "M 8 × 1",
        "1/4-20",
        "1/4 UNC",
        "No. 10-32",
        "#10-32",
        "ST4.2",
        "M8 LH",
        "x",
        6,
    ],
    values.read_drive: [
        "T30",
        "tx 25",
        "PH2",
        "hex 4",
        "hex socket 4 mm",
        "HEX 5/32",
        "hexagon 1 1/4 in",
        'hex 5/32"',
        "slot",
        "JIS2",
        "torx",
    ],
    values.read_class: ["8.8", 8.8, "010.9", "a2-70", 8, "04", "99.9", "A2-70 "],
    values.read_with_it: ["washer", ["Washer", "nut"], [], "spring"],
    values.read_into: ["Rivet  Nut", "metal thread", "through", "wood"],
    values.read_scales: [[1, 1.003], [1.0], [0.5, 1], ["1", 1]],
    parse_torque: [
        5,
        "5 N·m",
        "5 Nm",
        "9 to 11 N·m",
        "9 N·m – 11 N·m",
        "44 lbf·in",
        "44 in-lbs",
        "15 ft lb",
        "1,2 m·kg",
        "12 mkg",
        ["20 N·m", "90 deg"],
        ["20 N·m", "90°"],
        "90 deg",
        [],
        0,
        "5",
        "5 in",
        "12 daN.m",
        "50 kgf·cm",
        "50 cmkg",
    ],
}


def validator(name):
    return jsonschema.Draft7Validator(json.loads(schema_text(name)))


BIKE, SETUP = validator("bike.schema.json"), validator("setup.schema.json")
OF_SHAPE = {SCHEMAS["bike.schema.json"]: BIKE, SCHEMAS["setup.schema.json"]: SETUP}


def reader_of(marks):
    return next((mark.func for mark in marks if isinstance(mark, BeforeValidator)), None)


def reader_at(shape, key):
    """What reads the value of a key, None where that is a mapping or a list of them."""
    return next((reader for _, marks in kinds_of(annotations_of(shape)[key]) if (reader := reader_of(marks))), None)


def words_in_any_form(reader):
    spelled = [form(word) for word in reader.words for form in (str, str.upper, str.title)]
    return [*spelled, f"  {'   '.join(reader.words[0].split())} ", "no such word", 3]


def documents(annotation):
    """Values of every kind that an annotation allows, and some that it does not."""
    return st.one_of(*[of_kind(kind, marks) for kind, marks in kinds_of(annotation) if kind is not type(None)])


def of_kind(kind, marks):
    if (reader := reader_of(marks)) is not None:
        pool = words_in_any_form(reader) if isinstance(reader, OneOf) else POOLS[reader]
        good = [one for one in pool if takes(reader, one)]
        return st.one_of(*[st.sampled_from(good)] * 12, st.sampled_from(pool))
    if is_shape(kind):
        return of_shape(kind)
    if kind is int:
        return st.sampled_from([1] * 30 + [2, "1"])
    inner = documents(kind.__args__[-1])
    if kind.__origin__ is dict:
        return st.dictionaries(st.sampled_from(["A", "B", "seat"]), inner, max_size=2)
    return st.lists(inner, max_size=2)


def takes(reader, value):
    try:
        reader(value)
    except ValueError:
        return False
    return True


def of_shape(shape):
    fields = {info.alias or name: info for name, info in shape.model_fields.items()}
    inner = {key: st.deferred(lambda what=what: documents(what)) for key, what in annotations_of(shape).items()}
    must = {key: one for key, one in inner.items() if fields[key].is_required()}
    may = {key: one for key, one in inner.items() if key not in must}
    return st.fixed_dictionaries(must, optional=may)


def fits(shape, data):
    try:
        shape.model_validate(data)
    except ValidationError:
        return False
    return data["format"] == 1


@pytest.mark.parametrize("name", SCHEMAS)
def test_the_shipped_schema_is_what_the_models_give(name):
    """After a new key: `python -m boardmaker.inputs.json_schema`."""
    shipped = (files("boardmaker") / "schemas" / name).read_text(encoding="utf-8")
    assert shipped == schema_text(name)
    jsonschema.Draft7Validator.check_schema(json.loads(shipped))


@pytest.mark.slow
@pytest.mark.parametrize("shape", OF_SHAPE, ids=lambda shape: shape.__name__)
def test_what_the_models_take_the_schema_takes(shape):
    """Random documents of right and wrong values; enough of them are right, and enough wrong."""
    seen = {True: 0, False: 0}

    @BOUNDED
    @given(of_shape(shape))
    def holds(data):
        taken = fits(shape, data)
        seen[taken] += 1
        assert not taken or OF_SHAPE[shape].is_valid(data), list(OF_SHAPE[shape].iter_errors(data))

    holds()
    assert min(seen.values()) > 15, seen


@pytest.mark.parametrize("reader", POOLS, ids=lambda reader: reader.__name__)
def test_each_form_takes_what_its_reader_takes(reader):
    """Every value of the pool, good and odd; and it refuses some of what the reader refuses."""
    definitions = {}
    for name in SCHEMAS:
        definitions |= json.loads(schema_text(name))["definitions"]
    form = jsonschema.Draft7Validator({"allOf": [form_read_by(reader)], "definitions": definitions})
    for value in POOLS[reader]:
        assert form.is_valid(value) or not takes(reader, value), value
    refused = [value for value in POOLS[reader] if not takes(reader, value)]
    assert any(not form.is_valid(value) for value in refused) or reader in (values.read_part,)


@pytest.mark.parametrize("path", sorted(demo_folder().glob("*.yaml")), ids=lambda path: path.stem)
def test_the_demos_are_valid(path):
    """As an editor sees them."""
    assert list(BIKE.iter_errors(read_yaml(path).data)) == []


def mappings_of(shape, data, annotation=None):
    """Every mapping of known keys in a file, with the shape that it has; and every word of a list of words."""
    for kind, marks in kinds_of(annotation if annotation is not None else shape):
        if is_shape(kind) and isinstance(data, dict):
            yield "mapping", data, kind, None
            for key, value in data.items():
                if isinstance(reader_at(kind, key), OneOf):
                    yield "word", data, kind, key
                yield from mappings_of(shape, value, annotations_of(kind)[key])
        elif not reader_of(marks) and hasattr(kind, "__origin__"):
            for _, value in entries_of(data):
                yield from mappings_of(shape, value, kind.__args__[-1])


FULL = read_yaml(Path(__file__).parents[2] / "fixtures" / "inputs" / "full-bike.yaml").data
PLACES = list(enumerate(what for what, *_ in mappings_of(BikeFileShape, FULL)))


@pytest.mark.slow
@settings(BOUNDED, max_examples=60)
@given(st.sampled_from(PLACES), st.text(st.characters(categories=["Ll", "Lu", "Nd"]), min_size=1, max_size=12))
def test_an_unknown_key_or_a_wrong_word_is_refused_by_both(place, word):
    """Anywhere in a file that has every key."""
    data = copy.deepcopy(FULL)
    number, what = place
    _, mapping, shape, key = list(mappings_of(BikeFileShape, data))[number]
    if what == "mapping":
        assume(word not in annotations_of(shape))
        mapping[word] = 3
    else:
        assume(not takes(reader_at(shape, key), word))
        mapping[key] = word
    assert not fits(BikeFileShape, data)
    assert not BIKE.is_valid(data)


def test_nothing_may_stand_where_a_value_is_missing():
    """The reader says of `outline:` that it has no value; so does the editor."""
    panel = {"name": "Seat", "side": "centre", "holes": []}
    bike = {"format": 1, "bike": {"name": "x"}, "panels": {"seat": panel}}
    assert BIKE.is_valid(bike)
    for key in ("outline", "holes", "note", "on_bike", "mirrors"):
        assert not BIKE.is_valid(bike | {"panels": {"seat": panel | {key: None}}})


def test_every_key_says_what_it_means_and_its_unit():
    """Lengths and torques name theirs."""
    for name in SCHEMAS:
        schema = json.loads(schema_text(name))
        for one in (schema, *schema["definitions"].values()):
            for key, value in one.get("properties", {}).items():
                assert value["description"], key
                if "length" in value.get("$ref", "") or "place" in value.get("$ref", ""):
                    assert "mm" in value["description"], key
                if value.get("$ref", "").endswith("/torque"):
                    assert "N·m" in value["description"], key


def test_a_reader_without_a_form_is_named():
    """So that a new kind of value cannot be forgotten."""
    with pytest.raises(LookupError, match=r"forms\.py"):
        form_read_by(len)
