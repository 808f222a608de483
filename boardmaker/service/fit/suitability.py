"""Does a screw suit its hole? The one judgement, for a file's own screw, another in its place, and one in the hand.

In: a fastener of the file or a measured one, a hole, the fastener that belongs there. Out: a `Fit`. It is arithmetic on
what is given; what is not given is never taken as good: a screw fits only where everything below is known and right.
A verdict never replaces the maker's manual.
"""

from __future__ import annotations

from boardmaker.model import Fastener, Hole
from boardmaker.service.fit.grip import grip_findings
from boardmaker.service.fit.joining import clip_findings, head_findings, thread_findings
from boardmaker.service.fit.load import strength_findings
from boardmaker.service.fit.offered import Offered, offered_in_hand, offered_of
from boardmaker.service.fit.reach import reach_findings
from boardmaker.service.fit.recognition import Measured
from boardmaker.service.fit.verdict import Finding, Fit, Verdict


def judge_fit(fastener: Fastener, hole: Hole, own: Fastener | None = None) -> Fit:
    """Say whether `fastener` suits a hole of `own` (None: it is the hole's own)."""
    proper = own or fastener
    return _judge(offered_of(fastener, proper), hole, proper)


def judge_in_hand(measured: Measured, hole: Hole, own: Fastener) -> Fit:
    """Say whether the fastener in the hand suits a hole of `own`."""
    return _judge(offered_in_hand(measured, own), hole, own)


def has_another_thread(measured: Measured, own: Fastener) -> bool:
    """Whether the fastener in the hand is surely not of the thread or kind of `own`, so that it does not even go in."""
    return _does_not_go_in(tuple(thread_findings(offered_in_hand(measured, own), own)))


def _judge(offered: Offered, hole: Hole, own: Fastener) -> Fit:
    joining = (*thread_findings(offered, own, hole.into), *clip_findings(offered, own))
    reach = tuple(reach_findings(offered, hole, own))
    if _does_not_go_in(joining):  # what else it may do there is only what somebody did with it by force
        return Fit((*joining, *(one for one in reach if one.about == "tip" and hole.behind)))
    return Fit(
        (
            *joining,
            *head_findings(offered, own),
            *reach,
            *grip_findings(offered, hole, own),
            *strength_findings(offered, own),
        )
    )


def _does_not_go_in(joining: tuple[Finding, ...]) -> bool:
    return any(one.verdict is Verdict.MUST_NOT for one in joining)
