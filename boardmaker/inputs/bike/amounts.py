"""How much a bike file may hold: far more than any motorcycle has, and so little that every check answers at once.

In: the plain data of the file. Out: nothing, or ProblemsFound with the amount, the limit and what to do. Apart from the
shapes because it is asked before anything else is done with the data: a small file can hold ten thousand holes.
"""

from __future__ import annotations

from typing import Any

from boardmaker.inputs.nesting import sections_of
from boardmaker.inputs.schema import BikeFileShape
from boardmaker.inputs.yaml.reader import Document
from boardmaker.problems import ProblemsFound, error

MOST_ENTRIES = 500  # of a section; a large motorcycle has 40 panels and 30 kinds of fasteners
MOST_HOLES = 2000  # of all panels, mirror images too; a large motorcycle has 200
MOST_TIES = 4000  # of torque rows to jobs, each a row on a card; a large motorcycle has 100
REMEDY = "write what comes off for the jobs of one bike; has something been copied too often?"


def check_amounts(document: Document) -> None:
    """Raise ProblemsFound for a section with too many entries, and for too many holes; any shape of data is taken."""
    if not isinstance(document.data, dict):
        return
    problems = [
        error(f"`{section}` has {count} entries, more than {MOST_ENTRIES}", document.place((section,), True), REMEDY)
        for section in sections_of(BikeFileShape)
        if (count := len(_mapping(document.data.get(section)))) > MOST_ENTRIES
    ]
    panels = _mapping(document.data.get("panels")).values()
    holes = sum(len(found) for panel in panels if isinstance(found := _mapping(panel).get("holes"), list))
    if holes > MOST_HOLES:
        problems.append(error(too_many_holes(holes), document.place(("panels",), True), REMEDY))
    ties = _named(document.data, "jobs", "torques") + _named(document.data, "torques", "jobs")
    if ties > MOST_TIES:
        problems.append(error(too_many_ties(ties), document.place(("torques",), True), REMEDY))
    if problems:
        raise ProblemsFound(problems)


def too_many_ties(count: int) -> str:
    """Return the complaint about so many rows on cards."""
    return f"the jobs have {count} torque rows together, more than {MOST_TIES}"


def too_many_holes(count: int) -> str:
    """Return the complaint about so many holes."""
    return f"the panels have {count} holes, more than {MOST_HOLES}"


def _named(data: dict[str, Any], section: str, key: str) -> int:
    """How many names stand in the lists under a key of a section."""
    lists = (_mapping(entry).get(key) for entry in _mapping(data.get(section)).values())
    return sum(len(one) for one in lists if isinstance(one, list))


def _mapping(value: Any) -> dict[str, Any]:
    return value if isinstance(value, dict) else {}
