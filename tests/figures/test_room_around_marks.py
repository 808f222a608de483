"""What stands on a panel stands apart: arrows from outlines and words, remarks from rings, ghosts from each other."""

from __future__ import annotations

import itertools
import math

import pytest
import shapely

from boardmaker.display_list import Circle
from boardmaker.figures import draw_panels
from boardmaker.figures.symbols import GHOST_RADIUS
from boardmaker.model import BoardSetup
from boardmaker.service import plan_work

DEMOS = [("fjellvik-820-tourer", 1 / 4), ("kestmark-590-naked", 1 / 3.2), ("murmelo-140-scooter", 1 / 2.6)]
ROUNDING = 0.05  # mm, that arcs made of straight pieces are short of


@pytest.fixture(params=DEMOS, ids=lambda demo: demo[0])
def panels(request, demo_bike):
    stem, scale = request.param
    return [figure for figure, *_ in draw_panels(plan_work(demo_bike(stem)), scale, BoardSetup())]


def arrow_of(figure):
    return shapely.union_all([shapely.LineString(mark.points) for mark in figure.marks if not isinstance(mark, Circle)])


def test_an_arrow_touches_neither_its_outline_nor_words(panels):
    """Two millimetres of air all around it, inside the panel or beside it."""
    inside = 0
    for figure in panels:
        arrow, outline = arrow_of(figure), shapely.Polygon(figure.outline)
        inside += outline.contains(arrow)
        least = 2.0 - ROUNDING if outline.contains(arrow) else 1.0
        assert arrow.distance(outline.boundary) >= least, figure.key
        assert min(arrow.distance(shapely.box(*label.box)) for label in figure.labels) >= 0.5 - ROUNDING, figure.key
    assert inside >= len(panels) - 1


@pytest.mark.slow
def test_remarks_do_not_stand_at_a_ring(panels):
    """A remark under a pocket's number would seem to run into the ring; a number alone stands closer."""
    found = 0
    for figure in panels:
        for pocket, label in zip(figure.pockets, figure.labels[2:], strict=False):
            gap = shapely.Point(pocket.at).distance(shapely.box(*label.box)) - pocket.rim
            found += len(label.lines) > 1
            assert gap >= (1.0 if len(label.lines) > 1 else 0.3) - 1e-6, figure.key
    assert found


@pytest.mark.slow
def test_ghosts_side_by_side_are_told_apart(panels):
    """Their words stand 0.3 mm off their own rings: a ring at another one would be of both words."""
    for figure in panels:
        for one, other in itertools.combinations(figure.ghosts, 2):
            assert math.dist(one.at, other.at) - 2 * GHOST_RADIUS >= 3.0 - 1e-6, figure.key
