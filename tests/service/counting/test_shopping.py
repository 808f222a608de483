"""What to buy, line by line: after a strip-down, for a bag, and what torque rows renew."""

from __future__ import annotations

import pytest
from bikes import bike_text

from boardmaker.model import Audit, AuditFind, Bag, BagCount
from boardmaker.service import plan_work
from boardmaker.service.counting.audit import check_audit
from boardmaker.service.counting.bag import check_bag
from boardmaker.service.counting.shopping import buy_after_audit, buy_for_bag
from boardmaker.service.counting.tally import count_work

# K and D are B by other names, S is B with a countersunk head, and nothing needs them. Q is used once, R is renewed on
# a condition.
EXTRA = """  K: { part: ISO 7380-2 - M6 x 16 - 10.9 }
  D: { part: ISO 7380-2 - M6 x 16 - 10.9 }
  S: { part: ISO 10642 - M6 x 16 - 10.9 }
  W: { kind: screw, thread: M8, length: 20, with_it: [washer, washer, collar] }
  Q: { kind: push clip, hole: 6, length: 12, renew: true }
  R: { kind: screw, thread: M4, length: 12, renew: when worn }
panels:"""
KEYS = ("B", "B", "W", "W", "W", "Q", "Q", "R", "R")
HOLES = "\n".join(
    f"      - {{ at: [{30 * place}, 0], fastener: {key}, into: metal thread, stack: 3, depth: 14 }}"
    for place, key in enumerate(KEYS)
)
JOB = "  oil: { name: Oil, remove: [lid], torques: [plug, pan] }"
ROWS = """torques:
  plug: { what: Plug, torque: 9 N·m, count: 2, renew: true }
  pan: { what: Pan, torque: 9 N·m, count: 4, renew: gasket }
  drain: { what: Drain, torque: 9 N·m, renew: washer 14 x 20, jobs: [oil] }
"""
MISSING = "missing after the rest is back in place"
KEPT = "at most: kept with the fastener, if gone too"
USED_ONCE = "not to be used again: a new one for every hole"


@pytest.fixture
def tally_of(bike_from):
    """The tally of the bike above, for jobs or for everything."""
    text = bike_text(f"  lid:\n    name: Lid\n    side: left\n    holes:\n{HOLES}", JOB, ROWS)
    return lambda *jobs: count_work(plan_work(bike_from(text.replace("panels:", EXTRA, 1)), jobs))


def lines(purchases):
    return [
        (one.count, one.item or (one.renewal.item if one.renewal else one.fastener.key), one.reason)
        for one in purchases
    ]


def after_audit(tally, missing):
    audit = Audit(tuple(AuditFind(f"lid/{hole}", "missing", "") for hole in missing))
    return buy_after_audit(tally, check_audit(tally.work, audit))


def test_what_a_strip_down_lacks_is_bought_with_what_is_kept_with_it(tally_of):
    """By kind, in the order of the file; a clip that is used once is bought for every hole and not once more."""
    bought = after_audit(tally_of(), [3, 4, 6, 8])
    assert lines(bought) == [
        (2, "W", MISSING),
        (4, "washer", KEPT),
        (2, "collar", KEPT),
        (2, "Q", USED_ONCE),
        (1, "R", MISSING),
        (1, "R", "at most: renew when worn"),
    ]
    assert [[one.hole.id for one in line.holes] for line in bought] == [
        ["3", "4"], ["3", "4"], ["3", "4"], ["6", "7"], ["8"], ["9"],
    ]  # fmt: skip
    assert all(line.fastener for line in bought)


def test_where_every_one_is_missing_none_is_left_to_be_renewed(tally_of):
    """Both of R are bought; what is used once is bought whatever is missing."""
    assert lines(after_audit(tally_of(), [8, 9])) == [(2, "Q", USED_ONCE), (2, "R", MISSING)]


def test_torque_rows_are_renewed_for_a_chosen_job_only(tally_of):
    """As many as the row counts, or at least one of what it names: four nuts, and how many gaskets nobody says."""
    assert lines(after_audit(tally_of("oil"), []))[-3:] == [
        (2, "Plug", "renew"),
        (1, "gasket", "at least: the file does not say how many"),
        (1, "washer 14 x 20", "renew"),
    ]
    assert lines(after_audit(tally_of(), [])) == [(2, "Q", USED_ONCE), (2, "R", "at most: renew when worn")]


def test_what_a_bag_lacks_is_bought(tally_of):
    """With what is left over and fits instead; washers where the list counts them, clips for every hole."""
    tally = tally_of("oil")
    counts = [("K", 1, ""), ("W", 3, ""), ("W", 5, "washer"), ("Q", 1, ""), ("R", 1, "")]
    check = check_bag(tally, Bag(tuple(BagCount(*one) for one in counts)))
    bought = buy_for_bag(tally, check)
    assert [[one.hole.id for one in line.holes] for line in bought if line.holes] == [["6", "7"]]  # a bag has no holes
    assert lines(bought) == [
        (2, "B", "missing from the bag; left over and fitting: 1 K"),
        (1, "R", "missing from the bag"),
        (1, "washer", "missing from the bag"),
        (3, "collar", "missing from the bag"),
        (2, "Q", USED_ONCE),
        (2, "Plug", "renew"),
        (1, "gasket", "at least: the file does not say how many"),
        (1, "washer 14 x 20", "renew"),
    ]


def test_a_bag_without_washers_on_its_list_asks_for_none(tally_of):
    """Nobody counted them; and without a job no torque row is opened."""
    tally = tally_of()
    full = Bag(tuple(BagCount(kind.fastener.key, kind.count) for kind in tally.kinds))
    assert lines(buy_for_bag(tally, check_bag(tally, full))) == [(2, "Q", USED_ONCE)]


@pytest.mark.parametrize(
    ("left", "reason"),
    [
        ({"K": 1, "D": 1}, "missing from the bag; left over and fitting: 1 D, 1 K"),
        ({"K": 3}, "missing from the bag; left over and fitting: 2 K"),
        ({"S": 2}, "missing from the bag"),  # doubtful: its head does not sit
        ({}, "missing from the bag"),
    ],
)
def test_only_what_fits_is_named_as_left_over_and_fitting(tally_of, left, reason):
    """By name, and no more of them than are missing."""
    tally = tally_of()
    full = {kind.fastener.key: kind.count for kind in tally.kinds} | {"B": 0} | left
    check = check_bag(tally, Bag(tuple(BagCount(key, count) for key, count in full.items())))
    assert lines(buy_for_bag(tally, check))[0] == (2, "B", reason)
