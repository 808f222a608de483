"""Places by distances, against triangles that everybody knows, random ones, and the theory of what is left over."""

from __future__ import annotations

import math
import random

import pytest

from boardmaker.inputs.bike.trilateration import ACCURACY, answers, gap, is_left, sum_of_squares


def near(one, other, within=1e-6):
    return math.dist(one, other) <= within


@pytest.mark.parametrize(
    ("circles", "left", "right"),
    [
        ([((0, 0), 3), ((5, 0), 4)], (1.8, 2.4), (1.8, -2.4)),  # 3-4-5
        ([((0, 0), 4), ((0, 3), 5)], (-4, 0), (4, 0)),  # 3-4-5, the right angle at the first middle
        ([((0, 0), 100), ((100, 0), 100)], (50, 50 * math.sqrt(3)), (50, -50 * math.sqrt(3))),  # equilateral
        ([((10, 20), math.sqrt(2) * 50), ((110, 20), math.sqrt(2) * 50)], (60, 70), (60, -30)),  # half a square
        ([((0, 0), 5), ((0, 6), 5)], (-4, 3), (4, 3)),
    ],
)
def test_closed_cases(circles, left, right):
    """Two answers, one each side of the way from the first to the second."""
    found = [one.at for one in answers(circles)]
    assert len(found) == 2
    (on_left,) = [at for at in found if is_left(at, circles[0][0], circles[1][0])]
    (on_right,) = [at for at in found if not is_left(at, circles[0][0], circles[1][0])]
    assert near(on_left, left)
    assert near(on_right, right)


@pytest.mark.parametrize(
    ("circles", "at"),
    [
        ([((0, 0), 3), ((10, 0), 7)], (3, 0)),  # they touch from outside
        ([((0, 0), 10), ((7, 0), 3)], (10, 0)),  # one touches the other from inside
        ([((0, 0), 50), ((30, 0), 40), ((0, 40), 30)], (30, 40)),  # a rectangle's fourth corner
        ([((0, 0), 100), ((100, 0), 100), ((50, 50 * math.sqrt(3)), 100 / math.sqrt(3) * math.sqrt(3))], None),
    ],
)
def test_one_answer(circles, at):
    """Where circles touch, or a third one that is not in line decides."""
    found = answers(circles)
    if at is None:  # the three corners of an equilateral triangle, each 100 from the place: nowhere, but a best place
        assert found[0].largest > 10
    else:
        assert len(found) == 1
        assert near(found[0].at, at, 1e-4)
        assert found[0].largest < 1e-4


def test_the_middle_of_an_equilateral_triangle():
    """Each corner is side / root 3 away."""
    corners = [(0, 0), (120, 0), (60, 60 * math.sqrt(3))]
    (found,) = answers([(corner, 120 / math.sqrt(3)) for corner in corners])
    assert near(found.at, (60, 20 * math.sqrt(3)))
    assert found.spread == pytest.approx(math.sqrt(2 / 3))  # J'J of three ways 120 degrees apart is 1.5 times one


@pytest.mark.parametrize("count", [3, 4, 7])
def test_middles_in_one_line_have_two_mirror_answers(count):
    """No distance tells them apart, however many there are."""
    circles = [((step * 40.0, step * 30.0), math.dist((step * 40.0, step * 30.0), (10, 120))) for step in range(count)]
    first, second = answers(circles)
    assert {is_left(one.at, (0, 0), (4, 3)) for one in (first, second)} == {True, False}
    assert min(math.dist(one.at, (10, 120)) for one in (first, second)) < 1e-5
    assert first.largest < 1e-6
    assert second.largest < 1e-6


@pytest.mark.parametrize("seed", range(40))
def test_random_places_are_found_again(seed):
    """From three to six middles that are not in line, to a millionth of a millimetre without noise."""
    dice = random.Random(seed)
    middles = [(dice.uniform(0, 300), dice.uniform(0, 200)) for _ in range(dice.randint(2, 5))] + [(310.0, 210.0)]
    middles += [(-20.0, 190.0)]
    place = dice.uniform(-100, 500), dice.uniform(-100, 400)
    (found, *_) = answers([(middle, math.dist(middle, place)) for middle in middles])
    assert near(found.at, place, 1e-5)


@pytest.mark.parametrize("seed", range(40))
def test_noise_moves_a_place_no_further_than_its_spread_says(seed):
    """To first order: the place moves by the spread times the root of the squares of the errors, at most."""
    dice = random.Random(1000 + seed)
    middles = [(0.0, 0.0), (300.0, 20.0), (40.0, 220.0), (280.0, 240.0)][: dice.choice([3, 4])]
    place = dice.uniform(20, 280), dice.uniform(20, 200)
    noise = [dice.gauss(0, 0.5) for _ in middles]
    (found, *_) = answers([(one, math.dist(one, place) + off) for one, off in zip(middles, noise, strict=True)])
    assert math.dist(found.at, place) <= 1.1 * found.spread * math.sqrt(sum_of_squares(noise)) + 0.01
    assert found.largest < ACCURACY


@pytest.mark.slow
@pytest.mark.parametrize("count", [3, 4, 6, 9])
def test_what_is_left_over_is_as_large_as_theory_says(count):
    """E[sum of squares] = (n - 2) sigma² for n distances and a place of two unknowns.

    From any textbook of least squares (from memory). Of 1500 draws the mean is within 4 of its own deviations, which
    are sqrt(2 / ((n - 2) 1500)) of it, as a chi-square with n - 2 degrees of freedom has.
    """
    dice, sigma, draws = random.Random(count), 0.4, 1500
    middles = [(200 * math.cos(2 * math.pi * k / count), 150 * math.sin(2 * math.pi * k / count)) for k in range(count)]
    place = (31.0, -22.0)
    left = [
        sum_of_squares(answers([(one, math.dist(one, place) + dice.gauss(0, sigma)) for one in middles])[0].off)
        for _ in range(draws)
    ]
    wanted = (count - 2) * sigma**2
    assert sum(left) / draws == pytest.approx(wanted, rel=4 * math.sqrt(2 / ((count - 2) * draws)))


@pytest.mark.parametrize("seed", range(25))
def test_no_place_on_a_grid_fits_better(seed):
    """Held against a search over all places of a grid, also where the distances do not belong together."""
    dice = random.Random(seed)
    middles = [(0.0, 0.0), (200.0, 10.0), (60.0, 160.0), (190.0, 150.0)]
    circles = [(one, math.dist(one, (120, 70)) + dice.uniform(-12, 12)) for one in middles]
    best = min(
        sum((math.dist((x, y), middle) - far) ** 2 for middle, far in circles)
        for x in range(-100, 300, 5)
        for y in range(-100, 260, 5)
    )
    assert sum_of_squares(answers(circles)[0].off) <= best


def test_gap():
    """Too short, too long, and just right."""
    assert gap(((0, 0), 3), ((10, 0), 4)) == 3
    assert gap(((0, 0), 30), ((10, 0), 4)) == 16
    assert gap(((0, 0), 6), ((10, 0), 6)) == 0
