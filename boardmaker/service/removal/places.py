"""Where panels and holes sit on the bike: ahead of the rear axle, above the ground, right of the middle, in mm.

What the bike file does not say is None; nothing is guessed here.
"""

from __future__ import annotations

from boardmaker.geometry import Point
from boardmaker.model import Panel

OnBike = tuple[float | None, float | None, float | None]  # ahead of the rear axle, above ground, right of the middle


def place_on_bike(panel: Panel, at: Point) -> OnBike:
    """Return where a point of the panel's frame sits on the bike; None for what cannot be known.

    A left panel is seen from the left (its x runs rearwards), a right one from the right.
    """
    if panel.on_bike is None:
        return None, None, None
    ahead, above = panel.on_bike
    if panel.side == "left":
        return ahead - at[0], above + at[1], None
    if panel.side == "right":
        return ahead + at[0], above + at[1], None
    across = _across(panel, at[0])
    if panel.view == "top":
        return ahead + at[1], above, across
    return ahead, above + at[1], -across if panel.view == "front" else across


def _across(panel: Panel, x: float) -> float:
    """Distance from the middle of the bike, taking a centre panel to be centred on it."""
    xs = [point[0] for point in panel.outline] or [0.0]
    return x - (min(xs) + max(xs)) / 2


def place_on_panel(panel: Panel, place: OnBike) -> tuple[float | None, float | None]:
    """Return where a place on the bike falls in the panel's frame; None for a coordinate that cannot be known."""
    if panel.on_bike is None:
        return None, None
    ahead, above, across = place
    if panel.side in ("left", "right"):
        turned = -1.0 if panel.side == "left" else 1.0
        x = None if ahead is None else turned * (ahead - panel.on_bike[0])
        return x, None if above is None else above - panel.on_bike[1]
    x = _from_across(panel, across)
    if panel.view == "top":
        return x, None if ahead is None else ahead - panel.on_bike[0]
    return x, None if above is None else above - panel.on_bike[1]


def _from_across(panel: Panel, across: float | None) -> float | None:
    if across is None:
        return None
    middle = -_across(panel, 0.0)
    return middle - across if panel.view == "front" else middle + across


def hole_height(panel: Panel, at: Point) -> float:
    """Return the height above ground of a point of the panel, mm; in the panel's own frame where it is not placed."""
    above = place_on_bike(panel, at)[1]
    return at[1] if above is None else above


def panel_height(panel: Panel) -> float:
    """Return the height above ground of the panel's middle, mm; 0 where it is not placed."""
    if panel.on_bike is None:
        return 0.0
    ys = [point[1] for point in panel.outline] or [0.0]
    return hole_height(panel, (0.0, (min(ys) + max(ys)) / 2))
