"""What is wrong, doubtful or not said in a bike file, for `check`, its watch and the picture.

In: a bike file. Out: the bike and every problem, in the file's order, each with both names of the holes in it: the one
in the file and the one on the board. And lines about what a stranger would miss. Apart from `check` because the picture
of a file with mistakes says the same.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import groupby
from pathlib import Path

from boardmaker.commands.common import existing
from boardmaker.inputs import BikeInPart, all_in_file_order, read_bike_in_part
from boardmaker.model import Bike
from boardmaker.problems import Problem, Severity
from boardmaker.service import Gap, loose_ends, misfits, misplaced, overtorqued, strays, with_pockets
from boardmaker.units import counted

CHECKS: tuple[Callable[[Bike], tuple[Problem, ...]], ...] = (misfits, strays, misplaced, overtorqued, loose_ends)


def doubts(bike: Bike) -> tuple[Problem, ...]:
    """Return what `check` finds in a bike whose file is without mistakes."""
    return with_pockets([problem for find in CHECKS for problem in find(bike)], bike)


def look_at(path: Path) -> BikeInPart:
    """Return what can be made of a bike file, and all problems: errors of the file too, and what `check` finds.

    Where the file has errors, only what is said of its holes is looked for: the rest may well be what is missing. They
    may be very many: `in_file_order` is for those that are said. Raises ProblemsFound where nothing can be
    made of the file.
    """
    read = read_bike_in_part(existing(path))
    if not has_errors(read.problems):
        return replace(read, problems=tuple(all_in_file_order((*read.problems, *doubts(read.bike)))))
    places = {hole.where for panel in read.bike.panels for hole in panel.holes}
    found = with_pockets([problem for find in CHECKS for problem in find(_readable(read.bike))], read.bike)
    said = (*read.problems, *(one for one in found if one.where in places))
    return replace(read, problems=tuple(all_in_file_order(said)))


def has_errors(problems: tuple[Problem, ...]) -> bool:
    """Say whether one of the problems is an error."""
    return any(problem.severity is Severity.ERROR for problem in problems)


def _readable(bike: Bike) -> Bike:
    """The bike less the holes whose fastener could not be read."""
    known = {fastener.key for fastener in bike.fasteners}
    panels = (
        replace(panel, holes=tuple(hole for hole in panel.holes if hole.fastener in known)) for panel in bike.panels
    )
    return replace(bike, panels=tuple(panels))


def unsaid_lines(gaps: Sequence[Gap], file: str) -> Iterator[str]:
    """Yield a heading a group and a line an entry, then the count."""
    for group, entries in groupby(gaps, key=lambda gap: gap.group):
        yield f"{group}:"
        for gap in entries:
            place = f"{file}:{gap.where.line}:{gap.where.column}: {gap.name}: " if gap.where else f"{file}: "
            yield f"  {place}{'; '.join(gap.missing)}"
    count = sum(len(gap.missing) for gap in gaps)
    missed = f"{counted(count, 'thing')} that a stranger would miss" if count else "nothing that a stranger would miss"
    yield f"{file}: {missed}; nothing was changed"
