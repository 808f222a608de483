"""Whether a fastener goes into a hole at all: its thread, its kind, its head, and a clip's hole.

In: what is offered, and the fastener that belongs there. Out: findings. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from boardmaker.model import Fastener
from boardmaker.service.fit.limits import CLIP_LENGTH, EXACT, LARGER_HEAD, SAME_SIZE
from boardmaker.service.fit.offered import Offered
from boardmaker.service.fit.recognition import compare_outside
from boardmaker.service.fit.verdict import Finding, cannot_say, doubtful, must_not
from boardmaker.standards import Thread
from boardmaker.standards.deviations import head_limits
from boardmaker.units import with_article

SUNK = ("countersunk", "raised countersunk")


def thread_findings(offered: Offered, own: Fastener, into: str = "") -> Iterator[Finding]:
    """Thread against thread, and what has none; `into`: what the hole is said to be, if that is known."""
    if own.thread is None:
        yield from _where_no_thread_belongs(offered, own)
    elif offered.threadless:
        clip = _clip(offered.kind or "clip or rivet", offered.clip_hole)
        yield must_not("thread", f"this one is {with_article(clip)}, and the hole takes {own.thread.designation}")
    elif offered.thread is not None and offered.thread.designation != own.thread.designation:
        yield must_not("thread", f"its thread is {offered.thread.designation}, the hole's {own.thread.designation}")
    elif offered.thread is None:
        yield from _unknown_thread(offered, own.thread)
    if own.thread and own.thread.system == "tapping" and into == "metal thread":
        yield doubtful(
            "thread", f"{own.thread.designation} is a tapping thread, and the hole is said to be a metal one"
        )
    if offered.kind and own.thread and (offered.kind == "nut") != (own.kind == "nut"):
        yield must_not("kind", f"this one is a {offered.kind}, and there belongs a {own.kind}")


def _where_no_thread_belongs(offered: Offered, own: Fastener) -> Iterator[Finding]:
    if offered.is_threaded:
        has = f"the thread {offered.thread.designation}" if offered.thread else "a thread"
        yield must_not("thread", f"this one has {has}, and the hole takes {with_article(_clip(own.kind, own.hole))}")
    elif not offered.threadless:
        said = f"the hole takes a {own.kind}, and whether this is one was not said"
        yield cannot_say("kind", said, "whether it has a thread")


def _clip(kind: str, hole: float | None) -> str:
    return f"{kind} for {with_article(f'{hole:g}')} mm hole" if hole else kind


def _unknown_thread(offered: Offered, thread: Thread) -> Iterator[Finding]:
    gauge = f"its thread: hold it against a screw that is surely {thread.designation}"
    if offered.outside is None:
        yield cannot_say("thread", "its thread was not measured", gauge)
    elif compare_outside(offered.outside, offered.measuring, thread).agrees:
        yield cannot_say("thread", "its pitch was not measured", gauge)
    else:
        across = f"{offered.outside:.4g} mm"
        yield must_not("thread", f"its thread is {across} across, the hole's is {thread.designation}")


def clip_findings(offered: Offered, own: Fastener) -> Iterator[Finding]:
    """A clip for a clip: kind, hole and length of its legs."""
    if own.thread is not None or offered.proper or offered.is_threaded:
        return
    if not offered.kind:
        yield cannot_say("kind", f"the hole takes a {own.kind}, and what kind this one is was not said", "its kind")
    elif offered.kind != own.kind:
        yield must_not("kind", f"this one is a {offered.kind}, and the hole takes a {own.kind}")
    if offered.clip_hole is None or own.hole is None:
        yield cannot_say("kind", "which hole it is made for is not known", "the hole that it is made for")
    elif abs(offered.clip_hole - own.hole) > SAME_SIZE:
        yield must_not("kind", f"it is made for a hole of {offered.clip_hole:.4g} mm, this one has {own.hole:.4g} mm")
    yield from _legs(offered, own)


def _legs(offered: Offered, own: Fastener) -> Iterator[Finding]:
    if offered.length is None or own.length_assumed:
        yield cannot_say(
            "hold", f"how long {'it' if offered.length is None else own.key} is, is not known", "its length"
        )
    elif abs(offered.length - own.length) > CLIP_LENGTH + EXACT:
        off = offered.length - own.length
        said = f"it is {abs(off):.4g} mm {'longer' if off > 0.0 else 'shorter'} than the {own.kind} that belongs here"
        yield cannot_say("hold", f"{said}, and whether it grips is not known", "how thick a stack it is made for")


def head_findings(offered: Offered, own: Fastener) -> Iterator[Finding]:
    """The head of another screw against the one that belongs here: its seat, and what it covers."""
    if offered.proper:
        return
    yield from _seat(offered, own)
    if offered.head is None:
        yield doubtful("head", "nothing is known of the width of its head", "the width of its head")
    elif own.head.diameter_assumed:
        yield cannot_say("head", f"the file does not say how wide the head of {own.key} is", f"the head of {own.key}")
    elif offered.head < head_limits(own.head.shape, own.head.diameter)[0] - EXACT:
        said = f"its head is {offered.head:.4g} mm wide, and there belongs one of {own.head.diameter:.4g} mm"
        yield doubtful("head", said)
    elif offered.head > own.head.diameter + LARGER_HEAD + EXACT:
        said = f"its head is {offered.head:.4g} mm wide where one of {own.head.diameter:.4g} mm belongs"
        yield doubtful("head", f"{said}: it may not go into its recess, or may touch what is beside it")


def _seat(offered: Offered, own: Fastener) -> Iterator[Finding]:
    if not offered.head_shape:
        yield cannot_say("head", "whether its head is countersunk was not said", "the shape of its head")
    elif own.head.shape_assumed:
        said = f"the file does not say what head {own.key} has"
        yield cannot_say("head", said, f"the shape of the head of {own.key}")
    elif (offered.head_shape in SUNK) != (own.head.shape in SUNK):
        said = f"a {offered.head_shape} head does not sit where a {own.head.shape} one belongs"
        yield must_not("head", said)
