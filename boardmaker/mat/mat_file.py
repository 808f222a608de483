"""`mat.json`: a mat written down for whoever reads its photos, and read back.

In: a `Mat`; or the path of a file, which may be anybody's. Out: the file's bytes; or a `Mat` in which every number is
finite and within reason, every page and code is there once, and everything lies where it can.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from boardmaker.guarded import read_at_most
from boardmaker.mat.codes import MARK_CODES, SHEET_CODES
from boardmaker.mat.parts import Mat, MatMark, SheetTag
from boardmaker.plain_text import HIDDEN
from boardmaker.problems import ProblemsFound, error

FORMAT = 1
MEGABYTES = 1  # of a file; a mat of 250 marks has a tenth of that
MOST_SHEETS = 400
MOST_PAGES = 4000
MOST_MARKS = 2000
LARGEST = 5000.0  # mm of a page
LONGEST_KEY = 100  # characters of a fastener's key
SAME = 0.01  # mm
REMEDY = "take the mat.json as `boardmaker mat` wrote it, or make the mat anew with `boardmaker mat`"
OTHER_MARK_FAMILIES = ("DICT_4X4_50", "DICT_4X4_100", "DICT_4X4_250")
_OTHERWISE_SPELT = re.compile(r"dict|apriltag|aruco|tag|[\W_]+")  # "apriltag_36h11", "tag36h11", "aruco 5x5 50"


class _UnsoundMat(Exception):
    """What is wrong with a mat file, in plain words."""


def write_mat(mat: Mat) -> bytes:
    """Return the file, a line for each code and mark."""
    plain: dict[str, Any] = {
        "format": FORMAT,
        "columns": mat.columns,
        "rows": mat.rows,
        "sheet": mat.sheet,
        "trim": mat.trim,
        "pages": mat.pages,
        "bars": {"across": mat.bars[0], "along": mat.bars[1]},
        "tint": mat.tint,
        "ink": mat.ink,
        "printer_scale": mat.printer_scale,
        "tag_family": mat.tag_family,
        "mark_family": mat.mark_family,
    }
    lines = [f"{_text(key)}: {_text(value)}" for key, value in plain.items() if value is not None and value != ""]
    tags = [{"id": one.id, "page": one.page, "centre": one.centre, "size": one.size} for one in mat.tags]
    marks = [_said_mark(one) for one in mat.marks]
    lines += [_listed("tags", tags), _listed("marks", marks)]
    return ("{\n " + ",\n ".join(lines) + "\n}\n").encode("utf-8")


def _said_mark(mark: MatMark) -> dict[str, Any]:
    said: dict[str, Any] = {"fastener": mark.fastener, "page": mark.page, "box": mark.box}
    more = {"id": mark.id, "size": mark.size}
    return {**said, **{key: value for key, value in more.items() if value is not None}}


def _listed(key: str, entries: list[dict[str, Any]]) -> str:
    return f'"{key}": [' + ",".join(f"\n  {_text(entry)}" for entry in entries) + "]"


def _text(value: Any) -> str:
    return json.dumps(_rounded(value), ensure_ascii=True, allow_nan=False)


def _rounded(value: Any) -> Any:
    """Lengths to 0.0001 mm; a printer's scale has no more digits that matter."""
    if isinstance(value, float):
        return round(value, 6)
    if isinstance(value, dict):
        return {key: _rounded(one) for key, one in value.items()}
    return [_rounded(one) for one in value] if isinstance(value, tuple | list) else value


def read_mat(path: Path) -> Mat:
    """Return the mat of a file. Raises ProblemsFound, with what is wrong, where it is no sound mat file."""
    content = read_at_most(path, MEGABYTES, REMEDY)
    try:
        return _mat(_plain(content))
    except _UnsoundMat as wrong:
        raise ProblemsFound([error(f"{path}: {wrong}", hint=REMEDY)]) from None


def _plain(content: bytes) -> Mapping[str, Any]:
    try:
        plain = json.loads(content, object_pairs_hook=_once)
    except (ValueError, RecursionError) as wrong:
        raise _UnsoundMat(f"this is no JSON file ({f'{wrong}'[:80]})") from None
    if not isinstance(plain, dict):
        raise _UnsoundMat("this is no mat file")
    return plain


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """An object in which no key stands twice: readers differ in which of them they take."""
    plain = dict(pairs)
    if len(plain) != len(pairs):
        raise ValueError("a key stands twice")
    return plain


def _mat(plain: Mapping[str, Any]) -> Mat:
    if plain.get("format") != FORMAT or isinstance(plain["format"], bool):
        raise _UnsoundMat(f"this is no mat file of format {FORMAT}")
    columns, rows = (_whole(plain.get(key), key, 1, MOST_SHEETS) for key in ("columns", "rows"))
    trim = _numbers(plain.get("trim"), "trim", 4, 0.0)
    sheet = _numbers(plain.get("sheet"), "sheet", 2, 0.0)
    if min(trim[2] - trim[0], trim[3] - trim[1]) < 1.0:
        raise _UnsoundMat("trim leaves nothing of a page")
    if max(abs(trim[2] - trim[0] - sheet[0]), abs(trim[3] - trim[1] - sheet[1])) > SAME:
        raise _UnsoundMat("sheet and trim say different sizes")
    pages = _pages(plain.get("pages"), columns * rows)
    tag_family = _name(plain.get("tag_family", ""), "tag_family", (SHEET_CODES.name,))
    marks_known = (*OTHER_MARK_FAMILIES, *(one.name for one in MARK_CODES))
    return Mat(
        columns,
        rows,
        (sheet[0], sheet[1]),
        (trim[0], trim[1], trim[2], trim[3]),
        pages,
        _bars(plain.get("bars"), (sheet[0], sheet[1])),
        tuple(_marks(plain.get("marks", []))),
        _tags(plain.get("tags", []), pages, trim),
        _colour(plain.get("tint"), "tint"),
        _colour(plain.get("ink"), "ink") or (0, 0, 0),
        tag_family,
        _name(plain.get("mark_family", ""), "mark_family", marks_known),
        _scale(plain.get("printer_scale", [1.0, 1.0])),
    )


def _whole(value: Any, what: str, least: int, most: int) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
        raise _UnsoundMat(f"{what} is not a whole number from {least} to {most}")
    return value


def _number(value: Any, what: str, least: float, most: float = LARGEST) -> float:
    sound = isinstance(value, int | float) and not isinstance(value, bool)
    if not sound or not least <= value <= most:  # a NaN is not within them
        raise _UnsoundMat(f"{what} is not a number from {least:g} to {most:g}")
    return float(value)


def _numbers(value: Any, what: str, count: int, least: float, most: float = LARGEST) -> list[float]:
    if not isinstance(value, list) or len(value) != count:
        raise _UnsoundMat(f"{what} is not a list of {count} numbers")
    return [_number(one, what, least, most) for one in value]


def _listed_objects(value: Any, what: str, most: int) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Each entry of a list, with its name for messages."""
    if not isinstance(value, list) or len(value) > most:
        raise _UnsoundMat(f"{what} is not a list of at most {most:,} entries")
    for number, entry in enumerate(value, start=1):
        if not isinstance(entry, dict):
            raise _UnsoundMat(f"entry {number} of {what} is no object")
        yield f"entry {number} of {what}", entry


def _pages(value: Any, count: int) -> tuple[int, ...]:
    if not isinstance(value, list) or len(value) != count or count > MOST_SHEETS:
        raise _UnsoundMat("pages does not have a page for each sheet of columns × rows")
    pages = tuple(_whole(one, "a page", 1, MOST_PAGES) for one in value)
    if len(set(pages)) != len(pages):
        raise _UnsoundMat("two sheets are on one page")
    return pages


def _bars(value: Any, sheet: tuple[float, float]) -> tuple[float, float]:
    if not isinstance(value, dict):
        raise _UnsoundMat("bars does not have the lengths across and along")
    across, along = (_number(value.get(key), f"the bar {key}", 10.0) for key in ("across", "along"))
    if across > 2 * sheet[0] or along > 2 * sheet[1]:
        raise _UnsoundMat("a bar is longer than a page")
    return across, along


def _marks(value: Any) -> Iterator[MatMark]:
    owners: dict[int, str] = {}
    for where, entry in _listed_objects(value, "marks", MOST_MARKS):
        key = entry.get("fastener")
        if not isinstance(key, str) or not 0 < len(key) <= LONGEST_KEY or HIDDEN.search(key):
            raise _UnsoundMat(f"{where} has no fastener")
        x0, y0, x1, y1 = _numbers(entry.get("box"), f"the box of {where}", 4, 0.0)
        if not (1.0 <= x1 - x0 <= 200.0 and 1.0 <= y1 - y0 <= 200.0):
            raise _UnsoundMat(f"the box of {where} is no box")
        number = _whole(entry["id"], f"the id of {where}", 0, MARK_CODES[-1].count - 1) if "id" in entry else None
        if number is not None and owners.setdefault(number, key) != key:
            raise _UnsoundMat(f"{where}: code {number} stands for {owners[number]} and for {key}")
        page = _whole(entry.get("page"), f"the page of {where}", 1, MOST_PAGES)
        size = _number(entry["size"], f"the size of {where}", 1.0, 200.0) if "size" in entry else None
        yield MatMark(key, page, (x0, y0, x1, y1), number, size)


def _tags(value: Any, pages: tuple[int, ...], trim: list[float]) -> tuple[SheetTag, ...]:
    tags = []
    for where, entry in _listed_objects(value, "tags", SHEET_CODES.count):
        size = _number(entry.get("size"), f"the size of {where}", 2.0, 500.0)
        x, y = _numbers(entry.get("centre"), f"the centre of {where}", 2, 0.0)
        half = size / 2 - SAME
        if not (trim[0] + half <= x <= trim[2] - half and trim[1] + half <= y <= trim[3] - half):
            raise _UnsoundMat(f"{where} lies outside of its sheet")
        number = _whole(entry.get("id"), f"the id of {where}", 0, SHEET_CODES.count - 1)
        if entry.get("page") not in pages or isinstance(entry["page"], bool):
            raise _UnsoundMat(f"{where} is on no sheet's page")
        tags.append(SheetTag(number, entry["page"], (x, y), size))
    if len({one.id for one in tags}) != len(tags):
        raise _UnsoundMat("two tags have the same id")
    return tuple(tags)


def _colour(value: Any, what: str) -> tuple[int, int, int] | None:
    if value is None:
        return None
    if not isinstance(value, list) or len(value) != 3:
        raise _UnsoundMat(f"{what} is not red, green and blue")
    red, green, blue = (_whole(one, what, 0, 255) for one in value)
    return red, green, blue


def _name(value: Any, what: str, known: tuple[str, ...]) -> str:
    """The family's name in OpenCV, also where it is spelt as other libraries do; "" where there is none."""
    if value == "":
        return ""
    plain = _spelt(value) if isinstance(value, str) and len(value) <= LONGEST_KEY else ""
    found = [one for one in known if _spelt(one) == plain]
    if not found:
        raise _UnsoundMat(f"{what} is none of {', '.join(known)}")
    return found[0]


def _spelt(name: str) -> str:
    return _OTHERWISE_SPELT.sub("", name.casefold())


def _scale(value: Any) -> tuple[float, float]:
    across, along = _numbers(value, "printer_scale", 2, 0.9, 1.1)
    return across, along
