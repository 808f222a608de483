"""The order of removal: valid, and as good as the best of all orders that there are."""

from __future__ import annotations

import random
from functools import cache
from itertools import pairwise

import networkx
import pytest
from bikes import random_bike_text

from boardmaker.service import panel_height, plan_work
from boardmaker.service.removal import ordering
from boardmaker.service.removal.ordering import Stop, cost_of, order_stops
from boardmaker.service.removal.units import panel_waits


def random_stops(dice, count, share):
    """Stops that wait for earlier ones; heights in round hundreds half of the time, so that many are equal."""
    step = dice.choice([1, 100])
    return [
        Stop(
            dice.choice(["left", "right", "centre"]),
            dice.randrange(200, 1000, step),
            frozenset(before for before in range(index) if dice.random() < share),
        )
        for index in range(count)
    ]


def graph_of(stops):
    graph = networkx.DiGraph((before, index) for index, stop in enumerate(stops) for before in stop.after)
    graph.add_nodes_from(range(len(stops)))
    return graph


def least_changes(stops):
    """The fewest changes of side, by taking all that may leave on a side before walking to each other one."""
    count = len(stops)

    @cache
    def walks(gone, side):
        while ready := [i for i in range(count) if i not in gone and stops[i].side == side and stops[i].after <= gone]:
            gone = gone | frozenset(ready)
        if len(gone) == count:
            return 0
        sides = {stops[i].side for i in range(count) if i not in gone and stops[i].after <= gone}
        return 1 + min(walks(gone, other) for other in sides)

    return min(walks(frozenset(), side) for side in {stop.side for stop in stops})


@pytest.mark.parametrize("seed", range(30))
def test_what_is_still_to_come_at_least_never_is_more_than_what_comes(seed):
    """At every stop of the best order: the bound by which states are kept must not forbid the best."""
    dice = random.Random(seed)
    stops = random_stops(dice, dice.randint(2, 9), dice.choice([0.1, 0.3]))
    search, best = ordering._OrderSearch(stops), order_stops(stops)
    state = ordering._State(0, search.free, (), (0, 0))
    for index in best:
        state = search._taken(state, index)
        assert search._at_least(state)[0] <= cost_of(stops, best)[0]
        assert search._at_least(state) == (state.cost[0] + least_still_to_come(stops, state.order), state.cost[1])
    assert search._at_least(state) == state.cost == cost_of(stops, best)


def least_still_to_come(stops, gone):
    """The most changes of side along any chain of those that are left, from the last stop on; each side left is one."""
    here, left = stops[gone[-1]].side, [index for index in range(len(stops)) if index not in gone]
    graph = graph_of(stops)
    for before, after in graph.edges:
        graph.edges[before, after]["changes"] = stops[before].side != stops[after].side
    for index in left:
        graph.add_edge(-1, index, changes=stops[index].side != here)
    chains = graph.subgraph([-1, *left])
    longest = networkx.dag_longest_path_length(chains, weight="changes", default_weight=0) if left else 0
    return max(longest, len({stops[index].side for index in left} - {here}))


@pytest.mark.parametrize("seed", range(60))
def test_no_topological_order_is_better(seed):
    """Held against every order that networkx lists: changes of side first, then mm climbed down."""
    dice = random.Random(seed)
    stops = random_stops(dice, dice.randint(1, 7), dice.choice([0.1, 0.2, 0.4]))
    found = order_stops(stops)
    assert cost_of(stops, found) == min(
        cost_of(stops, order) for order in networkx.all_topological_sorts(graph_of(stops))
    )


@pytest.mark.parametrize("seed", range(10))
def test_no_order_of_a_bike_of_nine_panels_is_better(bike_from, seed):
    """The same on bike files, through `plan_work`, with the cost written down again here."""
    bike = bike_from(random_bike_text(seed, panels=9 if seed == 0 else 7))
    graph = networkx.DiGraph((before, key) for key, waits in panel_waits(bike).items() for before in waits)
    graph.add_nodes_from(panel.key for panel in bike.panels)
    sides = {panel.key: panel.side for panel in bike.panels}
    heights = {panel.key: round(panel_height(panel)) for panel in bike.panels}

    def cost(order):
        pairs = list(pairwise(order))
        walks = sum(sides[one] != sides[other] for one, other in pairs)
        down = sum(max(0, heights[one] - heights[other]) for one, other in pairs if sides[one] == sides[other])
        return walks, down

    order = [step.carrier.key for step in plan_work(bike).steps]
    assert cost(order) == min(cost(one) for one in networkx.all_topological_sorts(graph))


@pytest.mark.parametrize("seed", range(20))
def test_a_long_order_is_valid_and_walks_as_little_as_can_be(seed):
    """Up to eighty units: a topological order, with the fewest changes of side (worked out another way)."""
    dice = random.Random(seed)
    stops = random_stops(dice, dice.randint(20, 80), dice.choice([0.0, 0.01, 0.03]))
    order = order_stops(stops)
    assert sorted(order) == list(range(len(stops)))
    graph = graph_of(stops)
    assert all(order.index(before) < order.index(after) for before, after in graph.edges)
    assert cost_of(stops, order)[0] == least_changes(stops)


def test_a_circle_is_refused():
    """Nobody can begin."""
    with pytest.raises(ValueError, match="circle"):
        order_stops([Stop("left", 1, frozenset({1})), Stop("left", 1, frozenset({0}))])


def test_going_down_once_may_save_going_down_twice():
    """Two panels low down that each hide behind a high one: both high ones first, then both low ones."""
    stops = [
        Stop("left", 500),
        Stop("left", 100, frozenset({0})),
        Stop("left", 600),
        Stop("left", 200, frozenset({2})),
    ]
    assert order_stops(stops) == (0, 2, 1, 3)
    assert cost_of(stops, (0, 2, 1, 3)) == (0, 500)


@pytest.mark.parametrize("seed", range(15))
def test_what_comes_off_is_the_fewest(bike_from, seed):
    """Leave any unit out, and something that stays off waits for it: held against networkx on units with riders."""
    text = random_bike_text(seed, panels=12).replace("  panel-7:\n", "  panel-7:\n    rides_on: panel-2\n")
    bike = bike_from(text + "jobs: { job: { name: Job, remove: [panel-11, panel-7] } }\n")
    steps = plan_work(bike, ["job"]).steps
    unit_of = {panel.key: panel.key for panel in bike.panels} | {"panel-7": "panel-2"}
    graph = networkx.DiGraph()
    for key, waits in panel_waits(bike).items():
        graph.add_edges_from((unit_of[one], unit_of[key]) for one in waits if unit_of[one] != unit_of[key])
    graph.add_nodes_from(unit_of.values())
    goals = {"panel-11", "panel-2"}
    assert {step.carrier.key for step in steps} == goals.union(*(networkx.ancestors(graph, goal) for goal in goals))


@pytest.mark.slow
def test_as_many_units_as_a_bike_file_takes_are_ordered():
    """Five hundred that wait for each other all over, with a search that is narrower for so many."""
    stops = random_stops(random.Random(2), 500, 0.016)
    found = order_stops(stops)
    place = {stop: number for number, stop in enumerate(found)}
    assert all(place[before] < place[index] for index, stop in enumerate(stops) for before in stop.after)
    assert ordering.MOST_WORK // 200**2 == ordering.WIDTH  # nothing changes for any motorcycle
