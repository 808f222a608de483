"""Items kept to their windows and to the turn that they should have, as far as these have room for them.

In: where bodies may stand by walls and keep-outs. Out: the same without the nodes at which an item's middle would be
outside of its window. An item that no window has room for may stand as little outside as it must, so that one awkward
item never keeps all others from growing. Apart because the raster need not know why a node is not to be used.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from boardmaker.packing.bodies import Bodies, Body, Layout
from boardmaker.packing.container import Container
from boardmaker.packing.inner_fit import InnerFit, InnerFits, trimmed
from boardmaker.packing.problem import CLOSED, HomeWindow, Item
from boardmaker.packing.settings import WINDOWS
from boardmaker.packing.shapes import Floats

ANYWHERE = HomeWindow()

FitAt = Callable[[int, int, int], InnerFit | None]  # of a container, an item and a pose, by their numbers
_Way = tuple[Floats, Floats]  # by column and by row


@dataclass(frozen=True)
class Homes:
    """By item its windows (one for each container, or none) and which of its poses it should lie in."""

    windows: tuple[tuple[HomeWindow, ...], ...]
    wanted: tuple[tuple[bool, ...], ...]

    def kept_to(
        self, fit_at: FitAt, bodies: Bodies, containers: Sequence[Container], cell: float, factor: float
    ) -> InnerFits:
        """Return the inner fits of bodies `factor` times as large, nodes `cell` mm apart, less what is no home.

        `fit_at` has those that walls and keep-outs leave; only those are asked for that may be a home.
        """
        by_item = [
            self._of_item(item, fit_at, bodies[item], containers, cell, factor) for item in range(len(self.windows))
        ]
        return tuple(tuple(one[number] for one in by_item) for number in range(len(containers)))

    def _of_item(
        self,
        item: int,
        fit_at: FitAt,
        poses: tuple[Body, ...],
        containers: Sequence[Container],
        cell: float,
        factor: float,
    ) -> tuple[tuple[InnerFit | None, ...], ...]:
        """By container and pose: in its turn in a window if there is room, else the nearest that there is."""
        windows = self.windows[item] or (ANYWHERE,) * len(containers)

        def fit_and_way(container: int, pose: int) -> tuple[InnerFit, _Way] | None:
            fit = fit_at(container, item, pose) if windows[container] != CLOSED else None
            read = poses[pose].read * factor
            return (fit, _outside(fit, read, windows[container], containers[container], cell)) if fit else None

        numbers = range(len(containers))
        for wanted in (self.wanted[item], tuple(not one for one in self.wanted[item])):
            found = [
                [fit_and_way(one, pose) if is_wanted else None for pose, is_wanted in enumerate(wanted)]
                for one in numbers
            ]
            nearest = [_least(*pair) for of_container in found for pair in of_container if pair]
            if nearest:
                least = min(nearest)
                most = least + (WINDOWS.slack * cell if least > 0 else 0.0)
                return tuple(tuple(_within(*pair, most) if pair else None for pair in row) for row in found)
        return tuple(tuple(fit_at(one, item, pose) for pose in range(len(poses))) for one in numbers)


def homes_of(items: Sequence[Item]) -> Homes | None:
    """Return what windows and turns the items have; None where none has any."""
    if not any(item.windows or item.turn_deg is not None for item in items):
        return None
    wanted = tuple(tuple(item.turn_deg in (None, pose.turn_deg) for pose in item.poses) for item in items)
    return Homes(tuple(item.windows for item in items), wanted)


def fences_of(items: Sequence[Item], layout: Layout, containers: Sequence[Container]) -> Floats | None:
    """Return each item's window in mm, (items, 4), for a compaction; None where none has any."""
    if not any(item.windows for item in items):
        return None
    fences = np.tile((-np.inf, -np.inf, np.inf, np.inf), (len(items), 1))
    for number, item in enumerate(items):
        if item.windows:
            box, window = containers[layout.containers[number]], item.windows[layout.containers[number]]
            fences[number] = np.concatenate([box.low + box.size * window.low, box.low + box.size * window.high])
    return fences


def in_windows(items: Sequence[Item], bodies: Bodies, layout: Layout, containers: Sequence[Container]) -> bool:
    """Whether every item of a layout stands in its window, in the turn that it should have."""
    for number, item in enumerate(items):
        container, pose = layout.containers[number], layout.poses[number]
        if item.turn_deg not in (None, item.poses[pose].turn_deg):
            return False
        if item.windows:
            box, window = containers[container], item.windows[container]
            across, up = ((layout.middles[number] + bodies[number][pose].read - box.low) / box.size).tolist()
            if not (window.low[0] <= across <= window.high[0] and window.low[1] <= up <= window.high[1]):
                return False
    return True


def _outside(fit: InnerFit, read: Floats, window: HomeWindow, container: Container, cell: float) -> _Way:
    """How far outside its window an item is in each column and in each row of nodes, mm."""
    rows, columns = fit.blocked.shape
    across, up = (
        np.maximum(0.0, np.maximum(low * size - at, at - high * size))
        for at, low, high, size in zip(
            ((fit.first[0] + np.arange(columns)) * cell + read[0], (fit.first[1] + np.arange(rows)) * cell + read[1]),
            window.low, window.high, container.size, strict=True,
        )
    )  # fmt: skip
    return across, up


def _least(fit: InnerFit, way: _Way) -> float:
    """How far outside its window an item must be at least: at each node as far as it is the one way or the other."""
    (across, up), free = way, fit.blocked == 0
    if free[np.ix_(up == 0.0, across == 0.0)].any():
        return 0.0
    return float(np.maximum(across, up[:, None])[free].min())


def _within(fit: InnerFit, way: _Way, most: float) -> InnerFit | None:
    across, up = way
    return trimmed((fit.blocked == 0) & (across <= most) & (up <= most)[:, None], fit.first)
