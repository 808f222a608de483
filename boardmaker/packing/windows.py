"""Items kept to their windows and to the turn that they should have, as far as these have room for them.

In: where bodies may stand by walls and keep-outs. Out: the same without the nodes at which an item's middle would be
outside of its window. An item that no window has room for may stand as little outside as it must, so that one awkward
item never keeps all others from growing. Apart because the raster need not know why a node is not to be used.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from boardmaker.packing.bodies import Bodies, Body, Layout
from boardmaker.packing.container import Container
from boardmaker.packing.inner_fit import InnerFit, InnerFits, trimmed
from boardmaker.packing.problem import CLOSED, HomeWindow, Item
from boardmaker.packing.settings import WINDOWS
from boardmaker.packing.shapes import Floats

ANYWHERE = HomeWindow()
_OUT = np.inf


@dataclass(frozen=True)
class Homes:
    """By item its windows (one for each container, or none) and which of its poses it should lie in."""

    windows: tuple[tuple[HomeWindow, ...], ...]
    wanted: tuple[tuple[bool, ...], ...]

    def kept_to(
        self, fits: InnerFits, bodies: Bodies, containers: Sequence[Container], cell: float, factor: float
    ) -> InnerFits:
        """Return the inner fits of bodies `factor` times as large, nodes `cell` mm apart, less what is no home."""
        by_item = [
            self._of_item(item, tuple(of[item] for of in fits), bodies[item], containers, cell, factor)
            for item in range(len(self.windows))
        ]
        return tuple(tuple(one[number] for one in by_item) for number in range(len(containers)))

    def _of_item(
        self,
        item: int,
        fits: tuple[tuple[InnerFit | None, ...], ...],
        poses: tuple[Body, ...],
        containers: Sequence[Container],
        cell: float,
        factor: float,
    ) -> tuple[tuple[InnerFit | None, ...], ...]:
        """By container and pose: in its turn in a window if there is room, else the nearest that there is."""
        windows = self.windows[item] or (ANYWHERE,) * len(containers)
        outside = [
            [
                None if fit is None else _outside(fit, body.read * factor, window, container, cell)
                for fit, body in zip(of_container, poses, strict=True)
            ]
            for of_container, window, container in zip(fits, windows, containers, strict=True)
        ]
        for wanted in (self.wanted[item], tuple(not one for one in self.wanted[item])):
            nearest = [
                _least(fit, way)
                for of_container, ways in zip(fits, outside, strict=True)
                for fit, way, is_wanted in zip(of_container, ways, wanted, strict=True)
                if is_wanted
            ]
            if (least := min(nearest, default=_OUT)) < _OUT:
                most = least + (WINDOWS.slack * cell if least > 0 else 0.0)
                return tuple(
                    tuple(
                        _within(fit, way, most) if is_wanted else None
                        for fit, way, is_wanted in zip(of_container, ways, wanted, strict=True)
                    )
                    for of_container, ways in zip(fits, outside, strict=True)
                )
        return fits


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


def _outside(fit: InnerFit, read: Floats, window: HomeWindow, container: Container, cell: float) -> Floats | None:
    """How far outside its window an item is at each node, mm; None for a region that is closed to it."""
    if window == CLOSED:
        return None
    rows, columns = fit.blocked.shape
    ways = [
        np.maximum(0.0, np.maximum(low * size - at, at - high * size))
        for at, low, high, size in zip(
            ((fit.first[0] + np.arange(columns)) * cell + read[0], (fit.first[1] + np.arange(rows)) * cell + read[1]),
            window.low, window.high, container.size, strict=True,
        )
    ]  # fmt: skip
    outside: Floats = np.maximum(ways[0], ways[1][:, None])
    return outside


def _least(fit: InnerFit | None, outside: Floats | None) -> float:
    if fit is None or outside is None:
        return _OUT
    return float(outside[fit.blocked == 0].min())


def _within(fit: InnerFit | None, outside: Floats | None, most: float) -> InnerFit | None:
    if fit is None or outside is None:
        return None
    return trimmed((fit.blocked == 0) & (outside <= most), fit.first)
