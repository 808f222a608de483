"""The linear program and the compaction against answers found otherwise."""

from itertools import combinations

import numpy as np
import pytest
import shapely
from scipy.optimize import linprog

from boardmaker.packing.bodies import Layout, bodies_of
from boardmaker.packing.compaction import compact
from boardmaker.packing.container import container_of
from boardmaker.packing.linear_program import SparseRows, maximise
from boardmaker.packing.problem import Item, Pose, Region


def best_corner(gain, matrix, limits):
    """The best x of a program in two unknowns, by trying every corner."""
    best = None
    for one, other in combinations(range(len(limits)), 2):
        pair = matrix[[one, other]]
        if abs(np.linalg.det(pair)) < 1e-9:
            continue
        corner = np.linalg.solve(pair, limits[[one, other]])
        if np.all(matrix @ corner <= limits + 1e-9) and (best is None or gain @ corner > gain @ best):
            best = corner
    return best


@pytest.mark.parametrize("seed", range(20))
def test_program_finds_the_best_corner(seed):
    """The interior point method reaches the best of all corners."""
    random = np.random.default_rng(seed)
    matrix, limits, gain = random.normal(size=(12, 2)), random.uniform(0.2, 2, 12), random.normal(size=2)
    box = np.array([3.0, 3.0])
    found, _ = maximise(gain, SparseRows(np.tile([0, 1], (12, 1)), matrix, limits), box)
    walls = np.array([[1, 0], [0, 1], [-1, 0], [0, -1.0]])
    expected = best_corner(gain, np.concatenate([matrix, walls]), np.concatenate([limits, box, box]))
    assert gain @ found == pytest.approx(gain @ expected, abs=1e-5)
    assert np.all(matrix @ found <= limits + 1e-6)


def test_program_survives_rows_that_contradict():
    """Rows that cannot all hold give some x inside the box, no fault."""
    rows = SparseRows(np.array([[0], [0]]), np.array([[1.0], [-1.0]]), np.array([-1.0, -1.0]))
    assert abs(maximise(np.array([1.0]), rows, np.array([5.0]))[0][0]) <= 5


@pytest.mark.parametrize("seed", range(30))
def test_program_finds_what_another_method_finds(seed):
    """Gain and prices of the simplex method of HiGHS (scipy); no x that keeps all rows where that finds none."""
    random = np.random.default_rng(seed)
    matrix, limits = random.normal(size=(30, 4)), random.uniform(0.1 if seed % 2 else -1.0, 1.5, 30)
    gain, box = np.array([0.0, 0.0, 0.0, 1.0]), np.full(4, 3.0)
    rows = SparseRows(np.tile(np.arange(4), (30, 1)), matrix, limits)
    found, prices = maximise(gain, rows, box)
    other = linprog(-gain, matrix, limits, bounds=(-3.0, 3.0), method="highs-ds")
    assert other.status == 0 or not seed % 2
    if other.status == 0:
        assert gain @ found == pytest.approx(-other.fun, abs=1e-5)
        assert prices == pytest.approx(-other.ineqlin.marginals, abs=1e-4)
        assert np.all(rows.times(found) <= limits + 1e-6)
    else:
        assert np.max(rows.times(found) - limits) > 1e-4


def test_of_all_best_answers_one_in_their_middle_is_given():
    """A body that nothing pushes stays in the middle of where it may be; the corner of a simplex would be its edge."""
    rows = SparseRows(np.array([[0, 1], [0, 1]]), np.array([[1.0, 0.0], [0.0, 1.0]]), np.array([1.0, 2.0]))
    found, prices = maximise(np.array([1.0, 0.0]), rows, np.array([3.0, 3.0]))
    assert found[0] == pytest.approx(1.0, abs=1e-6)
    assert -2.0 < found[1] < 1.5
    assert prices == pytest.approx([1.0, 0.0], abs=1e-4)


def rectangle(width, height):
    """A rectangle from the origin."""
    return ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height))


def test_compaction_of_two_squares_in_a_strip():
    """Two squares of side 10 in a strip of 50 with margin 2 and clearance 4 grow to (50 - 2 * 2 - 4) / 2 = 21."""
    bodies = bodies_of([Item(key, (Pose(0, rectangle(10, 10)),)) for key in "ab"])
    layout = Layout((0, 0), (0, 0), np.array([[12.0, 20.0], [30.0, 31.0]]))
    compacted, factor, _ = compact(bodies, layout, [container_of(Region(rectangle(50, 40), 2.0))], 4.0)
    assert factor == pytest.approx(2.1, abs=1e-4)
    assert compacted.middles[0][0] < compacted.middles[1][0]


@pytest.mark.parametrize(("wanted", "reaches"), [(1.5, True), (9.0, False)])
def test_compaction_gives_up_where_it_has_no_hope(wanted, reaches):
    """The same squares grow to 2.1 where that is wanted; asked for 9, the compaction ends before that."""
    bodies = bodies_of([Item(key, (Pose(0, rectangle(10, 10)),)) for key in "ab"])
    layout = Layout((0, 0), (0, 0), np.array([[12.0, 20.0], [30.0, 31.0]]))
    container = container_of(Region(rectangle(50, 40), 2.0))
    factor = compact(bodies, layout, [container], 4.0, wanted=wanted)[1]
    assert (factor == pytest.approx(2.1, abs=1e-4)) == reaches


def test_compaction_keeps_to_its_ceiling():
    """A compaction that reaches the ceiling stops there."""
    bodies = bodies_of([Item("a", (Pose(0, rectangle(10, 10)),))])
    layout = Layout((0,), (0,), np.array([[20.0, 20.0]]))
    assert compact(bodies, layout, [container_of(Region(rectangle(50, 40)))], 0.0, ceiling=1.5)[1] == pytest.approx(1.5)


def test_compaction_pushes_overlapping_squares_apart():
    """Squares that overlap by a little are slid apart where there is room."""
    bodies = bodies_of([Item(key, (Pose(0, rectangle(10, 10)),)) for key in "ab"])
    layout = Layout((0, 0), (0, 0), np.array([[20.0, 20.0], [28.0, 21.0]]))
    compacted, factor, _ = compact(bodies, layout, [container_of(Region(rectangle(60, 40)))], 1.0, ceiling=1.0)
    assert factor == pytest.approx(1.0)
    zones = [shapely.Polygon(body[0].ring + at) for body, at in zip(bodies, compacted.middles, strict=True)]
    assert zones[0].distance(zones[1]) >= 1 - 1e-4


@pytest.mark.parametrize(("fence", "kept"), [(17.0, True), (18.0, True), (18.001, True), (21.0, False)])
def test_an_item_at_its_fence_stays_behind_it(fence, kept):
    """Also one that rounding has brought over it: growing draws it to 12.5. One that is well outside may go there."""
    bodies = bodies_of([Item(key, (Pose(0, rectangle(10, 10), (5.0, 5.0)),)) for key in "ab"])
    layout = Layout((0, 0), (0, 0), np.array([[18.0, 20.0], [36.0, 20.0]]) - bodies[0][0].read)
    fences = np.array([[fence, -np.inf, np.inf, np.inf], [-np.inf, -np.inf, np.inf, np.inf]])
    compacted, factor, _ = compact(bodies, layout, [container_of(Region(rectangle(50, 40), 2.0))], 4.0, fences=fences)
    read = compacted.middles[0, 0] + factor * bodies[0][0].read[0]
    assert (read >= min(fence, 18.0) - 0.06) == kept
    assert (factor == pytest.approx(2.1, abs=1e-3)) != kept
