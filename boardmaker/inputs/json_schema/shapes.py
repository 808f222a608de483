"""The walk over the shapes: from the classes of `inputs.schema` to the text of a schema.

In: the name of a schema's file. Out: its text. Apart from what each value and each key says (`forms`, `words`).
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator, Mapping
from types import NoneType
from typing import Any, Literal, cast, get_args, get_origin

from pydantic import BeforeValidator
from pydantic.fields import FieldInfo

from boardmaker.inputs.complaints import FORMAT
from boardmaker.inputs.json_schema.forms import DEFINITIONS, Form, form_read_by
from boardmaker.inputs.json_schema.words import WORDS
from boardmaker.inputs.nesting import annotations_of, is_shape, kinds_of
from boardmaker.inputs.schema import BikeFileShape, SetupFileShape, Shape

SCHEMAS: Mapping[str, type[Shape]] = {"bike.schema.json": BikeFileShape, "setup.schema.json": SetupFileShape}
_TITLES = {"bike.schema.json": "boardmaker: bike file", "setup.schema.json": "boardmaker: setup file"}


def schema_text(name: str) -> str:
    """Return a schema of `SCHEMAS` as it stands in its file. Raises LookupError for a value that nobody described."""
    shapes = tuple(dict.fromkeys(_shapes(SCHEMAS[name])))
    definitions = {_name(shape): _mapping(shape) for shape in shapes[1:]} | dict(DEFINITIONS)
    whole = {
        "$schema": "http://json-schema.org/draft-07/schema#",
        "title": _TITLES[name],
        **_mapping(SCHEMAS[name]),
        "definitions": _used(definitions, _mapping(SCHEMAS[name])),
    }
    return json.dumps(whole, indent=1, ensure_ascii=False) + "\n"


def _shapes(root: type[Shape]) -> Iterator[type[Shape]]:
    """A shape and all below it, from the top down."""
    yield root
    for annotation in annotations_of(root).values():
        for kind, _ in kinds_of(annotation):
            for inner, _ in kinds_of(get_args(kind)[-1]) if get_origin(kind) in (dict, list) else [(kind, ())]:
                if is_shape(inner):
                    yield from _shapes(inner)


def _used(definitions: Mapping[str, Form], root: Form) -> dict[str, Form]:
    """The definitions that something refers to, by their names."""
    found: dict[str, Form] = {}
    new = _references(root)
    while new:
        found |= {name: definitions[name] for name in new}
        new = {one for name in new for one in _references(definitions[name])} - set(found)
    return dict(sorted(found.items()))


def _references(form: Form) -> set[str]:
    return set(re.findall(r'"\$ref": "#/definitions/([^"]+)"', json.dumps(form, ensure_ascii=False)))


def _name(shape: type[Shape]) -> str:
    """`FastenerShape` as it is called in the schema: `fastener`."""
    return re.sub(r"(?<!^)(?=[A-Z])", "-", shape.__name__.removesuffix("Shape")).lower()


def _mapping(shape: type[Shape]) -> Form:
    fields = {info.alias or name: info for name, info in shape.model_fields.items()}
    required = [key for key, info in fields.items() if info.is_required()]
    return {
        "type": "object",
        "description": " ".join((shape.__doc__ or "").split()),
        "additionalProperties": False,
        **({"required": required} if required else {}),
        "properties": {
            key: _property(_name(shape), key, fields[key], what) for key, what in annotations_of(shape).items()
        },
    }


def _property(where: str, key: str, info: FieldInfo, annotation: Any) -> Form:
    if (where, key) not in WORDS:
        raise LookupError(f"say in inputs/json_schema/words.py what `{key}` of {where} means")
    usual = info.get_default()
    shown = isinstance(usual, str | float | bool) and usual != ""
    return {"description": WORDS[where, key], **_form(annotation), **({"default": usual} if shown else {})}


def _form(annotation: Any) -> Form:
    forms = [_kind(kind, marks) for kind, marks in kinds_of(annotation) if kind is not NoneType]
    return forms[0] if len(forms) == 1 else {"anyOf": forms}


def _kind(kind: Any, marks: tuple[object, ...]) -> Form:
    """The schema of one kind of value: what its reader takes, a shape, a mapping or a list of something."""
    for mark in marks:
        if isinstance(mark, BeforeValidator):
            return form_read_by(cast(Callable[[Any], Any], mark.func))
    if is_shape(kind):
        return {"$ref": f"#/definitions/{_name(kind)}"}
    origin, inner = get_origin(kind), get_args(kind)
    if origin is dict:
        return {"type": "object", "additionalProperties": _form(inner[-1])}
    if origin is list:
        return {"type": "array", "items": _form(inner[0])}
    if origin is Literal:
        return {"enum": list(inner)}
    if kind is int:  # `format`, the only bare one
        return {"enum": list(range(1, FORMAT + 1))}
    raise LookupError(f"no schema for {kind}: let it be read by a function of `values`")
