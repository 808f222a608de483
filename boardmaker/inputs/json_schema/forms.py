"""How each value is written: the JSON Schema of what a reader of `values` takes.

In: the function that reads a value. Out: the schema of the texts and numbers that it accepts. A new reader needs
an entry here; without one the schemas cannot be made, and a test says so.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from boardmaker.inputs import values
from boardmaker.inputs.json_schema import patterns
from boardmaker.inputs.values import LONGEST, OneOf
from boardmaker.standards.strength import property_classes
from boardmaker.units import MOST_NM, parse_torque

Form = dict[str, Any]

_LENGTH_SAID = "a number in mm, or a text with its unit: 18 mm, 0.75 in, 3/4 in"
_TORQUE_SAID = "a number in N·m, or a text: 6 N·m, 9 to 11 N·m, 44 lbf·in, 15 lbf·ft, 1.2 kgf·m, 90 deg"
_COARSE = (
    "M3", "M4", "M5", "M6", "M8", "M10", "M12", "M14x1.5", "M16x1.5", "1/4-20", "5/16-18", "No. 10-32", "ST3.5",
    "ST4.2", "ST4.8",
)  # fmt: skip
_DRIVES = (
    "T20", "T25", "T27", "T30", "T40", "PH1", "PH2", "PH3", "PZ2", "JIS 2", "hex 3", "hex 4", "hex 5", "hex 6",
    "hex 5/32 in", "hexagon 8", "hexagon 10", "hexagon 12", "hexagon 13", "hexagon 7/16 in", "slot",
)  # fmt: skip


def _ref(name: str) -> Form:
    return {"$ref": f"#/definitions/{name}"}


def _pair(name: str) -> Form:
    return {"type": "array", "items": _ref(name), "minItems": 2, "maxItems": 2}


def _words(words: tuple[str, ...], pattern: str = "") -> Form:
    """Words that an editor offers, and the other spellings of them that are read."""
    return {"anyOf": [{"enum": list(words)}, {"type": "string", "pattern": pattern or patterns.words_pattern(words)}]}


def _one_or_more(form: Form) -> Form:
    return {"anyOf": [form, {"type": "array", "items": form}]}


def _class() -> Form:
    """A property class in quotes, or as a bare number; with a leading 0 a screw that bears less."""
    names = tuple(dict.fromkeys((*property_classes("screw"), *property_classes("nut"))))
    spelled = patterns.whole(*(patterns.any_case("0?" + r"\s*".join(map(_escaped, name.split()))) for name in names))
    return {"anyOf": [{"enum": list(names)}, {"type": "number"}, {"type": "string", "pattern": spelled}]}


def _escaped(text: str) -> str:
    return text.replace(".", r"\.")


DEFINITIONS: Mapping[str, Form] = {
    "text": {"type": ["string", "number"], "pattern": r"\S"},
    "text-or-nothing": {"type": ["string", "number"]},
    "words": _one_or_more(_ref("text")),
    "place-along-an-axis": {
        "type": ["number", "string"],
        "minimum": -LONGEST,
        "maximum": LONGEST,
        "pattern": patterns.LENGTH,
        "patternErrorMessage": _LENGTH_SAID,
    },
    "length": {
        "type": ["number", "string"],
        "exclusiveMinimum": 0,
        "maximum": LONGEST,
        "pattern": patterns.LENGTH,
        "patternErrorMessage": _LENGTH_SAID,
    },
    "length-or-nought": {
        "type": ["number", "string"],
        "minimum": 0,
        "maximum": LONGEST,
        "pattern": patterns.LENGTH,
        "patternErrorMessage": _LENGTH_SAID,
    },
    "place": _pair("place-along-an-axis"),
    "places": {"type": "array", "items": _ref("place")},
    "size": {
        "anyOf": [
            _pair("length"),
            {
                "type": "string",
                "pattern": patterns.SIZE,
                "patternErrorMessage": "two lengths and a unit: 20 x 30 in, 560 x 400 mm",
            },
        ]
    },
    "torque-stage": {
        "type": ["number", "string"],
        "exclusiveMinimum": 0,
        "maximum": MOST_NM,
        "pattern": patterns.TORQUE,
        "patternErrorMessage": _TORQUE_SAID,
    },
    "torque": {"anyOf": [_ref("torque-stage"), {"type": "array", "items": _ref("torque-stage"), "minItems": 1}]},
    "thread": _words(_COARSE, patterns.THREAD),
    "drive": _words(_DRIVES, patterns.DRIVE),
    "class": _class(),
    "with-it": _one_or_more(_words(values.WITH_IT)),
    "into": _words((*values.INTO, *values.ALSO_INTO)),
    "what-to-renew": {"anyOf": [{"type": "boolean"}, _ref("text")]},
    "count": {"type": "integer", "minimum": 1, "maximum": 999},
    "printer-scale": {
        "type": "array",
        "items": {"type": "number", "minimum": 0.95, "maximum": 1.05},
        "minItems": 2,
        "maxItems": 2,
    },
}
_READ_BY: Mapping[Callable[[Any], Any], Form] = {
    values.read_text: _ref("text"),
    values.read_text_or_empty: _ref("text-or-nothing"),
    values.read_words: _ref("words"),
    values.read_length: _ref("length"),
    values.read_length_from_nought: _ref("length-or-nought"),
    values.read_point: _ref("place"),
    values.read_points: _ref("places"),
    values.read_size: _ref("size"),
    values.read_renew: _ref("what-to-renew"),
    values.read_yes_or_no: {"type": "boolean"},
    values.read_count: _ref("count"),
    values.read_part: _ref("text"),
    values.read_thread: _ref("thread"),
    values.read_drive: _ref("drive"),
    values.read_class: _ref("class"),
    values.read_with_it: _ref("with-it"),
    values.read_into: _ref("into"),
    values.read_scales: _ref("printer-scale"),
    parse_torque: _ref("torque"),
}


def form_read_by(reader: Callable[[Any], Any]) -> Form:
    """Return the schema of what a reader takes. Raises LookupError for a reader that has no entry here."""
    if isinstance(reader, OneOf):
        return _words(reader.words)
    if reader not in _READ_BY:
        raise LookupError(f"say in inputs/json_schema/forms.py what {reader} reads")
    return dict(_READ_BY[reader])
