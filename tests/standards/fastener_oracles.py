"""Reads fastener tables that other people made: two packages and the retyped values in `fixtures/standards`.

The packages are read as text files of their installed distributions, their CAD code is never imported. A package that
is not installed raises PackageNotFoundError: the test fails, it is not skipped.
"""

from __future__ import annotations

import ast
import csv
import re
from importlib.metadata import distribution
from pathlib import Path
from typing import Any

from boardmaker.standards.reading import read_table

FIXTURES = Path(__file__).parents[2] / "fixtures" / "standards"
Table = dict[float, dict[str, float]]
Differences = dict[tuple[float, str], tuple[float, float]]


def read_fixture(name: str) -> list[dict[str, str]]:
    """Return the rows of a CSV in `fixtures/standards`."""
    with (FIXTURES / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def read_own(table: str, key: str = "d") -> Table:
    """Return a table of boardmaker: size -> column -> value, the source left out."""
    return {
        float(row[key]): {name: float(text) for name, text in row.items() if name not in (key, "source") and text}
        for row in read_table(table)
    }


def read_bd_warehouse(file: str, columns: dict[str, str]) -> Table:
    """Return the metric rows of a bd-warehouse CSV under our column names; numbers of T30 and PH2 without letters."""
    text = Path(str(distribution("bd-warehouse").locate_file(f"bd_warehouse/data/{file}"))).read_text(encoding="utf-8")
    table: Table = {}
    for raw in csv.DictReader(text.splitlines()):
        row = {name.strip(): value for name, value in raw.items()}
        size = re.match(r"M([\d.]+)", row.get("Size", row.get("", "")))
        cells = {ours: row[theirs].lstrip("TPH") for ours, theirs in columns.items()}
        if size and all(cells.values()):
            table.setdefault(float(size[1]), {ours: float(cell) for ours, cell in cells.items()})
    return table


def read_bosl2(name: str, function: str) -> list[Any]:
    """Return the nested list `name` of a function in BOSL2's screws.scad, which solidpython2 carries as text."""
    text = _bosl2_text("screws.scad")
    text = text[text.index(function) :]
    start = text.index("[", re.search(rf"\b{name}\s*=", text).end())
    body = re.sub(r"//[^\n]*", "", _bracketed(text, start))
    return ast.literal_eval(re.sub(r"(\d+)/(\d+)", r'"\1/\2"', body).replace("undef", "None"))


def read_bosl2_lookup(function: str) -> dict[float, float]:
    """Return the pairs of a lookup table in BOSL2's metric_screws.scad."""
    text = _bosl2_text("metric_screws.scad")
    start = text.index("[", text.index(f"function {function}"))
    return dict(ast.literal_eval(_bracketed(text, start)))


def compare(ours: Table, theirs: Table, tolerance: float = 0.0051) -> Differences:
    """Return (size, column) -> (ours, theirs) wherever the two differ; only sizes and columns that both have count."""
    return {
        (size, column): (ours[size][column], value)
        for size in sorted(ours.keys() & theirs.keys())
        for column, value in theirs[size].items()
        if column in ours[size] and abs(ours[size][column] - value) > tolerance
    }


def _bosl2_text(file: str) -> str:
    path = distribution("solidpython2").locate_file(f"solid2/extensions/bosl2/BOSL2/{file}")
    return Path(str(path)).read_text(encoding="utf-8")


def _bracketed(text: str, start: int) -> str:
    """Return the text from the bracket at `start` to the one that closes it."""
    depth = 0
    for index in range(start, len(text)):
        depth += {"[": 1, "]": -1}.get(text[index], 0)
        if depth == 0:
            return text[start : index + 1]
    raise ValueError("no closing bracket")
