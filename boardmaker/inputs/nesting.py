"""What stands under which key of a file, read off the annotations of the shapes.

In: a shape, and a way into a file of it. Out: the shape that stands there, the keys that it knows, the sections whose
entries stand for themselves, the values that name an entry of a section. Apart from the shapes so that each key is
written once, there, and found here.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache
from types import UnionType
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import Tag

from boardmaker.inputs.schema import KeyOf, Shape
from boardmaker.inputs.yaml.reader import KeyPath, entries_of


def keys_of(shape: type[Shape]) -> tuple[str, ...]:
    """Return the keys that a shape knows, as they are written in the file."""
    return tuple(annotations_of(shape))


def shape_of(root: type[Shape], path: KeyPath) -> type[Shape] | None:
    """Return the shape that stands at a path below `root`, None where none does."""
    found: Any = root
    for step in path:
        found = _below(found, step)
    return next((kind for kind, _ in kinds_of(found) if is_shape(kind)), None)


def sections_of(root: type[Shape]) -> tuple[str, ...]:
    """Return the keys under which there are entries by names of the user's own."""
    annotations = annotations_of(root).items()
    return tuple(
        key for key, annotation in annotations if any(get_origin(kind) is dict for kind, _ in kinds_of(annotation))
    )


def path_of(root: type[Shape], steps: Sequence[str | int]) -> KeyPath:
    """Return the way to a value from pydantic's own steps, which also name the form that was taken for it."""
    here: Any = root
    path: list[str | int] = []
    for step in steps:
        forms = [
            kind for kind, marks in kinds_of(here) if any(isinstance(mark, Tag) and mark.tag == step for mark in marks)
        ]
        if not forms:
            path.append(step)
        here = forms[0] if forms else _below(here, step)
    return tuple(path)


def naming_values(root: Any, data: Any, path: KeyPath = ()) -> Iterator[tuple[KeyPath, KeyOf, Any]]:
    """Yield every value of a file that names entries of a section, with the way to it and what it names.

    The data need not have the shape: what stands where no key leads is passed over.
    """
    if (
        named := next((mark for _, marks in kinds_of(root) for mark in marks if isinstance(mark, KeyOf)), None)
    ) is not None:
        yield path, named, data
        return
    for step, value in entries_of(data):
        if (inner := _below(root, step)) is not None:
            yield from naming_values(inner, value, (*path, step))


@cache
def annotations_of(shape: type[Shape]) -> dict[str, Any]:
    """Return what may stand under each key; pydantic keeps the marks of an annotation beside it."""
    return {
        info.alias or name: Annotated[info.annotation, *info.metadata] if info.metadata else info.annotation
        for name, info in shape.model_fields.items()
    }


def kinds_of(annotation: Any, marks: tuple[object, ...] = ()) -> Iterator[tuple[Any, tuple[object, ...]]]:
    """Yield every kind of value that an annotation allows, with its marks."""
    origin = get_origin(annotation)
    if origin is Annotated:
        inner, *own = get_args(annotation)
        yield from kinds_of(inner, (*marks, *own))
    elif origin in (Union, UnionType):
        for one in get_args(annotation):
            yield from kinds_of(one, marks)
    else:
        yield annotation, marks


def _below(annotation: Any, step: str | int) -> Any:
    """What may stand one step further in, None where nothing may."""
    for kind, _ in kinds_of(annotation):
        if is_shape(kind) and step in annotations_of(kind):
            return annotations_of(kind)[str(step)]
        if get_origin(kind) in (dict, list):
            return get_args(kind)[-1]
    return None


def is_shape(kind: Any) -> bool:
    """Say whether a kind of value is a mapping of known keys."""
    return isinstance(kind, type) and issubclass(kind, Shape)
