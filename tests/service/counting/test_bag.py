"""A bag against the tally: counts by hand, and stand-ins against networkx and against every possible choice."""

from __future__ import annotations

import itertools
from collections import Counter

import networkx
import pytest
from bikes import bike_text
from hypothesis import given, settings
from hypothesis import strategies as some

from boardmaker.inputs import read_bike
from boardmaker.model import Bag, BagCount
from boardmaker.service import Verdict, judge_fit, plan_work
from boardmaker.service.counting.bag import PROPOSED, check_bag
from boardmaker.service.counting.tally import count_work

LENGTHS = (8, 10, 12, 16, 20, 25, 30)


def tally_from(folder, text):
    path = folder / "bike.yaml"
    path.write_text(text, encoding="utf-8")
    return count_work(plan_work(read_bike(path)[0]))


def bag_of(counts):
    return Bag(tuple(BagCount(key, count) for key, count in counts.items()))


def full_bag(tally):
    return {kind.fastener.key: kind.count for kind in tally.kinds}


@pytest.fixture(scope="module")
def some_bike(tmp_path_factory):
    """M6 screws of many lengths in holes of many stacks, some over a tank, some of which nothing is known."""
    head = "head: { shape: button, diameter: 14 }"
    fasteners = "".join(f"  L{length}: {{ kind: screw, thread: M6, length: {length}, {head} }}\n" for length in LENGTHS)
    fasteners += f"  N: {{ kind: screw, thread: M5, length: 16, {head} }}\n"
    ways = ["stack: 3, depth: 22", "stack: 6, depth: 22", "stack: 3, depth: 9, room: 12, behind: fuel tank",
            "stack: 10, depth: 24", "depth: 12", "stack: 4"]  # fmt: skip
    keys = [f"L{length}" for length in LENGTHS] + ["N"]
    holes = "\n".join(
        f"      - {{ at: [{30 * place}, 0], fastener: {keys[place * 5 % 8]}, into: metal thread, {ways[place % 6]} }}"
        for place in range(30)
    )
    text = bike_text(f"  lid:\n    name: Lid\n    side: left\n    holes:\n{holes}")
    return tally_from(tmp_path_factory.mktemp("bag"), text.replace("panels:", f"{fasteners}panels:", 1))


def test_a_bag_equal_to_the_tally_lacks_nothing(demo_bike):
    """And has nothing left over, and so nothing stands in."""
    for stem in ("fjellvik-820-tourer", "kestmark-590-naked", "murmelo-140-scooter"):
        tally = count_work(plan_work(demo_bike(stem)))
        check = check_bag(tally, bag_of(full_bag(tally)))
        assert all(held.missing == held.over == 0 for held in check.fasteners)
        assert check.stand_ins == ()


@pytest.mark.slow
@settings(max_examples=60, deadline=None)
@given(choice=some.data())
def test_what_is_taken_out_is_missing_and_what_is_put_in_is_over(some_bike, choice):
    """k of a kind for k of a kind, whatever else is in the bag."""
    changes = {key: choice.draw(some.integers(-count, 3)) for key, count in full_bag(some_bike).items()}
    check = check_bag(some_bike, bag_of({key: count + changes[key] for key, count in full_bag(some_bike).items()}))
    assert {one.fastener.key: one.over - one.missing for one in check.fasteners} == changes
    assert all(min(one.over, one.missing) == 0 for one in check.fasteners)


def is_proposed(other, proper, hole, verdicts):
    verdict = judge_fit(other, hole, proper).verdict
    return verdict in verdicts and (verdict is Verdict.FITS or not hole.behind)


def flow_by_networkx(tally, changes, verdicts):
    """The same question as a flow that another library answers."""
    graph = networkx.DiGraph()
    graph.add_nodes_from(("start", "end"))
    fasteners = {one.key: one for one in tally.work.bike.fasteners}
    for freed in tally.work.freed:
        proper = freed.fastener
        for key in (key for key, change in changes.items() if change > 0 > changes.get(proper.key, 0)):
            if is_proposed(fasteners[key], proper, freed.hole, verdicts):
                graph.add_edge("start", ("left", key), capacity=changes[key])
                graph.add_edge(("left", key), freed.hole_key, capacity=1)
                graph.add_edge(freed.hole_key, ("lacking", proper.key), capacity=1)
                graph.add_edge(("lacking", proper.key), "end", capacity=-changes[proper.key])
    return networkx.maximum_flow_value(graph, "start", "end")


@pytest.mark.slow
@settings(max_examples=80, deadline=None)
@given(choice=some.data())
def test_stand_ins_fill_the_most_holes_and_never_by_a_must_not(some_bike, choice):
    """networkx's largest flow is as large; each hole once, nothing given or asked for more than there is."""
    full = full_bag(some_bike)
    changes = {key: choice.draw(some.integers(-count, 4)) for key, count in full.items()}
    check = check_bag(some_bike, bag_of({key: count + changes[key] for key, count in full.items()}))
    fits = [one for one in check.stand_ins if one.fit.verdict is Verdict.FITS]
    assert len(fits) == flow_by_networkx(some_bike, changes, {Verdict.FITS})
    assert len({one.freed.hole_key for one in check.stand_ins}) == len(check.stand_ins)
    for key, count in Counter(one.fastener.key for one in check.stand_ins).items():
        assert count <= changes[key]
    for key, count in Counter(one.freed.fastener.key for one in check.stand_ins).items():
        assert count <= -changes[key]
    for one in check.stand_ins:
        assert one.fit.verdict in PROPOSED
        assert judge_fit(one.fastener, one.freed.hole, one.freed.fastener) == one.fit
        assert one.fastener.thread == one.freed.fastener.thread
    order = [PROPOSED.index(one.fit.verdict) for one in check.stand_ins]
    assert order == sorted(order)


@pytest.mark.slow
def test_small_bags_against_every_choice(some_bike):
    """Two of a kind too many, two kinds lacking: no choice of holes fills more."""
    keys = list(full_bag(some_bike))
    for given_, first, second in itertools.permutations(keys, 3):
        changes = {given_: 2, first: -1, second: -1}
        check = check_bag(some_bike, bag_of({k: n + changes.get(k, 0) for k, n in full_bag(some_bike).items()}))
        other = next(one for one in some_bike.work.bike.fasteners if one.key == given_)
        fillable = sum(
            any(
                is_proposed(other, one.fastener, one.hole, {Verdict.FITS})
                for one in some_bike.work.freed
                if one.fastener.key == lacking
            )
            for lacking in (first, second)
        )
        assert sum(one.fit.verdict is Verdict.FITS for one in check.stand_ins) == fillable


def test_the_hole_over_the_tank_keeps_its_own_screw(tmp_path):
    """Of two holes for one missing screw the stand-in goes where it fits (by hand: 16 - 3 = 13 mm of tip, over 10)."""
    holes = """  lid:
    name: Lid
    side: left
    holes:
      - { at: [0, 0], fastener: K, into: metal thread, stack: 3, depth: 9, room: 10, behind: fuel tank }
      - { at: [50, 0], fastener: K, into: metal thread, stack: 3, depth: 14, room: 20 }
      - { at: [90, 0], fastener: B, into: metal thread, stack: 3, depth: 14 }"""
    extra = "  K: { part: ISO 7380-2 - M6 x 12 - 10.9 }\npanels:"
    tally = tally_from(tmp_path, bike_text(holes).replace("panels:", extra, 1))
    check = check_bag(tally, bag_of({"K": 1, "B": 2}))
    assert [(one.fastener.key, one.freed.hole_key, one.fit.verdict) for one in check.stand_ins] == [
        ("B", "lid/2", Verdict.FITS)
    ]
    both = check_bag(tally, bag_of({"K": 0, "B": 3}))
    (lacking,) = [held for held in both.fasteners if held.missing]
    assert (lacking.missing, both.open_after(lacking)) == (2, 1)


@pytest.mark.parametrize(("behind", "proposed"), [(", behind: fuel tank", []), ("", [("B", "lid/1")])])
def test_a_longer_screw_is_never_proposed_over_something(tmp_path, behind, proposed):
    """Room for 30 mm, and still none: "never a longer screw", as board and plan print (common practice, no source)."""
    holes = f"""  lid:
    name: Lid
    side: left
    holes:
      - {{ at: [0, 0], fastener: K, into: metal thread, stack: 3, depth: 30, room: 30{behind} }}
      - {{ at: [90, 0], fastener: B, into: metal thread, stack: 3, depth: 14 }}"""
    extra = "  K: { part: ISO 7380-2 - M6 x 12 - 10.9 }\npanels:"
    tally = tally_from(tmp_path, bike_text(holes).replace("panels:", extra, 1))
    check = check_bag(tally, bag_of({"K": 0, "B": 2}))
    assert [(one.fastener.key, one.freed.hole_key) for one in check.stand_ins] == proposed
    assert sum(check.open_after(held) for held in check.fasteners) == 1 - len(proposed)


def test_washers_are_held_against_it_where_the_list_counts_any(tmp_path):
    """Else nothing is said about them."""
    extra = "  W: { kind: screw, thread: M6, length: 20, with_it: [washer, collar] }\npanels:"
    panel = "  lid: { name: Lid, side: left, holes: [ { at: [0, 0], fastener: W }, { at: [50, 0], fastener: W } ] }"
    tally = tally_from(tmp_path, bike_text(panel).replace("panels:", extra, 1))
    assert check_bag(tally, bag_of({"W": 2})).items is None
    counted = check_bag(tally, Bag((BagCount("W", 2), BagCount("W", 3, "washer"))))
    assert [(one.item, one.missing, one.over) for one in counted.items] == [("washer", 0, 1), ("collar", 2, 0)]
    assert [one.fastener.key for one in counted.fasteners] == ["W"]


def test_a_kind_that_belongs_into_no_hole_is_over_and_may_stand_in(tmp_path):
    """K is B by another name and in no hole; A, in no hole and not in the bag, is not mentioned."""
    extra = (
        "  K: { part: ISO 7380-2 - M6 x 16 - 10.9, with_it: [washer] }\n  W: { kind: screw, thread: M6, length: 20, "
    )
    extra += "with_it: [washer] }\npanels:"
    hole = "fastener: B, into: metal thread, stack: 3, depth: 14"
    panel = f"  lid: {{ name: Lid, side: left, holes: [ {{ at: [0, 0], {hole} }}, {{ at: [50, 0], {hole} }} ] }}"
    tally = tally_from(tmp_path, bike_text(panel).replace("panels:", extra, 1))
    check = check_bag(tally, Bag((BagCount("B", 1), BagCount("K", 2), BagCount("K", 1, "washer"))))
    assert [(one.fastener.key, one.needed, one.missing, one.over) for one in check.fasteners] == [
        ("B", 2, 1, 0),
        ("K", 0, 0, 2),
    ]
    assert [(one.fastener.key, one.item, one.missing, one.over) for one in check.items] == [("K", "washer", 0, 1)]
    assert [(one.fastener.key, one.freed.fastener.key, one.fit.verdict) for one in check.stand_ins] == [
        ("K", "B", Verdict.FITS)
    ]
