"""References of the whole bike file, also of entries that could not be built because of another mistake in them.

In: the plain data of the file. Out: a complaint for every name of something that is not there. Apart from the builders
because these see only the entries without a mistake; what both find is reported once.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from boardmaker.inputs.findings import Findings
from boardmaker.inputs.yaml.reader import Document, KeyPath

# What is named, the section that it must stand in, and where names of it stand; `*` is any key or place.
_NAMED: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("fastener", "fasteners", ("panels * holes * fastener",)),
    ("panel", "panels", ("panels * after", "panels * rides_on", "panels * mirrors", "panels * holes * also_holds")),
    ("panel", "panels", ("jobs * remove", "jobs * apart")),
    ("torque row", "torques", ("jobs * torques",)),
    ("job", "jobs", ("torques * jobs",)),
    ("equipment", "equipment", ("panels * with", "panels * without", "torques * with", "torques * without")),
    ("equipment", "equipment", ("panels * holes * with", "panels * holes * without")),
    ("equipment", "equipment", ("panels * fixings * with", "panels * fixings * without")),
)


def check_references(document: Document, findings: Findings) -> None:
    """Complain of every reference to something that the file does not have."""
    for what, section, patterns in _NAMED:
        there = document.data.get(section)
        allowed = tuple(there) if isinstance(there, dict) else ()
        for pattern in patterns:
            for path, value in _found(document.data, tuple(pattern.split()), ()):
                findings.known(path, what, _names(value), allowed)


def _found(data: Any, pattern: tuple[str, ...], path: KeyPath) -> Iterator[tuple[KeyPath, Any]]:
    """Yield the values that stand where the pattern leads, with the way to each."""
    if not pattern:
        yield path, data
        return
    entries = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for step, value in entries:
        if pattern[0] in ("*", step):
            yield from _found(value, pattern[1:], (*path, step))


def _names(value: Any) -> list[str]:
    """One name or a list of them, as written; what is no name has its own complaint."""
    values = value if isinstance(value, list) else [value]
    texts = [one for one in values if isinstance(one, str | int | float) and not isinstance(one, bool)]
    names = [" ".join(str(getattr(one, "written", one)).split()) for one in texts]
    return [name for name in names if name] if len(texts) == len(values) else []
