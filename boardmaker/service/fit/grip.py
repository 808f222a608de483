"""What a screw does to the stack under its head: a shoulder that crushes or rattles, a plain shank in the way.

In: what is offered, the hole, the fastener that belongs there. Out: findings. Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Iterator

from boardmaker.model import Fastener, Hole
from boardmaker.service.fit.limits import EXACT, GROMMET_SQUEEZE, LOOSE_SHOULDER, SAME_SIZE
from boardmaker.service.fit.offered import Offered
from boardmaker.service.fit.verdict import Finding, cannot_say, doubtful, must_not
from boardmaker.standards.thread_length import thread_length

METAL = ("metal thread", "threaded insert")


def grip_findings(offered: Offered, hole: Hole, own: Fastener) -> Iterator[Finding]:
    """Shoulder against stack and against the proper one's, plain shank against stack."""
    yield from _against_proper(offered, own)
    if hole.stack is None or own.kind == "nut":
        return
    if offered.shoulder is not None:
        yield from _spare(offered.shoulder.length - hole.stack, offered, hole, own)
    yield from _shank(offered, hole.stack)


def _spare(spare: float, offered: Offered, hole: Hole, own: Fastener) -> Iterator[Finding]:
    """Shoulder beyond the stack; a grommet gives way by its squeeze."""
    shoulder = offered.shoulder.length if offered.shoulder else 0.0
    squeeze = GROMMET_SQUEEZE if "grommet" in own.with_it else 0.0
    if spare < -squeeze - EXACT:
        harm = "crushes it" if hole.into in METAL else "leaves no grip or crushes it"
        said = f"the {shoulder:.4g} mm shoulder does not clear the {hole.stack or 0.0:.4g} mm stack: {harm}"
        yield must_not("grip", said)
    elif spare > LOOSE_SHOULDER + EXACT:
        said = f"the panel is not held and rattles: the shoulder is {spare:.4g} mm longer than what it clamps"
        yield doubtful("grip", said)


def _against_proper(offered: Offered, own: Fastener) -> Iterator[Finding]:
    if own.kind == "shoulder screw" and own.shoulder is None:
        said = f"the file does not say how long the shoulder of {own.key} is"
        yield cannot_say("grip", said, f"the shoulder of {own.key}")
    if offered.proper:
        return
    theirs, mine = own.shoulder, offered.shoulder
    if own.thread is None:
        return
    if theirs and not offered.shoulder_known:
        said = "its shoulder was not measured, and the screw that belongs here has one"
        yield cannot_say("grip", said, "its shoulder")
    elif theirs and mine is None:
        belongs = f"the screw that belongs here has one of {theirs.length:.4g} mm"
        yield must_not("grip", f"it has no shoulder, and {belongs}: it would crush the panel")
    elif not offered.shoulder_known:
        yield cannot_say("grip", "whether it has a shoulder was not said", "whether it has a shoulder")
    elif mine and not theirs:
        across = f"{mine.diameter:g} mm shoulder" if mine.diameter else "shoulder"
        yield doubtful("grip", f"its {across} has to pass a hole made for the thread alone")
    elif mine and theirs and theirs.diameter and not mine.diameter:
        said = f"how thick its shoulder is was not measured, and there belongs one of {theirs.diameter:.4g} mm"
        yield cannot_say("grip", said, "the diameter of its shoulder")
    elif mine and theirs and mine.diameter > theirs.diameter + SAME_SIZE:
        said = f"its shoulder is {mine.diameter:.4g} mm across, the hole was made for {theirs.diameter:.4g} mm"
        yield doubtful("grip", said)
    elif mine and theirs and mine.diameter and mine.diameter < theirs.diameter - LOOSE_SHOULDER - EXACT:
        said = f"its shoulder is {mine.diameter:.4g} mm across, and has play in a hole for {theirs.diameter:.4g} mm"
        yield doubtful("grip", said)


def _shank(offered: Offered, stack: float) -> Iterator[Finding]:
    """A bolt's plain shank that is longer than the stack runs into the thread before the head clamps."""
    if offered.thread is None or offered.length is None or offered.shoulder is not None:
        return
    threaded = thread_length(offered.thread, offered.length, offered.standard)
    if threaded is None:
        return
    shank = offered.length - threaded
    if shank <= stack + EXACT:
        return
    if offered.kind == "bolt" or offered.standard:
        said = f"its plain shank of {shank:.4g} mm is longer than the {stack:.4g} mm stack: it runs out of thread"
        yield must_not("grip", f"{said} before it clamps")
    elif not offered.kind:
        said = f"a bolt of this length has {shank:.4g} mm of plain shank, the stack is {stack:.4g} mm"
        yield cannot_say("grip", said, "whether its thread runs up to the head (a screw) or not (a bolt)")
