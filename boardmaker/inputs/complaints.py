"""pydantic's findings in the mechanic's words, each at its place in the file."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, TypeVar

from pydantic import ValidationError

from boardmaker.inputs.schema import MAPPING, PLAIN, Shape, keys_of, shape_of
from boardmaker.inputs.yaml_reader import Document, Path_
from boardmaker.problems import Problem, ProblemsFound, error, nearest

FORMAT = 1
MOST_PROBLEMS = 50

S = TypeVar("S", bound=Shape)


def check_shape(document: Document, shape: type[S]) -> tuple[S, tuple[Problem, ...]]:
    """Return the file's content in its shape, and complaints about parts that had to be left out of it.

    A fastener, panel, job or torque row with a mistake is left out, so that the rest of the file can still be checked.
    Raises ProblemsFound where nothing can be made of the file.
    """
    _check_top(document)
    data, problems = document.data, []
    for _ in range(3):  # leaving out one level can uncover no more than the next
        try:
            return shape.model_validate(data), tuple(problems)
        except ValidationError as found:
            details = found.errors(include_url=False)
            problems += [_problem(document, shape, detail) for detail in details]
            data = _without_faulty(data, [_path(detail) for detail in details])
    raise ProblemsFound(in_file_order(problems))


def in_file_order(problems: Iterable[Problem]) -> list[Problem]:
    """Return the problems from top to bottom, each once; of very many only the first."""
    ordered = sorted(
        dict.fromkeys(problems), key=lambda one: (one.where.line, one.where.column) if one.where else (0, 0)
    )
    if len(ordered) > MOST_PROBLEMS:
        ordered = [*ordered[:MOST_PROBLEMS], error(f"and {len(ordered) - MOST_PROBLEMS} more; mend these first")]
    return ordered


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


def _path(detail: Any) -> Path_:
    return tuple(step for step in detail["loc"] if step not in (PLAIN, MAPPING) and step != "[key]")


def _without_faulty(data: Any, paths: Iterable[Path_]) -> Any:
    """The content without the entries (fastener, panel …) or keys that have a mistake."""
    kept = {key: dict(value) if isinstance(value, dict) else value for key, value in data.items()}
    for path in paths:
        section = kept.get(path[0]) if path else None
        if len(path) > 1 and isinstance(section, dict):
            section.pop(path[1], None)
        elif path:
            kept.pop(path[0], None)
    return kept


def _problem(document: Document, root: type[Shape], detail: Any) -> Problem:
    path = _path(detail)
    match detail["type"]:
        case "extra_forbidden":
            return _unknown_key(document, root, path)
        case "missing":
            place = document.place(path[:-1], key=True)
            return error(f"{_thing(path[:-1])} lacks the key `{path[-1]}`", place)
        case "value_error":
            message, hint = _split_hint(str(detail["ctx"]["error"]))
            return error(f"{_key_words(path)}{message}", document.place(path), hint)
        case "model_type" | "model_attributes_type" | "dict_type":
            return error(f"{_key_words(path)}a mapping of keys must stand here", document.place(path))
        case "list_type" | "tuple_type":
            return error(f"{_key_words(path)}a list must stand here, such as [ … ]", document.place(path))
        case _:
            return error(f"{_key_words(path)}this cannot be read here", document.place(path))


def _unknown_key(document: Document, root: type[Shape], path: Path_) -> Problem:
    shape = shape_of(root, path[:-1])
    known = keys_of(shape) if shape else ()
    near = nearest(str(path[-1]), known)
    hint = f"did you mean `{near}`?" if near else f"keys here: {', '.join(known)}"
    return error(f"unknown key `{path[-1]}`", document.place(path, key=True), hint)


def _thing(path: Path_) -> str:
    return f"`{path[-1]}`" if path and isinstance(path[-1], str) else "this entry" if path else "the file"


def _key_words(path: Path_) -> str:
    keys = [step for step in path if isinstance(step, str)]
    return f"`{keys[-1]}`: " if keys else ""


def _split_hint(message: str) -> tuple[str, str]:
    """What is wrong, and the remedy that follows it after a semicolon or colon."""
    for mark in ("; did you mean ", ": write ", ": did you mean "):
        if mark in message:
            what, remedy = message.split(mark, 1)
            return what, mark.strip(";: ") + " " + remedy
    return message, ""
