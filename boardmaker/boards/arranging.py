"""A finished candidate made to read like the bike, and how well it reads."""

from __future__ import annotations

from boardmaker.boards.candidate import Candidate
from boardmaker.boards.relations import relations_of
from boardmaker.boards.search import BoardSearch
from boardmaker.packing import arrange, read_packing
from boardmaker.packing.problem import Instance, Packing, Relations
from boardmaker.packing.reading import Reading


def arranged(search: BoardSearch, found: Candidate) -> Candidate:
    """Return the candidate made to read better, at most so much smaller as the user gives up for it.

    It stays as it is where the search was cut short, or where the case would not take the boards then.
    """
    if found.cut_short:
        return found
    smaller = _given_up(search, found)
    start = smaller or found.packing
    better = arrange(
        Instance(search.figures.items_at(start.scale), found.stack.regions, search.clearance),
        start,
        _relations(search, start.scale),
        # At the largest scale little gives; the search pays where there is room.
        effort=search.options.effort if smaller or search.options.scale != "auto" else "quick",
        seed=search.options.seed,
        report=search.reporting("arranging"),
    )
    candidate = search.candidate(found.stack, better)
    return candidate if candidate.goes_in() else found


def read(search: BoardSearch, found: Candidate) -> Reading:
    """Return how well the boards read."""
    scale, placements = found.scale, found.packing.placements
    return read_packing(search.figures.items_at(scale), found.stack.regions, placements, _relations(search, scale))


def _given_up(search: BoardSearch, found: Candidate) -> Packing | None:
    """The same packing at the smaller scale, None where there is none to give up or it does not go in there."""
    if search.options.scale != "auto" or search.options.arrange <= 0.0:
        return None
    return search.at_scale(found.stack, found.scale * (1.0 - search.options.arrange), found.packing)


def _relations(search: BoardSearch, scale: float) -> Relations:
    return relations_of(search.work, search.figures.panels_at(scale))
