"""Which way a panel lies: the arrow on every panel, and of a centre panel in words from where it is seen."""

from __future__ import annotations

import pytest
import shapely
from bikes import bike_text, random_bike_text

from boardmaker.display_list import Path
from boardmaker.figures import draw_figures
from boardmaker.model import BoardSetup
from boardmaker.service import plan_work

SMALL = """
  lid:
    name: Lid
    side: centre
    view: rear
    outline: [[0, 0], [80, 0], [80, 50], [0, 50]]
    holes: [ { at: [15, 12], fastener: A }, { at: [65, 12], fastener: A } ]
  flap:
    { name: Flap, side: left, outline: [[0, 0], [90, 0], [90, 25], [0, 25]], holes: [ { at: [45, 12], fastener: A } ] }
"""


def panels(bike, scale):
    figures = [alternatives[0] for alternatives in draw_figures(plan_work(bike), scale, BoardSetup())]
    return [figure for figure in figures if figure.kind == "panel"]


def strokes(figure):
    return [shapely.LineString(mark.points) for mark in figure.marks if isinstance(mark, Path)]


@pytest.mark.parametrize("scale", [0.1, 1 / 4, 1 / 2])
@pytest.mark.slow
def test_every_panel_has_its_arrow_clear_of_everything(bike_from, demo_bike, scale):
    """Beside the panel where it has no room: off outline, heads, labels and leaders, in the figure's zone."""
    bikes = [bike_from(bike_text(SMALL)), bike_from(random_bike_text(3, 12)), demo_bike("fjellvik-820-tourer")]
    for figure in (figure for bike in bikes for figure in panels(bike, scale)):
        arrow = shapely.union_all(strokes(figure))
        assert not arrow.is_empty, figure.key
        drawn = [shapely.Point(pocket.at).buffer(pocket.rim) for pocket in figure.pockets]
        drawn += [shapely.box(*label.box) for label in figure.labels]
        drawn += [shapely.LineString(leader) for leader in figure.leaders]
        drawn.append(shapely.LinearRing(figure.outline))
        assert [one.wkt for one in drawn if one.intersects(arrow)] == [], figure.key
        assert shapely.Polygon(figure.zone).covers(arrow), figure.key


@pytest.mark.slow
def test_a_centre_panel_says_from_where_it_is_seen(demo_bike):
    """Under its name, small; of a side panel the tag says it."""
    bike = demo_bike("fjellvik-820-tourer")
    words = {"top": "seen from above", "front": "seen from the front", "rear": "seen from the rear"}
    seen = set()
    for figure in panels(bike, 1 / 4):
        panel, last = bike.panel(figure.key), figure.labels[1].lines[-1].text
        assert (last in words.values()) == (panel.side == "centre"), figure.key
        if panel.side == "centre":
            assert last == words[panel.view]
            seen.add(last)
    assert len(seen) > 1
