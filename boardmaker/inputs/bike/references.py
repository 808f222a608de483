"""References of a bike file: every name of a fastener, panel, job, torque row or equipment, held against its section.

In: the plain data of the file. Out: the keys that there are, and a complaint for every name of something that is not
there. Apart from the builders because these see only the entries without a mistake, and an entry with one names things
too. Which key names what is written in the schema (`KeyOf`); ids of holes are checked where the holes are known.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import Any

from boardmaker.inputs.findings import Findings
from boardmaker.inputs.nesting import naming_values, sections_of
from boardmaker.inputs.schema import BikeFileShape
from boardmaker.inputs.values import as_written
from boardmaker.inputs.yaml.reader import Document


@dataclass(frozen=True)
class KnownKeys:
    """All keys of a bike file's sections, in its order.

    Also those of entries that have a mistake: a reference to one of these is no second mistake.
    """

    equipment: tuple[str, ...]
    fasteners: tuple[str, ...]
    panels: tuple[str, ...]
    jobs: tuple[str, ...]
    torques: tuple[str, ...]

    def of(self, section: str) -> tuple[str, ...]:
        """Return the keys of a section by its name in the file."""
        keys: tuple[str, ...] = getattr(self, section)
        return keys


def known_keys(document: Document) -> KnownKeys:
    """Return the keys of every section that has entries."""
    sections = {section: document.data.get(section) for section in sections_of(BikeFileShape)}
    return KnownKeys(**{name: tuple(one) if isinstance(one, dict) else () for name, one in sections.items()})


def check_references(document: Document, known: KnownKeys, findings: Findings) -> None:
    """Complain of every reference to something that the file does not have."""
    for path, names, value in naming_values(BikeFileShape, document.data):
        findings.known(path, names.what, _names(value), known.of(names.section))


def existing(names: Iterable[str], keys: Collection[str]) -> tuple[str, ...]:
    """Return the names that are keys, each once; `check_references` has complained of the others."""
    return tuple(dict.fromkeys(name for name in names if name in keys))


def _names(value: Any) -> list[str]:
    """One name or a list of them, as written; what is no name has its own complaint."""
    values = value if isinstance(value, list) else [value]
    texts = [one for one in values if isinstance(one, str | int | float) and not isinstance(one, bool)]
    names = [as_written(one) for one in texts]
    return [name for name in names if name] if len(texts) == len(values) else []
