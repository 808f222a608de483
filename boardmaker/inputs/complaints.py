"""A file's content in its shape, or what is wrong with it: pydantic's findings in the mechanic's words, each in place.

Apart from the shapes because these only say what is right.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any, TypeVar

from pydantic import ValidationError

from boardmaker.inputs.nesting import keys_of, path_of, sections_of, shape_of
from boardmaker.inputs.schema import Shape
from boardmaker.inputs.trimming import empty_paths, without_entries, without_keys
from boardmaker.inputs.yaml.reader import HASH_HINT, Document, KeyPath, starts_comment
from boardmaker.problems import Problem, ProblemsFound, Severity, error, nearest

FORMAT = 1
_COLON_WITHOUT_SPACE = re.compile(r"([^:\s]+):([^:\s].*)")
MOST_PROBLEMS = 50

S = TypeVar("S", bound=Shape)


def check_shape(document: Document, shape: type[S], stand_ins: Mapping[str, Any]) -> tuple[S, tuple[Problem, ...]]:
    """Return the file's content in its shape, and complaints about what had to be left out of it.

    An entry (fastener, panel, case …) with a mistake is left out, and a section with one takes its stand-in, so that
    the rest of the file can still be checked. Raises ProblemsFound where nothing can be made of the file.
    """
    _check_top(document)
    empty = tuple(empty_paths(document.data))
    holding = {path[:length] for path in empty for length in range(len(path) + 1)}
    details = [one for one in _details(shape, without_keys(document.data, empty)) if one["loc"] not in holding]
    # where a value is missing here or in this list, that has its own complaint
    problems = [*document.problems, *(_empty_value(document, shape, path) for path in empty)]
    problems += [_problem(document, shape, detail) for detail in details]
    unknown = [detail["loc"] for detail in details if detail["type"] == "extra_forbidden"]
    faulty = [*empty, *(detail["loc"] for detail in details if detail["type"] != "extra_forbidden")]
    data = without_entries(without_keys(document.data, unknown), faulty, sections_of(shape), stand_ins)
    try:
        return shape.model_validate(data), tuple(problems)
    except ValidationError:
        raise ProblemsFound(in_file_order(problems)) from None


def all_in_file_order(problems: Iterable[Problem]) -> list[Problem]:
    """Return the problems from top to bottom, each once."""
    return sorted(dict.fromkeys(problems), key=lambda one: (one.where.line, one.where.column) if one.where else (0, 0))


def in_file_order(problems: Iterable[Problem]) -> list[Problem]:
    """Return the problems from top to bottom, each once; of very many only the first."""
    ordered = all_in_file_order(problems)
    rest = ordered[MOST_PROBLEMS:]
    if not rest:
        return ordered
    worst = min((one.severity for one in ordered), key=lambda severity: severity is not Severity.ERROR)
    return [*ordered[:MOST_PROBLEMS], Problem(worst, f"and {len(rest)} more; mend these first", rest[0].where)]


def _details(shape: type[Shape], data: Any) -> list[Any]:
    """What pydantic finds wrong, each with its path in the file; nothing where the data have the shape."""
    try:
        shape.model_validate(data)
    except ValidationError as found:
        return [{**one, "loc": path_of(shape, one["loc"])} for one in found.errors(include_url=False)]
    return []


def _check_top(document: Document) -> None:
    """The top must be a mapping of a format that this version knows, else nothing below makes sense."""
    if not isinstance(document.data, dict):
        raise ProblemsFound([error("the file is not a mapping of keys", document.place(()), "start with `format: 1`")])
    found = document.data.get("format")
    if found is None:
        raise ProblemsFound([error("the file does not say its format", document.place(()), "start with `format: 1`")])
    if isinstance(found, bool) or not isinstance(found, int) or found < 1:
        raise ProblemsFound([error(f'"{found}" is no format', document.place(("format",)), "write `format: 1`")])
    if found > FORMAT:
        hint = f"this version reads format {FORMAT}; get a newer boardmaker"
        raise ProblemsFound([error(f"the file is of format {found}", document.place(("format",)), hint)])


def _empty_value(document: Document, root: type[Shape], path: KeyPath) -> Problem:
    """A key without a value: forgotten, eaten by a comment, or the rest of a text that has a comma in it."""
    if not isinstance(path[-1], str):
        return error("nothing stands here", document.place(path), "write a value, or take the dash out")
    place = document.place(path, key=True)
    shape = shape_of(root, path[:-1])
    unknown = shape is not None and path[-1] not in keys_of(shape)
    message = f"unknown key `{path[-1]}`" if unknown else f"`{path[-1]}` has no value"
    if not place.source[place.column - 1 + len(path[-1]) :].lstrip("\"' ").startswith(":"):
        if joined := _COLON_WITHOUT_SPACE.fullmatch(path[-1]):
            return error(message, place, f"a space after the colon: {joined[1]}: {joined[2]}")
        return error(message, place, "a comma ends a text between braces; put a text that has one in quotes")
    if starts_comment(place.source):
        return error(message, place, f"a bare # starts a comment: {HASH_HINT}")
    if unknown:
        return _unknown_key(document, root, path)
    return error(message, place, _WITHOUT.get(path[-1], "write one, or take the key out"))


def _problem(document: Document, root: type[Shape], detail: Any) -> Problem:
    path = detail["loc"]
    place = document.place(path)
    match detail["type"]:
        case "extra_forbidden":
            return _unknown_key(document, root, path)
        case "missing":
            hint = f"such as {_EXAMPLES[path[-1]]}" if path[-1] in _EXAMPLES else ""
            return error(f"{_thing(path[:-1])} lacks the key `{path[-1]}`", document.place(path[:-1], key=True), hint)
        case "value_error":
            message, hint = split_hint(str(detail["ctx"]["error"]))
            return error(f"{_key_words(path)}{message}", place, hint)
        case "model_type" | "model_attributes_type" | "dict_type":
            shape = shape_of(root, path)
            known = keys_of(shape) if shape else ()
            hint = (
                f"write it as {{ {known[0]}: … }}; keys here: {', '.join(known)}"
                if known
                else "a key, a colon and a space before each value"
            )
            return error(f"{_key_words(path)}several values belong here, each with its name", place, hint)
        case "list_type" | "tuple_type":
            return error(
                f"{_key_words(path)}a list must stand here", place, "begin each entry with a dash, or write [ … ]"
            )
        case _:
            return error(f"{_key_words(path)}this cannot be read here", place)


_WITHOUT: Mapping[str, str] = {"panels": "write `panels: {}` until there is one"}  # keys that may not go
_EXAMPLES: Mapping[str | int, str] = {
    "bike": "bike: { name: Fjellvik 820 Tourer }",
    "panels": "panels: { seat: { name: Seat, side: centre, holes: [] } }, or `panels: {}` until there is one",
    "name": "name: Left knee cover",
    "at": "at: [220, 90]",
    "fastener": "fastener: A",
    "kind": "kind: hook",
    "what": "what: Sump plug",
    "torque": "torque: 32 N·m",
    "length": "length: 11",
    "diameter": "diameter: 9",
    "size": "size: [30, 60]",
    "file": "file: outlines/knee.svg",
}


def _unknown_key(document: Document, root: type[Shape], path: KeyPath) -> Problem:
    shape = shape_of(root, path[:-1])
    known = keys_of(shape) if shape else ()
    near = nearest(str(path[-1]), known)
    hint = f"did you mean `{near}`?" if near else f"keys here: {', '.join(known)}"
    return error(f"unknown key `{path[-1]}`", document.place(path, key=True), hint)


def _thing(path: KeyPath) -> str:
    return f"`{path[-1]}`" if path and isinstance(path[-1], str) else "this entry" if path else "the file"


def _key_words(path: KeyPath) -> str:
    keys = [step for step in path if isinstance(step, str)]
    return f"`{keys[-1]}`: " if keys else ""


def split_hint(message: str) -> tuple[str, str]:
    """Return what is wrong, and the remedy that follows it after a semicolon or colon."""
    for mark in ("; did you mean ", ": write ", ": did you mean ", ": known are "):
        if mark in message:
            what, remedy = message.split(mark, 1)
            return what, mark.strip(";: ") + " " + remedy
    return message, ""
