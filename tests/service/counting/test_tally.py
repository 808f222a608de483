"""The tally: every number against a second count, the spares against the rule as it is printed."""

from __future__ import annotations

from collections import Counter

import pytest
from bikes import bike_text, random_bike_text
from hypothesis import given, settings
from hypothesis import strategies as some

from boardmaker.inputs import read_bike
from boardmaker.service import plan_work
from boardmaker.service.counting.tally import count_work

LID = "  lid: {{ name: Lid, side: left, holes: [ {} ] }}"


def tally_of(bike_from, holes, fasteners="", more="", rest=""):
    text = bike_text(LID.format(", ".join(holes)) + more, rest=rest)
    return count_work(plan_work(bike_from(text.replace("panels:", f"{fasteners}\npanels:", 1))))


def holes(count, fastener, more=""):
    return [f"{{ at: [{30 * place}, 0], fastener: {fastener}{more} }}" for place in range(count)]


def pockets_of(board_file):
    return [
        pocket for board in board_file["boards"] for item in board["items"] if item["kind"] == "panel"
        for pocket in item["pockets"]
    ]  # fmt: skip


def test_the_tally_is_what_the_board_has_pockets_for(demo):
    """The board file, read as a stranger would: a pocket for each fastener counted, by panel and by kind."""
    tally = count_work(demo.work)
    pockets = pockets_of(demo.board_file)
    assert Counter({kind.fastener.key: kind.count for kind in tally.kinds}) == Counter(p["fastener"] for p in pockets)
    shares = Counter()
    for share in tally.shares:
        shares[share.panel.key, share.fastener.key] += len(share.freed)
    assert shares == Counter((p["hole"].rsplit("/", 1)[0], p["fastener"]) for p in pockets)


@settings(max_examples=40, deadline=None)
@given(seed=some.integers(0, 10_000), panels=some.integers(1, 12))
@pytest.mark.slow
def test_each_freed_fastener_is_counted_once(tmp_path_factory, seed, panels):
    """On random bikes: shares and kinds are two divisions of the same fasteners."""
    path = tmp_path_factory.mktemp("bike") / "bike.yaml"
    path.write_text(random_bike_text(seed, panels), encoding="utf-8")
    work = plan_work(read_bike(path)[0])
    tally = count_work(work)
    for groups in (tally.shares, tally.kinds):
        assert Counter(one.hole_key for group in groups for one in group.freed) == Counter(
            one.hole_key for one in work.freed
        )
    assert all(one.fastener == group.fastener for group in (*tally.shares, *tally.kinds) for one in group.freed)


# The rule as printed: one for every 8 or part of 8 (common practice, no source).
@pytest.mark.parametrize(("used", "spares"), [(2, 1), (8, 1), (9, 2), (16, 2), (17, 3)])
def test_one_spare_for_every_eight(bike_from, used, spares):
    """And never none."""
    (kind,) = tally_of(bike_from, holes(used, "B", ", into: metal thread")).kinds
    assert (kind.count, kind.spares.count) == (used, spares)
    assert kind.spares.reason == ("at least 1" if used <= 8 else "1 for every 8 in use")


@pytest.mark.parametrize(
    ("fastener", "into", "more"),
    [
        ("J", "metal thread", "secured with threadlocker"),
        ("S", "metal thread", "secured with threadlocker"),
        ("T", "metal thread", ""),  # common practice, no source
        ("L", "metal thread", "is M8"),
        ("L", "threaded insert", "is M8"),
        ("J", "clip nut", ""),
        ("P", "threaded insert", ""),  # a clip of 8 mm is no thread of 8 mm
        ("L", "clip nut", ""),
    ],
)
def test_one_more_where_losing_one_stops_the_ride(bike_from, fastener, into, more):
    """What the file can tell: a thick or a locked screw in a metal thread."""
    extra = "  J: { part: EN 1662 - M6 x 30 - 8.8, threadlocker: medium }\n  L: { part: EN 1662 - M8 x 30 - 8.8 }\n"
    extra += "  S: { part: EN 1662 - M6 x 30 - 8.8, threadlocker: strong }\n"
    extra += "  T: { part: EN 1662 - M6 x 30 - 8.8, threadlocker: light }\n"
    (kind,) = tally_of(bike_from, holes(2, fastener, f", into: {into}"), extra).kinds
    assert kind.spares.count == (2 if more else 1)
    assert more in kind.spares.reason


def test_a_carrier_and_a_lone_screw_get_one_more(bike_from):
    """Another panel rides on the lid; the flap has no other screw."""
    rider = "\n  flap: { name: Flap, side: left, rides_on: lid, holes: [ { at: [0, 0], fastener: C } ] }"
    into = ", into: metal thread"
    (kind,) = tally_of(bike_from, holes(2, "B", into), more=rider).kinds
    assert kind.spares.count == 2
    assert "lid/1 carries a panel that others ride on" in kind.spares.reason
    (kind,) = tally_of(bike_from, holes(1, "B")).kinds
    assert kind.spares.count == 2
    assert "only fastener of its panel" in kind.spares.reason


def test_what_is_renewed_is_carried_in_full(bike_from):
    """Whatever the number in use."""
    clips = "  Q: { kind: push clip, hole: 6, length: 12, renew: true }\n"
    tally = tally_of(bike_from, holes(5, "Q"), clips)
    assert tally.kinds[0].spares.count == 5
    assert tally.kinds[0].spares.reason == "all: renew"
    assert tally.to_renew == tally.kinds


def test_what_is_renewed_on_a_condition_is_carried_in_full_too(bike_from):
    """The condition is told; what is used again is no part of it."""
    clips = "  Q: { kind: push clip, hole: 6, length: 12, renew: when the pin no longer clicks }\n"
    tally = tally_of(bike_from, [*holes(5, "Q"), *holes(1, "B")], clips)
    (clip,) = tally.to_renew
    assert (clip.fastener.key, clip.spares.count) == ("Q", 5)
    assert clip.spares.reason == "all: renew when the pin no longer clicks"


def test_what_is_kept_with_a_fastener_is_counted(bike_from):
    """Two washers and a collar with each of three."""
    extra = "  W: { kind: screw, thread: M6, length: 20, with_it: [washer, collar, washer] }\n"
    (kind,) = tally_of(bike_from, holes(3, "W"), extra).kinds
    assert {one.item: (one.count, one.spares) for one in kind.companions} == {"washer": (6, 2), "collar": (3, 1)}


def test_a_torque_row_of_two_jobs_is_renewed_once(bike_from):
    """By the row's count where the parts themselves are renewed, else what it names."""
    rest = """jobs: { one: { name: One, torques: [plug, pin, sump] }, two: { name: Two, torques: [plug] } }
torques:
  plug: { what: Plug, torque: 9 N·m, count: 2, renew: true }
  pin: { what: Nuts, torque: 9 N·m, count: 2, renew: gasket }
  sump: { what: Sump, torque: 9 N·m, renew: washer }
  lid: { what: Lid, torque: 9 N·m }
"""
    renewals = tally_of(bike_from, holes(1, "B"), rest=rest).renewals
    assert [(one.row.key, one.item, one.count, one.at_least) for one in renewals] == [
        ("plug", "Plug", 2, False),
        ("pin", "gasket", 1, True),
        ("sump", "washer", 1, False),
    ]
