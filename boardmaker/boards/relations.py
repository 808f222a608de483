"""How the panels of a bike would like to lie on its boards, in the packing engine's words.

In: the work, and which figure stands for which panel. Out: relations between items. Apart because the engine
knows no panels and the figures know no engine.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import permutations

from boardmaker.boards.homes import middle_on_bike
from boardmaker.model import Panel
from boardmaker.packing.problem import Half, Relations
from boardmaker.service import Work

CLEARLY_HIGHER = 80.0  # mm on the bike; panels that differ less may lie either way
CLEARLY_AHEAD = 150.0

Pairs = tuple[tuple[str, str], ...]
HALF: dict[str, Half] = {"left": "left", "right": "right", "centre": "middle"}


def relations_of(work: Work, items: Mapping[str, str], tables: Iterable[str] = ()) -> Relations:
    """Return what a board that reads like the bike asks for; `items` has the item's key by the panel's key.

    `tables` are the keys of items that are none; they lie at the rim, because nobody looks for them in the middle.

    Left panels in the left half, right ones in the right, centre ones in the middle half; low panels below high ones;
    those of a side in the order in which they are seen from it; a panel and its mirror image in mirrored places; all
    upright.
    """
    panels = [panel for panel in work.bike.panels if panel.key in items]
    return Relations(
        halves=tuple((items[panel.key], HALF[panel.side]) for panel in panels),
        below=_named(_heights(panels), items),
        left_of=_named(_ends(panels), items),
        twins=tuple((items[one.mirrors], items[one.key]) for one in panels if one.mirrors in items),
        upright=tuple(items[panel.key] for panel in panels),
        aside=tuple(tables),
    )


def _heights(panels: Sequence[Panel]) -> Iterator[tuple[str, str]]:
    heights = {panel.key: middle_on_bike(panel)[1] for panel in panels}
    known = {key: height for key, height in heights.items() if height is not None}
    for one, other in permutations(known, 2):
        if known[one] + CLEARLY_HIGHER < known[other]:
            yield one, other


def _ends(panels: Sequence[Panel]) -> Iterator[tuple[str, str]]:
    """On the left side the front is to the left, on the right side to the right; centre panels have no such order."""
    ahead = {panel.key: middle_on_bike(panel)[0] for panel in panels}
    for one, other in permutations(panels, 2):
        mine, theirs = ahead[one.key], ahead[other.key]
        if one.side != other.side or one.side == "centre" or mine is None or theirs is None:
            continue
        before = mine - theirs if one.side == "left" else theirs - mine
        if before > CLEARLY_AHEAD:
            yield one.key, other.key


def _named(pairs: Iterable[tuple[str, str]], items: Mapping[str, str]) -> Pairs:
    return tuple((items[one], items[other]) for one, other in pairs)
