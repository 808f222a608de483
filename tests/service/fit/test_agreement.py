"""One judgement: every command says the same of a screw and a hole, and knowing less never makes it fit.

Random holes and screws, eight thousand of them over the tests of this file.
"""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from bikes import bike_text
from screws import in_hand

from boardmaker.inputs import read_bike
from boardmaker.model import Audit, AuditFind, Bag, BagCount, Fastener, Head, Hole, Shoulder, Torque, TorqueStage
from boardmaker.problems import Severity
from boardmaker.service import Verdict, judge_fit, judge_in_hand, misfits, overtorqued, plan_work
from boardmaker.service.counting.audit import Harm, check_audit
from boardmaker.service.counting.bag import check_bag
from boardmaker.service.counting.tally import count_work
from boardmaker.service.fit.offered import taken_for
from boardmaker.standards import parse_thread

PAIRS = 8_000
THREADS = [parse_thread(name) for name in ("M5", "M6", "M6", "M8", "M6x0.75", "ST4.8")]
CLASSES = ["", "4.8", "8.8", "10.9", "A2-70"]
INTO = ["metal thread", "threaded insert", "clip nut", "well nut", "plastic boss", "through"]
HARMS = {
    Verdict.FITS: {Harm.HARMLESS},
    Verdict.CANNOT_SAY: {Harm.CANNOT_SAY, Harm.MAY_REACH},
    Verdict.DOUBTFUL: {Harm.DOUBTFUL, Harm.MAY_REACH},
    Verdict.MUST_NOT: {Harm.MUST_NOT, Harm.REACHES, Harm.MAY_REACH},
}


def tenths(dice, low, high):
    return round(dice.uniform(low, high), 1)


def some_fastener(dice, key):
    shape = dice.choice(["button", "pan", "countersunk", "hex"])
    unsaid = {name: dice.random() < 0.03 for name in ("diameter_assumed", "shape_assumed")}
    head = Head(shape, tenths(dice, 9.5, 18), 3.0, **unsaid)
    if dice.random() < 0.15:
        clip = Head("round", 18.0, 2.5)
        return Fastener(
            key, dice.choice(["push clip", "quarter turn"]), tenths(dice, 8, 20), clip, hole=dice.choice([6.0, 8.0])
        )
    length = float(dice.randint(5, 45)) if dice.random() < 0.8 else tenths(dice, 4, 90)
    shouldered = dice.random() < 0.3 and length > 9
    return Fastener(
        key, "shoulder screw" if shouldered else dice.choice(["screw", "screw", "bolt"]), length, head,
        dice.choice(THREADS), length_assumed=dice.random() < 0.03,
        shoulder=Shoulder(tenths(dice, 1, length - 5), dice.choice([8.0, 9.0, 10.0])) if shouldered else None,
        drive=dice.choice(["T25", "T30", "hex 4", ""]), property_class=dice.choice(CLASSES),
        torque=Torque((TorqueStage(5.0, dice.choice([5.0, 12.0, 30.0])),)) if dice.random() < 0.6 else None,
        threadlocker=dice.choice(["none", "none", "medium"]),
        with_it=dice.choice([(), (), ("grommet",), ("nut",)]),
    )  # fmt: skip


def some_hole(dice, key):
    def perhaps(value):
        return value if dice.random() < 0.93 else None

    behind = dice.choice(["", "", "fuel tank"])
    asked = bool(behind) or dice.random() < 0.2  # room that is given though nobody says what for
    return Hole(
        "1", (0.0, 0.0), key, into=perhaps(dice.choice(INTO)) or "", stack=perhaps(tenths(dice, 0, 16)),
        depth=perhaps(tenths(dice, 3, 30)), room=perhaps(tenths(dice, 5, 40)) if asked else None, behind=behind,
        base=dice.choice(["", "steel", "magnesium"]),
    )  # fmt: skip


def some_pairs(seed, count):
    """Another fastener, the hole's own and the hole; often alike, so that every verdict comes up."""
    dice = random.Random(seed)
    for _ in range(count):
        own = some_fastener(dice, "own")
        other = some_fastener(dice, "other")
        if dice.random() < 0.7:
            change = {"length": other.length} if dice.random() < 0.5 and not own.shoulder else {}
            other = replace(
                own, key="other", **change, property_class=dice.choice([own.property_class, other.property_class])
            )
        yield other, own, some_hole(dice, "own")


def test_every_verdict_comes_up():
    """Else the other tests of this file say little."""
    verdicts = [judge_fit(other, hole, own).verdict for other, own, hole in some_pairs(1, 2000)]
    assert all(verdicts.count(one) > 40 for one in Verdict)


@pytest.mark.slow
def test_a_screw_in_the_hand_is_judged_as_the_file_judges_it():
    """Typed in whole, one of the file's fasteners gets the same verdict and reasons from both; where it agrees with the
    hole's own so well that it is taken for it, that one's, or a worse one by the longer of the two tips.
    """
    different = 0
    for other, own, hole in some_pairs(2, PAIRS // 2):
        if other.length_assumed:
            continue
        measured = in_hand(other)
        expected = judge_fit(_filled_up(own, other), hole) if taken_for(measured, own) else judge_fit(other, hole, own)
        found = judge_in_hand(measured, hole, own)
        if taken_for(measured, own) and other.length + measured.tolerance > own.length and hole.room is not None:
            assert found.worst_about("tip") >= expected.worst_about("tip"), (other, own, hole, found, expected)
            assert found.verdict >= expected.verdict, (other, own, hole, found, expected)
        else:
            assert found.verdict == expected.verdict, (other, own, hole, found, expected)
        different += other != own
    assert different > 1000


def _filled_up(own, other):
    """The hole's own with what was measured and the file does not give."""
    length = {"length": other.length, "length_assumed": False} if own.length_assumed else {}
    return replace(own, property_class=own.property_class or other.property_class, **length)


LESS = ("thread", "length", "head", "shoulder", "shoulder_diameter", "head_shape", "kind", "clip_hole")


@pytest.mark.slow
def test_knowing_less_of_the_screw_never_makes_it_fit():
    """Each measurement left out in turn. A shoulder that is not mentioned is none where the hole's own has none."""
    for other, own, hole in some_pairs(3, PAIRS // 4):
        measured = in_hand(other, property_class="")
        if judge_in_hand(measured, hole, own).verdict is Verdict.FITS:
            continue
        for what in LESS:
            if what == "shoulder" and taken_for(replace(measured, shoulder=None, shoulder_diameter=None), own):
                continue
            less = replace(measured, **{what: "" if what in ("head_shape", "kind") else None}, **_with(what))
            if taken_for(less, own):
                continue  # the rule of the four measurements that speak for it, whatever else is not known
            assert judge_in_hand(less, hole, own).verdict is not Verdict.FITS, (other, own, hole, what)


def _with(what):
    return {"threadless": False} if what == "thread" else {}


@pytest.mark.slow
def test_knowing_less_of_the_hole_never_makes_it_fit():
    """`stack`, `depth`, `room`, `into` left out in turn; without a `base` the weaker one is taken."""
    for other, own, hole in some_pairs(4, PAIRS // 4):
        if judge_fit(other, hole, own).verdict is Verdict.FITS:
            continue
        for what in ("stack", "depth", "room", "into"):
            if other.thread is None and what in ("stack", "depth", "into") and not hole.behind:
                continue  # a clip is not judged by them
            if what == "room" and not hole.behind:
                continue  # then nothing is said to be there
            less = replace(hole, **{what: "" if what == "into" else None})
            assert judge_fit(other, less, own).verdict is not Verdict.FITS, (other, own, hole, what)


@pytest.mark.slow
def test_a_longer_tip_and_a_shorter_thread_are_never_better():
    """Over something each millimetre more, in its thread each millimetre less, is as bad or worse."""
    dice = random.Random(5)
    for other, own, hole in some_pairs(6, 4000):
        if other.length_assumed or other.thread is None or other.shoulder:
            continue
        longer = replace(other, length=other.length + tenths(dice, 0.1, 20))
        shorter = replace(other, length=max(0.1, other.length - tenths(dice, 0.1, 20)))
        if hole.behind:
            assert judge_fit(longer, hole, own).worst_about("tip") >= judge_fit(other, hole, own).worst_about("tip")
        assert judge_fit(shorter, hole, own).worst_about("hold") >= judge_fit(other, hole, own).worst_about("hold")


@pytest.mark.parametrize("seed", range(20))
def test_check_board_audit_and_bag_say_the_same(tmp_path, seed):
    """A random bike file read back: `check` and the board of each hole's own screw, audit and bag of another in it."""
    dice = random.Random(100 + seed)
    kinds = "".join(
        f"  {key}: {{ kind: screw, thread: {dice.choice(['M6', 'M6', 'M5'])}, length: {dice.randint(8, 30)}, "
        f"head: {{ shape: button, diameter: 14 }}, class: '{dice.choice(['8.8', '10.9'])}', "
        f"torque: {dice.choice([5, 5, 12])} N·m }}\n"
        for key in "KLMNOQ"
    )
    holes = "\n".join(
        f"      - {{ at: [{30 * n}, 0], fastener: {dice.choice('KLMNOQ')}, into: {dice.choice(INTO)}, "
        f"stack: {dice.randint(1, 8)}, depth: {dice.randint(4, 20)}"
        f"{dice.choice(['', f', room: {dice.randint(4, 30)}, behind: fuel tank', ', behind: wiring'])} }}"
        for n in range(25)
    )
    path = tmp_path / "bike.yaml"
    panel = f"  lid:\n    name: Lid\n    side: left\n    holes:\n{holes}"
    path.write_text(bike_text(panel).replace("panels:", f"{kinds}panels:", 1), encoding="utf-8")
    work = plan_work(read_bike(path)[0])
    told = "\n".join(problem.message for problem in misfits(work.bike))
    overloaded = {one.message.split('"')[1] for one in overtorqued(work.bike) if one.severity is Severity.ERROR}
    for freed in work.freed:
        assert freed.fit == judge_fit(freed.fastener, freed.hole)
        strong = freed.fit.worst_about("strength") is Verdict.FITS
        assert strong == (freed.fastener.key not in overloaded)
        of_the_hole = freed.fit.worst_about("thread", "kind", "head", "tip", "hold", "grip")
        assert (f"{freed.hole_key}: screw" in told) == (
            of_the_hole >= Verdict.DOUBTFUL or (of_the_hole is Verdict.CANNOT_SAY and bool(freed.hole.behind))
        )
    finds = tuple(
        AuditFind(freed.hole_key, "wrong", key)
        for freed in work.freed
        if (key := dice.choice("KLMNOQ")) != freed.fastener.key
    )
    for wrong in check_audit(work, Audit(finds)).wrong:
        assert wrong.fit == judge_fit(wrong.found, wrong.freed.hole, wrong.freed.fastener)
        assert wrong.harm in HARMS[wrong.fit.verdict]
        assert wrong.fit.verdict is judge_in_hand(in_hand(wrong.found), wrong.freed.hole, wrong.freed.fastener).verdict
    bag = Bag(tuple(BagCount(key, dice.randint(0, 9)) for key in "KLMNOQ"))
    for one in check_bag(count_work(work), bag).stand_ins:
        assert one.fit == judge_fit(one.fastener, one.freed.hole, one.freed.fastener)
        assert one.fit.verdict is Verdict.FITS or (one.fit.verdict < Verdict.MUST_NOT and not one.freed.hole.behind)
