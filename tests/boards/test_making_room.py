"""Where the picture of the bike finds no room, everything moves a little to make some; never for much of the scale."""

from __future__ import annotations

from dataclasses import replace

import pytest
from bikes import random_bike_text
from shapely import Polygon

from boardmaker.boards.arranging import arranged, read
from boardmaker.boards.figure_items import figure_items
from boardmaker.boards.making_room import NO_WORSE, WORK, with_room_for_picture
from boardmaker.boards.options import BoardOptions
from boardmaker.boards.search import BoardSearch
from boardmaker.boards.spare_room import with_picture
from boardmaker.figures import Figure
from boardmaker.geometry import box_ring
from boardmaker.inputs import read_bike
from boardmaker.model import Setup
from boardmaker.service import plan_work

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def search(tmp_path_factory):
    path = tmp_path_factory.mktemp("room") / "bike.yaml"
    path.write_text(random_bike_text(4, 8), encoding="utf-8")
    work = plan_work(read_bike(path)[0])
    return BoardSearch(work, Setup(), BoardOptions(effort="quick"), lambda *_: None, figure_items(work, Setup().board))


@pytest.fixture(scope="module")
def found(search):
    return arranged(search, search.largest())


def for_picture(search, *sizes):
    """The same search where the picture may be made of boxes of these sizes."""
    figures = figure_items(search.work, search.setup.board)
    figures.pictures = tuple((Figure("bike map", "", box_ring(0.0, 0.0, *size)),) for size in sizes)
    return replace(search, figures=figures)


def pictures_on(search, candidate):
    pictured = with_picture(candidate, search.figures.pictures, search.clearance)
    return [one for placed in pictured.placed for one in placed if one.figure.kind == "bike map"], pictured


def largest_spare(search, found):
    """The longest side of a square that finds a place as it is, to the centimetre."""
    sides = [float(side) for side in range(40, 300, 10)]
    return max(side for side in sides if pictures_on(for_picture(search, (side, side)), found)[0])


def test_room_is_made_for_what_finds_none(monkeypatch, search, found):
    """A little larger than the largest hole: everything keeps clear of it, near where it was."""
    monkeypatch.setitem(WORK, "quick", 4.0)  # of a brief search
    roomy = replace(search, options=BoardOptions(effort="quick", scale=round(found.scale * 0.7, 3)))
    before = arranged(roomy, roomy.largest())
    side = largest_spare(roomy, before) + 10.0
    wider = for_picture(roomy, (side, side))
    assert pictures_on(wider, before)[0] == []
    made = with_room_for_picture(wider, before)
    [picture], pictured = pictures_on(wider, made)
    assert made.scale == before.scale
    assert read(wider, made).total >= read(wider, before).total - NO_WORSE
    (placed,) = pictured.placed
    zones = [Polygon(one.figure.zone) for one in placed if one is not picture]
    assert min(Polygon(picture.figure.zone).distance(zone) for zone in zones) >= search.clearance - 1e-6
    gaps = [one.distance(other) for index, one in enumerate(zones) for other in zones[:index]]
    assert min(gaps) >= search.clearance - 1e-6


def test_nothing_moves_where_it_has_room_or_cannot_have_any(search, found):
    """One that finds its place, one that is larger than the board, none at all; and where the drawing comes first."""
    assert with_room_for_picture(for_picture(search, (40.0, 30.0)), found) is found
    assert with_room_for_picture(for_picture(search, (740.0, 480.0)), found) is found
    assert with_room_for_picture(for_picture(search), found) is found
    side = largest_spare(search, found) + 15.0
    first = replace(for_picture(search, (side, side)), options=BoardOptions(effort="quick", arrange=0.0))
    assert with_room_for_picture(first, found) is found
