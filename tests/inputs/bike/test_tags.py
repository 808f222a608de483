"""Tags that are made from names: no other panel's, and no fastener's key."""

from __future__ import annotations

import pytest
from bikes import bike_text

KINDS = "  S: { kind: tapping screw, thread: ST4.8, length: 19, drive: PH2 }\npanels:"


@pytest.mark.parametrize(("tag", "given"), [("", "SE"), ("tag: S,", "S")])
def test_a_made_tag_is_no_key_of_a_fastener(bike_from, tag, given):
    """`S 1` beside `1 S` would be one mark with two meanings; what the file says stays."""
    panels = f"  seat: {{ name: Seat, {tag} side: centre, holes: [ {{ at: [0, 0], fastener: A }} ] }}"
    bike = bike_from(bike_text(panels).replace("panels:", KINDS, 1))
    assert [panel.tag for panel in bike.panels] == [given]


@pytest.mark.parametrize("stem", ["fjellvik-820-tourer", "kestmark-590-naked", "murmelo-140-scooter"])
def test_no_tag_of_the_demo_bikes_is_a_fastener(demo_bike, stem):
    """Nor a key in other letters."""
    bike = demo_bike(stem)
    assert not {panel.tag.upper() for panel in bike.panels} & {one.key.upper() for one in bike.fasteners}
