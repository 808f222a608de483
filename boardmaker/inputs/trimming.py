"""Plain data less what is wrong in it, so that one mistake does not hide the others.

In: the data of a file and the ways to what is wrong. Out: copies without that; the data themselves stay as they are.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import Any

from boardmaker.inputs.yaml.reader import KeyPath, entries_of


def empty_paths(data: Any, path: KeyPath = ()) -> Iterator[KeyPath]:
    """Yield the way to every value that is missing after its key or dash."""
    if data is None:
        yield path
        return
    for step, value in entries_of(data):
        yield from empty_paths(value, (*path, step))


def without_keys(data: Any, paths: Collection[KeyPath]) -> Any:
    """Return the data without these keys of mappings; entries of lists stay, for their places count."""
    here = {path[0] for path in paths if len(path) == 1}
    below: dict[str | int, list[KeyPath]] = {}
    for path in paths:
        if len(path) > 1:
            below.setdefault(path[0], []).append(path[1:])
    if isinstance(data, dict):
        return {key: without_keys(value, below.get(key, ())) for key, value in data.items() if key not in here}
    if isinstance(data, list) and paths:
        return [without_keys(value, below.get(index, ())) for index, value in enumerate(data)]
    return data


def without_entries(
    data: Mapping[str, Any], paths: Collection[KeyPath], collections: Collection[str], stand_ins: Mapping[str, Any]
) -> dict[str, Any]:
    """Return the file's sections without the entries that these paths lead into.

    `collections` are the sections whose entries (fastener, panel …) stand for themselves. Any other section, and one of
    those that is itself at fault, is replaced by its stand-in, or left out where it has none.
    """
    kept = dict(data)
    for path in paths:
        section, entry = str(path[0]), path[1:]
        if section in collections and entry and isinstance(data.get(section), dict):
            kept[section] = {key: value for key, value in kept[section].items() if key != entry[0]}
        elif section in stand_ins:
            kept[section] = stand_ins[section]
        else:
            kept.pop(section, None)
    return kept
