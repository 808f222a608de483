"""Would the screw in the hand do in this hole? The rules of `suitability` for a screw that was measured.

In: a `Measured`, a hole, the fastener that belongs there. Out: a `Fit`. Apart from `suitability` because a measurement
has a tolerance and gaps, and because a strange screw must first have the thread of the hole.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

from boardmaker.model import Fastener, Head, Hole, Shoulder
from boardmaker.service.fit.recognition import Measured, diameter_comparison
from boardmaker.service.fit.suitability import Fit, Verdict, bottoms_out, judge_fit, longer_than_own, tip_past_joint
from boardmaker.standards.deviations import length_limits

ANY_HEAD = Head("button", 1.0, 1.0)  # the rules of screw and hole do not ask for the head


def try_in(measured: Measured, hole: Hole, own: Fastener) -> Fit:
    """Say whether the measured screw would do in a hole whose own fastener is `own`: the worst finding.

    A limit that the tolerance can cross makes the verdict doubtful; but a tip that reaches what is `behind` as
    measured must not go in, whatever the tolerance. A length that the proper screw itself may have, as it comes off the
    shelf and is measured, is not longer. Shoulders: common practice, no source.
    """
    findings = [*_thread_findings(measured, own)]  # of equally bad ones the first is said: what can hurt before harm
    if measured.length is not None:
        longest = length_limits(own.length)[1] + measured.tolerance
        longer = longer_than_own(measured.length, own, hole, longest)
        findings += [longer] if longer else []
        findings.append(_judge_within_tolerance(measured, measured.length, hole, own))
        bottom = bottoms_out(_screw(measured, measured.length, measured.shoulder or 0.0, own), hole)
        findings += [bottom] if bottom else []
    findings += [*_shoulder_findings(measured, own), *_gap_findings(measured, own)]
    worst = max(findings, key=lambda fit: fit.verdict, default=Fit(Verdict.FITS, ""))
    if worst.verdict is Verdict.FITS:
        return Fit(Verdict.FITS, "same thread, and it fits by the file's numbers and these measurements")
    return worst


def has_another_thread(measured: Measured, own: Fastener) -> bool:
    """Whether the screw is surely not of the thread of `own`, so that it does not even go in."""
    return any(_thread_findings(measured, own))


def _thread_findings(measured: Measured, own: Fastener) -> Iterator[Fit]:
    if measured.threadless != (own.thread is None) and _thread_is_known(measured):
        what = "is a clip or rivet" if measured.threadless else "has a thread"
        theirs = own.thread.designation if own.thread else f"a {own.kind}"
        yield Fit(Verdict.MUST_NOT, f"this one {what}, and the hole takes {theirs}")
    elif own.thread is None or measured.threadless:
        return
    elif measured.thread is not None and measured.thread.designation != own.thread.designation:
        yield Fit(Verdict.MUST_NOT, f"its thread is {measured.thread.designation}, the hole's {own.thread.designation}")
    elif measured.diameter is not None and not diameter_comparison(measured, own.thread).agrees:
        about = f"{measured.diameter:.4g} mm"
        yield Fit(Verdict.MUST_NOT, f"its thread is {about} across, the hole's is {own.thread.designation}")


def _thread_is_known(measured: Measured) -> bool:
    return measured.threadless or measured.thread is not None or measured.diameter is not None


def _gap_findings(measured: Measured, own: Fastener) -> Iterator[Fit]:
    """What was not measured and has to be known."""
    if own.thread and not measured.threadless and measured.thread is None:
        known = "its pitch was not measured" if measured.diameter is not None else "its thread was not measured"
        yield Fit(Verdict.CANNOT_SAY, f"{known}: hold it against a screw that is surely {own.thread.designation}")
    if not _thread_is_known(measured) and own.thread is None:
        yield Fit(Verdict.CANNOT_SAY, f"the hole takes a {own.kind}, and whether this is one was not said")
    if measured.length is None:
        yield Fit(Verdict.CANNOT_SAY, "its length was not measured")
    if measured.shoulder is None and own.shoulder:
        yield Fit(Verdict.CANNOT_SAY, "its shoulder was not measured, and the screw that belongs here has one")


def _shoulder_findings(measured: Measured, own: Fastener) -> Iterator[Fit]:
    if own.shoulder is None:
        return
    if measured.shoulder == 0.0:
        yield Fit(
            Verdict.MUST_NOT,
            f"it has no shoulder, and the screw that belongs here has one of {own.shoulder.length:.4g} mm: "
            "it would crush the panel",
        )
    across = measured.shoulder_diameter
    if across is not None and across > own.shoulder.diameter + measured.tolerance:
        yield Fit(
            Verdict.DOUBTFUL,
            f"its shoulder is {across:.4g} mm across and the hole was made for {own.shoulder.diameter:.4g} mm",
        )


def _judge_within_tolerance(measured: Measured, length: float, hole: Hole, own: Fastener) -> Fit:
    """The verdict as measured, or doubtful where the tolerance can turn it either way."""
    plain = judge_fit(_screw(measured, length, measured.shoulder or 0.0, own), hole)
    if _reaches_behind(measured, length, hole):
        return plain
    turned = [judge_fit(screw, hole) for screw in _extremes(measured, length, own)]
    worst = max((plain, *turned), key=lambda fit: fit.verdict)
    if len({plain.verdict, *(fit.verdict for fit in turned)}) == 1:
        return plain
    reason = f"within {measured.tolerance:.4g} mm of measuring, it could be that {worst.reason}"
    return plain if worst.verdict is plain.verdict is Verdict.DOUBTFUL else Fit(Verdict.DOUBTFUL, reason)


def _reaches_behind(measured: Measured, length: float, hole: Hole) -> bool:
    if not hole.behind or hole.room is None or hole.stack is None:
        return False
    screw = Fastener("", "screw", length, ANY_HEAD, shoulder=_shoulder_of(measured.shoulder or 0.0, length))
    return tip_past_joint(screw, hole.stack) > hole.room + 1e-9


def _extremes(measured: Measured, length: float, own: Fastener) -> Iterator[Fastener]:
    off = measured.tolerance
    shoulders = [measured.shoulder - off, measured.shoulder + off] if measured.shoulder else [0.0]
    for tip, shoulder in product((length - off, length + off), shoulders):
        if tip > 0.0:
            yield _screw(measured, tip, shoulder, own)


def _screw(measured: Measured, length: float, shoulder: float, own: Fastener) -> Fastener:
    """The screw in the hand, with the thread of the hole: another thread has had its verdict already."""
    thread = None if measured.threadless else own.thread
    return Fastener("", "screw", length, ANY_HEAD, thread, shoulder=_shoulder_of(shoulder, length))


def _shoulder_of(shoulder: float, length: float) -> Shoulder | None:
    return Shoulder(shoulder, 1.0) if 0.0 < shoulder < length else None
