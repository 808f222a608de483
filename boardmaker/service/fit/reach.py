"""How far a screw reaches past the joint: too far for what is behind or for its thread, or not far enough to hold.

In: what is offered, the hole, the fastener that belongs there. Out: findings. The tip past the joint is
p = length - max(stack, shoulder), in mm; the tolerance of the length counts where something is behind.
"""

from __future__ import annotations

from collections.abc import Iterator

from boardmaker.model import Fastener, Hole
from boardmaker.service.fit.limits import (
    EXACT,
    GROMMET_SQUEEZE,
    HARDLY_HELD,
    HELD,
    LONGER_PITCHES,
    NEAR_BEHIND,
    SAME_LENGTH,
    SHOWN_PITCHES,
    THINNEST_NUT,
    TIP_PITCHES,
)
from boardmaker.service.fit.offered import Offered
from boardmaker.service.fit.verdict import Finding, cannot_say, doubtful, must_not
from boardmaker.standards import Thread

NUTS = ("clip nut", "well nut")
USUAL_BASE = "aluminium"  # of a metal thread where nothing is said: the usual one on a motorcycle, and the weaker
NO_STACK = "the file does not say how thick the stack is"
NO_DEPTH = "the file does not say how deep the thread is"


def tip_past_joint(length: float, shoulder: float, stack: float) -> float:
    """Return how far a tip reaches past the joint face: the length less the larger of stack and shoulder, mm."""
    return length - max(stack, shoulder)


def reach_findings(offered: Offered, hole: Hole, own: Fastener) -> Iterator[Finding]:
    """Everything that length, stack, depth and room say."""
    if own.kind == "nut":
        return  # how far its stud stands out is not in the file
    yield from _longer_over_something(offered, hole, own)
    if offered.threadless and hole.room is None:
        return  # a clip holds by its legs, and nothing is known here that it could reach
    if offered.length is None:
        said = "its length was not measured" if offered.in_hand else "the screw's length is assumed, not given"
        yield cannot_say("tip", said, "the length of the screw")
    if hole.stack is None:
        yield cannot_say("tip", NO_STACK, "`stack`, the thickness that the screw clamps")
    if offered.length is None or hole.stack is None:
        return
    shoulder = offered.shoulder.length if offered.shoulder else 0.0
    past = tip_past_joint(offered.length, shoulder, hole.stack)
    gives_way = shoulder > 0.0 and "grommet" in own.with_it  # until the shoulder sits on the joint
    squeeze = GROMMET_SQUEEZE if "grommet" in own.with_it and not shoulder else 0.0  # by it the tip goes further in
    yield from _room_findings(offered.length - shoulder if gives_way else past, squeeze, offered, hole)
    if offered.threadless:
        return
    yield from _deep_findings(past, offered, hole, own)
    yield from _hold_findings(past, offered, hole, own)


def _longer_over_something(offered: Offered, hole: Hole, own: Fastener) -> Iterator[Finding]:
    """Where something is behind, never longer than the proper one, as boards and plans print it.

    Whatever room the arithmetic leaves; where nobody knows how near it is, that is no advice but a must.
    """
    if not hole.behind:
        return
    if hole.room is None:
        said = f"the file does not say how far away the {hole.behind} is"
        yield cannot_say("tip", said, f"`room`, the way to the {hole.behind}")
    if offered.proper or offered.length is None or own.length_assumed:
        return
    longer = offered.length - own.length
    if longer > SAME_LENGTH + EXACT:
        said = f"it is {longer:.4g} mm longer than the one that belongs here, and the {hole.behind} is behind it"
        known = hole.room is not None
        yield doubtful("tip", said) if known else must_not("tip", f"{said}, nobody knows how near")


def _room_findings(past: float, squeeze: float, offered: Offered, hole: Hole) -> Iterator[Finding]:
    if hole.room is None:
        return
    what = f"the {hole.behind}" if hole.behind else "what is behind"
    longest = past + offered.tolerance
    reaches = f"the tip reaches {past:.4g} mm past the joint"
    where = f"{what} is at {hole.room:.4g} mm"
    if past > hole.room + EXACT:
        yield must_not("tip", f"{reaches} and {where}")
    elif longest > hole.room + EXACT:
        yield must_not("tip", f"{reaches}, {longest:.4g} mm at its longest, and {where}")
    elif hole.behind and longest > hole.room - NEAR_BEHIND - squeeze + EXACT:
        why = f"less than {NEAR_BEHIND:g} mm"
        if squeeze:
            why = f"and the grommet in the stack gives way by {squeeze:g} mm"
        near = f"{hole.room - longest:.4g} mm short of {what}"
        yield doubtful("tip", f"{reaches} and at its longest ends {near}, {why}")


def _deep_findings(past: float, offered: Offered, hole: Hole, own: Fastener) -> Iterator[Finding]:
    """What may bottom out: in a boss in any case, in metal where nothing is said to be behind."""
    deep = hole.depth is not None and past > hole.depth + EXACT
    reaches = f"the tip reaches {past:.4g} mm past the joint and the thread is {hole.depth or 0.0:.4g} mm deep"
    if deep and hole.into == "plastic boss":
        yield must_not("tip", f"{reaches}: it splits the boss or strips it")
    elif deep and not hole.behind and hole.into in ("metal thread", "threaded insert"):
        yield doubtful("tip", f"{reaches}: in a blind hole the screw is tight before the panel is")
    if offered.proper or hole.room is not None or hole.behind:
        return
    if own.length_assumed:
        yield cannot_say("tip", f"the file does not say how long {own.key} is", f"the length of {own.key}")
    elif offered.length is not None and own.thread:
        longer = offered.length - own.length
        if longer > LONGER_PITCHES * own.thread.pitch + EXACT:
            said = f"it is {longer:.4g} mm longer than the one that belongs here"
            yield cannot_say(
                "tip",
                f"{said}, and the file does not say what it may reach",
                "`room`, the way to the first thing that the tip may not reach",
            )


def _hold_findings(past: float, offered: Offered, hole: Hole, own: Fastener) -> Iterator[Finding]:
    """Whether enough thread holds. Of a thread that is not known the hole's own is taken: another has its verdict."""
    thread = offered.thread or own.thread
    if thread is None:
        return
    if past <= EXACT:
        yield must_not("hold", "the screw does not reach past the stack, so no thread holds it")
    elif hole.into in NUTS:
        yield from _shown(past, thread, hole.depth, f"the {hole.into}")
    elif hole.into == "through":
        yield from _nut_findings(past, thread, hole, "nut" in own.with_it)
    elif hole.into:
        yield from _held(past, thread, hole)
    else:
        yield cannot_say(
            "hold", "the file does not say what it is screwed into", "`into`, what the screw is turned into"
        )


def _held(past: float, thread: Thread, hole: Hole) -> Iterator[Finding]:
    """Thread that holds, less the tip, against what a base asks for; of an insert its whole length is enough.

    A tapped plate from which the tip stands out holds by all of its thread, so that is what must not be too little.
    """
    base = (hole.base or USUAL_BASE) if hole.into == "metal thread" else hole.into
    asked = HELD[base] * thread.diameter
    if hole.into == "threaded insert" and hole.depth is not None:
        asked = min(asked, hole.depth)
    tip = TIP_PITCHES * thread.pitch
    reached = past if hole.depth is None else min(past, hole.depth)
    at_most = past - tip if hole.depth is None else min(past - tip, hole.depth)  # the tip may be out beyond it
    held = max(0.0, at_most if hole.into == "threaded insert" else reached - tip)
    said = f"only {held:.4g} mm of thread hold, and {_where(base, hole)} asks for {asked:.4g} mm"
    if at_most < HARDLY_HELD * asked - EXACT:
        yield must_not("hold", said)
    elif held < asked - EXACT:
        yield doubtful("hold", said)
    elif hole.depth is None:
        yield cannot_say("hold", NO_DEPTH, "`depth`, the thread that can hold")


def _where(base: str, hole: Hole) -> str:
    return f"a thread in {base}" if hole.into == "metal thread" else f"a {hole.into}"


def _shown(past: float, thread: Thread, depth: float | None, nut: str) -> Iterator[Finding]:
    """A tip that shows beyond a nut has gone through all of its thread."""
    if depth is None:
        yield cannot_say("hold", NO_DEPTH, f"`depth`, the length of {nut}'s thread")
        return
    beyond = past - depth
    if beyond < -EXACT:
        said = (
            f"the tip ends {-beyond:.4g} mm inside {nut}, whose thread is {depth:.4g} mm long: it hangs by a part of it"
        )
        yield must_not("hold", said)
    elif beyond < SHOWN_PITCHES * thread.pitch - EXACT:
        said = f"the tip shows {beyond:.4g} mm beyond {nut}, less than one pitch ({thread.pitch:.4g} mm)"
        yield doubtful("hold", said)


def _nut_findings(past: float, thread: Thread, hole: Hole, with_nut: bool) -> Iterator[Finding]:
    if with_nut or hole.depth is not None:
        thinnest = THINNEST_NUT * thread.diameter
        if hole.depth is None and past < thinnest - EXACT:
            said = f"{past:.4g} mm of thread reach the nut, and the thinnest nut is {thinnest:.4g} mm high"
            yield must_not("hold", said)
            return
        yield from _shown(past, thread, hole.depth, "the nut")
        return
    said = "the file does not say what thread holds it behind the hole"
    yield cannot_say("hold", said, "what the screw is turned into: `into`, or `with_it: [nut]` at the fastener")
