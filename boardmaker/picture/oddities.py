"""Problems brought to the thing that they are about: a hole, a panel, or none that can be drawn.

In: a bike read as far as it goes, its problems. Out: oddities, numbered through the file. Apart from the drawing
because a problem knows only its place in the file. One that begins with a hole's `panel/id` is that hole's; any other
is about the last entry that begins before it, and in a panel about the last hole that does.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from boardmaker.model import Bike, Panel
from boardmaker.problems import Place, Problem, Severity

Entries = Sequence[tuple[str, str, Place]]  # section, key, where it begins


@dataclass(frozen=True)
class Oddity:
    """A problem with its number in the picture; `panel` and `hole` are "" where it is about none."""

    number: int
    panel: str
    hole: str
    is_error: bool
    message: str
    hint: str
    line: int | None

    @property
    def mark(self) -> str:
        """What stands at the hole and before the message."""
        return f"!{self.number}"


def find_oddities(bike: Bike, problems: Sequence[Problem], entries: Entries) -> tuple[Oddity, ...]:
    """Return every problem with what it is about, in the order given."""
    panels = {panel.key: panel for panel in bike.panels}
    return tuple(
        Oddity(
            number,
            *_about(problem, panels, entries),
            problem.severity is Severity.ERROR,
            problem.message,
            problem.hint,
            problem.where.line if problem.where else None,
        )
        for number, problem in enumerate(problems, start=1)
    )


def lost_panels(bike: Bike, entries: Entries) -> tuple[str, ...]:
    """Return the keys of panels that stand in the file and could not be built."""
    built = {panel.key for panel in bike.panels}
    return tuple(key for section, key, _ in entries if section == "panels" and key not in {*built, "panels"})


def _about(problem: Problem, panels: Mapping[str, Panel], entries: Entries) -> tuple[str, str]:
    for key, panel in panels.items():
        if problem.message.startswith(f"{key}/"):
            named = [hole.id for hole in panel.holes if _begins_with(problem.message, f"{key}/{hole.id}")]
            if named:
                return key, named[0]
    if problem.where is None:
        return "", ""
    section, key = _last_before(problem.where, [((section, key), place) for section, key, place in entries]) or ("", "")
    if section != "panels":
        return "", ""
    return (key, _hole_at(problem.where, panels[key])) if key in panels else (key, "")


def _begins_with(message: str, name: str) -> bool:
    return re.match(rf"{re.escape(name)}(?![^\s,;:)])", message) is not None


def _hole_at(where: Place, panel: Panel) -> str:
    """The hole of a panel in which a place lies; those of a mirror image stand where the original is."""
    begin = panel.where or where
    marks = [(("hole", hole.id), hole.where) for hole in panel.holes if hole.where and _at(hole.where) > _at(begin)]
    marks += [(("fixing", ""), one.where) for one in panel.fixings if one.where and _at(one.where) > _at(begin)]
    return (_last_before(where, marks) or ("", ""))[1]


def _last_before(where: Place, marks: Sequence[tuple[tuple[str, str], Place]]) -> tuple[str, str] | None:
    before = [(_at(place), index) for index, (_, place) in enumerate(marks) if _at(place) <= _at(where)]
    return marks[max(before)[1]][0] if before else None


def _at(place: Place) -> tuple[int, int]:
    return place.line, place.column
