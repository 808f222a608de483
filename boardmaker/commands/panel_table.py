"""A table of panels for the screen: how large each is, what holds it, where it sits on the bike.

In: a bike. Out: lines. Apart from `check` because it only shows what is known: a slip is often seen in a size or a
place before any check would find it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from boardmaker.geometry import bounds
from boardmaker.model import Bike, Panel
from boardmaker.service import place_on_bike

_HEADS = ("panel", "size in mm", "holes", "screws", "where it sits, in mm")
_GAP = "  "


def panel_lines(bike: Bike) -> Iterator[str]:
    """Yield a line of heads and one for each panel, in the file's order; nothing for a bike without panels."""
    if not bike.panels:
        return
    rows = [_HEADS, *(_row(panel) for panel in bike.panels)]
    widths = [max(len(row[column]) for row in rows) for column in range(len(_HEADS))]
    for row in rows:
        yield _GAP.join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()


def _row(panel: Panel) -> tuple[str, ...]:
    kinds = Counter(hole.fastener for hole in panel.holes)
    screws = ", ".join(f"{count} {key}" for key, count in kinds.items())
    return panel.key, _size(panel), str(len(panel.holes)), screws or "-", _where(panel)


def _size(panel: Panel) -> str:
    """Width x height; in brackets where the outline was only drawn around the holes."""
    if not panel.outline:
        return "-"
    x0, y0, x1, y1 = bounds(panel.outline)
    size = f"{x1 - x0:.0f} x {y1 - y0:.0f}"
    return f"({size})" if panel.outline_drawn else size


def _where(panel: Panel) -> str:
    side = panel.side if panel.view == "side" else f"{panel.side}, {panel.view}"
    if panel.on_bike is None:
        return side
    x0, y0, x1, y1 = bounds(panel.outline or ((0.0, 0.0),))
    (ahead, above, _), (ahead_too, above_too, _) = (place_on_bike(panel, at) for at in ((x0, y0), (x1, y1)))
    return f"{side}: {_from_to(ahead, ahead_too)} ahead of the rear axle, {_from_to(above, above_too)} above the ground"


def _from_to(one: float | None, other: float | None) -> str:
    low, high = sorted((one or 0.0, other or 0.0))
    return f"{low:.0f}" if round(low) == round(high) else f"{low:.0f} to {high:.0f}"
