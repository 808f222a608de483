"""Leaders of a whole panel, of pockets, labels, ghosts and title together: each can be followed."""

from __future__ import annotations

import board_judge as judge
import pytest
import shapely
from bikes import bike_text, dense_bike_text, random_bike_text

from boardmaker.figures import draw_figures
from boardmaker.model import BoardSetup
from boardmaker.service import plan_work

LID = """
  lid:
    name: Battery lid
    side: centre
    outline: [[0, 0], [80, 0], [80, 50], [0, 50]]
    holes: [ { at: [15, 12], fastener: A }, { at: [65, 12], fastener: A } ]"""


def faults(bike, scale):
    figures = [alternatives[0] for alternatives in draw_figures(plan_work(bike), scale, BoardSetup())]
    return [
        f"{figure.key}: {fault}"
        for figure in figures
        if figure.kind == "panel"
        for fault in judge.leader_faults_of(
            figure.leaders,
            [{"at": p.at, "head_diameter": p.head_diameter, "number": p.number} for p in figure.pockets],
        )
    ]


@pytest.mark.parametrize("scale", [0.08, 0.1, 0.15, 0.2, 0.3, 0.4])
def test_the_leader_of_a_title_runs_under_no_head(bike_from, scale):
    """A lid too small for its name: the nearest way to it lies under a head."""
    assert faults(bike_from(bike_text(LID)), scale) == []


def test_the_leader_to_a_panel_under_a_head_ends_at_its_rim(bike_from):
    """A panel smaller than the head of its screw: no point of it can be seen."""
    flap = "  flap: { name: A flap with a name, side: left, holes: [ { at: [0, 0], fastener: A } ] }"
    assert faults(bike_from(bike_text(flap)), 0.1) == []


@pytest.mark.slow
@pytest.mark.parametrize(("seed", "scale"), [(2, 0.2), (4, 0.2), (4, 0.4), (7, 0.2), (8, 0.2), (8, 0.4)])
def test_leaders_on_crowded_panels_can_be_followed(bike_from, seed, scale):
    """Up to 18 screws on a small panel, with ghosts and fixings among them."""
    assert faults(bike_from(dense_bike_text(seed, 5)), scale) == []


@pytest.mark.parametrize("scale", [0.1, 0.3])
@pytest.mark.slow
def test_a_title_at_its_panel_has_no_leader(bike_from, scale):
    """A millimetre of line says nothing: it is longer, or the name stands right beside its panel."""
    by_leader = by_nearness = 0
    for figure, *_ in draw_figures(plan_work(bike_from(random_bike_text(3, 12))), scale, BoardSetup()):
        if figure.kind != "panel":
            continue
        title = shapely.box(*shapely.union_all([shapely.box(*label.box) for label in figure.labels[:2]]).bounds)
        lines = [shapely.LineString(leader) for leader in figure.leaders]
        own = [line for line in lines if title.distance(shapely.Point(line.coords[0])) < 1e-6]
        gap = title.distance(shapely.Polygon(figure.outline))
        assert all(line.length >= 2.5 for line in own), figure.key
        assert len(own) == (gap >= 2.5), figure.key
        by_leader, by_nearness = by_leader + len(own), by_nearness + (0.0 < gap < 2.5)
    assert by_leader + by_nearness
