"""Whether another kind of fastener could go into a hole in place of the proper one.

`judge_fit` says whether it suits the hole by its length and shoulder; here the thread, and the shoulder and the seat of
the proper one, are held against it as well. Common practice, no source, beyond what `judge_fit` names.
"""

from __future__ import annotations

from boardmaker.model import Fastener, Hole
from boardmaker.service.fit.suitability import TOLERANCE, Fit, Verdict, judge_fit, longer_than_own, tip_past_joint
from boardmaker.units import with_article

BLIND = ("metal thread", "threaded insert", "plastic boss")  # a clip nut, a well nut, a through hole are open
SUNK = ("countersunk", "raised countersunk")
SAME_LENGTH = 0.2  # mm; lengths in a file may be measured ones, with a calliper
SAME_SIZE = 0.05  # mm; sizes of clips and shoulders are given to a tenth


def judge_stand_in(other: Fastener, proper: Fastener, hole: Hole) -> Fit:
    """Say whether `other` may go into a hole of `proper`: the worst finding, with its reason."""
    if wrong := _wrong_thread(other, proper) or _no_shoulder(other, proper) or _too_short(other, hole):
        return Fit(Verdict.MUST_NOT, wrong)
    fit = judge_fit(other, hole)
    longer = too_long_to_propose(other, proper, hole)
    if longer and fit.verdict < Verdict.MUST_NOT:
        return longer
    if fit.verdict < Verdict.DOUBTFUL and (doubt := _bottoms_out(other, proper, hole) or _doubt(other, proper)):
        return Fit(Verdict.DOUBTFUL, doubt)
    return fit


def too_long_to_propose(other: Fastener, proper: Fastener, hole: Hole) -> Fit | None:
    """Say that `other` is longer than `proper` where something is behind the hole: then it is never a stand-in."""
    if other.length_assumed:
        return None
    return longer_than_own(other.length, proper, hole, proper.length + SAME_LENGTH)


def _wrong_thread(other: Fastener, proper: Fastener) -> str:
    """What is not equal where a thread, or a clip's hole, must be."""
    if other.thread != proper.thread:
        return f"{_held_by(other)} does not go with {_held_by(proper)}"
    if other.thread is None and (other.kind != proper.kind or abs(other.diameter - proper.diameter) > SAME_SIZE):
        return f"{_held_by(other)} does not go with {_held_by(proper)}"
    return ""


def _no_shoulder(other: Fastener, proper: Fastener) -> str:
    if proper.shoulder is None or other.shoulder:
        return ""
    return (
        f"it has no shoulder, and the screw that belongs here has one of {proper.shoulder.length:.4g} mm: "
        "it would crush the panel"
    )


def _too_short(other: Fastener, hole: Hole) -> str:
    """What `judge_fit` calls doubtful in a finished bike is no proposal: nothing would hold it."""
    if other.thread is None or other.length_assumed or hole.stack is None:
        return ""
    if tip_past_joint(other, hole.stack) > TOLERANCE:
        return ""
    return "it does not reach past the stack, so no thread holds it"


def _held_by(fastener: Fastener) -> str:
    if fastener.thread:
        return f"the thread {fastener.thread.designation}"
    across = f"{fastener.diameter:g}"
    return f"the {fastener.kind} for {with_article(across)} mm hole"


def _bottoms_out(other: Fastener, proper: Fastener, hole: Hole) -> str:
    """What a longer one may do where the thread may end in a blind hole, and nobody says what room there is."""
    if hole.into not in BLIND or hole.depth is None or hole.stack is None or hole.room is not None:
        return ""
    if other.length_assumed:
        return ""  # `judge_fit` has said that nobody can say
    reach = tip_past_joint(other, hole.stack)
    if reach <= max(hole.depth, tip_past_joint(proper, hole.stack)) + TOLERANCE:
        return ""
    return f"it reaches {reach:.4g} mm past the joint, the thread is {hole.depth:.4g} mm deep: it may bottom out"


def _doubt(other: Fastener, proper: Fastener) -> str:
    if (other.head.shape in SUNK) != (proper.head.shape in SUNK):
        return f"a {other.head.shape} head does not sit where a {proper.head.shape} one belongs"
    if other.shoulder and not proper.shoulder:
        return f"its {other.shoulder.diameter:g} mm shoulder has to pass a hole made for the thread alone"
    if other.shoulder and proper.shoulder and other.shoulder.diameter > proper.shoulder.diameter + SAME_SIZE:
        return f"its shoulder is {other.shoulder.diameter:g} mm thick, the proper one {proper.shoulder.diameter:g} mm"
    return ""


def differences(other: Fastener, proper: Fastener, hole: Hole) -> tuple[str, ...]:
    """Return what is not the same and worth a look before it goes in, and what the file notes at screw and hole."""
    found = []
    longer = other.length - proper.length
    if longer and not (other.length_assumed or proper.length_assumed):
        found.append(f"{abs(longer):.4g} mm {'longer' if longer > 0.0 else 'shorter'}")
    if other.property_class != proper.property_class:
        found.append(f"class {other.property_class or 'not known'} for {proper.property_class or 'not known'}")
    if other.head.diameter < proper.head.diameter - SAME_SIZE:
        found.append(f"head {other.head.diameter:g} mm for {proper.head.diameter:g} mm")
    if other.drive != proper.drive:
        found.append("another drive")
    if other.with_it != proper.with_it:
        found.append(
            f"take over what is kept with {proper.key}" if proper.with_it else "leave off what is kept with it"
        )
    if proper.threadlocker not in (other.threadlocker, "none"):
        found.append(f"{proper.threadlocker} threadlocker")
    found += [f'the file notes "{note}"' for note in (proper.note, hole.note) if note]
    return tuple(found)
