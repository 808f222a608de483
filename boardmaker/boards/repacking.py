"""Earlier boards packed again: as they were where that goes, else as near to it as fits."""

from __future__ import annotations

from dataclasses import replace

from boardmaker.boards.candidate import Candidate
from boardmaker.boards.former import Former
from boardmaker.boards.search import BoardSearch
from boardmaker.boards.stack import BoardStack
from boardmaker.packing import restore, violations
from boardmaker.packing.problem import Packing


def packed_again(search: BoardSearch, former: Former, kept_on: int) -> Candidate:
    """Return the earlier packing, slid as little as will do; a new search from there where its scale cannot be kept.

    The scale is kept on at most `kept_on` boards. Raises ProblemsFound where nothing fits.
    """
    if search.options.scale == "auto":
        for count in range(min(len(former.boards), kept_on), kept_on + 1):
            found = search.at_own_heights(count, lambda stack: _same_scale(search, former, stack))
            if found and (found.cut_short or not found.too_high()):
                return found
    return search.largest()


def near_home(search: BoardSearch, former: Former, found: Candidate) -> Candidate:
    """Return the candidate with everything as near to its old place and turn as there is room.

    It stays as it is where the case would not take the boards then.
    """
    items = search.figures.items_at(found.scale)
    homes = former.homes(items, found.stack.stocks)
    placements = restore(items, found.stack.regions, found.packing.placements, homes, search.clearance)
    nearer = search.candidate(found.stack, replace(found.packing, placements=placements))
    return nearer if nearer.goes_in() else found


def _same_scale(search: BoardSearch, former: Former, stack: BoardStack) -> Packing | None:
    items = search.figures.items_at(former.scale)
    for placements in former.as_they_were(items, stack.stocks):
        if not violations(items, placements, stack.regions, search.clearance):
            return Packing(former.scale, placements)
    return search.at_scale(stack, former.scale, search.beginning(stack, former.scale))
