"""How the panels of a bike would like to lie on its boards, in the packing engine's words.

In: the work, and which figure stands for which panel. Out: relations between items. Apart because the engine
knows no panels and the figures know no engine.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise, product

from boardmaker.model import Panel
from boardmaker.packing.problem import Relations
from boardmaker.service import Work, panel_height

CLEARLY = 80.0  # mm of height on the bike; panels that differ less may lie either way

Pairs = tuple[tuple[str, str], ...]


def relations_of(work: Work, items: Mapping[str, str]) -> Relations:
    """Return what a board that reads like the bike asks for; `items` has the item's key by the panel's key.

    Left panels left of centre ones and these left of right ones; low panels below high ones; a panel and its mirror
    image in mirrored places; panels that come off one after the other near each other.
    """
    panels = [panel for panel in work.bike.panels if panel.key in items]
    order = [panel.key for step in work.steps for panel in (step.carrier, *step.riders) if panel.key in items]
    return Relations(
        left_of=_named(_sides(panels), items),
        below=_named(_heights(panels), items),
        twins=tuple((items[one.mirrors], items[one.key]) for one in panels if one.mirrors in items),
        near=_named(pairwise(order), items),
    )


def _sides(panels: Sequence[Panel]) -> list[tuple[str, str]]:
    rank = {"left": 0, "centre": 1, "right": 2}
    return [(one.key, other.key) for one, other in product(panels, panels) if rank[one.side] < rank[other.side]]


def _heights(panels: Sequence[Panel]) -> list[tuple[str, str]]:
    heights = {panel.key: panel_height(panel) for panel in panels if panel.on_bike is not None}
    return [(one, other) for one, other in product(heights, heights) if heights[one] + CLEARLY < heights[other]]


def _named(pairs: Iterable[tuple[str, str]], items: Mapping[str, str]) -> Pairs:
    return tuple((items[one], items[other]) for one, other in pairs)
