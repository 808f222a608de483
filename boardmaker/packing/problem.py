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
    """One way for an item to lie: its zone, already turned, relative to the item's own origin."""

    turn_deg: int
    zone: Ring


@dataclass(frozen=True)
class Item:
    """One thing to place, in any of its poses.

    `wish` is where its middle would like to be, as a fraction (0 to 1) of the width and height of any region; None
    if it does not matter. The largest scale comes first: a wish decides only between places that are equally good.
    """

    key: str
    poses: tuple[Pose, ...]
    wish: Point | None = None


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


@dataclass(frozen=True)
class Relations:
    """How items would like to lie to each other, as pairs of their keys.

    The first of a pair to the left of the second; the first below the second; the two as each other's mirror image in
    the middle of the region; the two near each other.
    """

    left_of: tuple[tuple[str, str], ...] = ()
    below: tuple[tuple[str, str], ...] = ()
    twins: tuple[tuple[str, str], ...] = ()
    near: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class Progress:
    """What a long search says of itself: share of its work done (0 to 1) and the best scale so far."""

    done: float
    best_scale: float | None


ItemsAt = Callable[[float], Sequence[Item]]  # the items, laid out anew at a scale; same keys in the same order
Report = Callable[[Progress], None]  # may raise Enough


class Enough(Exception):
    """Raised by a report to end the search with the best packing so far."""
