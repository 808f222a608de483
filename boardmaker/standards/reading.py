"""Reads the tables of this folder.

In: the name of a CSV file in `tables/`. Out: its rows as text, read once and only when somebody asks. Apart so that
no other module knows where the tables lie. Every table has a `source` column that says where each row was read.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from types import MappingProxyType


@cache
def read_table(name: str) -> tuple[Mapping[str, str], ...]:
    """Return the rows of `tables/<name>.csv` in the file's order, each a read-only mapping column -> text."""
    text = files(__package__).joinpath("tables", f"{name}.csv").read_text(encoding="utf-8")
    return tuple(MappingProxyType(row) for row in csv.DictReader(text.splitlines()))
