"""What is said where a board cannot be made: which figure, how much is missing, what would help. And that it helps."""

import re

import pytest
from bikes import random_bike_text

from boardmaker.model import BoardSetup, Setup
from boardmaker.problems import ProblemsFound
from boardmaker.service import plan_work

pytestmark = pytest.mark.slow

INCH = 25.4


@pytest.fixture
def made_on(bike_from, make):
    """Return a function that makes boards of ten random panels on stock of a size."""

    def make_on(size, **options):
        setup = Setup(board=BoardSetup(size=size), inches=options.pop("inches", False))
        return make(plan_work(bike_from(random_bike_text(2, 10))), setup, effort="quick", **options)

    return make_on


def refused(made_on, size, **options):
    """The problem with which a board is refused."""
    with pytest.raises(ProblemsFound) as found:
        made_on(size, **options)
    (problem,) = found.value.problems
    return problem


def test_a_figure_too_large_by_itself_is_named_with_the_board_that_holds_it(made_on):
    """The board of the hint is just large enough: with it, that figure is no longer named."""
    problem = refused(made_on, (90.0, 60.0), boards=1)
    assert " at 1:50, " in problem.message
    assert re.search(r"too large even alone: .*the \w+ \w+ \(\d+ x \d+ mm\) lacks [1-9]\d* mm", problem.message)
    long, short = map(float, re.search(r"at least (\d+) x (\d+) mm", problem.hint).groups())
    assert "more boards" not in problem.hint
    assert "too large even alone" not in refused(made_on, (long, short), boards=1).message


def test_inches_stay_inches(made_on):
    """Who buys in inches reads inches, rounded up to a sixteenth."""
    problem = refused(made_on, (3.5 * INCH, 2.5 * INCH), boards=1, inches=True)
    assert re.search(r"lacks [\d /]+ in", problem.message)
    assert " mm" not in problem.message + problem.hint


def test_missing_area_is_said_in_percent(made_on):
    """Where all panels alone would go on, but the boards have less area than all need together."""
    problem = refused(made_on, (420.0, 300.0), boards=1, scale=0.5)
    assert re.search(r"at least \d+ % more board area is missing", problem.message)
    assert re.search(r"more boards \(--boards [2-9]", problem.hint)


def test_the_scale_that_would_fit_is_said_and_fits(made_on):
    """A scale of the user's choice that is too large: one a hair below the hint's gives a board."""
    problem = refused(made_on, (420.0, 300.0), boards=1, scale=0.4)
    ratio = float(re.search(r"1:([\d.]+), which fits on these boards", problem.hint).group(1))
    assert 1 / ratio < 0.4
    assert made_on((420.0, 300.0), boards=1, scale=0.99 / ratio).board_file["scale"] == 0.99 / ratio
