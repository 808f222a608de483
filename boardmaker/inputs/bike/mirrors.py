"""The other side of a bike: a panel made from its mirror image.

x is negated; `left` and `right` as whole words change places in names, notes and references, case kept; a reference
stays where no key of the other side exists.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from boardmaker.geometry import Point, Ring
from boardmaker.inputs.bike.references import KnownKeys
from boardmaker.model import Equipment, Fixing, Hole, Panel, other_side, swap_words


def mirror_panel(panel: Panel, key: str, known: KnownKeys) -> Panel:
    """Return the mirror image under its own key; references are swapped where such a key exists."""
    return replace(
        panel,
        key=key,
        name=swap_words(panel.name),
        tag="",
        side=other_side(panel.side),
        outline=mirror_ring(panel.outline),
        holes=tuple(_mirror_hole(hole, known) for hole in panel.holes),
        fixings=tuple(_mirror_fixing(fixing, known.equipment) for fixing in panel.fixings),
        after=tuple(_reference(name, known.panels) for name in panel.after),
        rides_on=_reference(panel.rides_on, known.panels) if panel.rides_on else "",
        mirrors=panel.key,
        note=swap_words(panel.note),
        equipment=_mirror_equipment(panel.equipment, known.equipment),
    )


def mirror_ring(ring: Ring) -> Ring:
    """Return the ring with x negated, still counter-clockwise."""
    return tuple((-x + 0.0, y) for x, y in reversed(ring))


def _mirror_point(at: Point) -> Point:
    return -at[0] + 0.0, at[1]


def _mirror_hole(hole: Hole, known: KnownKeys) -> Hole:
    return replace(
        hole,
        at=_mirror_point(hole.at),
        fastener=_reference(hole.fastener, known.fasteners),
        also_holds=tuple(_reference(name, known.panels) for name in hole.also_holds),
        note=swap_words(hole.note),
        equipment=_mirror_equipment(hole.equipment, known.equipment),
        by=None,
    )


def _mirror_fixing(fixing: Fixing, equipment: Collection[str]) -> Fixing:
    return replace(
        fixing,
        at=_mirror_point(fixing.at) if fixing.at else None,
        note=swap_words(fixing.note),
        equipment=_mirror_equipment(fixing.equipment, equipment),
    )


def _mirror_equipment(tied: Equipment, known: Collection[str]) -> Equipment:
    return Equipment(
        tuple(_reference(key, known) for key in tied.present), tuple(_reference(key, known) for key in tied.absent)
    )


def _reference(name: str, known: Collection[str]) -> str:
    swapped = swap_words(name)
    return swapped if swapped in known else name
