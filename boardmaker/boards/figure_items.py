"""The figures of a bike at any scale, and the same as the packing engine sees them.

In: the work, the board stock. Out: figures, items. Every answer depends on the scale alone and is kept, because a
search asks for the same scale several times.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from functools import cache, lru_cache

from boardmaker.boards.former import Former
from boardmaker.boards.poses import item_of
from boardmaker.figures import Figure, FigureKind, Things, draw_figures, draw_pictures, draw_tables, each_panel
from boardmaker.model import BoardSetup
from boardmaker.packing.problem import Item
from boardmaker.service import Work

FiguresAt = Callable[[float], Things]
# At a scale, with words so many times as large: panels one by one, those with a turn (by their key) with words that run
# level at it, and tables of some kinds.
PanelsGrown = Callable[[float, float, Mapping[str, int]], Iterator[tuple[Figure, ...]]]
TablesGrown = Callable[[float, float, Mapping[str, int], Collection[FigureKind]], Things]


class FigureItems:
    """For each thing to be placed its alternatives, and its item; with a `former`, items wish to lie where they lay.

    The picture of the bike is none of them: it takes what room is left (`pictures`).
    """

    def __init__(
        self,
        all_at: FiguresAt,
        panels_grown: PanelsGrown,
        tables_grown: TablesGrown,
        pictures: Things,
        former: Former | None = None,
    ) -> None:
        self.all_at = all_at  # with the picture
        self.panels_grown, self.tables_grown = panels_grown, tables_grown
        self.pictures = pictures  # what the picture may be made of
        self._former = former
        self.items_at: Callable[[float], tuple[Item, ...]] = lru_cache(maxsize=8)(self._items_at)

    def figures_at(self, scale: float) -> Things:
        """Return for each thing its alternatives."""
        return _without_picture(self.all_at(scale))

    def _items_at(self, scale: float) -> tuple[Item, ...]:
        """Return the figures as the packing engine sees them: zones in all their poses."""
        items = tuple(item_of(str(index), alternatives) for index, alternatives in enumerate(self.figures_at(scale)))
        return self._former.wishing(items) if self._former else items

    def names_at(self, scale: float) -> list[tuple[str, str]]:
        """Return kind and key of every thing, in the order of the items."""
        return [(figures[0].kind, figures[0].key) for figures in self.figures_at(scale)]

    def panels_at(self, scale: float) -> dict[str, str]:
        """Return the item's key by the panel's key."""
        return {key: str(index) for index, (kind, key) in enumerate(self.names_at(scale)) if kind == "panel"}

    def wishing(self, former: Former) -> FigureItems:
        """Return the same figures whose items wish to lie where they lay on earlier boards."""
        return FigureItems(self.all_at, self.panels_grown, self.tables_grown, self.pictures, former)


def figure_items(work: Work, board: BoardSetup) -> FigureItems:
    """Return the figures of a work for boards of this stock."""
    all_at = cache(lambda scale: draw_figures(work, scale, board))

    @cache
    def panel_grown(scale: float, times: float, key: str, level_deg: int) -> tuple[Figure, ...]:
        return next(each_panel(work, scale, board, times, {key: level_deg}, {key}))

    def panels_grown(scale: float, times: float, level: Mapping[str, int]) -> Iterator[tuple[Figure, ...]]:
        for figures in _panels(all_at(scale)):
            key, level_deg = figures[0].key, level.get(figures[0].key, 0)
            as_it_is = times == 1.0 and level_deg == 0
            yield figures if as_it_is else panel_grown(scale, times, key, level_deg)

    def tables_grown(scale: float, times: float, level: Mapping[str, int], kinds: Collection[FigureKind]) -> Things:
        return draw_tables(work, scale, board, tuple(panels_grown(scale, 1.0, level)), times, kinds)

    return FigureItems(all_at, panels_grown, tables_grown, draw_pictures(work, board))


def _panels(figures: Things) -> Things:
    return tuple(alternatives for alternatives in figures if alternatives[0].kind == "panel")


def _without_picture(figures: Things) -> Things:
    return tuple(alternatives for alternatives in figures if alternatives[0].kind != "bike map")
