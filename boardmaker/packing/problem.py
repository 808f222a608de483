"""What goes into the packing engine and what comes out. It knows items and regions and no motorcycles.

Millimetres, origin lower left, y up, turns in degrees counter-clockwise.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

Point = tuple[float, float]
Ring = tuple[Point, ...]  # a simple polygon, first point not repeated

Effort = Literal["quick", "normal", "thorough"]


@dataclass(frozen=True)
class Pose:
    """One way for an item to lie: its zone, already turned, relative to the item's own origin.

    `middle` is the point that windows and readings go by; None: the middle of the zone's bounding box.
    """

    turn_deg: int
    zone: Ring
    middle: Point | None = None


@dataclass(frozen=True)
class HomeWindow:
    """Where the middle of an item may stand, as shares (0 to 1) of a region's width and height."""

    low: Point = (0.0, 0.0)
    high: Point = (1.0, 1.0)


CLOSED = HomeWindow((1.0, 1.0), (0.0, 0.0))  # of a region that an item may not lie in


@dataclass(frozen=True)
class Item:
    """One thing to place, in any of its poses.

    `wish` is where its middle would like to be, as a fraction (0 to 1) of the width and height of any region; None
    if it does not matter. The largest scale comes first: a wish decides only between places that are equally good.

    `windows` are where the search may put it, one for each region (none: anywhere); where no window has room for it,
    it may stand as little outside as it must. `turn_deg`: in its poses of this turn alone, if one of them has room.
    """

    key: str
    poses: tuple[Pose, ...]
    wish: Point | None = None
    windows: tuple[HomeWindow, ...] = ()
    turn_deg: int | None = None


@dataclass(frozen=True)
class Region:
    """Where items may lie: inside `outline` (convex or not) at least `margin` from its edge, off every keep-out.

    `margin` is also kept from the keep-outs.
    """

    outline: Ring
    margin: float = 0.0
    keep_outs: tuple[Ring, ...] = ()


@dataclass(frozen=True)
class Placement:
    """An item's origin falls at `at` in region number `region` (from 0), in pose number `pose` (from 0)."""

    key: str
    region: int
    pose: int
    at: Point


@dataclass(frozen=True)
class Packing:
    """All items placed at one common scale, in the order of the items.

    `cut_short` marks the best so far of a search that was stopped before its work was done.
    """

    scale: float
    placements: tuple[Placement, ...]
    cut_short: bool = False


@dataclass(frozen=True)
class Instance:
    """What has to be packed: items as they are, regions, and the clearance (mm) between any two zones in a region."""

    items: tuple[Item, ...]
    regions: tuple[Region, ...]
    clearance: float


Half = Literal["left", "right", "middle"]


@dataclass(frozen=True)
class Relations:
    """How items would like to lie, in a region and to each other, by their keys.

    In the left, the right or the middle half of their region; the first of a pair below the second; the first to the
    left of the second; two as each other's mirror image in the middle of the region; in a pose of turn 0. `aside` are
    items that should lie at the rim of their region, at turn 0, as far as the others lose nothing by it.
    """

    halves: tuple[tuple[str, Half], ...] = ()
    below: tuple[tuple[str, str], ...] = ()
    left_of: tuple[tuple[str, str], ...] = ()
    twins: tuple[tuple[str, str], ...] = ()
    upright: tuple[str, ...] = ()
    aside: tuple[str, ...] = ()


@dataclass(frozen=True)
class Progress:
    """What a long search says of itself: share of its work done (0 to 1) and the best scale so far."""

    done: float
    best_scale: float | None


ItemsAt = Callable[[float], Sequence[Item]]  # the items, laid out anew at a scale; same keys in the same order
Report = Callable[[Progress], None]  # may raise Enough


class Enough(Exception):
    """Raised by a report to end the search with the best packing so far."""
