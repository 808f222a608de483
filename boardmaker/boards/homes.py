"""Where each panel would lie on boards that are an exploded view of the bike, and how far from there it may.

In: panels, their middles on the bike, the boards' areas. Out: homes, and windows around them for the packing engine.
Apart because the engine knows no bike. Left panels left, high ones high, front ones outermost, centre ones in the
middle. Of several boards each takes a stretch of the bike from front to rear, a panel together with its mirror image.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from boardmaker.boards.former import middle
from boardmaker.model import Panel, Side
from boardmaker.packing.problem import CLOSED, HomeWindow, Item, Placement, Point
from boardmaker.service import Work, place_on_bike

MIDDLE: dict[Side, float] = {"left": 0.25, "right": 0.75, "centre": 0.5}  # home across, where only the side is known
OUTERMOST, INNERMOST = 0.06, 0.44  # homes of the foremost and the rearmost side panel, in widths from the outer edge
LOWEST, HIGHEST = 0.1, 0.9  # homes in heights of the board
MIDDLE_HALF = 0.24  # of the width, from the middle to each side: where centre panels belong
OFF_MIDDLE = 0.002  # of the width that a side panel which stays in its half keeps from the middle line
PAST = 0.012  # of the width that a side panel's window keeps from the middle line: a compaction moves it a little


@dataclass(frozen=True)
class Width:
    """How wide windows are, from the home to one side.

    Shares of a board's height, of its width for side panels, of its width for centre ones. `upright`: panels only in
    poses of turn 0, but those that are too wide for that (`too_wide`), if `wide_turn`; `tables`: tables too.
    """

    height: float
    along: float
    centre: float
    upright: bool = True
    tables: bool = True
    wide_turn: bool = True

    def times(self, factor: float) -> Width:
        """Return windows so many times as wide, centre ones in the middle half."""
        centre = min(self.centre * factor, MIDDLE_HALF)
        return replace(self, height=self.height * factor, along=self.along * factor, centre=centre)


@dataclass(frozen=True)
class Home:
    """Where a panel would like to lie: its board, and shares of that board's width and height, None where unknown."""

    side: Side
    board: int | None
    across: float | None
    up: float | None

    @property
    def wish(self) -> Point:
        """A place to begin from."""
        return MIDDLE[self.side] if self.across is None else self.across, 0.5 if self.up is None else self.up


@dataclass(frozen=True)
class Stay:
    """Windows of one item around where it lies, and its turn."""

    windows: tuple[HomeWindow, ...]
    turn_deg: int


def middle_on_bike(panel: Panel) -> tuple[float | None, float | None]:
    """Return how far ahead and how high the middle of a panel's outline is, mm; None for what the file does not say."""
    xs, ys = zip(*(panel.outline or ((0.0, 0.0),)), strict=True)
    ahead, above, _ = place_on_bike(panel, ((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2))
    return ahead, above


def homes_on_boards(work: Work, names: Mapping[str, str], areas: Sequence[float]) -> dict[str, Home]:
    """Return the homes by panel key of the panels in `names`, on boards of these areas."""
    panels = [panel for panel in work.bike.panels if panel.key in names]
    homes: dict[str, Home] = {}
    for board, group in enumerate(_stretches(panels, areas)):
        homes |= _homes(group, board if len(areas) > 1 else None)
    return homes


def too_wide(work: Work, names: Mapping[str, str], items: Sequence[Item], room: float) -> frozenset[str]:
    """Return the keys of panels that do not stand upright beside their mirror image in so much width, mm.

    Above each other neither is where the other would be seen in a mirror, and both are in the way of what lies higher
    and lower on the bike.
    """
    by_key = {item.key: item for item in items}
    pairs = [(one.key, one.mirrors) for one in work.bike.panels if one.key in names and one.mirrors in names]
    return frozenset(
        key for pair in pairs if math.fsum(_upright_width(by_key[names[one]]) for one in pair) > room for key in pair
    )


def windowed(
    items: Sequence[Item],
    names: Mapping[str, str],
    homes: Mapping[str, Home],
    width: Width,
    turning: Collection[str] = (),
) -> tuple[Item, ...]:
    """Return the items with windows for the panels; `names` has the item's key by the panel's key.

    Panels that are `turning` may lie turned in any windows, tables anywhere.
    """
    keys = {item: panel for panel, item in names.items()}
    boards = 1 + max((home.board or 0 for home in homes.values()), default=0)
    return tuple(
        _windowed(item, homes[keys[item.key]], width, boards, turning=keys[item.key] in turning)
        if item.key in keys
        else replace(item, turn_deg=0 if width.tables else None)
        for item in items
    )


def of_a_side(work: Work, names: Mapping[str, str]) -> frozenset[str]:
    """Return the keys of the items that are left or right panels; `names` has the item's key by the panel's key."""
    return frozenset(names[one.key] for one in work.bike.panels if one.key in names and one.side != "centre")


def windows_around(
    items: Sequence[Item],
    placements: Sequence[Placement],
    stocks: Sequence[Point],
    near: float,
    halves: Collection[str] = (),
) -> dict[str, Stay]:
    """Return for each item windows that reach `near`, a share of its board, to each side of where it lies.

    Items of `halves`, by their keys, stay in the half of the board that they are in.
    """
    return {
        item.key: _stay(item, lies, stocks, near, in_half=item.key in halves)
        for item, lies in zip(items, placements, strict=True)
    }


def kept_in(items: Sequence[Item], stays: Mapping[str, Stay]) -> tuple[Item, ...]:
    """Return the items with these windows, each in the turn that it has."""
    return tuple(replace(item, windows=stays[item.key].windows, turn_deg=stays[item.key].turn_deg) for item in items)


def _stay(item: Item, lies: Placement, stocks: Sequence[Point], near: float, *, in_half: bool) -> Stay:
    pose = item.poses[lies.pose]
    x, y = pose.middle or middle(pose.zone)
    width, height = stocks[lies.region]
    across, up = (lies.at[0] + x) / width, (lies.at[1] + y) / height
    low_x, high_x = across - near, across + near
    if in_half and across < 0.5:
        high_x = min(high_x, max(across, 0.5 - OFF_MIDDLE))
    elif in_half:
        low_x = max(low_x, min(across, 0.5 + OFF_MIDDLE))
    own = HomeWindow((low_x, up - near), (high_x, up + near))
    windows = tuple(own if board == lies.region else CLOSED for board in range(len(stocks)))
    return Stay(windows, pose.turn_deg)


def _upright_width(item: Item) -> float:
    """The width of the narrowest pose of turn 0, mm; 0 where there is none."""
    upright = [[x for x, _ in pose.zone] for pose in item.poses if pose.turn_deg == 0]
    return min((max(xs) - min(xs) for xs in upright), default=0.0)


def _windowed(item: Item, home: Home, width: Width, boards: int, *, turning: bool) -> Item:
    own = _window(home, width)
    windows = tuple(own if home.board in (None, board) else CLOSED for board in range(boards))
    return replace(item, wish=home.wish, windows=windows, turn_deg=0 if width.upright and not turning else None)


def _window(home: Home, width: Width) -> HomeWindow:
    low_y, high_y = (0.0, 1.0) if home.up is None else (home.up - width.height, home.up + width.height)
    if home.side == "centre":
        return HomeWindow((0.5 - width.centre, low_y), (0.5 + width.centre, high_y))
    low_x, high_x = (0.0, 0.5 - PAST) if home.side == "left" else (0.5 + PAST, 1.0)
    if home.across is not None:
        low_x, high_x = max(low_x, home.across - width.along), min(high_x, home.across + width.along)
    return HomeWindow((low_x, low_y), (high_x, high_y))


def _homes(panels: Sequence[Panel], board: int | None) -> dict[str, Home]:
    middles = {panel.key: middle_on_bike(panel) for panel in panels}
    ahead = _shares({panel.key: middles[panel.key][0] for panel in panels if panel.side != "centre"})
    above = _shares({key: middle[1] for key, middle in middles.items()})
    return {
        panel.key: Home(panel.side, board, _across(panel, ahead.get(panel.key)), _up(above.get(panel.key)))
        for panel in panels
    }


def _shares(values: Mapping[str, float | None]) -> dict[str, float]:
    known = {key: value for key, value in values.items() if value is not None}
    if not known:
        return {}
    low, high = min(known.values()), max(known.values())
    return {key: (value - low) / (high - low) if high > low else 0.5 for key, value in known.items()}


def _across(panel: Panel, share: float | None) -> float | None:
    if panel.side == "centre":
        return MIDDLE["centre"]
    if share is None:
        return None
    from_edge = INNERMOST + (OUTERMOST - INNERMOST) * share
    return from_edge if panel.side == "left" else 1.0 - from_edge


def _up(share: float | None) -> float | None:
    return None if share is None else LOWEST + (HIGHEST - LOWEST) * share


def _stretches(panels: Sequence[Panel], areas: Sequence[float]) -> list[list[Panel]]:
    """The panels of each board, the front of the bike on the first; by area, mirror images together."""
    ahead = {panel.key: middle_on_bike(panel)[0] for panel in panels}
    units = [
        [panel, *(other for other in panels if other.mirrors == panel.key)]
        for panel in panels
        if not _has_twin(panel, panels)
    ]
    units.sort(key=lambda unit: -(ahead[unit[0].key] or 0.0))
    claimed = [sum(_box_area(panel) for panel in unit) for unit in units]
    stretches: list[list[Panel]] = [[] for _ in areas]
    board, taken, end = 0, 0.0, sum(claimed) * areas[0] / sum(areas)
    for unit, area in zip(units, claimed, strict=True):
        if taken + area / 2 > end and board < len(areas) - 1:
            board += 1
            end += sum(claimed) * areas[board] / sum(areas)
        stretches[board] += unit
        taken += area
    return stretches


def _has_twin(panel: Panel, panels: Sequence[Panel]) -> bool:
    return any(other.key == panel.mirrors for other in panels)


def _box_area(panel: Panel) -> float:
    xs, ys = zip(*(panel.outline or ((0.0, 0.0),)), strict=True)
    return float((max(xs) - min(xs)) * (max(ys) - min(ys)))
