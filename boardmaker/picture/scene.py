"""What there is to say of each panel, before anything is drawn: holes, screws of other panels, oddities, notes.

In: a bike, its oddities. Out: a frozen `PanelScene`, from which alone a panel's frame is drawn, so that a frame whose
scene is the same need not be drawn again.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from boardmaker.geometry import Point, bounds
from boardmaker.model import Bike, Hole, Panel
from boardmaker.picture.oddities import Oddity
from boardmaker.service import place_on_bike, pocket_numbers
from boardmaker.service.removal.places import place_on_panel

HEAD = 8.0  # mm of a head that nobody knows

# What a panel is seen from, and where x and y run on the bike.
SEEN = {
    "left": ("seen from the left", "x to the rear, y up"),
    "right": ("seen from the right", "x to the front, y up"),
    "top": ("seen from above", "x to the right, y to the front"),
    "front": ("seen from the front", "x to the bike's left, y up"),
    "rear": ("seen from the rear", "x to the bike's right, y up"),
}


@dataclass(frozen=True)
class SeenHole:
    """A hole as it is drawn: its pocket's number where there is one, its head in mm, what is odd about it."""

    hole: Hole
    number: int | None
    head: float
    is_read: bool  # whether its fastener is known
    oddities: tuple[Oddity, ...]

    @property
    def differs(self) -> bool:
        """Whether the board calls it otherwise."""
        return self.number is not None and self.hole.id != str(self.number)


@dataclass(frozen=True)
class ThroughScrew:
    """A screw of another panel: its hole's `panel/id`, the same with the panel's tag, where it is here, if known."""

    key: str
    short: str
    at: Point | None


@dataclass(frozen=True)
class PanelScene:
    """A panel and all that is said of it; `through` are screws of other panels that hold this one too."""

    panel: Panel
    holes: tuple[SeenHole, ...]
    through: tuple[ThroughScrew, ...]
    oddities: tuple[Oddity, ...]  # all of them, those of holes too

    @property
    def seen_from(self) -> str:
        """The side or view."""
        return self.panel.side if self.panel.side != "centre" else self.panel.view

    @property
    def size(self) -> Point | None:
        """Width and height of the outline in mm; None where there is none."""
        if not self.panel.outline:
            return None
        x0, y0, x1, y1 = bounds(self.panel.outline)
        return x1 - x0, y1 - y0

    @property
    def size_words(self) -> str:
        """The size as it is said, "no outline" without one."""
        return f"{self.size[0]:.0f} × {self.size[1]:.0f} mm" if self.size else "no outline"


def panel_scenes(bike: Bike, oddities: Sequence[Oddity]) -> tuple[PanelScene, ...]:
    """Return what there is to say of each panel that could be built, in the file's order."""
    numbers = pocket_numbers(bike)
    heads = {one.key: one.head.diameter for one in bike.fasteners}
    return tuple(_scene(bike, panel, numbers, heads, oddities) for panel in bike.panels)


def _scene(
    bike: Bike, panel: Panel, numbers: Mapping[str, int], heads: Mapping[str, float], oddities: Sequence[Oddity]
) -> PanelScene:
    own = tuple(one for one in oddities if one.is_about(panel.key))
    holes = tuple(
        SeenHole(
            hole,
            numbers.get(f"{panel.key}/{hole.id}"),
            heads.get(hole.fastener, HEAD),
            hole.fastener in heads,
            tuple(one for one in own if one.is_about(panel.key, hole.id)),
        )
        for hole in panel.holes
    )
    return PanelScene(panel, holes, tuple(_through(bike, panel)), own)


def _through(bike: Bike, panel: Panel) -> list[ThroughScrew]:
    """The screws of other panels that also hold this one."""
    return [
        ThroughScrew(f"{other.key}/{hole.id}", f"{other.tag or other.key}/{hole.id}", _place(panel, other, hole.at))
        for other in bike.panels
        for hole in other.holes
        if panel.key in hole.also_holds
    ]


def _place(panel: Panel, other: Panel, at: Point) -> Point | None:
    x, y = place_on_panel(panel, place_on_bike(other, at))
    return None if x is None or y is None else (x, y)
