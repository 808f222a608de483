"""What a note of the bike file says of time: a condition, what is done before, what after, what on the way back.

In: the note of a torque row, a job or a fixing. Out: its clauses (parts between `;`) by the time they belong to. Apart
from the modules that print notes, because rows, jobs and fixings are read by the same few words: a step that stands
behind the torque it should come before is done too late (common practice, no source).
"""

from __future__ import annotations

import re
from dataclasses import dataclass

_CLAUSES = re.compile(r";\s+")
_ONLY_IF = re.compile(r"only (?:if|when)\b", re.IGNORECASE)
_FIRST = re.compile(r"first(?: of all)?\b[:,]?\s+", re.IGNORECASE)
_ENDS_FIRST = re.compile(r"\bfirst$|\bfirst - ", re.IGNORECASE)
_THEN = re.compile(r"(?:then|afterwards|last of all)\b[:,]?\s+", re.IGNORECASE)
_REFIT = re.compile(r"refit:\s+", re.IGNORECASE)


@dataclass(frozen=True)
class Timed:
    """A note in order: `only_if` ("" for always), steps `before`, what is said `beside`, steps `after`."""

    only_if: str = ""
    before: tuple[str, ...] = ()
    beside: str = ""
    after: tuple[str, ...] = ()


def timed(note: str) -> Timed:
    """Return a note by the time of its clauses: `only if …`, `first …`, `… first`, `then …`; the rest is said beside.

    What follows a clause that begins with `first` or `then` belongs to it, up to the next such word.
    """
    found: dict[str, list[str]] = {"only if": [], "before": [], "beside": [], "after": []}
    running = "beside"
    for clause in _CLAUSES.split(note.strip()):
        running = _time_that_begins(clause) or running
        own = "only if" if _ONLY_IF.match(clause) else "before" if _ENDS_FIRST.search(clause) else running
        found[own].append(_without_its_word(clause))
    only_if, beside = (" ".join(found["only if"]), "; ".join(one for one in found["beside"] if one))
    return Timed(only_if, tuple(found["before"]), beside, tuple(found["after"]))


def _time_that_begins(clause: str) -> str:
    return "before" if _FIRST.match(clause) else "after" if _THEN.match(clause) else ""


def _without_its_word(clause: str) -> str:
    begins = _FIRST.match(clause) or _THEN.match(clause)
    return clause[begins.end() :] if begins else clause


def way_out(note: str) -> str:
    """Return what a fixing's note says of the removal: all before its clause `refit: …`."""
    return "; ".join(_parted(note)[0])


def way_back(note: str) -> str:
    """Return what a fixing's note says of the refit: from its clause `refit: …` on; "" for nothing."""
    return "; ".join(_REFIT.sub("", clause, count=1) for clause in _parted(note)[1])


def _parted(note: str) -> tuple[list[str], list[str]]:
    clauses = _CLAUSES.split(note)
    begins = next((at for at, clause in enumerate(clauses) if _REFIT.match(clause)), len(clauses))
    return clauses[:begins], clauses[begins:]
