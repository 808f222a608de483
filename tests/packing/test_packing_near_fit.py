"""How near items come to fitting: zones made smaller about their middles stay apart; what fits passes the judge."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import Polygon, affinity

from boardmaker.packing import NearFit, largest_scale, nearest_fit, violations
from boardmaker.packing.bodies import bodies_of
from boardmaker.packing.problem import Enough, HomeWindow, Item, Placement, Pose, Region
from boardmaker.packing.settings import GEOMETRY

CLEARANCE, MARGIN = 6.0, 8.0
REGION = Region(((0.0, 0.0), (400.0, 0.0), (400.0, 300.0), (0.0, 300.0)), MARGIN)
ALIKE = {"clearance": CLEARANCE, "effort": 8e8}


def box(width, height):
    """A rectangle about the origin."""
    return tuple((x * width / 2, y * height / 2) for x, y in ((-1, -1), (1, -1), (1, 1), (-1, 1)))


def stars(count, seed, size):
    """Random polygons with bays, away from their own origin, upright or turned."""
    random = np.random.default_rng(seed)
    items = []
    for number in range(count):
        corners = int(random.integers(5, 20))
        angles = np.arange(corners) * 2 * np.pi / corners
        radii = size * random.uniform(60, 160) * random.uniform(0.4, 1.1, corners)
        ring = np.stack([radii * np.cos(angles), radii * np.sin(angles)], axis=1) + random.uniform(-300, 300, 2)
        turned = np.stack([-ring[:, 1], ring[:, 0]], axis=1)
        poses = tuple(Pose(turn, tuple(map(tuple, one.tolist()))) for turn, one in ((0, ring), (90, turned)))
        items.append(Item(f"star-{number}", poses))
    return tuple(items)


def shrunk_zones(items, near):
    """The zones as placed, each made smaller about its middle by the share."""
    for item, body, place in zip(items, bodies_of(items), near.placements, strict=True):
        zone = affinity.translate(Polygon(item.poses[place.pose].zone), *place.at)
        middle = body[place.pose].middle + np.array(place.at)
        yield affinity.scale(zone, near.share, near.share, origin=(float(middle[0]), float(middle[1])))


def assert_apart(items, near):
    """By shapely: shrunk zones keep their distance from one another and from the region's edge."""
    zones, inside = list(shrunk_zones(items, near)), Polygon(REGION.outline)
    gaps = [one.distance(other) for number, one in enumerate(zones) for other in zones[:number]]
    assert min(gaps) >= CLEARANCE - 2 * GEOMETRY.surplus
    edges = [inside.exterior.distance(zone) if inside.contains(zone) else -1.0 for zone in zones]
    assert min(edges) >= MARGIN - 2 * GEOMETRY.surplus


@pytest.mark.slow
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_what_fits_passes_the_judge_and_what_nearly_fits_does_so_shrunk(seed):
    """Around the largest scale that a search of the same work finds."""
    most = largest_scale(
        lambda scale: stars(10, seed, scale), [REGION], clearance=CLEARANCE, lowest=0.1, highest=1.0, effort=8e8
    )
    easy = stars(10, seed, most.scale * 0.9)
    found = nearest_fit(easy, [REGION], least=0.8, **ALIKE)
    assert found.fits
    assert found.share == 1.0
    assert violations(easy, found.placements, [REGION], CLEARANCE) == ()
    tight = stars(10, seed, most.scale * 1.08)
    near = nearest_fit(tight, [REGION], least=0.8, **ALIKE)
    assert not near.fits
    assert 0.85 < near.share < 1.0
    assert_apart(tight, near)
    assert violations(tight, near.placements, [REGION], CLEARANCE)


@pytest.mark.slow
def test_a_search_goes_on_from_where_one_ended():
    """It comes no less near than what it begins from, and the same call gives the same answer."""
    items = stars(12, 5, 0.6)
    first = nearest_fit(items, [REGION], clearance=CLEARANCE, least=0.6, effort=3e8)
    assert not first.fits
    runs = [nearest_fit(items, [REGION], least=0.6, start=first, seed=1, **ALIKE) for _ in range(2)]
    assert runs[0] == runs[1]
    assert runs[0].share >= first.share


def test_windows_hold():
    """Where everything has to stand in its window, it does."""
    left, right = HomeWindow((0.0, 0.0), (0.4, 1.0)), HomeWindow((0.6, 0.0), (1.0, 1.0))
    items = [
        Item(f"{number}", (Pose(0, box(90.0, 120.0)),), windows=(side,))
        for number, side in enumerate([left, right] * 2)
    ]
    found = nearest_fit(items, [REGION], least=0.5, **ALIKE)
    assert found.fits
    assert [place.at[0] < 200.0 for place in found.placements] == [True, False, True, False]


@pytest.mark.slow
def test_what_is_far_from_fitting_has_no_answer():
    """Four quarters of the board do not go in with a margin; half as large they do."""
    items = [Item(f"{number}", (Pose(0, box(200.0, 150.0)),)) for number in range(4)]
    assert nearest_fit(items, [REGION], least=0.97, clearance=CLEARANCE, effort=3e8) is None
    near = nearest_fit(items, [REGION], least=0.5, **ALIKE)
    # By hand, upright: two boxes, two margins and a gap between are 2 * 150 * share + 2 * 8 + 6 = 300.
    assert near.share == pytest.approx(278 / 300, abs=1e-3)


def test_a_start_that_fits_is_left_as_it_is():
    """No more is asked for than a fit."""
    items = [Item("one", (Pose(0, box(100.0, 100.0)),)), Item("other", (Pose(0, box(60.0, 60.0)),))]
    start = NearFit(1.0, (Placement("one", 0, 0, (80.0, 80.0)), Placement("other", 0, 0, (250.0, 200.0))))
    found = nearest_fit(items, [REGION], least=0.9, start=start, **ALIKE)
    assert found.fits
    moved = [
        np.hypot(*np.subtract(one.at, other.at)) for one, other in zip(found.placements, start.placements, strict=True)
    ]
    assert max(moved) < 8.0  # a node or two


def test_no_items_fit():
    assert nearest_fit((), [REGION], least=0.5, clearance=0.0) == NearFit(1.0, ())


def test_stopping_is_told_to_the_caller():
    def enough(_):
        raise Enough

    with pytest.raises(Enough):
        nearest_fit(stars(12, 5, 0.5), [REGION], least=0.6, report=enough, **ALIKE)


@pytest.mark.parametrize("least", [0.0, -0.5, 1.5])
def test_a_share_is_above_0_and_at_most_1(least):
    with pytest.raises(ValueError, match="lowest"):
        nearest_fit((), [REGION], least=least, clearance=0.0)
