"""Panels of a size or at a place that no motorcycle has: other units, a sign, `on_bike` in the wrong order.

In: a bike. Out: warnings.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from boardmaker.geometry import Point
from boardmaker.model import Bike, Panel
from boardmaker.problems import Problem, warning
from boardmaker.service.doubts.geometry.limits import (
    FOREMOST,
    HIGHEST,
    LARGEST_PANEL,
    LOWEST,
    METRES,
    REARMOST,
    SMALLEST_PANEL,
)
from boardmaker.service.doubts.geometry.slips import INCH, PX, TURNED, UNITS, Slip, asked, undone
from boardmaker.service.doubts.geometry.standing import Standing, box_of, standing_of

_ON_BIKE = (*TURNED[:3], *UNITS[1:4])
_LENGTHS = {"pixels": PX, "inches": INCH, "centimetres": 10.0, "metres": 1000.0}


def impossible_sizes(bike: Bike) -> Iterator[Problem]:
    """Yield a warning for each panel that no motorcycle has, and for each that would lie outside of any."""
    for panel in bike.panels:
        if panel.mirrors and _is_as_original(panel, bike.panel(panel.mirrors)):
            continue
        yield from _odd_size(panel)
        yield from _off_the_bike(panel)


def _is_as_original(panel: Panel, original: Panel) -> bool:
    same = sorted((-x + 0.0, y) for x, y in panel.outline) == sorted(original.outline)
    return same and panel.on_bike == original.on_bike


def _odd_size(panel: Panel) -> Iterator[Problem]:
    if not panel.outline or panel.outline_drawn:
        return
    x0, y0, x1, y1 = box_of(panel)
    width, height = x1 - x0, y1 - y0
    size = f"`{panel.key}` is {width:.4g} x {height:.4g} mm"
    if max(width, height) > LARGEST_PANEL:
        guess = "pixels written for millimetres" if max(width, height) * PX <= LARGEST_PANEL else "another unit"
        hint = f"is its outline in {guess}, or does its drawing have no units?"
        yield warning(f"{size}: no part of a motorcycle is so large", panel.where, hint)
    elif max(width, height) < SMALLEST_PANEL:
        fitting = [
            unit for unit, by in _LENGTHS.items() if SMALLEST_PANEL * 5 < max(width, height) * by < LARGEST_PANEL
        ]
        hint = f"is its outline in {' or '.join(reversed(fitting))}? Write millimetres, or the unit"
        yield warning(f"{size}: no panel is so small", panel.where, hint)


def _off_the_bike(panel: Panel) -> Iterator[Problem]:
    if panel.on_bike is None:
        return
    ahead, above = panel.on_bike
    if abs(ahead) < METRES and abs(above) < METRES:
        message = f"`on_bike` of `{panel.key}` is {ahead:g} mm ahead of the rear axle and {above:g} mm above the ground"
        yield warning(message, panel.where, "are these metres written for millimetres? Write mm, or the unit: 1.2 m")
        return
    faults = _faults(_standing_at(panel, panel.on_bike))
    if not faults:
        return
    slips = undone(panel.on_bike, box_of(panel), lambda at: not _faults(_standing_at(panel, at)), _ON_BIKE)
    hint = f"`on_bike`: {_about_on_bike(slips)}" if slips else "correct `on_bike`: mm ahead of the rear axle, mm above"
    yield warning(f"`{panel.key}` would {' and '.join(faults)}", panel.where, hint)


def _about_on_bike(slips: tuple[Slip, ...]) -> str:
    return f"is it a slip: {asked(slips)}"


def _standing_at(panel: Panel, on_bike: Point) -> Standing | None:
    moved = replace(panel, on_bike=on_bike)
    return standing_of(replace(moved, outline=panel.outline or ((0.0, 0.0),)), depth=0.0)


def _faults(standing: Standing | None) -> list[str]:
    if standing is None:
        return []
    (rear, front), (low, high) = standing.ahead, standing.above
    found = {
        f"lie behind the rear wheel, up to {-rear:.0f} mm behind its axle": rear < REARMOST,
        f"lie in front of the front wheel, up to {front:.0f} mm ahead of the rear axle": front > FOREMOST,
        f"reach down to {low:.0f} mm above the ground": low < LOWEST,
        f"reach up to {high:.0f} mm above the ground": high > HIGHEST,
    }
    return [words for words, is_so in found.items() if is_so]
