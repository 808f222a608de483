"""An audit of a strip-down: how bad each wrong screw is, who goes where, what has to be bought."""

from __future__ import annotations

from collections import Counter

import pytest
from bikes import bike_text
from hypothesis import given, settings
from hypothesis import strategies as some

from boardmaker.inputs import read_bike
from boardmaker.model import Audit, AuditFind
from boardmaker.service import plan_work
from boardmaker.service.counting.audit import Harm, check_audit, is_fuel
from boardmaker.service.counting.shopping import buy_after_audit
from boardmaker.service.counting.tally import count_work

# K is the short one over the tank, B the long one beside it, A has a shoulder.
EXTRA = """  K: { part: ISO 7380-2 - M6 x 12 - 10.9 }
  Q: { kind: push clip, hole: 6, length: 12, renew: true }
  U: { kind: screw, thread: M6, head: { shape: button, diameter: 14 } }
  W: { kind: screw, thread: M6, length: 16, with_it: [washer] }
  V: { kind: screw, thread: M5, length: 16, head: { shape: button, diameter: 10 } }
panels:"""
PANELS = """  lid:
    name: Lid
    side: left
    holes:
      - { at: [0, 0], fastener: K, into: metal thread, stack: 3, depth: 9, room: 10, behind: fuel tank }
      - { at: [50, 0], fastener: B, into: metal thread, base: steel, stack: 3, depth: 14 }
      - { at: [90, 0], fastener: B, into: metal thread, base: steel, stack: 3, depth: 14 }
      - { at: [130, 0], fastener: A, into: metal thread, stack: 10.5, depth: 12 }
      - { at: [170, 0], fastener: C, into: metal thread, stack: 3, depth: 12, room: 14, behind: radiator }
      - { at: [210, 0], fastener: W, into: metal thread, stack: 3, depth: 14 }
      - { at: [250, 0], fastener: Q, into: through }
      - { at: [290, 0], fastener: Q, into: through }
      - { at: [330, 0], fastener: K, into: metal thread, stack: 3, depth: 9, room: 10, behind: fuel tank }"""


def work_from(folder, panels):
    path = folder / "bike.yaml"
    path.write_text(bike_text(panels).replace("panels:", EXTRA, 1), encoding="utf-8")
    return plan_work(read_bike(path)[0])


@pytest.fixture(scope="module")
def work(tmp_path_factory):
    return work_from(tmp_path_factory.mktemp("audit"), PANELS)


def audit_of(finds):
    words = ("ok", "missing", "other")
    return Audit(
        tuple(
            AuditFind(f"lid/{hole}", found if found in words else "wrong", "" if found in words else found)
            for hole, found in finds.items()
        )
    )


def check(work, finds):
    return check_audit(work, audit_of(finds))


# By hand, from the numbers of the file: B is 16 long, so 13 mm of tip over the 10 mm to the tank; K in a hole for B
# leaves 9 mm in the thread, of which 8 hold, and steel asks for 6; A has 8 mm of shoulder too many on a 3 mm stack.
@pytest.mark.parametrize(
    ("hole", "found", "harm"),
    [
        (1, "B", Harm.REACHES),
        (2, "K", Harm.HARMLESS),
        (2, "A", Harm.DOUBTFUL),
        (2, "C", Harm.MUST_NOT),  # M5 in M6
        (1, "U", Harm.MAY_REACH),  # no length given, and the tank is behind
        (2, "U", Harm.CANNOT_SAY),
        (1, "other", Harm.MAY_REACH),
        (2, "other", Harm.CANNOT_SAY),
        (5, "A", Harm.MUST_NOT),  # another thread, but its tip ends before the radiator: 21 - 11 = 10 under 14
        (7, "B", Harm.MUST_NOT),
        (5, "V", Harm.DOUBTFUL),  # 4 mm longer than C; 16 - 3 = 13 under 14, but the radiator is behind it
        (1, "A", Harm.REACHES),  # 21 - 11 = 10, and up to 10.42 by its tolerance, over 10
    ],
)
def test_how_bad_a_wrong_fastener_is(work, hole, found, harm):
    """Each alone."""
    (wrong,) = check(work, {hole: found}).wrong
    assert (wrong.harm, wrong.found.key if wrong.found else "other") == (harm, found)


def test_the_tank_is_told_first(work):
    """Then what may reach it, then the rest from bad to harmless."""
    found = check(work, {2: "K", 5: "U", 3: "C", 9: "B"}).wrong
    assert [one.harm for one in found] == [Harm.REACHES, Harm.MAY_REACH, Harm.MUST_NOT, Harm.HARMLESS]
    assert found[0].freed.hole_key == "lid/9"


def test_the_six_kinds_of_harm_run_from_worst_to_none():
    """Each is one of its own: no two may be told as if they were the same."""
    names = ["REACHES", "MAY_REACH", "MUST_NOT", "DOUBTFUL", "CANNOT_SAY", "HARMLESS"]
    assert [harm.name for harm in sorted(Harm)] == names


@pytest.mark.parametrize(
    ("behind", "fuel"),
    [("fuel tank", True), ("Tank", True), ("petrol tap", True), ("fuel line", True), ("radiator", False), ("", False)],
)
def test_fuel_is_known_by_its_name(behind, fuel):
    """By any of the words, whatever their case."""
    assert is_fuel(behind) is fuel


def test_of_what_is_reached_fuel_is_told_first(tmp_path):
    """Both are reached; the radiator stands first in the file."""
    hole = "fastener: K, into: metal thread, stack: 3, depth: 9, room: 10"
    holes = f"{{ at: [0, 0], {hole}, behind: radiator }}, {{ at: [50, 0], {hole}, behind: fuel line }}"
    found = check(work_from(tmp_path, f"  lid: {{ name: Lid, side: left, holes: [ {holes} ] }}"), {1: "B", 2: "B"})
    assert [(one.freed.hole.behind, one.harm) for one in found.wrong] == [
        ("fuel line", Harm.REACHES),
        ("radiator", Harm.REACHES),
    ]


@pytest.mark.parametrize(
    ("room", "harm"),
    [
        ("room: 40", Harm.DOUBTFUL),  # longer than K; 16 - 3 = 13 mm past the joint, up to 13.35
        ("room: 13.5", Harm.DOUBTFUL),
        ("room: 13.2", Harm.REACHES),
        ("room: 12.9", Harm.REACHES),
        ("depth: 40", Harm.MAY_REACH),  # longer than the proper one, and nobody knows how near the tank is
    ],
)
def test_a_tip_reaches_only_what_is_known_to_be_too_near(tmp_path, room, harm):
    """By the numbers of the file; without one of them nobody can say."""
    hole = f"{{ at: [0, 0], fastener: K, into: clip nut, stack: 3, {room}, behind: fuel tank }}"
    work = work_from(tmp_path, f"  lid: {{ name: Lid, side: left, holes: [ {hole} ] }}")
    (wrong,) = check(work, {1: "B"}).wrong
    assert wrong.harm is harm


def test_another_thread_is_told_and_not_only_its_tip(work):
    """V is an M5 of 16 mm where an M6 belongs, over the tank."""
    (wrong,) = check(work, {1: "V"}).wrong
    assert wrong.fit.reason == (
        "its thread is M5, the hole's M6; the tip reaches 13 mm past the joint and the fuel tank is at 10 mm"
    )
    assert wrong.harm is Harm.REACHES


def test_a_swap_is_sought_on_the_same_panel_first(tmp_path):
    """Two holes for B have K's screw; one of them is on the panel of K's hole."""
    lid = "lid: { name: Lid, side: left, holes: [ { at: [0, 0], fastener: K }, { at: [9, 0], fastener: B } ]"
    cap = "cap: { name: Cap, side: left, holes: [ { at: [0, 0], fastener: B } ]"
    for panels in (f"  {lid} }}\n  {cap}, after: [lid] }}", f"  {lid}, after: [cap] }}\n  {cap} }}"):
        work = work_from(tmp_path, panels)
        finds = (("cap/1", "K"), ("lid/1", "B"), ("lid/2", "K"))
        found = check_audit(work, Audit(tuple(AuditFind(key, "wrong", fastener) for key, fastener in finds)))
        swap = next(move for move in found.moves if move.swap)
        assert {swap.wrong.freed.hole_key, swap.to.hole_key} == {"lid/1", "lid/2"}
        assert [one.freed.hole_key for one in found.left_over] == ["cap/1"]
        assert [one.hole_key for one in found.to_buy] == ["cap/1"]


def test_each_is_swapped_once(work):
    """Both holes for K have B, one for B has K: one swap, one B is left over, one K has to be bought."""
    found = check(work, {1: "B", 2: "K", 9: "B"})
    assert [(move.wrong.freed.hole_key, move.to.hole_key, move.swap) for move in found.moves] == [
        ("lid/1", "lid/2", True)
    ]
    assert [one.freed.hole_key for one in found.left_over] == ["lid/9"]
    assert [one.hole_key for one in found.to_buy] == ["lid/9"]


def test_a_swap_of_two_explains_both(work):
    """Nothing has to be bought, nothing is left over."""
    found = check(work, {1: "B", 2: "K"})
    ((move),) = found.moves
    assert move.swap
    assert {move.wrong.freed.hole_key, move.to.hole_key} == {"lid/1", "lid/2"}
    assert found.to_buy == found.left_over == ()


def test_a_round_of_three_is_put_right_by_moves(work):
    """K's hole has B, B's has W, W's has K."""
    found = check(work, {1: "B", 2: "W", 6: "K"})
    assert {(move.wrong.freed.hole_key, move.to.hole_key) for move in found.moves} == {
        ("lid/1", "lid/2"),
        ("lid/2", "lid/6"),
        ("lid/6", "lid/1"),
    }
    assert found.to_buy == ()


def test_a_hole_that_was_not_looked_at_is_not_called_right(work):
    """It is named as such."""
    found = check(work, {1: "ok", 2: "missing"})
    assert [one.hole_key for one in found.ok] == ["lid/1"]
    assert len(found.not_looked_at) == 7


def test_what_is_bought(work):
    """The missing screw with its washer; one-use clips for every hole, and not once more for the missing one."""
    tally = count_work(work)
    bought = buy_after_audit(tally, check(work, {6: "missing", 7: "missing", 2: "K", 1: "ok"}))
    assert [(one.count, one.fastener.key, one.item) for one in bought] == [
        (1, "B", ""),
        (2, "Q", ""),
        (1, "W", ""),
        (1, "W", "washer"),
    ]


KINDS = ("ok", "missing", "other", "A", "B", "C", "K", "Q", "U", "W")


@pytest.mark.slow
@settings(max_examples=150, deadline=None)
@given(found=some.dictionaries(some.integers(1, 9), some.sampled_from(KINDS)))
def test_after_the_moves_and_the_shopping_every_hole_has_its_own(work, found):
    """Counted by kind, a second way: lacking less found, where that is more than none; nobody is moved twice."""
    belongs = {freed.hole_key: freed.fastener.key for freed in work.freed}
    found = {hole: "ok" if belongs[f"lid/{hole}"] == key else key for hole, key in found.items()}
    result = check(work, found)
    lacking = Counter(belongs[f"lid/{hole}"] for hole, key in found.items() if key != "ok")
    loose = Counter(key for key in found.values() if key not in ("ok", "missing", "other"))
    assert Counter(one.fastener.key for one in result.to_buy) == lacking - loose
    unknown = Counter({"other": sum(key == "other" for key in found.values())})
    left = Counter(one.found.key if one.found else "other" for one in result.left_over)
    assert left == (loose - lacking) + unknown
    to = [move.to.hole_key for move in result.moves]
    to += [move.wrong.freed.hole_key for move in result.moves if move.swap]
    assert len(to) == len(set(to))
    for move in result.moves:
        assert move.wrong.found.key == move.to.fastener.key
    holes = (*result.ok, *result.missing, *(one.freed for one in result.wrong), *result.not_looked_at)
    assert sorted(one.hole_key for one in holes) == sorted(belongs)
