"""Whether a screw is strong enough for its hole: its class against the proper one's, and against the torque.

In: what is offered, the fastener that belongs there. Out: findings.
"""

from __future__ import annotations

from collections.abc import Iterator

from boardmaker.model import Fastener
from boardmaker.service.fit.offered import Offered
from boardmaker.service.fit.verdict import Finding, cannot_say, doubtful, must_not
from boardmaker.service.torque.preload import (
    DRY,
    NUT_FACTORS,
    REDUCED_SHAPES,
    THREADLOCKER,
    highest_nm,
    judged_class,
    screw_loads,
    screw_strength,
    tapping_torque_nm,
    tension,
)
from boardmaker.standards import StrengthClass


def strength_findings(offered: Offered, own: Fastener) -> Iterator[Finding]:
    """Class against class, then the pull of the proper screw's torque against the proof load."""
    if offered.thread is None or own.thread is None:
        return
    if not offered.proper:
        yield from _weaker(offered, own)
    if own.torque:
        yield from _overloaded(offered, own)


def _weaker(offered: Offered, own: Fastener) -> Iterator[Finding]:
    asked = screw_strength(own.thread, own.property_class) if own.thread else None
    if own.kind == "nut":
        yield from _other_nut(offered, own)
    if asked is None:
        return
    known = screw_strength(own.thread, offered.property_class) if own.thread else None
    if known is None:
        said = f"its class is not known, and there belongs {own.property_class}"
        yield cannot_say("strength", said, "its class: the number on the head")
    elif _is_below(known, asked):
        yield doubtful("strength", f"its class is {offered.property_class}, and there belongs {own.property_class}")


def _other_nut(offered: Offered, own: Fastener) -> Iterator[Finding]:
    """A nut of another standard may be lower or lack the locking; classes are numbers, of thin nuts after a 0."""
    if own.standard and offered.standard != own.standard:
        name = offered.standard or "of no known standard"
        yield doubtful("strength", f"it is a nut {name}, and there belongs {own.standard}")
    if own.property_class and not offered.property_class:
        said = f"its class is not known, and there belongs {own.property_class}"
        yield cannot_say("strength", said, "its class: the mark on the nut")
    elif _nut_rank(offered.property_class) < _nut_rank(own.property_class):
        yield doubtful("strength", f"its class is {offered.property_class}, and there belongs {own.property_class}")


def _nut_rank(property_class: str) -> tuple[bool, int]:
    return not property_class.startswith("0"), int(property_class) if property_class.isdigit() else 0


def _is_below(known: StrengthClass, asked: StrengthClass) -> bool:
    weaker = known.proof_mpa < asked.proof_mpa or known.tensile_mpa < asked.tensile_mpa
    return weaker or (known.reduced and not asked.reduced)


def _overloaded(offered: Offered, own: Fastener) -> Iterator[Finding]:
    """Of an unknown class the strongest there is is taken: what even that cannot bear, none can."""
    thread, torque = offered.thread, own.torque
    if thread is None or torque is None:
        return
    breaks = tapping_torque_nm(thread)
    if breaks is not None and highest_nm(torque) > breaks:
        said = f"{highest_nm(torque):.4g} N·m are too much for {thread.designation}"
        yield must_not("strength", f"{said}: a tapping screw may break from {breaks:g} N·m")
    judged = judged_class(thread, offered.property_class)
    bears = screw_loads(thread, judged, offered.head_shape)
    if bears is None:
        return
    factor = NUT_FACTORS[DRY if own.threadlocker == "none" else THREADLOCKER]
    pull = tension(highest_nm(torque), thread.diameter, factor)
    if pull > bears.proof:
        name = f"class {judged}" if judged == offered.property_class else f"even class {judged}"
        head = f" under a {offered.head_shape} head" if offered.head_shape in REDUCED_SHAPES else ""
        said = f"{highest_nm(torque):.4g} N·m are too much for {thread.designation} of {name}{head}"
        yield must_not("strength", f"{said}: it {bears.passed_words(pull)}")
