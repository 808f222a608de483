"""Room for the picture of the bike where boards have none to spare: everything moves a little, for little of the scale.

In: a search and its candidate. Out: a candidate that leaves room for the picture; the same where there is no way to.
Apart from `spare_room`, which then puts it there as anywhere else: packing again has nothing to tell apart.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from boardmaker.boards.arranging import read
from boardmaker.boards.candidate import Candidate
from boardmaker.boards.homes import kept_in, of_a_side, windows_around
from boardmaker.boards.search import BoardSearch
from boardmaker.boards.spare_room import CELL, OWN_PART, with_picture
from boardmaker.figures import Figure
from boardmaker.geometry import bounds, box_ring
from boardmaker.packing import NearFit, nearest_fit
from boardmaker.packing.effort import WORK_OF
from boardmaker.packing.problem import Effort, Enough, HomeWindow, Item, Packing, Pose

NEAR = 0.15  # of a board's width and height, to each side, in which everything stays
LEAST = 0.983  # of the scale: about what growing has just won
NOTCH = 0.999  # times the scale at which everything fitted that was made smaller
LOOKS = 4  # at most, each at the scale that the one before came to
NOT_YET = 0.9  # share of zones from which a search may go on
WORK: dict[Effort, float] = {"quick": 0.2, "normal": 0.06, "thorough": 0.06}  # of all work
NO_WORSE = 0.015  # of the reading that may be lost


def with_room_for_picture(search: BoardSearch, found: Candidate) -> Candidate:
    """Return a candidate on which the picture of the bike has its place; `found` where it has one, or none is found.

    `--arrange 0` asks for the largest drawing and nothing else.
    """
    if found.cut_short or search.options.arrange == 0.0 or _has_picture(search, found):
        return found
    pictures = search.figures.pictures
    whole = [figure for figures in pictures if len(figures) == 1 for figure in figures]
    views = [figures for figures in pictures if len(figures) > 1]  # of both sides and from above; of both sides
    enough = read(search, found).total - NO_WORSE
    boards = len(found.stack.regions)
    apart = [[_on_own_half(_room([view]), view, boards) for view in figures] for figures in views]
    ways = [*([[_room(whole)]] if whole else []), *apart]
    try:
        moved = (one for rooms in ways for one in _moved(search, found, rooms))
        good = (one for one in moved if read(search, one).total >= enough and _has_picture(search, one))
        return next(good, found)
    except (KeyboardInterrupt, Enough):
        return found


def _has_picture(search: BoardSearch, found: Candidate) -> bool:
    pictured = with_picture(found, search.figures.pictures, search.clearance)
    return any(one.figure.kind == "bike map" for placed in pictured.placed for one in placed)


def _room(forms: Sequence[Figure]) -> Item:
    """What holds any of these figures wherever the cells of `spare_room` lie."""
    boxes = [bounds(figure.zone) for figure in forms]
    poses = tuple(Pose(0, box_ring(x0, y0, x1 + 2 * CELL, y1 + 2 * CELL)) for x0, y0, x1, y1 in boxes)
    return Item(f"room for {forms[0].key}", poses)


def _on_own_half(room: Item, view: Figure, boards: int) -> Item:
    """The room of a view that stands alone, where `spare_room` wants that view."""
    low, high = OWN_PART[view.key]
    return replace(room, windows=(HomeWindow((low, 0.0), (high, 1.0)),) * boards)


def _moved(search: BoardSearch, found: Candidate, rooms: Sequence[Item]) -> Iterator[Candidate]:
    """The boards with these rooms at the largest scale that looks find, everything near its place; none for no way."""
    figures, near = search.figures, NearFit(1.0, found.packing.placements)
    items, halves = figures.items_at(found.scale), of_a_side(search.work, figures.panels_at(found.scale))
    stays = windows_around(items, found.packing.placements, found.stack.stocks, NEAR, halves)
    share, least = 1.0, LEAST if search.options.scale == "auto" else 1.0
    for look in range(LOOKS):
        nearer = nearest_fit(
            (*kept_in(figures.items_at(found.scale * share), stays), *rooms),
            found.stack.regions,
            clearance=search.clearance,
            least=NOT_YET,
            effort=WORK[search.options.effort] * WORK_OF[search.options.effort],
            seed=search.options.seed + look,
            report=search.reporting("room for the picture of the bike"),
            start=near,
        )
        if nearer is not None and nearer.fits:
            candidate = search.candidate(found.stack, Packing(found.scale * share, nearer.placements[: -len(rooms)]))
            if candidate.goes_in():
                yield candidate
            return
        share *= nearer.share * NOTCH if nearer else 0.0
        if nearer is None or share < least:
            return
        near = NearFit(1.0, nearer.placements)
