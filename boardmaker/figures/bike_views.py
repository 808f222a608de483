"""The bike as its panels show it: from the left, from the right and from above.

In: the work. Out: for each view the outlines of the panels that are seen from there, at their `on_bike` places. Apart
from the picture because this is what the bike file says and nothing else: where a panel's depth is not known, none is
drawn. Millimetres on the bike, as seen: from the left the front is to the left, from the right to the right, from above
it is up.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

from boardmaker.geometry import Point, Ring, bounds, turn_ring
from boardmaker.model import Panel, Side
from boardmaker.service import Work, place_on_bike

ViewName = Literal["left", "right", "above"]
VIEWS: tuple[ViewName, ...] = ("left", "right", "above")


@dataclass(frozen=True)
class SeenPanel:
    """A panel in a view: its outline there; of one that is seen edge on the two ends of its height.

    `tag` is empty where the panel is drawn only to help the eye.
    """

    key: str
    tag: str
    side: Side
    ring: Ring

    @property
    def edge_on(self) -> bool:
        """Whether only the panel's height is known in this view."""
        return len(self.ring) == 2


@dataclass(frozen=True)
class BikeView:
    """What is seen from one side; `front_deg` is the way to the front of the bike: 0 right, 90 up, 180 left."""

    name: ViewName
    front_deg: int
    panels: tuple[SeenPanel, ...]

    def turned(self, turn_deg: int) -> BikeView:
        """Return the view turned by quarter turns."""
        panels = tuple(replace(one, ring=turn_ring(one.ring, turn_deg)) for one in self.panels)
        return replace(self, front_deg=(self.front_deg + turn_deg) % 360, panels=panels)


FRONT: dict[ViewName, int] = {"left": 180, "right": 0, "above": 90}


def bike_views(work: Work, tagged: Collection[str]) -> tuple[BikeView, ...]:
    """Return the views that show a panel of `tagged` (their keys), the other panels of the bike in them without tags.

    None where the file says of none of them where it sits.
    """
    return _kept_views(work.bike.panels, frozenset(tagged))


@lru_cache(maxsize=8)  # asked for at every scale
def _kept_views(panels: tuple[Panel, ...], tagged: frozenset[str]) -> tuple[BikeView, ...]:
    return views_of(panels, tagged)


def views_of(panels: Sequence[Panel], tagged: Collection[str]) -> tuple[BikeView, ...]:
    """Return the same for panels of which nobody has worked out how they come off."""
    views = (_view(panels, name, tagged) for name in VIEWS)
    return tuple(view for view in views if any(one.tag for one in view.panels))


def _view(all_panels: Sequence[Panel], name: ViewName, tagged: Collection[str]) -> BikeView:
    panels = (seen for panel in all_panels for seen in _seen(panel, name, panel.key in tagged))
    return BikeView(name, FRONT[name], tuple(panels))


def _seen(panel: Panel, name: ViewName, tagged: bool) -> Iterator[SeenPanel]:
    if panel.on_bike is None or not panel.outline:
        return
    tag = panel.tag if tagged else ""
    if panel.side == name or (panel.view == "top" and name == "above"):
        yield SeenPanel(panel.key, tag, panel.side, tuple(as_seen(panel, at, name) for at in panel.outline))
    elif panel.view in ("front", "rear") and name != "above" and tag:
        yield SeenPanel(panel.key, tag, panel.side, _edge_on(panel, name))


def as_seen(panel: Panel, at: Point, name: ViewName) -> Point:
    """Return where the view has a point of the panel's frame; where the file does not say, 0."""
    ahead, above, across = (value or 0.0 for value in place_on_bike(panel, at))
    return {"left": (-ahead, above), "right": (ahead, above), "above": (across, ahead)}[name]


def _edge_on(panel: Panel, name: ViewName) -> Ring:
    """The lowest and the highest place of a panel whose depth along the bike nobody has written down."""
    _, low, _, high = bounds(panel.outline)
    return as_seen(panel, (0.0, low), name), as_seen(panel, (0.0, high), name)
