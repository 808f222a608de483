"""Where panels and holes sit on the bike, by hand: from each side, from above, from the front and from the rear."""

from __future__ import annotations

import pytest

from boardmaker.model import Panel
from boardmaker.service.removal.places import hole_height, panel_height, place_on_bike, place_on_panel

OUTLINE = ((20.0, 30.0), (220.0, 30.0), (220.0, 150.0), (20.0, 150.0))  # its middle lies at (120, 90)


def panel(side, view="side", outline=OUTLINE, on_bike=(500.0, 300.0)):
    return Panel("p", "P", "P", side, view, outline, (), on_bike=on_bike)


# (40, 10) in the panel's frame, whose origin lies 500 mm ahead of the rear axle and 300 mm above ground. Seen from the
# left x runs rearwards; a centre panel is 80 mm left of its own middle there, mirrored where one looks at the bike from
# the front.
PLACES = [
    (panel("left"), (460.0, 310.0, None)),
    (panel("right"), (540.0, 310.0, None)),
    (panel("centre", "top"), (510.0, 300.0, -80.0)),
    (panel("centre", "rear"), (500.0, 310.0, -80.0)),
    (panel("centre", "front"), (500.0, 310.0, 80.0)),
    (panel("centre", "top", ()), (510.0, 300.0, 40.0)),  # without an outline the origin is taken for the middle
]


@pytest.mark.parametrize(("its_panel", "place"), PLACES)
def test_a_point_of_a_panel_has_its_place_on_the_bike(its_panel, place):
    """Ahead of the rear axle, above ground, right of the middle."""
    assert place_on_bike(its_panel, (40.0, 10.0)) == place


@pytest.mark.parametrize(
    ("its_panel", "place", "found"),
    [
        (panel("left"), (460.0, 310.0, None), (40.0, 10.0)),
        (panel("left"), (460.0, None, 9.0), (40.0, None)),
        (panel("left"), (None, 310.0, 9.0), (None, 10.0)),
        (panel("right"), (540.0, 310.0, None), (40.0, 10.0)),
        (panel("centre", "top"), (510.0, 999.0, -80.0), (40.0, 10.0)),
        (panel("centre", "top"), (510.0, 300.0, None), (None, 10.0)),
        (panel("centre", "top"), (None, 300.0, -80.0), (40.0, None)),
        (panel("centre", "rear"), (999.0, 310.0, -80.0), (40.0, 10.0)),
        (panel("centre", "rear"), (500.0, None, -80.0), (40.0, None)),
        (panel("centre", "front"), (999.0, 310.0, 80.0), (40.0, 10.0)),
        (panel("centre", "front"), (500.0, 310.0, None), (None, 10.0)),
        (panel("centre", "top", ()), (510.0, 300.0, 40.0), (40.0, 10.0)),
    ],
)
def test_a_place_on_the_bike_falls_in_a_panels_frame(its_panel, place, found):
    """The way back, as far as the place is known; what the view does not show does not matter."""
    assert place_on_panel(its_panel, place) == found


def test_nothing_is_guessed_of_a_panel_without_a_place():
    """Neither way; heights then are those of its own frame."""
    loose = panel("left", on_bike=None)
    assert place_on_bike(loose, (40.0, 10.0)) == (None, None, None)
    assert place_on_panel(loose, (460.0, 310.0, 5.0)) == (None, None)
    assert hole_height(loose, (40.0, 10.0)) == 10.0
    assert panel_height(loose) == 0.0


def test_a_panel_is_as_high_as_its_middle():
    """One seen from above has one height all over; one without an outline that of its origin."""
    assert hole_height(panel("left"), (40.0, 10.0)) == 310.0
    assert panel_height(panel("left")) == 390.0
    assert panel_height(panel("centre", "top")) == 300.0
    assert panel_height(panel("right", outline=())) == 300.0
