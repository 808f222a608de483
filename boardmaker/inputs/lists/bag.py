"""A bag's list: columns `key` or `designation`, and `count`. Several lines of one kind add up.

What is kept with a fastener is listed as `key + item`: `M + washer`. A line without a count is an error: nobody can
tell "none" from "not counted".
"""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

from boardmaker.inputs.complaints import MOST_PROBLEMS
from boardmaker.inputs.lists.csv_reader import Row, cut_off, read_csv
from boardmaker.inputs.lists.fastener_names import UnknownFastener, fastener_of_designation, fastener_of_key
from boardmaker.model import Bag, BagCount, Bike
from boardmaker.problems import Problem, ProblemsFound, error, nearest

COLUMNS = ("key", "designation", "count")
MOST_DIGITS = 6
_COUNT = re.compile(rf"[0-9]{{1,{MOST_DIGITS}}}")
_ITEM = re.compile(r"(?P<key>.+?)\s*\+\s*(?P<item>[^+]+)")

Kind = tuple[str, str]  # fastener's key, item ("" for the fastener itself)


def read_bag(path: Path, bike: Bike) -> Bag:
    """Read a bag's list. Raises ProblemsFound with every problem of the file."""
    found = read_csv(path, COLUMNS)
    found.need("key", "designation")
    found.need("count")
    counts: Counter[Kind] = Counter()
    problems: list[Problem] = []
    for row in found.rows:
        try:
            counts[_kind(row, bike)] += _count(row)
        except ProblemsFound as wrong:
            problems += wrong.problems
        if len(problems) >= MOST_PROBLEMS:
            break  # each looks for the nearest name among all
    if problems:
        raise ProblemsFound(cut_off(problems))
    if not found.rows:
        raise ProblemsFound([error("this list has a header and nothing under it", found.header, "write a line a kind")])
    return Bag(tuple(BagCount(key, count, item) for (key, item), count in counts.items()))


def _kind(row: Row, bike: Bike) -> Kind:
    """What the line counts. Where it has both, key and designation must mean the same."""
    key, designation = row.cells.get("key", ""), row.cells.get("designation", "")
    if not key and not designation:
        raise ProblemsFound([error("this line says a count but not of what", row.line, "write a key or a designation")])
    if not key:
        return _by_designation(row, bike, designation), ""
    kind = _by_key(row, bike, key)
    if designation and not kind[1] and (other := _by_designation(row, bike, designation)) != kind[0]:
        message = f'"{key}" and "{designation}" are two kinds: the designation is that of {other}'
        raise ProblemsFound([error(message, row.place("designation"), "write one of them")])
    return kind


def _by_key(row: Row, bike: Bike, key: str) -> Kind:
    match = None if any(one.key == key for one in bike.fasteners) else _ITEM.fullmatch(key)
    try:
        fastener = fastener_of_key(bike, match["key"] if match else key)
    except UnknownFastener as wrong:
        raise ProblemsFound([error(str(wrong), row.place("key"), wrong.hint)]) from None
    if match is None:
        return fastener.key, ""
    item = match["item"].casefold()
    if item not in fastener.with_it:
        near = nearest(item, fastener.with_it)
        hint = f'did you mean "{fastener.key} + {near}"?' if near else "take this line out, or mend the bike file"
        raise ProblemsFound([error(f"no {item} is kept with {fastener.key}", row.place("key"), hint)])
    return fastener.key, item


def _by_designation(row: Row, bike: Bike, designation: str) -> str:
    try:
        return fastener_of_designation(bike, designation).key
    except UnknownFastener as wrong:
        raise ProblemsFound([error(str(wrong), row.place("designation"), wrong.hint)]) from None


def _count(row: Row) -> int:
    text = row.cells["count"]
    if _COUNT.fullmatch(text):
        return int(text)
    if not text:
        message, hint = "this line has no count", "write 0 if there is none, or take the line out"
    elif text.isascii() and text.isdigit():
        message, hint = f"{text} is more than any bag holds", f"write at most {MOST_DIGITS} digits"
    else:
        message, hint = f'"{text}" is no count', "write a whole number, 0 or more"
    raise ProblemsFound([error(message, row.place("count"), hint)])
