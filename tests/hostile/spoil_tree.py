"""What a JSON or YAML file says, spoilt as data: keys lost, values of another kind, two things changed round."""

from __future__ import annotations

import copy
import json
import math
import re
from collections.abc import Iterator, Sequence
from io import StringIO
from itertools import islice
from random import Random
from typing import Any

from ruamel.yaml import YAML

MOST_PLACES = 50_000
VALUES: tuple[Any, ...] = (
    None, True, False, 0, -1, 1, 2, 3, -0.0, 0.5, 1e-9, 1e-308, 1e308, -1e308, 1e5, 20_000, 20_001, 10**20, 10**400,
    math.nan, math.inf, -math.inf, "", " ", "x", "x" * 300, "x" * 3000, "1", "nan", "5 mm", "M6", "seat", "left", "A",
    "\x1b[31m", "\u202e", "\ud800", "\u0000", "\ufeff", "e\u0301" * 40, "../x", "/dev/zero", [], {}, [[]], [None],
    [0, 0],
    [[0, 0], [1, 0], [1, 1]], [[0, 0], [1e308, 1], [1, 1e308]], [[0, 0]] * 3000, [1] * 20_000, {"a": 1}, {"": None},
    {str(i): i for i in range(3000)}, ["seat"] * 500,
)  # fmt: skip


def spoil_json(content: bytes, dice: Random, _others: Sequence[bytes] = ()) -> bytes:
    """A JSON file with one to three things changed."""
    return json.dumps(spoil(json.loads(content), dice), indent=dice.choice((None, 1))).encode()


def spoil_yaml(content: bytes, dice: Random, _others: Sequence[bytes] = ()) -> bytes:
    """A YAML file with one to three things changed, written in blocks or as JSON, of which YAML is a superset."""
    made = spoil(YAML(typ="safe").load(content.decode()), dice)
    if dice.random() < 0.5:
        written = json.dumps(made, ensure_ascii=dice.random() < 0.5)
        return written.replace("NaN", ".nan").replace("Infinity", ".inf").encode("utf-8", "surrogatepass")
    writer, text = YAML(typ="safe", pure=True), StringIO()
    writer.default_flow_style = False
    writer.dump(made, text)
    return text.getvalue().encode("utf-8", "surrogatepass")


def spoil(tree: Any, dice: Random) -> Any:
    """Return the tree with one to three things changed: wildly, or so that most of it still makes sense.

    Raises ValueError for a tree that an alias made endless.
    """
    changes = dice.choice((WILD, MILD))
    for _ in range(dice.choice((1, 1, 1, 2, 3))):
        places = [*islice(_places(tree), MOST_PLACES + 1)]
        if len(places) > MOST_PLACES:
            raise ValueError("a tree without end")
        if not places:
            return dice.choice(VALUES)
        dice.choice(changes)(dice.choice(places), places, dice)
    return tree


def _places(tree: Any) -> Iterator[tuple[Any, Any]]:
    """Every (holder, key) of the tree; of long lists a few entries."""
    waiting = [tree]
    while waiting:
        holder = waiting.pop()
        keys = list(holder) if isinstance(holder, dict) else range(min(len(holder), 40))
        for key in keys:
            yield holder, key
            if isinstance(holder[key], dict | list):
                waiting.append(holder[key])


def _delete(place: Any, _places: Any, _dice: Random) -> None:
    holder, key = place
    del holder[key]


def _replace(place: Any, _places: Any, dice: Random) -> None:
    holder, key = place
    holder[key] = copy.deepcopy(dice.choice(VALUES))


def _nudge(place: Any, _places: Any, dice: Random) -> None:
    holder, key = place
    value = holder[key]
    if isinstance(value, int | float) and not isinstance(value, bool):
        holder[key] = value * dice.choice((-1, 0, 1e-6, 1000, 1e9, 0.999, 1.001))
    elif isinstance(value, str):
        holder[key] = dice.choice((value * 30, value[::-1], value.upper(), f" {value}", f"{value}\u200b", value[:-1]))
    elif isinstance(value, list):
        holder[key] = dice.choice((value[::-1], value * 2, value[:1], value[1:], value * 300, {"0": value}))
    else:
        holder[key] = [value]


def _exchange(place: Any, places: Any, dice: Random) -> None:
    (holder, key), (other, other_key) = place, dice.choice(places)
    holder[key], other[other_key] = copy.deepcopy(other[other_key]), copy.deepcopy(holder[key])


def _rename(place: Any, places: Any, dice: Random) -> None:
    holder, key = place
    if isinstance(holder, dict):
        names = [name for _, name in places if isinstance(name, str)]
        holder[dice.choice([*names, "", "x" * 300, "\x1b", "1"])] = holder.pop(key)
    else:
        holder.insert(dice.randrange(len(holder) + 1), copy.deepcopy(holder[key]))


def _stretch(place: Any, _places: Any, dice: Random) -> None:
    holder, key = place
    value = holder[key]
    if isinstance(value, int | float) and not isinstance(value, bool):
        holder[key] = value * dice.choice((-1, 0.1, 0.5, 0.9, 1.1, 2, 10)) + dice.choice((0, 0, 1, -1))
    elif isinstance(value, str) and (found := [*re.finditer(r"\d+", value)]):
        digits = dice.choice(found)
        holder[key] = value[: digits.start()] + str(dice.choice((0, 1, 3, 7, 12, 90, 2000))) + value[digits.end() :]


def _exchange_alike(place: Any, places: Any, dice: Random) -> None:
    (holder, key), alike = place, [one for one in places if one[1] == place[1]]
    other, other_key = dice.choice(alike)
    holder[key], other[other_key] = copy.deepcopy(other[other_key]), copy.deepcopy(holder[key])


WILD = (_delete, _replace, _replace, _replace, _nudge, _nudge, _exchange, _rename)
MILD = (_stretch, _stretch, _exchange_alike, _delete)
