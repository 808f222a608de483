"""Problems brought to the thing that they are about: a hole, a panel, or none that can be drawn.

In: a bike read as far as it goes, its problems. Out: oddities, numbered through the file. Apart from the drawing
because a problem knows only its place in the file. One that names holes (`panel/id`) is about these; any other is about
the last entry that begins before it, and in a panel about the last hole that does.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from boardmaker.model import Bike, Panel
from boardmaker.problems import Place, Problem, Severity

Entries = Sequence[tuple[str, str, Place]]  # section, key, where it begins


@dataclass(frozen=True)
class Oddity:
    """A problem with its number in the picture, and what it is about: (panel, hole), hole "" for the whole panel."""

    number: int
    about: tuple[tuple[str, str], ...]
    is_error: bool
    message: str
    hint: str
    line: int | None

    def is_about(self, panel: str, hole: str | None = None) -> bool:
        """Say whether it is about a panel, or about one of its holes."""
        return any(key == panel and hole in (None, one) for key, one in self.about)

    @property
    def mark(self) -> str:
        """What stands at the hole and before the message."""
        return f"!{self.number}"


def find_oddities(bike: Bike, problems: Sequence[Problem], entries: Entries) -> tuple[Oddity, ...]:
    """Return every problem with what it is about, in the order given."""
    panels = {panel.key: panel for panel in bike.panels}
    holes = {f"{panel.key}/{hole.id}": (panel.key, hole.id) for panel in bike.panels for hole in panel.holes}
    return tuple(
        Oddity(
            number,
            _named(problem.message, holes) or _by_place(problem.where, panels, entries),
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


def _named(message: str, holes: Mapping[str, tuple[str, str]]) -> tuple[tuple[str, str], ...]:
    words = (word.strip("`\"'.,:;()") for word in message.split())
    return tuple(dict.fromkeys(holes[word] for word in words if word in holes))


def _by_place(where: Place | None, panels: Mapping[str, Panel], entries: Entries) -> tuple[tuple[str, str], ...]:
    marks = [((section, key), place) for section, key, place in entries]
    section, key = (_last_before(where, marks) if where else None) or ("", "")
    if where is None or section != "panels" or key == "panels":
        return ()
    return ((key, _hole_at(where, panels[key]) if key in panels else ""),)


def _hole_at(where: Place, panel: Panel) -> str:
    """The hole of a panel in which a place lies; those of a mirror image stand where the original is."""
    begin = panel.where or where
    marks = [(("hole", hole.id), hole.where) for hole in panel.holes if hole.where and _at(hole.where) > _at(begin)]
    marks += [(("hole", one.id), one.where) for one in panel.unplaced if one.where and _at(one.where) > _at(begin)]
    marks += [(("fixing", ""), one.where) for one in panel.fixings if one.where and _at(one.where) > _at(begin)]
    return (_last_before(where, marks) or ("", ""))[1]


def _last_before(where: Place, marks: Sequence[tuple[tuple[str, str], Place]]) -> tuple[str, str] | None:
    before = [(_at(place), index) for index, (_, place) in enumerate(marks) if _at(place) <= _at(where)]
    return marks[max(before)[1]][0] if before else None


def _at(place: Place) -> tuple[int, int]:
    return place.line, place.column
