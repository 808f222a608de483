"""What is said where a board cannot be made: which figure, how much is missing, what would help. And that it helps."""

import re
from dataclasses import replace

import pytest
from bikes import bike_text, random_bike_text

from boardmaker.model import BoardSetup, CaseSetup, Setup
from boardmaker.problems import ProblemsFound
from boardmaker.service import plan_work

pytestmark = pytest.mark.slow

INCH = 25.4


@pytest.fixture
def made_on(bike_from, make):
    """Return a function that makes boards of six random panels on stock of a size."""

    def make_on(size, **options):
        setup = Setup(board=BoardSetup(size=size), inches=options.pop("inches", False))
        work = plan_work(bike_from(random_bike_text(2, 6)))
        return make(work, setup, effort="quick", print_as="whole", **options)

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
    problem = refused(made_on, (370.0, 260.0), boards=1, scale=0.5)
    assert re.search(r"at least \d+ % more board area is missing", problem.message)
    assert re.search(r"more boards \(--boards [2-9]", problem.hint)


def test_the_scale_that_would_fit_is_said_and_fits(made_on):
    """A scale of the user's choice that is too large: one a hair below the hint's gives a board."""
    problem = refused(made_on, (370.0, 260.0), boards=1, scale=0.4)
    ratio = float(re.search(r"1:([\d.]+), which fits on these boards", problem.hint).group(1))
    assert 1 / ratio < 0.4
    assert made_on((370.0, 260.0), boards=1, scale=0.99 / ratio).board_file["scale"] == 0.99 / ratio


def low_case(height, width=420.0, depth=330.0):
    return Setup(board=BoardSetup(size=(762.0, 508.0)), case=CaseSetup((width, depth), height=height, clearance=2.0))


def ways_of(problem, setup, options):
    """What the hint says to do instead: other setups and options."""
    hint = problem.hint
    if found := re.search(r"\(--scale auto --boards (\d+)\)", hint):
        yield setup, {**options, "scale": "auto", "boards": int(found[1])}
    elif "(--scale auto)" in hint:
        yield setup, {**options, "scale": "auto"}
    if found := re.search(r"more boards \(--boards (\d+) or more\)", hint):
        yield setup, {**options, "boards": int(found[1])}
    if found := re.search(r"a case at least (\d+) mm high", hint):
        yield replace(setup, case=replace(setup.case, height=float(found[1]))), options
    if found := re.search(r"stock of ([\d.]+) mm", hint):
        yield replace(setup, board=replace(setup.board, thickness=float(found[1]))), options


@pytest.mark.parametrize(
    ("height", "options"),
    [
        (15.0, {"scale": 0.22, "boards": 1}),
        (15.0, {}),
        (36.0, {"scale": 0.22, "boards": 1}),
        (48.0, {"scale": 0.3}),
        (48.0, {"scale": 0.22, "boards": 2}),
        (80.0, {"scale": 0.3, "boards": 1}),
    ],
)
def test_what_is_said_to_help_in_a_low_case_helps(bike_from, make, height, options):
    """Each way out that the hint names is gone, and none ends in another error: nobody is sent round in a circle.

    A case that is too low for one board is told first; a case of the height that is said may still be too small.
    """
    work = plan_work(bike_from(random_bike_text(2, 10)))
    for setup, more in ways_out(work, make, low_case(height), options):
        if height < 30:
            assert setup.case.height > 30
            ways = [*ways_out(work, make, setup, more)]
        else:
            ways = [(setup, more)]
        for last_setup, last in ways:
            assert make(work, last_setup, **last, print_as="whole").board_file["boards"]


def ways_out(work, make, setup, options):
    """What the error says to do instead; nothing where there is none."""
    try:
        make(work, setup, **options, print_as="whole")
    except ProblemsFound as found:
        (problem,) = found.problems
        assert "larger stock" not in problem.hint  # the boards fill the case
        assert "fewer boards" not in problem.hint
        ways = list(ways_of(problem, setup, options))
        assert ways, problem
        return ways
    return []


PANEL = "  p: { name: P, side: left, holes: [ { at: [0, 0], fastener: K } ] }"
HIGH_HEAD = """  K: {{ kind: shoulder screw, thread: M8, length: {length}, shoulder: {{ length: 22, diameter: 10 }},
       head: {{ shape: cylinder, diameter: 16, height: 7 }}, drive: hex 6 }}
panels:"""


@pytest.mark.parametrize(("length", "thickness"), [(24, "3.5"), (40, None)])
def test_thinner_stock_is_named_where_it_helps(bike_from, make, length, thickness):
    """29 mm above 5 mm of board in 32.5 mm: with 3.5 mm it goes in; a tip below would stand out as much further."""
    text = bike_text(PANEL).replace("panels:", HIGH_HEAD.format(length=length), 1)
    setup = Setup(case=CaseSetup((500.0, 400.0), height=32.5))
    with pytest.raises(ProblemsFound, match="mm are missing") as found:
        make(plan_work(bike_from(text)), setup)
    hint = found.value.problems[0].hint
    assert re.search(r"stock of ([\d.]+) mm|$", hint)[1] == thickness
    assert f"a case at least {34 if thickness else 47} mm high" in hint
    assert "fewer jobs" not in hint  # the bike has none
