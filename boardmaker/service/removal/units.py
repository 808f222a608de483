"""Which panels leave the bike, and in which order.

Panels that ride on a carrier leave the bike with it, so the order is one of *units*: a carrier with all that stays on
it. A unit may leave when every panel that one of its members waits for has left.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from boardmaker.model import Bike, Panel
from boardmaker.problems import ProblemsFound, error
from boardmaker.service.removal.ordering import Stop, order_stops
from boardmaker.service.removal.places import panel_height


@dataclass(frozen=True)
class Unit:
    """What leaves the bike in one piece: the carrier first, then its riders in the file's order."""

    panels: tuple[Panel, ...]

    @property
    def carrier(self) -> Panel:
        """The panel that the others ride on."""
        return self.panels[0]


def remove_for(bike: Bike, wanted: Collection[str] | None, apart: Collection[str] = ()) -> tuple[Unit, ...]:
    """Return the units that must leave so that `wanted` (None: everything) are off, in removal order.

    `apart` are riders that are taken off their carrier after all. Raises ProblemsFound where panels wait for each
    other in a circle.
    """
    roots = {panel.key: _root(bike, panel.key, apart) for panel in bike.panels}
    waits = _unit_waits(bike, roots, apart)
    seeds = roots.values() if wanted is None else [roots[key] for key in (*wanted, *apart)]
    leaving = _closure(seeds, waits)
    order = _order([panel for panel in bike.panels if panel.key in leaving], waits)
    return tuple(_unit(bike, root, roots) for root in order)


def _root(bike: Bike, key: str, apart: Collection[str]) -> str:
    seen = [key]
    while key not in apart and (carrier := bike.panel(key).rides_on):
        key = carrier
        if key in seen:
            raise _circle([*seen[seen.index(key) :], key])
        seen.append(key)
    return key


def _unit(bike: Bike, root: str, roots: dict[str, str]) -> Unit:
    riders = tuple(panel for panel in bike.panels if roots[panel.key] == root and panel.key != root)
    return Unit((bike.panel(root), *riders))


def panel_waits(bike: Bike) -> dict[str, tuple[str, ...]]:
    """Return per panel the panels that must be off before it: `after`, and owners of screws that also hold it."""
    waits: dict[str, list[str]] = {panel.key: list(panel.after) for panel in bike.panels}
    for panel in bike.panels:
        for hole in panel.holes:
            for held in hole.also_holds:
                waits[held].append(panel.key)
    return {key: tuple(dict.fromkeys(keys)) for key, keys in waits.items()}


def _unit_waits(bike: Bike, roots: dict[str, str], apart: Collection[str]) -> dict[str, tuple[str, ...]]:
    """Per unit the units that must leave before it, as the keys of their carriers."""
    units: dict[str, dict[str, None]] = {root: {} for root in roots.values()}
    for key, waits in panel_waits(bike).items():
        carrier = bike.panel(key).rides_on
        before = [other for other in waits if not _rides(bike, other, key)]
        before += [carrier] if key in apart and carrier else []
        units[roots[key]].update(dict.fromkeys(roots[other] for other in before if roots[other] != roots[key]))
    return {root: tuple(before) for root, before in units.items()}


def _rides(bike: Bike, rider: str, carrier: str) -> bool:
    """Whether one panel rides on the other: then it is taken apart after the carrier is off, whatever screws say."""
    while rider := bike.panel(rider).rides_on:
        if rider == carrier:
            return True
    return False


def _closure(seeds: Iterable[str], waits: dict[str, tuple[str, ...]]) -> set[str]:
    reached: set[str] = set()
    to_visit = list(seeds)
    while to_visit:
        key = to_visit.pop()
        if key not in reached:
            reached.add(key)
            to_visit.extend(waits[key])
    return reached


def _order(panels: list[Panel], waits: dict[str, tuple[str, ...]]) -> list[str]:
    """The working order of the units, by their carriers; see `ordering` for what makes one better than another."""
    places = {panel.key: index for index, panel in enumerate(panels)}
    stops = [
        Stop(panel.side, round(panel_height(panel)), frozenset(places[key] for key in waits[panel.key]))
        for panel in panels
    ]
    try:
        return [panels[index].key for index in order_stops(stops)]
    except ValueError:
        raise _circle(_find_circle(_stuck(places, waits), waits)) from None


def _stuck(keys: Collection[str], waits: dict[str, tuple[str, ...]]) -> list[str]:
    """Those that can never leave: whoever waits for nobody that is left goes, again and again."""
    left = list(keys)
    while free := [key for key in left if not any(before in left for before in waits[key])]:
        left = [key for key in left if key not in free]
    return left


def _find_circle(keys: list[str], waits: dict[str, tuple[str, ...]]) -> list[str]:
    walk = [keys[0]]
    while True:
        step = next(key for key in waits[walk[-1]] if key in keys)
        if step in walk:
            return [*walk[walk.index(step) :], step]
        walk.append(step)


def _circle(keys: list[str]) -> ProblemsFound:
    return ProblemsFound(
        [
            error(
                f"these panels wait for each other in a circle: {' -> '.join(keys)}",
                hint="check `after`, `also_holds` and `rides_on` of these panels: one of them can come off first",
            )
        ]
    )
